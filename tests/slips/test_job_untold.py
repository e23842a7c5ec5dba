"""Shafts that the picks at the loom lift alike, and the picks more that tell them apart."""

from __future__ import annotations

from dataclasses import replace

from loomready.slips import job
from loomready.slips.at_loom import lifts_of
from loomready.slips.test_picks import cannot_tell, used_shafts
from tests.packet import plans


def test_picks_that_lift_shafts_alike_come_with_the_picks_more_that_part_them() -> None:
    work = job.job(plans.band())
    assert work is not None
    shafts = [shaft + 1 for shaft in used_shafts(work.planned.threading)]
    alike = replace(work, own=(tuple(shafts[::2]),))
    told = job.untold(alike, own=True)
    assert (shafts[0], shafts[2]) in told.pairs
    assert (shafts[0], shafts[1]) not in told.pairs
    both = lifts_of((*alike.own, *told.more), work.layout.shafts)
    assert cannot_tell(both, used_shafts(work.planned.threading)) == ()


def test_test_picks_leave_nothing_untold() -> None:
    work = job.job(plans.band())
    assert work is not None
    assert job.untold(work, own=False) == job.Untold((), ())
