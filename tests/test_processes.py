"""Work in a process of its own gets all that it is given, however late it begins to read."""

from __future__ import annotations

import pytest

from loomready.problems import BadInput, LoomreadyError
from loomready.processes import WAIT_S, TooLong, answer, run


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


def asked(program: str, longest_s: float = 60) -> bytes:
    return answer(("-c", program), b"", lambda: None, longest_s, too_long="too long", failed="a fault")


def test_an_answer_is_what_the_process_wrote_and_its_errors_are_ours() -> None:
    assert asked("print('made')").split() == [b"made"]
    with pytest.raises(BadInput, match=r"^no such reed$"):
        asked("import sys; print('no such reed', file=sys.stderr); sys.exit(2)")
    with pytest.raises(LoomreadyError, match=r"^a fault$"):
        asked("1 / 0")
    with pytest.raises(LoomreadyError, match=r"^too long$"):
        asked("import time; time.sleep(60)", longest_s=2 * WAIT_S)
