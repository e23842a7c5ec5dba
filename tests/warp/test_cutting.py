"""Cutting lines, twisted fringes, fringes in the loom waste, pieces that are sewn."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.loomside.log.warp_left import figures, reach
from loomready.loomside.steps.cutting_told import MOST, cut_rows, cutting_told
from loomready.model.guild import Item, Sample, WarpOrder
from loomready.report.as_json import plan_as_json
from loomready.warp.cutting import cuts_of
from loomready.warp.plan import plan_guild, plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from tests.cast import CHALK, cone, drafts, guild, order

ITEMS = st.lists(
    st.builds(
        Item,
        st.sampled_from([0.2, 0.7]),
        st.integers(1, 3),
        st.sampled_from([0.0, 0.03]),
        st.sampled_from([0.0, 0.1]),
        header_m=st.sampled_from([0.0, 0.02]),
    ),
    min_size=1,
    max_size=4,
).map(tuple)


def planned(asked: WarpOrder) -> WarpPlan:
    room = guild(asked)
    return plan_once(asked, room, drafts(), Shelf(room))[0]


@given(ITEMS, st.sampled_from([0.0, 0.1]))
def test_cuts_follow_one_another_and_come_to_all_that_is_woven_and_left_unwoven(items, sample_m):
    plan = planned(order(items=items, sample_m=sample_m))
    cuts = cuts_of(plan)
    assert [cut.from_m for cut in cuts] == [0.0, *(cut.to_m for cut in cuts[:-1])]
    fringes = sum(2 * item.fringe_m * item.count for item in items)
    headers = sum(item.header_m * item.count for item in items)
    assert cuts[-1].to_m == pytest.approx(plan.lengths.woven_m + fringes + headers + sample_m)
    assert len(cuts) == sum(item.count for item in items) + bool(sample_m)


def test_a_twisted_fringe_is_left_as_much_longer_as_twisting_takes():
    # Twisting loses a share of the length: 8.5 cm once twisted are 10 cm unwoven at 15 %.
    item = Item(1.0, twisted_fringe_m=0.085)
    assert item.fringe_m == pytest.approx(0.1)
    assert Item(1.0, twisted_fringe_m=0.08, twist=0.2).fringe_m == pytest.approx(0.1)
    plan = planned(order(items=(item,)))
    plain = planned(order(items=(Item(1.0, fringe_m=0.1),)))
    assert plan.warp_length_m == pytest.approx(plain.warp_length_m)
    assert cutting_told(plan) == [
        "Piece 1: leave 10 cm of fringe at each end; twisted, it is 8.5 cm long (15 % shorter)."
    ]


@pytest.mark.parametrize(
    ("asked", "saved_m"),
    [
        (order(items=(Item(1.0, fringe_m=0.1), Item(1.0, fringe_m=0.15))), 0.25),
        (order(items=(Item(1.0, fringe_m=0.1), Item(1.0, fringe_m=0.15)), sample_m=0.1), 0.15),
        (order(items=(Item(1.0, fringe_m=0.1, header_m=0.02), Item(1.0, fringe_m=0.15))), 0.15),
        (order(items=(Item(1.0, fringe_m=0.1),)), 0.2),
        (order(items=(Item(1.0, fringe_m=0.9),)), 0.7),  # no more than the loom wastes
        (order(samples=(Sample(0.1),), items=(Item(1.0, fringe_m=0.1),)), 0.1),
    ],
)
def test_the_first_and_the_last_fringe_may_lie_in_the_loom_waste(asked, saved_m):
    all_of_it, saved = planned(asked), planned(replace(asked, fringe_in_waste=True))
    assert all_of_it.warp_length_m - saved.warp_length_m == pytest.approx(saved_m)
    assert saved.lengths.fringe_in_waste_m == pytest.approx(saved_m)
    assert cut_rows(saved)[-1].between == cut_rows(all_of_it)[-1].between
    assert reach(figures(saved), 0).spare_mm == pytest.approx(reach(figures(all_of_it), 0).spare_mm, abs=1e-6)


def test_pieces_that_are_sewn_are_told_with_their_width_together():
    plan = planned(order(items=(Item(1.0, count=4, sewn=2),)))
    (told,) = cutting_told(plan)
    assert told.startswith("Piece 1: sew 2 side by side into one, 2 times: 80.")
    assert "× 100 cm before the seams" in told


def test_a_remedy_takes_away_whole_sets_of_sewn_pieces():
    asked = order(items=(Item(1.0, count=6, sewn=3),))
    short = plan_guild(
        guild(asked, cones=(cone("fern-1", meters=2400.0), cone("chalk-1", CHALK))), drafts()
    ).warps[0]
    offered = [
        remedy.change["items"][0].count
        for problem in short.problems
        for remedy in problem.remedies
        if "items" in remedy.change and len(remedy.change["items"]) == 1
    ]
    assert offered
    assert all(count % 3 == 0 for count in offered)


def test_very_many_pieces_are_told_together():
    plan = planned(order(items=(Item(0.1, count=MOST + 1),)))
    (row,) = cut_rows(plan)
    assert row.name == f"Piece 1, {MOST + 1} times"
    assert row.between.endswith("each")


def test_json_has_every_cutting_line():
    made = plan_guild(guild(order(items=(Item(0.5, count=2), Item(0.3)))), drafts())
    (told,) = plan_as_json(made)["warps"]
    assert told["cuts_m"] == [0.0, *(pytest.approx(cut.to_m) for cut in cuts_of(made.warps[0]))]
