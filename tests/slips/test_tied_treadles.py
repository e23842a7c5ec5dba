"""Test picks on tied treadles: the treadles make them, and what to tie is as little as can be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from loomready.draft.draft import lift_plan
from loomready.model.guild import LoomKind
from loomready.slips import at_loom, job
from loomready.slips.photo.certainty import BEST_PICKS, MOST_PICKS, picks_for_photo
from loomready.slips.test_picks import cannot_tell, used_shafts
from loomready.slips.tied_treadles import TiedTreadles, Way, picks_on, to_tie, ways
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests import cast
from tests.demo.examples import WARPS, planned

PLAIN = lift_plan([1, 2, 3, 4], [[1, 3], [2, 4]])
KINDS: tuple[LoomKind, ...] = ("jack", "counterbalance", "countermarche")


def on(kind: LoomKind, treadles: int, shafts: int = 4) -> WarpPlan:
    """Plain weave on four shafts of such a loom."""
    guild = cast.guild(cast.order(finished_width_mm=80.0))
    loom = replace(guild.looms[0], kind=kind, treadles=treadles, shafts=shafts)
    return plan_guild(replace(guild, looms=(loom,)), cast.drafts(PLAIN)).warps[0]


def raised(plan: WarpPlan, pressed: tuple[int, ...]) -> set[int]:
    """The shafts that rise when these tied treadles are pressed together, from the tie-up alone."""
    assert plan.treadles is not None
    of_loom = dict(enumerate(plan.heddles.assignment))
    up = {of_loom[s] for t in pressed for s in np.flatnonzero(plan.treadles.rises[:, t - 1]).tolist()}
    down = {of_loom[s] for t in pressed for s in np.flatnonzero(plan.treadles.sinks[:, t - 1]).tolist()}
    if plan.loom.kind == "counterbalance":
        up -= down
    return {shaft for shaft in up if shaft}


@pytest.mark.parametrize("name", sorted(path.name for path in WARPS.iterdir()))
def test_the_picks_of_every_example_are_pressed_on_its_treadles_and_tell_its_shafts_apart(name: str) -> None:
    for plan in planned(name).warps:
        work = job.job(plan)
        if work is None or work.planned.tied is None:
            assert work is None or not plan.loom.free_treadles
            continue
        picks = work.picks(work.use_own)
        used = used_shafts(work.planned.threading)
        assert not cannot_tell(at_loom.lifts_of(picks, work.layout.shafts), used)
        for pick, way in zip(picks, ways(work.planned.tied, picks), strict=True):
            if way.to_tie is None:
                assert raised(plan, way.pressed) == set(pick)
            else:
                assert way.to_tie in work.planned.tied.free
        for_photo = at_loom.shafts_of(picks_for_photo(work.planned))
        assert for_photo == picks * (len(for_photo) // len(picks))
        assert BEST_PICKS <= len(for_photo) <= MOST_PICKS


@pytest.mark.parametrize("kind", KINDS)
def test_plain_weave_on_four_shafts_needs_one_free_treadle(kind: LoomKind) -> None:
    work = job.job(on(kind, 6))
    assert work is not None
    assert work.planned.tied is not None
    assert work.test == ((1, 3), (2, 4), (1, 4))
    assert ways(work.planned.tied, work.test) == (Way((1,)), Way((2,)), Way((3,), 3))
    assert set(work.lifts) == set(work.test)


def test_where_no_treadle_is_free_one_is_borrowed() -> None:
    work = job.job(on("jack", 2))
    assert work is not None
    assert work.planned.tied is not None
    assert ways(work.planned.tied, work.test)[2] == Way((2,), 2, borrowed=True)
    (said,) = map(str, to_tie(work.planned.tied, work.test))
    assert said == (
        "No treadle is free for pick 3: tie treadle 2 so that shafts 1 and 4 rise, and afterward as it was."
    )


def test_a_lift_of_two_treadles_together_is_used_before_anything_is_tied() -> None:
    made = (((), ()), ((1, 3), (1,)), ((2, 4), (2,)), ((1, 2), (3, 4)))
    tied = TiedTreadles(made, (1, 2, 3, 4), (5, 6), 4)
    picks = at_loom.shafts_of(picks_on(tied, PLAIN.lifts, PLAIN.threading))
    assert picks == ((1, 3), (2, 4), (1, 2))
    assert not to_tie(tied, picks)


def test_levers_and_a_direct_tie_up_have_no_tied_treadles() -> None:
    assert at_loom.on_loom(planned("direct-tie-up-scarf").warps[0]).tied is None
    assert at_loom.on_loom(planned("large-print-tea-towels").warps[0]).tied is None
