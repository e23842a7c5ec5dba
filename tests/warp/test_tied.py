"""Warps tied on to an old one: which ends meet, what stays of threading and sley, and what differs."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready import guildfile
from loomready.choose.size.size import fit
from loomready.draft.draft import Draft, lift_plan
from loomready.loomside.steps import tying_in
from loomready.loomside.steps.sleying import signs as dents
from loomready.loomside.steps.threading import shaft_of_end
from loomready.model.guild import Reed, WarpOrder
from loomready.problems import BadInput
from loomready.report.as_json import warp_as_json
from loomready.report.plan_text import tell_plan
from loomready.warp.plan import plan_guild, plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from loomready.warp.tied import best_shift
from tests.cast import LOOM, REED, TWILL, guild, order
from tests.guildfile.room import refusal, tree

POINT = lift_plan([1, 2, 3, 4, 3, 2], [[1, 2], [2, 3], [3, 4], [1, 4]])
OLD = order(key="old", wound=date(2026, 3, 1), off=date(2026, 4, 1))


def new(old: WarpOrder = OLD, drafts: dict[str, Draft] | None = None, **more) -> WarpPlan:
    """A warp tied on to an old one; ``room`` of the cast's loom and reeds."""
    asked = order(**{"key": "new", "tied_to": "old", **more})
    reeds = (REED, Reed("fifty", 5.0, 1000))
    room = guild(old, asked, reeds=reeds)
    return plan_once(asked, room, drafts or {"d": TWILL, "p": POINT}, Shelf(room))[0]


def tied(plan: WarpPlan):
    assert plan.tied is not None
    return plan.tied


@given(
    st.lists(st.integers(0, 3), min_size=1, max_size=9), st.lists(st.integers(0, 3), min_size=1, max_size=9)
)
def test_the_best_shift_is_the_one_that_trying_all_finds(new_shafts, old_shafts):
    shift = best_shift(np.array(new_shafts), np.array(old_shafts))

    def agree(at: int) -> int:
        pairs = [(end, end + at) for end in range(len(new_shafts)) if 0 <= end + at < len(old_shafts)]
        return sum(new_shafts[one] == old_shafts[other] for one, other in pairs)

    room = len(old_shafts) - len(new_shafts)
    assert agree(shift) == max(agree(at) for at in range(min(0, room), max(0, room) + 1))


def test_the_same_warp_again_keeps_threading_and_sley_and_has_neither_job():
    plan = new()
    assert tied(plan).threading_stays
    assert tying_in.sley_stays(plan)
    assert tying_in.left_out(plan) == {"threading", "sleying"}
    assert tied(plan).knots == plan.web.ends
    assert {problem.code for problem in plan.problems} == set()
    assert [(knots.first, knots.old_first) for knots in tying_in.tying_in(plan)][:2] == [(1, 1), (13, 13)]


@given(st.sampled_from(["d", "p"]), st.integers(200, 560), st.booleans())
def test_every_end_is_tied_once_and_what_stays_is_what_the_loom_has(draft, width_mm, floating):
    plan = new(draft=draft, finished_width_mm=float(width_mm), floating_selvedges=floating)
    found, old = tied(plan), tied(plan).old
    knots = tying_in.tying_in(plan)
    assert [end for each in knots for end in range(each.first, each.last + 1)] == list(
        range(1, plan.web.ends + 1)
    )
    old_ends = [end for each in knots if each.old_first for end in range(each.old_first, each.old_last + 1)]
    assert len(set(old_ends)) == len(old_ends) == found.knots
    assert sorted({*old_ends, *_ends(found.left_over)}) == list(range(1, old.web.ends + 1))
    shafts, was = shaft_of_end(plan), shaft_of_end(old)
    alone, other = _ends(found.alone), _ends(found.other_shaft)
    for end in range(1, plan.web.ends + 1):
        if end not in alone:
            assert (shafts[end - 1] == was[end - 1 + found.shift]) == (end not in other)
    if tying_in.sley_stays(plan):
        assert dents(plan) == dents(old)[found.shift : found.shift + plan.web.ends]


def _ends(runs) -> set[int]:
    return {end for first, last in runs for end in range(first, last + 1)}


def test_a_narrower_warp_keeps_both_and_leaves_old_ends_over():
    plan = new(finished_width_mm=360.0)
    assert tied(plan).threading_stays
    assert tying_in.sley_stays(plan)
    assert tied(plan).left_over == ((1, 20), (353, 372))
    assert [problem.code for problem in plan.problems] == ["tied-differs"]
    assert "40 ends of the old warp left over" in plan.problems[0].message


def test_a_wider_warp_threads_and_sleys_only_what_has_no_old_end():
    plan = new(finished_width_mm=420.0)
    assert tied(plan).alone == ((1, 8), (381, 388))
    assert not tying_in.left_out(plan)
    told = " ".join(tying_in.lines(plan))
    assert "no old end: ends 1–8, 381–388" in told
    assert "The ends that are tied to old ones keep their dents" in told


def test_another_threading_names_the_ends_that_change():
    plan = new(draft="p")
    assert tied(plan).other_shaft
    assert "threading" not in tying_in.left_out(plan)
    assert tying_in.sley_stays(plan)
    assert "sleying" in tying_in.left_out(plan)
    assert "their old ends are on another shaft" in " ".join(tying_in.lines(plan))


