"""A rigid heddle loom: the heddle is its reed, ends go through holes and slots."""

from dataclasses import replace

import numpy as np
import pytest

from loomready.choose.size.size import fit
from loomready.draft.draft import lift_plan
from loomready.guildfile import decode
from loomready.model.guild import Loom
from loomready.problems import BadInput
from loomready.report.as_json import warp_as_json
from loomready.warp.plan import plan_guild
from loomready.warp.rigid import Through, hang, lines, through
from tests.cast import PLAIN, REED, TWILL, drafts, guild, order
from tests.guildfile.room import refusal, tree

RIGID = Loom("poplar", "Poplar", "rigid heddle", 1, 600.0, (60,), 0.5, gauge_per_cm=4.0)
TWO = replace(RIGID, shafts=2, heddles=(60, 60))
THREE_SHAFTS = lift_plan([1, 3, 2, 3], [[1], [2], [3], [1, 2], [1, 3], [2, 3]])


def plan(draft=PLAIN, loom=RIGID, reeds=(REED,), **more):
    wants = {"sett_per_cm": 4.0} | more
    found = guild(order(loom="poplar", **wants), looms=(loom,), reeds=reeds)
    return plan_guild(found, drafts(draft)).warps[0]


def codes(made):
    return {(each.code, each.level) for each in made.problems}


