"""What is woven piece by piece: headers, hems of their own, bodies; and the sums that follow from them."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.draft.draft import lift_plan
from loomready.loomside.steps.piece_steps import pieces_told, repeats_in
from loomready.loomside.steps.weaving import weaving
from loomready.model.guild import Guild, Item, WarpOrder
from loomready.problems import BadInput
from loomready.report.as_json import warp_as_json
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from loomready.warp.rounding import whole_up
from tests.cast import CHALK, FERN, LOOM, TWILL, cone, guild, order

HEM = lift_plan([1, 2, 3, 4], [[1, 3], [2, 4]], title="Plain weave")
STRIPED = lift_plan(
    [1, 2, 3, 4],
    [[1, 2], [2, 3], [3, 4], [1, 4], [1, 2]],
    weft_colors=[0, 0, 1, 1, 0],
    palette=((0, 0, 0), (255, 255, 255)),
    title="Striped twill",
)
DRAFTS = {"d": TWILL, "hem": HEM, "striped": STRIPED}
TOWEL = Item(
    finished_length_m=0.6,
    count=3,
    hem_m=0.04,
    header_m=0.025,
    hem_draft="hem",
    hem_weft_yarns=("fern",),
    hem_picks_per_cm=10.0,
)


def planned(*items: Item, **more: object) -> WarpPlan:
    asked = order(items=items, **more)
    return plan_guild(guild(asked, cones=(cone("fern-1"), cone("chalk-1", CHALK))), DRAFTS).warps[0]


lengths_m = st.floats(0.01, 2.0)
items = st.builds(
    Item,
    finished_length_m=lengths_m,
    count=st.integers(1, 4),
    hem_m=st.sampled_from([0.0, 0.013, 0.05]),
    fringe_m=st.sampled_from([0.0, 0.07]),
    draft=st.sampled_from([None, "hem"]),
    header_m=st.sampled_from([0.0, 0.03]),
    picks_per_cm=st.sampled_from([None, 6.3]),
    hem_draft=st.sampled_from([None, "hem", "d"]),
    hem_weft_yarns=st.sampled_from([None, ("fern",), ("chalk",)]),
    hem_picks_per_cm=st.sampled_from([None, 9.1]),
)


@given(st.lists(items, min_size=1, max_size=4), st.sampled_from([0.0, 0.11]))
def test_sections_add_up_to_pieces_picks_weft_and_warp(made: list[Item], sample_m: float) -> None:
    plan = planned(*made, sample_m=sample_m)
    asked = plan.order
    per_yarn: dict[str, int] = {}
    total = 0
    for item in ([Item(0.0)] if sample_m else []) + made:
        shrunk = 1 - asked.shrink_length
        ppcm = item.picks_per_cm or asked.picks_per_cm
        runs = [(sample_m, ppcm, "chalk")]
        if item.finished_length_m:
            runs = [((item.finished_length_m + 2 * item.hem_m) / shrunk, ppcm, "chalk")]
            own = (item.hem_draft, item.hem_weft_yarns, item.hem_picks_per_cm)
            if item.hem_m and any(each is not None for each in own):
                hem_yarn = (item.hem_weft_yarns or ("chalk",))[0]
                hem = (item.hem_m / shrunk, item.hem_picks_per_cm or ppcm, hem_yarn)
                runs = [hem, (item.finished_length_m / shrunk, ppcm, "chalk"), hem]
        for length_m, each_ppcm, yarn in runs:
            picks = whole_up(length_m * 100 * each_ppcm) * item.count
            per_yarn[yarn] = per_yarn.get(yarn, 0) + picks
            total += picks
    assert plan.picks == total == sum(piece.picks * piece.count for piece in plan.pieces)
    pick_m = plan.width_in_reed_mm / 1000 * (1 + asked.weft_take_up)
    needs = {need.yarn.key: need.weft_m for need in plan.yarns}
    for key in ("chalk", "fern"):
        assert needs.get(key, 0.0) == pytest.approx(per_yarn.get(key, 0) * pick_m)
    longer_m = sum(item.header_m * item.count for item in made) * (1 + asked.take_up)
    bare = planned(*(replace(item, header_m=0.0) for item in made), sample_m=sample_m)
    assert plan.warp_length_m == pytest.approx(bare.warp_length_m + longer_m)


@given(st.lists(items, min_size=1, max_size=4), st.sampled_from([0.0, 0.11]))
def test_the_weaving_page_covers_every_pick_in_order_each_section_from_its_pick_1(
    made: list[Item], sample_m: float
) -> None:
    plan = planned(*made, sample_m=sample_m)
    job = weaving(plan)
    edges = [(stretch.first, stretch.last) for stretch in job.stretches]
    assert [first for first, _ in edges] == [1, *(last + 1 for _, last in edges[:-1])]
    assert edges[-1][1] == job.picks == plan.picks
    woven: dict[str, int] = {}
    for stretch in job.stretches:
        for at in range(stretch.last - stretch.first + 1):
            key = stretch.repeat[at % len(stretch.repeat)].yarn
            woven[key] = woven.get(key, 0) + 1
    pick_m = plan.width_in_reed_mm / 1000 * (1 + plan.order.weft_take_up)
    for need in plan.yarns:
        assert need.weft_m == pytest.approx(woven.get(need.yarn.key, 0) * pick_m)
    assert [(piece.first, piece.last) for piece in job.pieces][-1][1] == plan.picks
    starts = {stretch.first for stretch in job.stretches}
    assert all(piece.first in starts for piece in job.pieces)


def test_hems_without_keys_of_their_own_go_on_in_the_piece_s_draft() -> None:
    (piece,) = planned(replace(TOWEL, hem_draft=None, hem_weft_yarns=None, hem_picks_per_cm=None)).pieces
    assert [section.part for section in piece.sections] == ["body"]
    assert piece.picks == math.ceil(0.68 / 0.92 * 800)
    assert piece.hem_picks == math.ceil(0.04 / 0.92 * 800)


def test_hems_of_their_own_have_their_weft_picks_and_treadles() -> None:
    plan = planned(TOWEL)
    (piece,) = plan.pieces
    assert [(section.part, section.picks) for section in piece.sections] == [
        ("hem", 44),
        ("body", 522),
        ("hem", 44),
    ]
    assert [weft.label for weft in plan.wefts] == ["piece 1, 3 times", "hems of piece 1"]
    assert [weft.picks for weft in plan.wefts] == [3 * 522, 6 * 44]
    assert plan.treadles is not None
    assert plan.treadles.count == 6  # four of the twill, two of plain weave
    told = warp_as_json(plan)
    assert told["treadles"]["hems"] == [[list(pick) for pick in plan.treadles.of(HEM)]]
    assert [each["picks"] for each in told["pieces"][0]["sections"]] == [44, 522, 44]


def test_a_hem_that_needs_more_treadles_than_there_are_stops_the_plan() -> None:
    asked = order(items=(TOWEL,))
    with_four = replace(LOOM, treadles=4, kind="countermarche")
    plan = plan_guild(guild(asked, looms=(with_four,)), DRAFTS).warps[0]
    (problem,) = (each for each in plan.problems if each.code == "treadles-short")
    (remedy,) = problem.remedies
    assert remedy.says == "hems in the weave of their pieces"
    mended = plan_guild(guild(replace_with(asked, remedy.change), looms=(with_four,)), DRAFTS).warps[0]
    assert "treadles-short" not in {each.code for each in mended.problems}


def test_steps_tell_header_hems_repeats_and_cut_line() -> None:
    (told,) = pieces_told(planned(TOWEL))
    assert told.title == "Piece 1, 3 times (60 cm finished)"
    assert [step.line for step in told.steps] == [
        "Header 2.5 cm, in waste yarn, cut away later",
        "Hem 4.3 cm, 44 picks: 22 repeats of 2 picks, weft Fern green, in Plain weave",
        "Body 65.2 cm, 522 picks: 130 repeats of 4 picks, then 2 picks, weft Chalk, in d",
        "Hem 4.3 cm, 44 picks: 22 repeats of 2 picks, weft Fern green, in Plain weave",
        "Cut line",
    ]


def test_a_fringe_stands_between_the_body_and_the_cut_line() -> None:
    job = weaving(planned(Item(0.5, count=2, fringe_m=0.08, header_m=0.03)))
    first, second = job.pieces
    assert first.before == ("Header 3 cm, in waste yarn, cut away later", "Fringe 8 cm, left unwoven")
    assert second.before == ("Fringe 8 cm, left unwoven", "Cut line", *first.before)


def test_a_draft_that_ends_inside_its_repeat_goes_on_with_the_repeat_in_yarn_and_on_the_page() -> None:
    """Five picks written, two of them the repeat: weft is counted as it is woven, A B A B, never A twice."""
    lifts = [[1, 3], [2, 4], [1, 3], [2, 4], [1, 3]]
    two = lift_plan([1, 2, 3, 4], lifts, weft_colors=[0, 1, 0, 1, 0], palette=((0, 0, 0), (9, 9, 9)))
    asked = order(items=(Item(1.0),), weft_yarns=("fern", "chalk"), picks_per_cm=9.2)
    plan = plan_guild(guild(asked), {"d": two}).warps[0]
    assert plan.picks == 1000
    pick_m = plan.width_in_reed_mm / 1000 * (1 + asked.weft_take_up)
    assert {need.yarn.key: round(need.weft_m / pick_m) for need in plan.yarns} == {"fern": 500, "chalk": 500}
    assert len(weaving(plan).stretches[0].repeat) == 2


def test_every_front_begins_with_the_same_pick() -> None:
    """A body's last repeat is cut short, and the next piece begins at pick 1 anyway."""
    job = weaving(planned(TOWEL))
    bodies = [stretch for stretch in job.stretches if stretch.part == "body"]
    assert (bodies[0].last - bodies[0].first + 1) % len(bodies[0].repeat)
    assert len({stretch.repeat for stretch in bodies}) == 1


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"hem_draft": "other"}, "items 1 hem_draft"),
        ({"hem_draft": "striped", "hem_weft_yarns": None}, "items 1 hem_weft_yarns"),
        ({"hem_weft_yarns": ("fern", "chalk")}, "items 1 hem_weft_yarns"),
    ],
)
def test_hems_that_do_not_fit_are_refused_with_their_key(change: dict[str, object], place: str) -> None:
    asked = order(items=(replace(TOWEL, **change),))  # type: ignore[arg-type]
    with pytest.raises(BadInput, match="expected") as refused:
        plan_guild(guild(asked), DRAFTS | {"other": lift_plan([1, 2, 3], [[1], [2], [3]])})
    assert refused.value.where == f"[warps 1] {place}"


