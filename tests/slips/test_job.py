"""The test weave as a job: what the marks of several hands say, what stays, and how the rest is mended."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from loomready.draft.draft import Draft, lift_plan
from loomready.slips import at_loom, job
from loomready.slips.infer import UNSEEN
from loomready.slips.job import Job
from loomready.slips.marks import Marks
from loomready.slips.result import Slip
from loomready.slips.stretch import with_slips
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests import cast

MIRRORED = lift_plan([4, 3, 2, 1, 1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]])


@cache
def planned(draft: Draft = cast.TWILL, *, floating: bool = False) -> WarpPlan:
    order = cast.order(finished_width_mm=80.0, floating_selvedges=floating)
    return plan_guild(cast.guild(order), cast.drafts(draft)).warps[0]


@cache
def work_of(plan: WarpPlan) -> Job:
    found = job.job(plan)
    assert found is not None
    return found


class Tapped:
    """Marks, set as somebody taps."""

    def __init__(self, work: Job, *, own: bool) -> None:
        self.work, self.own = work, own
        self.bits = np.zeros(work.layout.bits, dtype=np.bool_)
        self.at("other")[0] = own != work.use_own

    def at(self, block: str) -> np.ndarray:
        first, size = self.work.layout.blocks[block]
        return self.bits[first : first + size]

    def saw(self, there: np.ndarray, wrong_lifts: dict[int, int] | None = None) -> Tapped:
        """All cells of the web as it stands; ``wrong_lifts``: shaft (from 1) by pick (from 1)."""
        layout, picks = self.work.layout, len(self.work.picks(self.own))
        lifts = job.lifts_of(self.work, self.own).copy()
        as_planned = at_loom.cells_planned(self.work.planned, lifts)
        for pick, shaft in (wrong_lifts or {}).items():
            lifts[pick - 1, shaft - 1] ^= True
        seen = np.pad(lifts, ((0, 0), (0, 1)))[:, there]
        first = layout.test if self.own else 0
        self.at("looked").reshape(2, -1)[int(self.own)] = True
        self.at("differs").reshape(layout.rows, -1)[first : first + picks] = seen != as_planned
        return self

    def mark(self, block: str, slip: Slip) -> Tapped:
        self.at(block)[self.work.layout.code(job.in_layout(self.work, slip, self.own))] = True
        return self

    @property
    def marks(self) -> Marks:
        return Marks(self.work.layout, self.bits)


def web(plan: WarpPlan, *slips: Slip) -> np.ndarray:
    return with_slips(work_of(plan).planned.threading.astype(np.int64), slips)


def wrong(end: int, found: int) -> Slip:
    planned_on = int(work_of(planned()).planned.threading[end - 1]) + 1
    return Slip("wrong shaft", end, None, planned_on, found, 9.0)


FIRST, SECOND, THIRD = wrong(10, 4), wrong(25, 4), wrong(40, 1)


def ends(slips: tuple[Slip, ...]) -> list[int | None]:
    return [slip.end for slip in slips]


@pytest.mark.parametrize("own", [False, True])
def test_cells_nobody_looked_at_are_unseen_and_the_others_as_they_were_tapped(own: bool) -> None:
    work = work_of(planned())
    tapped = Tapped(work, own=own)
    assert (job.cells(work, tapped.marks) == UNSEEN).all()
    there = web(planned(), FIRST)
    seen = job.cells(work, tapped.saw(there).marks)
    lifts = job.lifts_of(work, own)
    assert (seen == lifts[:, there]).all()


@pytest.mark.parametrize("own", [False, True])
def test_all_slips_are_mended_where_none_is_to_stay(own: bool) -> None:
    work = work_of(planned())
    tapped = Tapped(work, own=own).saw(web(planned(), FIRST, SECOND, THIRD))
    at = job.standing(work, tapped.marks)
    assert ends(at.found.slips) == [10, 25, 40]
    assert at.left == at.mended == frozenset()
    for way in at.found.mending:
        assert {number for action in way.actions for number in action.slips} == {0, 1, 2}


@pytest.mark.parametrize("stays", [(1,), (0,), (0, 2)])
def test_a_slip_that_stays_is_not_mended_and_the_others_keep_their_places(stays: tuple[int, ...]) -> None:
    work = work_of(planned())
    slips = (FIRST, SECOND, THIRD)
    tapped = Tapped(work, own=True).saw(web(planned(), *slips))
    for place in stays:
        tapped.mark("left", slips[place])
    at = job.standing(work, tapped.marks)
    assert ends(at.found.slips) == [10, 25, 40]
    assert at.left == frozenset(stays)
    rest = {0, 1, 2} - set(stays)
    assert at.found.mending
    for way in at.found.mending:
        assert {number for action in way.actions for number in action.slips} == rest
        for action in way.actions:
            touched = {slips[number].end for number in action.slips}
            assert any(action.ends[0] <= (end or 0) <= action.ends[1] for end in touched)


def test_what_is_ticked_as_mended_counts_as_planned() -> None:
    plan, work = planned(), work_of(planned())
    tapped = Tapped(work, own=True).saw(web(plan, FIRST, SECOND))
    at = job.standing(work, tapped.marks)
    stands = job.as_it_stands(plan, work, at)
    assert stands is not None
    assert (stands[0] == web(plan, FIRST, SECOND)).all()
    tapped.mark("mended", SECOND)
    at = job.standing(work, tapped.marks)
    assert at.mended == frozenset({1})
    stands = job.as_it_stands(plan, work, at)
    assert stands is not None
    assert (stands[0] == web(plan, FIRST)).all()
    tapped.mark("mended", FIRST)
    assert job.as_it_stands(plan, work, job.standing(work, tapped.marks)) is None


def test_a_slip_that_stays_can_be_made_on_the_other_side_too() -> None:
    plan = planned(MIRRORED)
    work = work_of(plan)
    slips = [
        Slip("wrong shaft", end, None, int(work.planned.threading[end - 1]) + 1, 4, 9.0) for end in (11, 28)
    ]
    tapped = Tapped(work, own=True).saw(web(plan, *slips)).mark("mended", slips[1])
    made = job.mirrored_too(plan, work, job.standing(work, tapped.marks))
    assert made is not None
    more, shafts, _ = made
    assert ends(more) == [plan.web.ends + 1 - 11]
    assert (shafts == web(plan, slips[0], *more)).all()
    assert (shafts == shafts[::-1]).all()


@pytest.mark.parametrize("own", [False, True])
def test_a_wrong_lift_has_its_place_among_all_picks(own: bool) -> None:
    work = work_of(planned())
    tapped = Tapped(work, own=own).saw(web(planned()), {2: 3})
    (slip,) = job.standing(work, tapped.marks).found.slips
    assert (slip.kind, slip.pick) == ("wrong lift", 2)
    placed = job.in_layout(work, slip, own)
    assert placed.pick == 2 + (work.layout.test if own else 0)
    tapped.mark("mended", slip)
    assert job.standing(work, tapped.marks).mended == frozenset({0})


def test_the_own_picks_of_a_twill_are_the_usual_ones_and_every_pick_may_be_asked_for() -> None:
    work = work_of(planned())
    assert work.use_own
    assert work.own == ((1, 2), (2, 3), (3, 4), (1, 4))
    assert set(work.own) == set(work.test) == set(work.lifts)  # no tied treadle lifts a shaft alone
    assert len(set(work.lifts)) == len(work.lifts) == work.layout.lifts
    assert (work.layout.test, work.layout.own) == (len(work.test), 4)
    assert work.on_own(Tapped(work, own=True).marks)
    assert not work.on_own(Tapped(work, own=False).marks)


def test_signs_are_the_shaft_of_each_end_and_what_the_picks_follow_from() -> None:
    plan = planned(floating=True)
    *shafts, picks = job.signs(plan)
    assert shafts == ["0", *[str(end % 4 + 1) for end in range(plan.web.ends - 2)], "0"]
    assert picks == "picks 2 1100 0110 0011 1001, 1100 0110 0011 1001"
    levers = replace(plan, loom=replace(plan.loom, kind="table", treadles=0), treadles=None)
    assert job.signs(levers)[-1] == "picks 1 table 1100 0110 0011 1001"


def test_a_rigid_heddle_has_no_test_weave() -> None:
    plan = planned()
    assert job.is_possible(plan)
    rigid = replace(plan, loom=replace(plan.loom, kind="rigid heddle"))
    assert not job.is_possible(rigid)
    assert job.job(rigid) is None
    bare = replace(plan, web=replace(plan.web, shaft=np.full_like(plan.web.shaft, -1)))
    assert not job.is_possible(bare)


def test_marks_fit_while_the_widest_layout_does(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = planned()
    ends_, shafts = plan.web.ends, 4
    most = job.Layout(ends_, shafts, 4, 4, 4 + 4 + shafts).bits
    for room, fits in ((most, True), (most - 1, False)):
        monkeypatch.setattr(job, "MOST_MARKS", room)
        assert job.fits_marks(plan) == fits
    assert work_of(plan).layout.bits <= most