def test_plain_weave_goes_half_through_holes_and_half_through_slots_of_one_heddle():
    made = plan()
    assert made.problems == ()
    way = through(made)
    assert (way.says(1), way.says(2)) == ("hole", "slot")
    assert made.heddles.needed == (made.web.ends // 2, made.web.ends // 2)
    assert made.heddles.assignment == (1, 2)
    assert [way.moves(frozenset(up)) for up in ({1}, {2})] == ["heddle up", "heddle down"]
    assert way.moves(frozenset()) == way.moves(frozenset({1, 2})) == "no shed"


def test_the_heddle_is_the_reed_and_no_other_is_sleyed():
    made = plan()
    reed = warp_as_json(made)["reed"]
    assert (reed["key"], reed["dents_per_cm"], reed["sley"], reed["sett_per_cm"]) == ("heddle", 4.0, [1], 4.0)
    assert reed["first_dent"] == (240 - made.web.ends) // 2 + 1
    assert plan(reeds=()).sley == made.sley
    assert made.width_in_reed_mm == pytest.approx(made.web.ends / 4.0 * 10)


def test_the_sett_follows_the_gauge_and_the_plan_says_so():
    made = plan(sett_per_cm=5.0)
    assert made.sett_per_cm == 4.0
    (said,) = made.problems
    assert said.code == "no-sley"
    assert "heddle" in said.message
    assert [each.change for each in said.remedies] == [{"sett_per_cm": 4.0}]


def test_a_draft_of_more_shafts_than_the_heddles_and_the_slots_make_is_stopped():
    assert codes(plan(TWILL)) >= {("too-many-shafts", "stop")}
    assert codes(plan(TWILL, TWO)) >= {("too-many-shafts", "stop")}
    assert "too-many-shafts" not in {code for code, _ in codes(plan(THREE_SHAFTS, TWO))}


def test_two_heddles_make_three_shafts_at_twice_the_gauge():
    made = plan(THREE_SHAFTS, TWO, sett_per_cm=8.0)
    assert (made.sley.cycle, made.sett_per_cm) == ((2,), 8.0)
    way = through(made)
    assert [way.says(shaft) for shaft in (1, 2, 3)] == ["hole of heddle 1", "hole of heddle 2", "slot"]
    moved = {
        frozenset({1}): "heddle 1 up",
        frozenset({3}): "heddles 1 and 2 down",
        frozenset({1, 2}): "heddles 1 and 2 up",
        frozenset({1, 3}): "heddle 2 down",
    }
    assert {up: way.moves(up) for up in moved} == moved
    assert not {code for code, _ in codes(made)} & {"holes-short", "no-sley", "too-many-shafts"}


def test_plain_weave_at_twice_the_gauge_takes_two_heddles_in_turn():
    way = through(plan(PLAIN, TWO, sett_per_cm=8.0))
    assert way.says(1) == "hole of heddles 1 and 2 in turn"
    assert way.moves(frozenset({1})) == "heddles 1 and 2 up"


def test_the_sett_never_passes_the_gauge_times_the_heddles():
    assert plan(sett_per_cm=8.0).sett_per_cm == 4.0
    assert plan(PLAIN, TWO, sett_per_cm=20.0).sett_per_cm == 8.0
    assert plan(PLAIN, TWO, sett_per_cm=1.0).sett_per_cm == 4.0


def test_the_shaft_with_most_ends_goes_through_the_slots():
    made = plan(lift_plan([1, 2, 1, 3], [[1], [2, 3]]), TWO, sett_per_cm=8.0)
    assert made.heddles.assignment == (3, 1, 2)


def test_more_ends_of_one_shaft_than_holes_stop_the_plan():
    crowded = lift_plan([1, 1, 2, 2, 3, 3, 3], [[1], [2], [3]])
    made = plan(crowded, replace(TWO, shafts=2), sett_per_cm=8.0)
    assert codes(made) >= {("holes-short", "stop")}


def test_neighbors_on_one_shaft_are_told_and_stop_where_they_are_many():
    assert codes(plan(lift_plan([1, 1, 2, 2], [[1], [2]]))) >= {("holes-in-turn", "stop")}
    middle = lift_plan([1, 2] * 40 + [2, 1] * 40, [[1], [2]])
    assert codes(plan(middle)) >= {("holes-in-turn", "warn")}


def test_heddle_counts_of_frames_are_no_limit_and_the_width_is():
    assert plan(loom=replace(RIGID, heddles=(1,))).problems == ()
    assert codes(plan(finished_width_mm=700.0)) >= {("too-wide", "stop")}
    found = guild(order(loom="poplar", sett_per_cm=4.0), looms=(RIGID,), reeds=())
    widest = fit(found, drafts(PLAIN), "test").sizes[-1]
    assert 100 < widest.ends <= 240


def test_without_a_gauge_a_reed_of_the_file_stands_for_the_heddle():
    made = plan(loom=replace(RIGID, gauge_per_cm=None, longest_reed_mm=1000.0))
    assert (made.sley.reed.key, made.sley.cycle) == ("forty", (1,))
    assert codes(made) == {("no-gauge", "warn")}
    assert codes(plan(loom=replace(RIGID, gauge_per_cm=None), reeds=())) == {("no-gauge", "warn")}


def test_a_reed_that_is_set_is_not_used_and_the_remedy_lets_go_of_it():
    made = plan(reed="forty")
    assert made.sley.reed.key == "heddle"
    (said,) = made.problems
    assert (said.code, [each.change for each in said.remedies]) == ("heddle-is-reed", [{"reed": None}])


def test_only_a_rigid_heddle_loom_has_a_gauge():
    table = {
        "key": "a",
        "kind": "rigid heddle",
        "shafts": 1,
        "weaving_width": "24 in",
        "heddles": [100],
        "waste": "20 in",
        "gauge": "10 /in",
    }
    assert decode({"looms": [table]}).looms[0].gauge_per_cm == pytest.approx(10 / 2.54)
    with pytest.raises(BadInput, match="rigid heddle"):
        decode({"looms": [table | {"kind": "jack"}]})


@pytest.mark.parametrize(
    ("shafts", "assignment"),
    [
        ([0, 1, 0, 2, 0, 1], (3, 1, 2)),  # most ends on the first: through the slots
        ([0, 1, 2, 1, 2], (1, 2, 3)),  # two with as many: the last of them
        ([1, 0, 1, 0, 2], (1, 3, 2)),
        ([-1, 2, 2, 0, -1], (1, None, 2)),  # floating selvedges and a shaft without ends take nothing
    ],
)
def test_the_shaft_with_most_ends_goes_through_the_slots_and_the_others_through_heddles_in_order(
    shafts, assignment
):
    made = hang(np.array(shafts), 3, TWO)
    assert made.assignment == assignment
    assert made.needed == tuple(shafts.count(shaft) for shaft in range(3))


def test_more_shafts_than_heddles_and_slots_take_have_no_assignment():
    assert hang(np.array([0, 1, 2]), 3, RIGID).assignment == (None, None, None)
    assert hang(np.array([-1, -1]), 3, RIGID).assignment == (None, None, None)


def test_the_first_neighbors_on_one_shaft_are_named_by_their_ends():
    middle = lift_plan([1, 2] * 40 + [2, 1] * 40, [[1], [2]])
    (said,) = [each for each in plan(middle).problems if each.code == "holes-in-turn"]
    assert "ends 80 and 81 are on the same shaft" in said.message
    floating = [
        each for each in plan(middle, floating_selvedges=True).problems if each.code == "holes-in-turn"
    ]
    assert "ends 81 and 82 are on the same shaft" in floating[0].message


STICK = replace(RIGID, pick_up_sticks=1)
FLOATS = lift_plan([1, 2, 1, 3], [[1], [3], [1], [2, 3], [1, 3]])


def test_a_pick_up_stick_raises_some_of_the_ends_in_slots():
    made = plan(FLOATS, STICK)
    assert made.heddles.assignment == (1, 2, 3)
    way = through(made)
    assert way.sticks == {3: 1}
    assert warp_as_json(made)["pick_up_sticks"] == [3]
    assert "pick_up_sticks" not in warp_as_json(plan())
    assert [way.says(shaft) for shaft in (1, 2, 3)] == ["hole", "slot", "slot, on pick-up stick 1"]
    sheds = [way.moves(frozenset(up)) for up in ({1}, {3}, {2, 3}, {1, 3}, set())]
    assert sheds == ["heddle up", "stick 1", "heddle down", "heddle up + stick 1", "no shed"]
    told = lines(made)
    assert told[-1] == (
        "Pick-up stick 1, behind the heddle: with the heddle down, pick up the ends in slots 1 down, 1 up, "
        "as a repeat from end 1."
    )
    assert not {code for code, _ in codes(made)} & {"sticks-short", "holes-in-turn", "too-many-shafts"}


def test_holes_and_slots_come_in_turn_whatever_numbers_the_draft_has():
    made = plan(lift_plan([3, 1, 2, 1], [[1], [3], [1], [2, 3]]), STICK)
    assert made.heddles.assignment[0] == 1
    assert "holes-in-turn" not in {code for code, _ in codes(made)}
    assert "holes-in-turn" in {
        code for code, _ in codes(plan(lift_plan([1, 2, 3], [[1], [2, 3], [3]]), STICK))
    }


def test_without_its_stick_such_a_draft_is_stopped():
    assert "too-many-shafts" in {code for code, _ in codes(plan(FLOATS, RIGID))}
    both = lift_plan([1, 2, 1, 3], [[1], [3], [1], [2], [2, 3]])
    (problem,) = [each for each in plan(both, STICK).problems if each.code == "sticks-short"]
    assert problem.level == "stop"
    assert "takes 2 pick-up sticks; Poplar has 1" in problem.message
    assert "sticks-short" not in {code for code, _ in codes(plan(both, replace(RIGID, pick_up_sticks=2)))}
    told = lines(plan(both, replace(RIGID, pick_up_sticks=2)))
    assert "heddle rods" in told[-1]


def test_three_heddles_and_a_stick_take_four_shafts_and_one_more():
    three = replace(RIGID, shafts=3, heddles=(60, 60, 60), pick_up_sticks=1)
    assert three.draft_shafts == 5
    made = plan(lift_plan([1, 4, 2, 4, 3, 5], [[1], [2], [3], [4, 5], [5]]), three, sett_per_cm=8.0)
    way = through(made)
    assert len(way.shafts) == 3
    assert way.sticks == {next(iter(way.sticks)): 1}
    assert "too-many-shafts" not in {code for code, _ in codes(made)}


def test_each_shed_of_a_stick_lifts_what_the_draft_lifts():
    """Each position read back as a weaver makes it: heddle up or down, stick on edge."""
    made = plan(FLOATS, STICK)
    way = through(made)
    for row in FLOATS.lifts:
        up = frozenset((np.flatnonzero(row) + 1).tolist())
        position = way.moves(up)
        lifted = {2, 3} if position == "heddle down" else set()
        lifted |= {1} if "heddle up" in position else set()
        lifted |= {3} if "stick 1" in position else set()
        assert lifted == up


def test_only_a_rigid_heddle_loom_has_pick_up_sticks():
    assert "pick_up_sticks: a jack loom has no pick-up sticks" in refusal(
        decode, tree(looms_1_kind="jack", looms_1_pick_up_sticks=1)
    )


def test_one_heddle_has_holes_and_slots_and_of_several_only_the_slots_have_a_name() -> None:
    one = Through(((1,),), slots=2, holes=40, lacking=0)
    two = Through(((1,), (2,)), slots=3, holes=40, lacking=0)
    assert {shaft: str(name) for shaft, name in one.names().items()} == {1: "hole", 2: "slot"}
    assert {shaft: str(name) for shaft, name in two.names().items()} == {3: "slot"}
