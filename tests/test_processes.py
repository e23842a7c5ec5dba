"""Work in a process of its own gets all that it is given, however late it begins to read."""

from __future__ import annotations

import pytest

from loomready.processes import WAIT_S, TooLong, run


def test_a_process_that_reads_late_gets_all_of_a_long_input() -> None:
    late = f"import sys, time; time.sleep({3 * WAIT_S}); print(len(sys.stdin.buffer.read()))"
    ended = run(("-c", late), b"x" * 1_000_000, lambda: None, longest_s=60)
    assert (ended.code, ended.made.split(), ended.wrong) == (0, [b"1000000"], b"")


def test_a_process_that_reads_nothing_ends_as_it_likes() -> None:
    ended = run(("-c", "import sys; sys.exit(2)"), b"x" * 1_000_000, lambda: None, longest_s=60)
    assert ended.code == 2


def test_a_process_that_takes_too_long_is_stopped() -> None:
    with pytest.raises(TooLong):
        run(("-c", "import time; time.sleep(60)"), b"", lambda: None, longest_s=2 * WAIT_S)
