"""How far a warp is, from the step that was ticked and from what was reported at the loom."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.loomside.log.progress import progress
from loomready.model import dressing_order
from loomready.model.guild import Dressing
from loomready.problems import Problem

ORDERS: tuple[Dressing, ...] = ("back to front", "front to back")


def test_a_job_that_is_partly_reported_is_the_one_to_go_on_with() -> None:
    at = progress("planned", "back to front", {"winding": (86, 258)})
    assert (at.step, at.begun, at.next_step) == ("planned", ("winding",), "wound")
    assert at.now is not None
    assert (at.now.name, at.now.done, at.now.of, at.now.partly) == ("winding", 86, 258, True)


def test_a_job_that_is_reported_whole_is_a_step_of_the_warp() -> None:
    at = progress("planned", "front to back", {"winding": (258, 258)})
    assert (at.step, at.next_step) == ("wound", "sleyed")


def test_a_job_that_nobody_reported_is_done_once_a_later_one_is() -> None:
    at = progress("planned", "back to front", {"threading": (258, 258)})
    assert (at.step, at.begun, at.next_step) == ("threaded", ("winding", "beaming", "threading"), "sleyed")
    assert [job.finished for job in at.jobs] == [True, True, True, False, False, False, False]


def test_a_test_weave_comes_after_tying_on_and_is_done_once_weaving_is_begun() -> None:
    at = progress("tied on", "back to front", {})
    assert at.now is not None
    assert (at.now.name, at.next_step) == ("test-weave", "tested")
    at = progress("tied on", "back to front", {"weaving": (4, 300)})
    assert {job.name: job.finished for job in at.jobs}["test-weave"]


def test_cutting_off_is_ticked_and_never_reported() -> None:
    at = progress("tied on", "back to front", {"weaving": (300, 300)})
    assert (at.step, at.next_step) == ("weaving", "cut off")
    off = progress("cut off", "back to front", {"weaving": (12, 300)})
    assert (off.now, off.next_step) == (None, "")


def test_weaving_goes_on_while_picks_are_reported() -> None:
    at = progress("tied on", "front to back", {"weaving": (40, 300)})
    assert at.step == "weaving"
    assert at.now is not None
    assert (at.now.name, at.next_step) == ("weaving", "cut off")


def test_what_was_done_by_an_earlier_plan_counts_as_begun() -> None:
    at = progress("planned", "back to front", {"winding": (0, 200)}, {"winding"})
    assert (at.begun, at.step) == (("winding",), "planned")


counts = st.dictionaries(
    st.sampled_from(sorted(dressing_order.JOBS)), st.tuples(st.integers(0, 20), st.just(20)), max_size=7
)


@given(st.sampled_from(dressing_order.STEPS), st.sampled_from(ORDERS), counts)
def test_progress_never_falls_behind_a_tick_and_always_knows_the_next_step(
    ticked: str, order: Dressing, reported: dict[str, tuple[int, int]]
) -> None:
    at = progress(ticked, order, reported, left_out=())
    assert at.steps.index(at.step) >= at.steps.index(ticked)
    assert set(dressing_order.begun_at(ticked, order, ())) <= set(at.begun)
    assert at.begun == dressing_order.jobs_in_order(order, ())[: len(at.begun)]
    assert (at.next_step == "") == (at.step == dressing_order.CUT_OFF)


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("step", dressing_order.STEPS)
def test_each_tick_leads_to_the_step_after_it(step: str, order: Dressing) -> None:
    at = progress(step, order, {}, left_out=())
    steps = dressing_order.steps_in_order(order, ())
    after = steps[steps.index(step) + 1 :]
    assert at.next_step == (after[0] if after else "")


@given(
    st.sampled_from(dressing_order.STEPS),
    st.sampled_from(ORDERS),
    counts,
    st.sets(st.sampled_from(["beaming", "tying-in", "threading", "sleying"])),
)
def test_jobs_that_a_warp_leaves_out_are_neither_begun_nor_next_nor_in_the_way(
    ticked: str, order: Dressing, reported: dict[str, tuple[int, int]], left_out: set[str]
) -> None:
    at = progress(ticked, order, reported, left_out=left_out)
    assert {job.name for job in at.jobs} == set(dressing_order.JOBS) - left_out
    assert at.begun == dressing_order.jobs_in_order(order, left_out)[: len(at.begun)]
    assert at.now is None or at.now.name not in left_out
    every = dressing_order.steps_in_order(order, ())
    assert every.index(dressing_order.kept_step(ticked, order, left_out)) <= every.index(ticked)
    assert at.steps.index(at.step) >= at.steps.index(dressing_order.kept_step(ticked, order, left_out))


def test_a_warning_about_what_is_done_already_is_not_told_any_more() -> None:
    moved, width = (Problem(code, "warn", "") for code in ("heddles-move", "width-off"))
    stop = Problem("heddles-short", "stop", "")
    every = (moved, width, stop)
    told = {
        step: progress(step, "back to front", {}).open_problems(every)
        for step in ("wound", "threaded", "sleyed")
    }
    assert told == {"wound": every, "threaded": (width, stop), "sleyed": (stop,)}