def test_ends_to_thread_again_are_told_by_their_repeat_and_the_drafts_are_named():
    plan = new(draft="p")
    found = tied(plan)
    again = _ends(found.other_shaft)
    told = " ".join(tying_in.lines(plan))
    assert "Another draft: p, the old warp's is d." in told
    assert len(found.other_shaft) > tying_in.MOST_RUNS
    says = rf"Thread {len(again)} ends again, .*of every (\d+) ends, as a repeat, ends (.*?)\."
    written = re.search(says, told)
    assert written is not None
    period, once = int(written[1]), set[int]()
    for part in written[2].split(", "):
        once |= set(range(int(part.split("–")[0]), int(part.split("–")[-1]) + 1))
    first = found.first
    assert again == {end for end in range(first, found.last + 1) if (end - first) % period + first in once}


def test_another_sley_is_a_difference_and_the_old_one_a_remedy():
    asked = order(key="new", tied_to="old", sett_per_cm=8.0, reed="fifty")
    room = guild(OLD, asked, reeds=(REED, Reed("fifty", 5.0, 1000)))
    plan = plan_guild(room, {"d": TWILL}).warps[1]
    problem = next(each for each in plan.problems if each.code == "tied-differs")
    assert "all ends sleyed again" in problem.message
    assert {"reed": None} in [remedy.change for remedy in problem.remedies]


def test_a_sett_that_the_old_sley_does_not_give_says_that_it_stays():
    plan = new(sett_per_cm=9.0)
    problem = next(each for each in plan.problems if each.code == "no-sley")
    assert problem.message.startswith("Tied on to warp old, this one is sleyed as it was: ")
    assert problem.message.endswith("9 ends/cm was asked for.")


def test_it_takes_the_reed_of_the_old_warp_even_while_that_one_holds_it():
    on_loom = replace(OLD, off=None)
    plan = new(old=on_loom, sett_per_cm=9.0)
    assert plan.sley is not None
    assert plan.sley.reed.key == "forty"
    assert "reed-shared" not in {problem.code for problem in plan.problems}
    own = new(old=on_loom, sett_per_cm=10.0, reed="fifty")
    assert own.sley is not None
    assert own.sley.reed.key == "fifty"
    assert not tying_in.sley_stays(own)
    assert any(line.startswith("Sley again: reed fifty") for line in tying_in.lines(own))


def test_no_heddle_moves_where_the_threading_stays():
    few = replace(LOOM, heddles=(40, 40, 200, 200))
    asked = order(key="new", tied_to="old")
    room = guild(OLD, asked, looms=(few,))
    plan = plan_once(asked, room, {"d": TWILL}, Shelf(room))[0]
    assert tied(plan).old.heddles.moved > 0
    assert plan.heddles.moved == 0
    assert plan.heddles.assignment == tied(plan).old.heddles.assignment


def test_its_own_waste_stands_in_place_of_the_looms():
    plan, whole = new(tied_waste_m=0.3), new()
    assert plan.lengths.waste_m == 0.3
    assert whole.warp_length_m - plan.warp_length_m == pytest.approx(LOOM.waste_m - 0.3)
    said = warp_as_json(plan)["tied"]
    assert (said["waste_m"], said["old_waste_m"]) == (0.3, LOOM.waste_m)


def test_the_remedy_threads_and_sleys_it_by_itself():
    asked = order(key="new", tied_to="old", tied_waste_m=0.3, draft="p")
    made = plan_guild(guild(OLD, asked), {"d": TWILL, "p": POINT}).warps[1]
    (remedy,) = next(each.remedies for each in made.problems if each.code == "tied-differs")
    assert remedy.change == {"tied_to": None, "tied_waste_m": None}


def test_an_old_warp_on_another_loom_is_refused():
    other = replace(LOOM, key="beech", name="Beech")
    asked = order(key="new", tied_to="old", loom="beech")
    room = guild(OLD, asked, looms=(LOOM, other))
    with pytest.raises(BadInput, match="on another loom"):
        plan_once(asked, room, {"d": TWILL}, Shelf(room))


@pytest.mark.parametrize(
    ("more", "line"),
    [
        ({"warps_1_tied_to": "nothing"}, "tied_to: there is no warp"),
        ({"warps_1_tied_waste": "10 in"}, "tied_waste: is not valid without tied_to; expected both"),
    ],
)
def test_what_is_no_old_warp_is_refused_in_one_line(more, line):
    assert line in refusal(guildfile.decode, tree(**more))


def test_a_warp_is_not_tied_on_to_itself():
    key = tree()["warps"][0]["key"]
    assert "tied on to itself" in refusal(guildfile.decode, tree(warps_1_tied_to=key))


def test_it_is_written_and_read_back():
    asked = guild(OLD, order(key="new", tied_to="old", tied_waste_m=0.3))
    assert guildfile.decode(guildfile.encode(asked)).warps[1].tied_to == "old"


def test_text_tells_nobody_to_thread_or_sley_what_stays():
    same = order(key="new", tied_to="old")
    text = tell_plan(plan_guild(guild(OLD, same), {"d": TWILL})).split("new on Alder")[1]
    assert "The threading stays" in text
    assert "Thread from end 1" not in text
    assert "Sley reed" not in text


def test_sizes_are_those_of_the_old_reed():
    asked = order(key="new", tied_to="old", sett_per_cm=9.0)
    room = guild(OLD, asked, reeds=(REED, Reed("fifty", 5.0, 1000)))
    found = fit(room, {"d": TWILL}, "new")
    assert {size.sley.reed.key for size in found.sizes if size.sley} == {"forty"}
