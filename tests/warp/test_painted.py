"""Painted warps: bands told on the finished piece lie where they fall on it, after take-up and shrinkage."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready import guildfile
from loomready.loomside.steps import painting
from loomready.loomside.steps.weaving import weaving
from loomready.model.guild import Band, Item, WarpOrder
from loomready.problems import BadInput
from loomready.report.as_json import warp_as_json
from loomready.warp.length import lengths
from loomready.warp.painted import FRONT_M, front_m, painted
from loomready.warp.plan import plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from tests.cast import LOOM, drafts, guild, order
from tests.guildfile.room import refusal, tree

BLUE, GOLD = (47, 74, 115), (201, 169, 59)
ITEMS = st.lists(
    st.builds(
        Item,
        finished_length_m=st.floats(0.2, 3),
        count=st.integers(1, 3),
        hem_m=st.sampled_from([0.0, 0.03]),
        fringe_m=st.sampled_from([0.0, 0.1]),
        header_m=st.sampled_from([0.0, 0.05]),
        painted=st.lists(
            st.builds(Band, st.floats(0.01, 0.05), st.sampled_from(["", "indigo", "weld"])), max_size=4
        ).map(tuple),
    ),
    min_size=1,
    max_size=3,
).map(tuple)


def planned(asked: WarpOrder) -> WarpPlan:
    room = guild(asked)
    return plan_once(asked, room, drafts(), Shelf(room))[0]


def piece_by_piece(asked: WarpOrder, front: float) -> list[tuple[float, float]]:
    """The definition, walked along the warp: where each piece begins and ends on it, its fringes included."""
    at, found = front + asked.sample_m * (1 + asked.take_up), []
    for item in asked.items:
        for _copy in range(item.count):
            at += item.header_m * (1 + asked.take_up)
            woven = (item.finished_length_m + 2 * item.hem_m) / (1 - asked.shrink_length)
            end = at + 2 * item.fringe_m + woven * (1 + asked.take_up)
            found.append((at, end))
            at = end
    return found


@given(ITEMS, st.floats(0, 0.3), st.floats(0, 0.2), st.sampled_from([0.0, 0.25]))
def test_every_band_lies_inside_its_piece_and_measures_what_it_comes_to_when_finished(
    items, up, lost, sample
):
    asked = order(items=items, take_up=up, shrink_length=lost, sample_m=sample)
    found = painted(asked, LOOM)
    pieces = iter(piece_by_piece(asked, FRONT_M))
    copies = [(n, copy) for n, item in enumerate(items, 1) for copy in range(1, item.count + 1)]
    for (number, copy), (begins, ends) in zip(copies, pieces, strict=True):
        item = items[number - 1]
        for band in (each for each in found if (each.piece, each.copy) == (number, copy)):
            assert begins - 1e-9 <= band.from_m < band.to_m <= ends + 1e-9
            own = band.to_m - band.from_m - (item.fringe_m if band.start_m == 0 else 0)
            finished = own / (1 + up) * (1 - lost)
            assert finished == pytest.approx(band.stop_m - band.start_m)
    assert [each.from_m for each in found] == sorted(each.from_m for each in found)
    if copies:
        last = piece_by_piece(asked, FRONT_M)[-1][1]
        assert last + LOOM.waste_m - FRONT_M == pytest.approx(lengths(asked, LOOM.waste_m).needed_m)


def test_bands_at_the_ends_of_a_piece_go_on_over_its_fringes():
    item = Item(1.0, fringe_m=0.1, painted=(Band(0.5, "indigo", BLUE), Band(0.5, "weld", GOLD)))
    asked = order(items=(item,), take_up=0.1, shrink_length=0.0)
    one, two = painted(asked, replace(LOOM, front_waste_m=0.25))
    assert (one.from_m, one.to_m) == (pytest.approx(0.25), pytest.approx(0.25 + 0.1 + 0.55))
    assert two.to_m == pytest.approx(0.25 + 0.1 + 1.1 + 0.1)


@given(ITEMS, st.floats(0, 0.2), st.sampled_from([0.0, 0.25]), st.sampled_from([0.1, 0.3, 0.8]))
def test_fringes_in_the_loom_waste_are_counted_once_and_every_band_lies_on_the_warp(items, up, sample, waste):
    loom = replace(LOOM, waste_m=waste)
    asked = order(items=items, take_up=up, sample_m=sample, fringe_in_waste=True)
    on_top = replace(asked, fringe_in_waste=False)
    for band, outside in zip(painted(asked, loom), painted(on_top, loom), strict=True):
        assert 0 <= band.from_m < band.to_m <= lengths(asked, waste).needed_m + 1e-9
        assert band.to_m - band.from_m == pytest.approx(outside.to_m - outside.from_m)
        assert not outside.in_waste
    assert front_m(asked, loom) <= max(waste, items[0].fringe_m)


def test_a_fringe_in_the_waste_puts_the_first_pick_where_the_front_waste_ends():
    item = Item(1.0, fringe_m=0.1, painted=(Band(0.5, "indigo", BLUE), Band(0.5, "weld", GOLD)))
    asked = order(items=(item,), take_up=0.0, shrink_length=0.0, fringe_in_waste=True)
    plan = planned(asked)
    one, two = painted(asked, LOOM)
    assert (one.from_m, one.to_m) == (pytest.approx(FRONT_M - 0.1), pytest.approx(FRONT_M + 0.5))
    assert two.to_m == pytest.approx(FRONT_M + 1.0 + 0.1)
    told = painting.lines(plan)
    assert (
        "the first pick of piece 1 is 20 cm from them (20 cm of loom waste, 10 cm of fringe in it)" in told[0]
    )
    assert told[-2].endswith("with 10 cm of fringe before it, in the loom waste)")
    assert told[-1].endswith("with 10 cm of fringe after it, in the loom waste)")


def test_waste_sample_header_and_fringe_before_the_first_piece_are_named():
    item = Item(1.0, fringe_m=0.1, header_m=0.05, painted=(Band(0.5, "indigo"),))
    told = painting.lines(planned(order(items=(item,), take_up=0.0, sample_m=0.3)))
    assert "first pick of piece 1 is 65 cm from them" in told[0]
    assert "(20 cm of loom waste, 30 cm of sample, 5 cm of header, 10 cm of fringe)" in told[0]
    assert told[-1].endswith("0 cm to 50 cm, with 10 cm of fringe before it)")


def test_hems_with_picks_of_their_own_move_the_pick_at_which_a_band_changes():
    item = Item(1.0, hem_m=0.1, hem_picks_per_cm=12.0, painted=(Band(0.2, "indigo"), Band(0.9, "weld")))
    plan = planned(order(items=(item,), shrink_length=0.0, picks_per_cm=8.0))
    (line,) = weaving(plan).pieces[0].before
    assert line == "Bands: indigo to about pick 200, weld to about pick 920"


def test_the_front_waste_is_no_more_than_the_waste():
    item = Item(1.0, painted=(Band(0.5, "indigo"),))
    (band,) = painted(order(items=(item,)), replace(LOOM, waste_m=0.1))
    assert band.from_m == 0.1


def test_bands_longer_than_the_piece_are_refused():
    item = Item(1.0, hem_m=0.02, painted=(Band(0.6, "indigo"), Band(0.5, "weld")))
    with pytest.raises(
        BadInput, match="the bands come to 110 cm; expected at most the piece with its hems, 104"
    ):
        planned(order(items=(item,)))


def test_text_json_and_the_pages_at_the_loom_say_the_same():
    item = Item(1.0, count=2, painted=(Band(0.4, "indigo", BLUE), Band(0.2), Band(0.4, color=GOLD)))
    plan = planned(order(items=(item,), shrink_length=0.0, take_up=0.0, picks_per_cm=8.0))
    assert [band["from_m"] for band in warp_as_json(plan)["painted"]] == pytest.approx([0.2, 0.8, 1.2, 1.8])
    told = painting.lines(plan)
    assert told[1].startswith("indigo: 2 bands, 0.8 m of the warp in all")
    assert told[3] == "Band 1: indigo from 20 cm to 60 cm (piece 1, 1 of 2: 0 cm to 40 cm)"
    assert weaving(plan).pieces[0].before == (
        "Bands: indigo to about pick 320, undyed to about pick 480, dyed to about pick 800",
    )
    assert "<svg" in painting.picture(plan, 400, 60)


def test_a_warp_without_bands_says_nothing_of_them():
    plan = planned(order())
    assert painting.lines(plan) == []
    assert painting.picture(plan, 400, 60) == ""
    assert "painted" not in warp_as_json(plan)


def test_bands_are_read_and_written_back():
    said = tree(warps_1_items__1__painted=[{"length": "4 in", "dye": "indigo", "color": "#2f4a73"}])
    made = guildfile.decode(said)
    assert made.warps[0].items[0].painted == (Band(pytest.approx(0.1016), "indigo", BLUE),)
    assert guildfile.decode(guildfile.encode(made)) == made


def test_a_front_waste_beyond_the_waste_is_refused():
    assert "front_waste: is more than waste" in refusal(guildfile.decode, tree(looms_1_front_waste="400 in"))
