"""make bench judges the code, not the machine."""

from __future__ import annotations

from benchmarks.__main__ import figures
from benchmarks.timing import LOOP_S, Machine, Row, promise


def machine(*slower: float) -> Machine:
    """A machine whose calibration loops took so many times as long as on the one of the limits."""
    return Machine([LOOP_S * each for each in slower])


def test_slow_code_is_over_on_any_machine() -> None:
    assert promise("a page", 0.11, 0.1).verdict(machine(1, 1, 1)) == "over"
    assert promise("a page", 0.44, 0.1).verdict(machine(4, 4, 4)) == "over"
    assert promise("a page", 0.44, 0.1).verdict(machine(1, 1, 4)) == "over"


def test_a_slow_machine_is_no_slow_code() -> None:
    assert promise("a page", 0.35, 0.1).verdict(machine(4, 4, 4)) == "ok"


def test_a_fast_machine_gives_no_stricter_limit() -> None:
    assert promise("a page", 0.09, 0.1).verdict(machine(0.5, 0.5)) == "ok"


def test_an_unsteady_machine_leaves_open_what_may_be_its_own_doing() -> None:
    unsteady = machine(1, 1, 1, 1, 3, 3)
    assert promise("a page", 0.2, 0.1).verdict(unsteady) == "busy"
    assert promise("a page", 0.4, 0.1).verdict(unsteady) == "over"
    assert promise("a page", 0.09, 0.1).verdict(unsteady) == "ok"


def test_what_is_compared_with_another_figure_of_the_run_is_not_divided() -> None:
    assert Row("a search", 3.0, "a copy", 1.0, limit=2).verdict(machine(4, 4)) == "over"
    assert Row("memory", 70.0, "60 MB", 60.0, limit=1, unit="MB").verdict(machine(4, 1)) == "over"


def test_a_figure_over_its_limit_is_measured_again_and_the_median_counts() -> None:
    for took, verdict, runs in (([5.0, 1.0, 1.0], "ok", 3), ([5.0, 1.0, 5.0], "over", 3), ([1.0], "ok", 1)):
        waiting = list(took)
        (found,) = figures(lambda waiting=waiting: [Row("x", waiting.pop(0), "y", 1.0, limit=2)])  # type: ignore[misc]
        assert (found.verdict, len(took) - len(waiting)) == (verdict, runs)
