"""Test picks on tied treadles: the treadles make them, and what to tie is as little as can be."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from loomready.cli import main
from loomready.draft.draft import lift_plan
from loomready.loomside.steps.threading import loom_shaft
from loomready.model.guild import LoomKind
from loomready.problems import Impossible
from loomready.slips import at_loom, job
from loomready.slips.asked_picks import asked_picks
from loomready.slips.photo.certainty import BEST_PICKS, MOST_PICKS, picks_for_photo
from loomready.slips.planned import of_warp
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


@pytest.mark.parametrize("name", sorted(path.name for path in WARPS.iterdir()))
@pytest.mark.parametrize("count", [None, 16])
def test_picks_asked_for_are_those_of_the_sheet_where_treadles_are_tied(name: str, count: int | None) -> None:
    for plan in planned(name).warps:
        work = job.job(plan)
        if work is None or work.planned.tied is None:
            continue
        made = asked_picks(of_warp(plan), None, count)
        sheet = work.picks(work.use_own)
        assert len(made.lifts) == (count or len(sheet))
        to = dict(enumerate(loom_shaft(plan), start=1))
        on_loom = [tuple(sorted(to[shaft] or 0 for shaft in pick)) for pick in made.picks]
        assert on_loom == [sheet[number % len(sheet)] for number in range(len(on_loom))]
        assert made.apart > 0


def test_fewer_picks_than_tell_the_shafts_apart_on_treadles_and_floats_they_do_not_weave_are_refused() -> (
    None
):
    cushions = of_warp(on("jack", 6))
    with pytest.raises(Impossible, match="expected 3 or more"):
        asked_picks(cushions, None, 2)
    with pytest.raises(Impossible, match="expected picks without --floats"):
        asked_picks(cushions, 1, None)


def test_floating_selvedges_leave_the_cloth_of_the_picks_as_it_is() -> None:
    scarf = of_warp(planned("crammed-and-spaced").warps[0])
    assert scarf.free.sum() == 2
    made = asked_picks(scarf, None, 6)
    assert made.longest_warp_float is not None
    assert made.longest_weft_float is not None


def test_shafts_in_other_numbers_are_pressed_by_the_same_treadles() -> None:
    made = (((), ()), ((1, 3), (1,)), ((2, 4), (2,)))
    tied = TiedTreadles(made, (1, 2, 3, 4), (3,), 2).renumbered({1: 2, 2: 1, 3: 3, 4: 4})
    assert tied.pressed_for((2, 3)) == (1,)
    assert tied.pressed_for((1, 4)) == (2,)
    assert tied.used == (1, 2, 3, 4)


def test_the_command_names_the_treadles_of_each_pick_and_what_to_tie(
    capsys: pytest.CaptureFixture[str],
) -> None:
    guild = str(WARPS / "seersucker-towels" / "guild.toml")
    assert main(["slips", guild, "--warp", "seersucker towels", "--picks", "--count", "6"]) == 0
    text = capsys.readouterr().out
    assert [line.split() for line in text.splitlines() if re.fullmatch(r"[\d ]+", line)] == [
        ["1", "1", "3", "1"],
        ["2", "2", "4", "2"],
        ["3", "1", "4", "3"],
        ["4", "1", "3", "1"],
        ["5", "2", "4", "2"],
        ["6", "1", "4", "3"],
    ]
    assert "For pick 3 tie treadle 3, which is free, so that shafts 1 and 4 rise." in text