def test_a_remedy_of_other_weft_changes_hems_too() -> None:
    sage = replace(FERN, key="sage", name="Sage", tolerance=0.0)
    short = (cone("fern-1", meters=5.0), cone("chalk-1", CHALK), cone("sage-1", sage))
    base: Guild = guild(order(items=(TOWEL,), warp_yarns=("chalk",)), cones=short)
    plan = plan_guild(replace(base, yarns=(*base.yarns, sage)), DRAFTS).warps[0]
    (problem,) = (each for each in plan.problems if each.code == "yarn-short")
    changed = [replace_with(plan.order, remedy.change) for remedy in problem.remedies]
    assert any(each.items[0].hem_weft_yarns == ("sage",) for each in changed)


def replace_with(asked: WarpOrder, change: object) -> WarpOrder:
    return replace(asked, **change)  # type: ignore[arg-type]


@given(st.integers(1, 5000), st.integers(1, 400))
def test_repeats_and_picks_over_say_every_pick(picks: int, repeat: int) -> None:
    said = repeats_in(picks, repeat).replace(",", "").split()
    if said[0] == "the":
        assert (int(said[2]), int(said[-1])) == (picks, repeat)
    else:
        numbers = [int(word) for word in said if word.isdigit()]
        whole, size, over = (*numbers, 0)[:3]
        assert whole * size + over == picks
        assert size == repeat
