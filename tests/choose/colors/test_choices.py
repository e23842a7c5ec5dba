"""Colors from the shelf, against planning every way to fill the roles."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready import guildfile
from loomready.choose.colors.choices import YARN_STOPS, ColorChoice, ColorOffer, Wishes, choose_colors
from loomready.choose.colors.narrower import narrower
from loomready.choose.colors.roles import roles_of_order, woven_in
from loomready.choose.colors.yarns_for_roles import near, odd_cones
from loomready.choose.size.size import resized
from loomready.cloth.color import oklab
from loomready.cloth.contrast import contrast
from loomready.draft.draft import Draft
from loomready.model.guild import Cone, Guild, Item, Sample, WarpOrder, Yarn
from loomready.problems import BadInput
from loomready.report.choices_text import role_in_words
from loomready.warp.plan import plan_guild, plan_once
from loomready.warp.result import ConeUse
from loomready.warp.shelf import Given, Shelf
from loomready.yarn.fibers import shrinks_like
from tests import cast

DEMO = Path(__file__).parents[3] / "demo"
SHADES = ((38, 60, 94), (200, 62, 40), (236, 222, 190), (90, 130, 80), (120, 40, 90))
STRIPED = replace(
    cast.TWILL,
    palette=(SHADES[0], SHADES[2], SHADES[1]),
    warp_colors=np.array([0, 0, 1, 1], dtype=np.int16),
    weft_colors=np.array([2, 2, 2, 2], dtype=np.int16),
)
EVERY = Wishes(count=1000)


def yarn(number: int, **more: object) -> Yarn:
    plain = Yarn(f"y{number}", f"Yarn {number}", 120.0, "cotton", color=SHADES[number], tolerance=0.0)
    return replace(plain, **more)  # type: ignore[arg-type]


def shelf_of(*yarns: Yarn, meters: float = 3000.0) -> tuple[tuple[Yarn, ...], tuple[Cone, ...]]:
    return yarns, tuple(cast.cone(f"{each.key}-1", each, meters) for each in yarns)


def room(*yarns: Yarn, meters: float = 3000.0, **more: object) -> Guild:
    """A warp in two colors and a weft of a third, all on one shelf."""
    owned, cones = shelf_of(*yarns, meters=meters)
    order = cast.order(warp_yarns=("y0", "y1"), weft_yarns=("y2",))
    return cast.guild(replace(order, **more), yarns=owned, cones=cones)  # type: ignore[arg-type]


def lacking(orders: tuple[WarpOrder, ...], guild: Guild, drafts: dict[str, Draft]) -> dict[str, set[str]]:
    """The yarns that each warp lacks when they are planned one after the other."""
    shelf, lacks = Shelf(guild), {}
    for order in orders:
        plan, shelf = plan_once(order, guild, drafts, shelf)
        lacks[order.key] = {need.yarn.key for need in plan.yarns if not need.enough}
    return lacks


def every_clean_way(guild: Guild, drafts: dict[str, Draft], wishes: Wishes) -> set[tuple[str, ...]]:
    order = next(each for each in guild.warps if each.key == "test")
    roles = roles_of_order(order, drafts)
    others = tuple(each for each in guild.warps if each.key != "test")
    before = lacking(others, guild, drafts)
    found = set()
    for keys in itertools.product([each.key for each in guild.yarns], repeat=len(roles)):
        yarns = [guild.yarn(key) for key in keys]
        planned = [guild.yarn(role.planned) for role in roles]
        twice = len(set(keys)) < len(keys)
        pairs = (
            list(zip(yarns, planned, strict=True))
            if wishes.like == "planned"
            else list(itertools.combinations(yarns, 2))
        )
        fit = all(near(one.tex, other.tex, wishes.band) for one, other in pairs)
        alike = wishes.any_fiber or all(
            shrinks_like(one.fiber) == shrinks_like(other.fiber) for one, other in pairs
        )
        if twice or not fit or not alike:
            continue
        changed = woven_in(order, roles, keys, guild, drafts, Shelf(guild))
        warps = tuple(changed if each.key == "test" else each for each in guild.warps)
        after = lacking(warps, guild, drafts)
        if not after.pop("test") and all(lacks <= before[key] for key, lacks in after.items()):
            found.add(keys)
    return found


def ways(found: ColorChoice) -> set[tuple[str, ...]]:
    return {offer.yarns for offer in found.offers}


@st.composite
def guilds(draw: st.DrawFn) -> tuple[Guild, dict[str, Draft], Wishes]:
    yarns = tuple(
        yarn(
            number,
            tex=draw(st.sampled_from([118.0, 120.0, 150.0])),
            fiber=draw(st.sampled_from(["cotton", "linen", "wool"])),
        )
        for number in range(4)
    )
    cones = tuple(
        cast.cone(
            f"{each.key}-{number}",
            each,
            draw(st.sampled_from([150.0, 420.0, 700.0, 1900.0])),
            lot=draw(st.sampled_from(["A", "B"])),
        )
        for each in yarns
        for number in range(draw(st.integers(1, 2)))
    )
    draft = draw(st.sampled_from([cast.TWILL, STRIPED]))
    two = draft is STRIPED
    sett = draw(st.sampled_from([8.0, None]))
    order = cast.order(
        warp_yarns=("y0", "y1") if two else ("y0",),
        weft_yarns=(draw(st.sampled_from(["y0", "y2"])),),
        items=(
            Item(1.5, hem_m=0.05, hem_weft_yarns=draw(st.sampled_from([None, ("y3",), ("y0",)]))),
            Item(0.4, weft_yarns=(draw(st.sampled_from(["y2", "y3"])),)),
        )[: draw(st.integers(1, 2))],
        sett_per_cm=sett,
        firmness=None if sett else 0.7,
    )
    other = cast.order(key="other", warp_yarns=("y0", "y3") if two else ("y3",), weft_yarns=("y1",))
    other = replace(other, finished_width_mm=100.0, items=(Item(0.5),))
    warps = draw(st.sampled_from([(order,), (other, order), (order, other)]))
    wishes = replace(
        EVERY,
        like=draw(st.sampled_from(["planned", "one-another"])),
        any_fiber=draw(st.booleans()),
        band=draw(st.sampled_from([0.15, 0.4])),
    )
    return cast.guild(*warps, yarns=yarns, cones=cones), {"d": draft}, wishes


@settings(max_examples=12, deadline=None)
@given(guilds())
def test_the_offers_are_every_way_that_plans_clean(made: tuple[Guild, dict[str, Draft], Wishes]) -> None:
    guild, drafts, wishes = made
    found = choose_colors(guild, drafts, "test", wishes)
    assert ways(found) == every_clean_way(guild, drafts, wishes)
    assert len(ways(found)) == len(found.offers)
    assert bool(found.none_because) == (not found.offers)


@pytest.mark.parametrize("key", ["scarves", "cushions", "towels"])
def test_the_demo_offers_plan_clean_with_the_whole_guild(key: str) -> None:
    loaded = guildfile.load(DEMO / "guild.toml")
    found = choose_colors(loaded.guild, loaded.drafts, key, Wishes(count=100))
    wide = Wishes(like="one-another", any_fiber=True, band=0.5)
    more = choose_colors(loaded.guild, loaded.drafts, key, wide)
    assert len(found.offers) >= 12
    assert len(more.offers) == 24
    planned = next(order for order in loaded.guild.warps if order.key == key)
    assert any(offer.order == planned for offer in found.offers)
    for offer in (*found.offers[::3], *more.offers):
        warps = tuple(offer.order if each.key == key else each for each in loaded.guild.warps)
        for plan in plan_guild(replace(loaded.guild, warps=warps), loaded.drafts).warps:
            assert not {problem.code for problem in plan.problems} & YARN_STOPS


def test_one_lot_a_role_even_where_lots_may_mix() -> None:
    guild = room(*(yarn(n) for n in range(4)), mix_lots=True)
    halves = tuple(cast.cone(f"y3-{lot}", yarn(3), 380.0, lot=lot) for lot in "AB")
    guild = replace(guild, cones=(*guild.cones[:3], *halves))
    found = choose_colors(guild, {"d": STRIPED}, "test", EVERY)
    # Either warp color takes half of 352 ends of about 3.1 m: more than one lot of the fourth yarn.
    assert all("y3" not in offer.yarns[:2] for offer in found.offers)
    assert found.offers


def test_what_a_later_warp_needs_is_spoken_for_unless_this_one_comes_first() -> None:
    later = cast.order(key="later", warp_yarns=("y3", "y4"), weft_yarns=("y4",))
    guild = room(*(yarn(n) for n in range(5)), meters=900.0)
    guild = replace(guild, warps=(*guild.warps, replace(later, items=(Item(1.0),))))
    kept = choose_colors(guild, {"d": STRIPED}, "test", EVERY)
    taken = choose_colors(guild, {"d": STRIPED}, "test", replace(EVERY, first=True))
    assert not any("y3" in offer.yarns for offer in kept.offers)
    assert any("y3" in offer.yarns for offer in taken.offers)
    assert ("y0", "y1", "y2") in ways(kept)


def test_choices_stand_by_the_column_asked_for_and_the_columns_say_what_they_mean() -> None:
    guild = room(*(yarn(n) for n in range(5)))
    for name, least in itertools.product(
        ("contrast", "lightness", "hue_angle", "color_vision", "odd_cones"), (False, True)
    ):
        wishes = replace(EVERY, order_by=name, least_first=least)
        values = [each.columns[name] for each in choose_colors(guild, {"d": STRIPED}, "test", wishes).offers]
        assert values == sorted(values, reverse=not least)
        assert len(values) == 5 * 4 * 3


def test_contrast_is_that_of_the_draft_in_the_yarns_colors() -> None:
    guild = room(*(yarn(n) for n in range(4)))
    found = choose_colors(guild, {"d": STRIPED}, "test", replace(EVERY, distance_m=4.0))
    for offer in found.offers:
        colors = [guild.yarn(key).color for key in offer.yarns]
        expected = contrast(
            STRIPED,
            mm_per_end=10 / offer.plan.sett_per_cm,
            mm_per_pick=10 / offer.order.picks_per_cm,
            distance_m=4.0,
            colors=colors,
        )
        assert offer.columns["contrast"] == pytest.approx(expected)


def test_a_far_look_leaves_less_contrast() -> None:
    guild = room(*(yarn(n) for n in range(3)))
    near_by, far = (
        choose_colors(guild, {"d": STRIPED}, "test", replace(EVERY, distance_m=d)).offers[0]
        for d in (1.0, 30.0)
    )
    assert far.columns["contrast"] < near_by.columns["contrast"]


def nearest_two(offers: tuple[ColorOffer, ...]) -> float:
    """How far the colors of the two choices that look most alike lie apart, in OKLab."""
    seen = [
        np.array([oklab(offer.plan.guild.yarn(key).color) for key in offer.yarns]).ravel() for offer in offers
    ]
    return min(float(np.linalg.norm(one - other)) for one, other in itertools.combinations(seen, 2))


def test_the_first_choices_are_unlike_one_another() -> None:
    close = [yarn(0, key=f"n{n}", name=f"Near {n}", color=(38 + n, 60 + n, 94 + n)) for n in range(8)]
    guild = room(*(yarn(n) for n in range(5)), *close)
    few = choose_colors(guild, {"d": STRIPED}, "test", Wishes(count=6))
    top = choose_colors(guild, {"d": STRIPED}, "test", Wishes(count=500)).offers[:6]
    assert nearest_two(few.offers) > 3 * nearest_two(top)
    assert few.offers[0].yarns == top[0].yarns
    assert few.more
    assert few.possible == 13 * 12 * 11


def test_pages_follow_one_another_without_gap_or_repetition() -> None:
    guild = room(*(yarn(n) for n in range(4)))
    whole = choose_colors(guild, {"d": STRIPED}, "test", EVERY)
    pages = [
        choose_colors(guild, {"d": STRIPED}, "test", Wishes(count=10, skip=skip)) for skip in (0, 10, 20)
    ]
    shown = [offer.yarns for page in pages for offer in page.offers]
    assert len(shown) == len(set(shown)) == len(whole.offers) == 24
    assert [page.more for page in pages] == [True, True, False]


def test_a_yarn_in_warp_and_weft_needs_enough_for_both() -> None:
    order = cast.order(warp_yarns=("y0",), weft_yarns=("y0",))
    drafts = {"d": replace(cast.TWILL, weft_colors=cast.TWILL.warp_colors)}
    yarns, cones = shelf_of(yarn(0), yarn(1), meters=2600.0)
    found = choose_colors(cast.guild(order, yarns=yarns, cones=cones), drafts, "test", EVERY)
    assert [len(role.places) for role in found.roles] == [2]
    assert ways(found) == {("y0",), ("y1",)}
    less = tuple(replace(each, gross_g=40 + 1900 * 0.12) if each.yarn == "y1" else each for each in cones)
    found = choose_colors(cast.guild(order, yarns=yarns, cones=less), drafts, "test", EVERY)
    assert ways(found) == {("y0",)}


def test_a_yarn_that_stands_in_for_two_colors_of_the_draft_leaves_each_of_them_a_choice() -> None:
    guild = room(*(yarn(n) for n in range(3)), warp_yarns=("y0", "y0"))
    found = choose_colors(guild, {"d": STRIPED}, "test", EVERY)
    assert [role.planned for role in found.roles] == ["y0", "y0", "y2"]
    assert ways(found) == set(itertools.permutations(("y0", "y1", "y2")))


def test_where_the_sett_is_worked_out_yarns_are_near_one_another_and_the_picks_follow() -> None:
    coarse = [yarn(n, key=f"c{n}", name=f"Coarse {n}", tex=200.0) for n in range(3)]
    guild = room(*(yarn(n) for n in range(3)), *coarse, sett_per_cm=None, firmness=0.7)
    found = choose_colors(guild, {"d": STRIPED}, "test", EVERY)
    assert ways(found) == {
        *itertools.permutations(("y0", "y1", "y2")),
        *itertools.permutations(("c0", "c1", "c2")),
    }
    now = next(offer for offer in found.offers if offer.order == guild.warps[0])
    for offer in found.offers:
        share = offer.order.picks_per_cm / offer.plan.asked_sett_per_cm
        assert share == pytest.approx(now.order.picks_per_cm / now.plan.asked_sett_per_cm, rel=0.01)
    kept = choose_colors(guild, {"d": STRIPED}, "test", replace(EVERY, like="planned"))
    assert ways(kept) == set(itertools.permutations(("y0", "y1", "y2")))


def test_a_wound_warp_keeps_its_yarns_and_its_weft_is_free() -> None:
    guild = room(*(yarn(n) for n in range(4)), wound=date(2026, 10, 1), wound_length_m=4.0)
    found = choose_colors(guild, {"d": STRIPED}, "test", EVERY)
    assert ways(found) == {("y0", "y1", "y2"), ("y0", "y1", "y3")}


def test_yarns_without_a_written_color_are_left_out_and_it_is_said() -> None:
    plain = Yarn("plain", "Plain", 120.0).color
    guild = room(*(yarn(n, color=plain) for n in range(4)))
    found = choose_colors(guild, {"d": STRIPED}, "test", EVERY)
    assert found.offers == ()
    assert found.none_because == ("No yarn on the shelf has its color entered; choosing colors needs it.",)


def test_a_single_cone_is_one_color() -> None:
    yarns, cones = shelf_of(yarn(0))
    one = cast.guild(cast.order(warp_yarns=("y0",), weft_yarns=("y0",)), yarns=yarns, cones=cones)
    found = choose_colors(one, {"d": replace(cast.TWILL, weft_colors=cast.TWILL.warp_colors)}, "test", EVERY)
    assert ways(found) == {("y0",)}
    assert found.offers[0].hue == "one hue"
    assert (found.offers[0].columns["lightness"], found.offers[0].columns["color_vision"]) == (0.0, 0.0)
    guild = room(*(yarn(n) for n in range(3)))
    two = choose_colors(replace(guild, cones=guild.cones[:1]), {"d": STRIPED}, "test", EVERY)
    assert two.offers == ()
    assert two.none_because == (
        "3 color roles, and 1 yarn that would do: each role needs a yarn of its own, and the yarns of a "
        "cloth must go together.",
    )


def test_an_empty_place_says_why_each_yarn_is_refused_and_which_lacks_least() -> None:
    wool, thick = yarn(3, fiber="wool"), yarn(4, tex=200.0)
    guild = room(*(yarn(n) for n in range(3)), wool, thick)
    guild = replace(guild, cones=tuple(replace(each, gross_g=42.0) for each in guild.cones))
    found = choose_colors(guild, {"d": STRIPED}, "test", EVERY)
    said = found.none_because[0]
    assert said.startswith("No yarn fits in place of Yarn 0: 1 with different shrinkage, ")
    assert "1 of a different grist, 3 too short" in said
    assert "Yarn 0 is closest: short" in said


@pytest.mark.parametrize(
    ("wishes", "word"),
    [
        (Wishes(order_by="beauty"), "contrast"),
        (Wishes(distance_m=0.0), "distance"),
        (Wishes(band=-0.1), "grist tolerance"),
        (Wishes(distance_m=float("nan")), "distance"),
    ],
)
def test_a_wish_that_means_nothing_is_one_clear_line(wishes: Wishes, word: str) -> None:
    with pytest.raises(BadInput, match=word):
        choose_colors(cast.guild(), cast.drafts(), "test", wishes)


def test_more_ways_than_can_be_looked_at_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("loomready.choose.colors.choices.MOST_LOOKED_AT", 30)
    guild = room(*(yarn(n) for n in range(5)))
    found = choose_colors(guild, {"d": STRIPED}, "test", EVERY)
    assert not found.all_looked_at
    assert 0 < found.possible <= 30


def test_where_no_choice_is_there_the_greatest_width_that_has_one_is_told() -> None:
    guild = room(*(yarn(n) for n in range(3)), meters=560.0)
    assert choose_colors(guild, {"d": STRIPED}, "test", EVERY).offers == ()
    found = narrower(guild, {"d": STRIPED}, "test", EVERY)
    assert found is not None
    at_most = replace(guild, warps=(found.order,))
    assert choose_colors(at_most, {"d": STRIPED}, "test", EVERY).offers
    plan, _ = plan_once(guild.warps[0], guild, {"d": STRIPED}, Shelf(guild))
    wider = replace(guild, warps=(resized(plan, guild.warps[0], found.repeats + 1, 1),))
    assert not choose_colors(wider, {"d": STRIPED}, "test", EVERY).offers
    bare = replace(guild, cones=())
    assert narrower(bare, {"d": STRIPED}, "test", EVERY) is None


def test_hems_in_a_weft_of_their_own_are_a_choice_of_their_own() -> None:
    yarns = tuple(yarn(number) for number in range(5))
    towel = Item(0.6, count=2, hem_m=0.04, hem_weft_yarns=("y3",))
    guild = room(*yarns, items=(towel,))
    found = choose_colors(guild, {"d": STRIPED}, "test", EVERY)
    assert [role.planned for role in found.roles] == ["y0", "y1", "y2", "y3"]
    for offer in found.offers[:20]:
        assert offer.order.items[0].hem_weft_yarns == (offer.yarns[3],)
        need = next(each for each in offer.plan.yarns if each.yarn.key == offer.yarns[3])
        assert need.weft_m > 0


def test_weft_used_in_a_sample_alone_is_a_choice_of_its_own_and_woven_in_it() -> None:
    yarns = tuple(yarn(number) for number in range(5))
    samples = (Sample(0.2), Sample(0.2, weft_yarns=("y3",)), Sample(0.2, weft_yarns=("y2",)))
    guild = room(*yarns, samples=samples)
    found = choose_colors(guild, {"d": STRIPED}, "test", EVERY)
    assert [role.planned for role in found.roles] == ["y0", "y1", "y2", "y3"]
    assert role_in_words(found.roles[3], found.order) == "sample 2"
    for offer in found.offers[:20]:
        woven = [each.weft_yarns for each in offer.order.samples]
        assert woven == [None, (offer.yarns[3],), (offer.yarns[2],)]
        need = next(each for each in offer.plan.yarns if each.yarn.key == offer.yarns[3])
        assert need.weft_m > 0


def test_an_odd_cone_is_one_whose_dye_lot_has_no_second_cone() -> None:
    cones = (
        cast.cone("alone", lot="A"),
        cast.cone("one", lot="B"),
        cast.cone("other", lot="B"),
        cast.cone("like-a", cast.CHALK, lot="A"),  # the same lot of another yarn
        cast.cone("idle", lot="C"),
    )
    guild = cast.guild(cones=cones)

    def use(cone: str, warp_m: float, weft_m: float, sure_m: float) -> ConeUse:
        return ConeUse(cone, 1, warp_m, weft_m, sure_m, sure_m, 0.0, 0.0)

    def given(*uses: ConeUse) -> Given:
        return Given({}, 0, 0.0, False, False, 0, (), (), uses)

    assert odd_cones(guild, given(use("one", 50.0, 5.0, 900.0), use("idle", 0.0, 0.0, 700.0))) == (0.0, 0.0)
    alone = given(use("alone", 100.0, 20.0, 300.0), use("other", 70.0, 0.0, 500.0))
    assert odd_cones(guild, alone) == (120.0, 300.0)
    assert odd_cones(guild, alone, given(use("like-a", 0.0, 30.0, 40.0))) == (150.0, 340.0)
    # What is taken was on the cone, sure or not.
    assert odd_cones(guild, given(use("alone", 100.0, 0.0, 80.0))) == (100.0, 100.0)
