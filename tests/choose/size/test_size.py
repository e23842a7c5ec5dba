"""The sizes that the shelf allows, against planning every size there is."""

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
from loomready.choose.size.size import SIZED, Fit, fit, resized
from loomready.draft.draft import Draft
from loomready.model.guild import Guild, Item, Reed, Stripe, WarpOrder
from loomready.warp.plan import plan_guild, plan_once, shelf_before
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from tests import cast

DEMO = Path(__file__).parents[3] / "demo"
STRIPED = replace(cast.TWILL, warp_colors=np.array([0, 0, 0, 1], dtype=np.int16))
LIGHT = replace(cast.FERN, tolerance=0.0), replace(cast.CHALK, tolerance=0.0)


def changed(guild: Guild, key: str, order: WarpOrder) -> Guild:
    return replace(guild, warps=tuple(order if each.key == key else each for each in guild.warps))


def stops(plan: WarpPlan) -> set[str]:
    return {each.code for each in plan.problems if each.level == "stop"} & SIZED


def unbeaten(sizes: set[tuple[int, int]]) -> set[tuple[int, int]]:
    return {(k, s) for k, s in sizes if not any((a, b) != (k, s) and a >= k and b >= s for a, b in sizes)}


def every_size(
    guild: Guild, drafts: dict[str, Draft], found: Fit, repeats: int, sets: int
) -> set[tuple[int, int]]:
    """All sizes up to a limit that the plan does not stop, each planned as a warp of its own."""
    shelf = shelf_before(guild, drafts, found.order.key)
    held = set()
    for k, s in itertools.product(range(1, repeats + 1), range(1, sets + 1)):
        plan, _ = plan_once(resized(found.smallest, found.order, k, s), guild, drafts, shelf)
        assert (plan.web.repeats, plan.order.items[0].count) == (k, s * found.order.items[0].count)
        if not stops(plan):
            held.add((k, s))
    return held


def sizes(found: Fit) -> list[tuple[int, int]]:
    return [(size.repeats, size.sets) for size in found.sizes]


@pytest.mark.parametrize("key", ["scarves", "cushions", "towels"])
def test_the_demo_warps_get_the_sizes_that_planning_every_size_finds(key: str) -> None:
    loaded = guildfile.load(DEMO / "guild.toml")
    found = fit(loaded.guild, loaded.drafts, key)
    held = every_size(loaded.guild, dict(loaded.drafts), found, 12, 14)
    assert set(sizes(found)) == unbeaten(held)


@pytest.mark.parametrize("key", ["scarves", "cushions", "towels"])
def test_every_size_is_what_the_whole_guild_plans_for_it(key: str) -> None:
    loaded = guildfile.load(DEMO / "guild.toml")
    found = fit(loaded.guild, loaded.drafts, key)
    for size in found.sizes:
        plan = plan_guild(changed(loaded.guild, key, found.order_of(size)), loaded.drafts, until=key).warps[
            -1
        ]
        assert not stops(plan)
        assert (plan.web.repeats, plan.web.ends) == (size.repeats, size.ends)
        assert plan.width_in_reed_mm == size.width_in_reed_mm
        assert plan.finished_width_mm == pytest.approx(size.finished_width_mm)
        assert plan.warp_length_m == pytest.approx(size.warp_length_m)
        for need in plan.yarns:
            left = need.available_m - need.warp_m - need.weft_m
            assert size.left_m[need.yarn.key] == pytest.approx(left, abs=1e-6)
            for mine, planned in zip(size.cones[need.yarn.key], need.uses, strict=True):
                assert (mine.cone, mine.ends) == (planned.cone, planned.ends)
                assert mine.sure_after_m == pytest.approx(planned.sure_after_m, abs=1e-6)


meters = st.sampled_from([30, 55, 80, 130, 210, 340, 610])


@st.composite
def guilds(draw: st.DrawFn) -> tuple[Guild, dict[str, Draft]]:
    cones = tuple(
        cast.cone(f"{yarn.key}-{number}", yarn, draw(meters), lot=draw(st.sampled_from([None, "A", "B"])))
        for yarn in LIGHT
        for number in range(draw(st.integers(1, 3)))
    )
    draft = draw(st.sampled_from([cast.TWILL, STRIPED, cast.PLAIN]))
    striped = draft is STRIPED
    item = st.builds(
        Item,
        finished_length_m=st.sampled_from([0.3, 0.55, 1.1]),
        count=st.integers(1, 2),
        fringe_m=st.sampled_from([0.0, 0.08]),
        picks_per_cm=st.sampled_from([None, 6.0]),
        weft_yarns=st.sampled_from([None, ("fern",)]),
    )
    order = cast.order(
        warp_yarns=("fern", draw(st.sampled_from(["fern", "chalk"]))) if striped else ("fern",),
        items=tuple(draw(st.lists(item, min_size=1, max_size=2))),
        finished_width_mm=draw(st.sampled_from([20.0, 77.0])),
        sett_per_cm=draw(st.sampled_from([4.0, 7.0, 8.0])),
        floating_selvedges=draw(st.booleans()),
        selvedge_ends=draw(st.sampled_from([0, 2])),
        repeat_ends=draw(st.sampled_from([None, (2, 3)])) if draft.ends == 4 else None,
        mix_lots=draw(st.booleans()),
        reserve=draw(st.sampled_from([0.0, 0.05])),
        wound_length_m=draw(st.sampled_from([None, None, 2.6])),
    )
    first = replace(order, key="first", finished_width_mm=15.0, items=(Item(0.2),), wound_length_m=None)
    reeds = draw(
        st.lists(
            st.builds(
                Reed,
                key=st.uuids().map(str),
                dents_per_cm=st.sampled_from([4.0, 3.5, 5.0]),
                width_mm=st.sampled_from([25.0, 45.0, 70.0]),
            ),
            min_size=1,
            max_size=3,
        )
    )
    loom = replace(
        cast.LOOM,
        weaving_width_mm=draw(st.sampled_from([40.0, 60.0])),
        heddles=(draw(st.sampled_from([8, 150])),) * 4,
    )
    warps = (first, order) if draw(st.booleans()) else (order,)
    guild = cast.guild(*warps, cones=cones, yarns=LIGHT, reeds=tuple(reeds), looms=(loom,))
    return guild, {"d": draft}


@settings(max_examples=12, deadline=None)
@given(guilds())
def test_any_guild_gets_the_sizes_that_planning_every_size_finds(
    made: tuple[Guild, dict[str, Draft]],
) -> None:
    guild, drafts = made
    found = fit(guild, drafts, "test")
    widest = max((k for k, _ in sizes(found)), default=1) + 3
    longest = max((s for _, s in sizes(found)), default=1) + 2
    held = every_size(guild, drafts, found, min(widest, 60), min(longest, 14))
    expected = unbeaten(held)
    told = {(k, s) for k, s in sizes(found) if s <= 14}
    assert {(k, s) for k, s in expected if s < 14} == {(k, s) for k, s in told if s < 14}
    assert bool(found.none_because) == (not found.sizes)


def test_a_short_cone_binds_and_an_end_has_no_knot() -> None:
    # 2 m finished is 2 / 0.92 x 1.1 + 0.7 = 3.091 m of warp: two cones of 50 m give 16 ends each.
    two = tuple(cast.cone(f"fern-{n}", meters=50 / 0.97, tare_g=0.0) for n in (1, 2))
    guild = cast.guild(cones=(*two, cast.cone("chalk-1", cast.CHALK)))
    size = fit(guild, cast.drafts(), "test").sizes[-1]
    assert (size.ends, size.sets, size.binding) == (32, 1, "fern")
    assert size.left_m["fern"] == pytest.approx(100 - 32 * size.warp_length_m)
    assert size.wider.bound == size.longer.bound == "yarn"


def test_a_wide_loom_is_not_enough_where_the_reed_ends() -> None:
    guild = cast.guild(reeds=(replace(cast.REED, width_mm=200.0),))
    widest = fit(guild, cast.drafts(), "test").sizes[-1]
    assert widest.wider.bound == "reed"
    assert widest.binding is None
    assert widest.width_in_reed_mm == 200.0


def test_the_loom_or_its_heddles_bind_where_yarn_is_plenty() -> None:
    plenty = (cast.cone("fern-1", meters=90_000.0), cast.cone("chalk-1", cast.CHALK, 90_000.0))
    widest = fit(
        cast.guild(cones=plenty, looms=(replace(cast.LOOM, weaving_width_mm=300),)), cast.drafts(), "test"
    )
    assert (widest.sizes[-1].wider.bound, widest.sizes[-1].ends) == ("loom", 240)
    few = fit(
        cast.guild(cones=plenty, looms=(replace(cast.LOOM, heddles=(9, 9, 9, 9)),)), cast.drafts(), "test"
    )
    assert (few.sizes[-1].wider.bound, few.sizes[-1].ends) == ("heddles", 36)


def test_no_size_at_all_says_what_binds_and_by_how_much() -> None:
    guild = cast.guild(cones=(cast.cone("fern-1", meters=2.0), cast.cone("chalk-1", cast.CHALK)))
    found = fit(guild, cast.drafts(), "test")
    assert found.sizes == ()
    assert found.stopped
    assert "Fern green is short 4 warp ends (13 m)" in found.none_because[0]


def test_what_no_size_helps_is_told_beside_the_sizes() -> None:
    guild = cast.guild(looms=(replace(cast.LOOM, shafts=2, heddles=(300, 300)),))
    found = fit(guild, cast.drafts(), "test")
    assert found.sizes
    assert found.stopped
    assert "The draft uses 4 shafts; Alder has 2." in found.anyway


def test_a_wound_warp_keeps_its_width_and_its_length() -> None:
    wound = cast.order(wound=date(2026, 10, 1), wound_length_m=7.0)
    found = fit(cast.guild(wound), cast.drafts(), "test")
    (size,) = found.sizes
    assert (size.repeats, size.sets, size.warp_length_m) == (found.planned[0], 2, 7.0)
    assert size.wider.bound == size.longer.bound == "wound"


def test_an_absurd_width_does_not_stand_in_the_way() -> None:
    wide = fit(cast.guild(cast.order(finished_width_mm=1e9)), cast.drafts(), "test")
    assert sizes(wide) == sizes(fit(cast.guild(), cast.drafts(), "test"))
    assert wide.planned[0] > wide.sizes[-1].repeats


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_warp_in_stripes_gets_the_sizes_that_planning_every_size_finds(mirrored: bool) -> None:
    order = cast.order(
        stripes=(Stripe("fern", 7), Stripe("chalk", 3), Stripe("fern", 2)),
        stripes_mirrored=mirrored,
        finished_width_mm=60,
    )
    cones = (cast.cone("fern-1", meters=90.0), cast.cone("chalk-1", cast.CHALK, meters=60.0))
    guild, drafts = cast.guild(order, cones=cones), cast.drafts()
    found = fit(guild, drafts, "test")
    assert set(sizes(found)) == unbeaten(every_size(guild, drafts, found, 12, 12))
    assert len(found.sizes) > 1


@pytest.mark.parametrize(
    ("fern_m", "chalk_m", "binding"),
    [(104.0, 9_000.0, "fern"), (9_000.0, 30.0, "chalk"), (55.0, 30.0, "chalk"), (50.0, 45.0, "fern")],
)
def test_the_yarn_that_binds_is_the_one_short_by_the_largest_share_of_its_need(
    fern_m: float, chalk_m: float, binding: str
) -> None:
    cones = (cast.cone("fern-1", meters=fern_m), cast.cone("chalk-1", cast.CHALK, chalk_m))
    guild = cast.guild(cast.order(items=(Item(0.5),)), cones=cones)
    found = fit(guild, cast.drafts(), "test")
    size = found.sizes[0]
    longer = _shares_short(found, guild, size.repeats, size.sets + 1)
    wider = _shares_short(found, guild, size.repeats + 1, size.sets)
    assert size.longer.bound == size.wider.bound == "yarn"
    assert size.longer.yarn == max(longer, key=lambda key: longer[key]) == binding
    # What binds both ways is named once.
    assert size.wider.yarn == (binding if binding in wider else max(wider, key=lambda key: wider[key]))


def _shares_short(found: Fit, guild: Guild, repeats: int, sets: int) -> dict[str, float]:
    """What a size that is planned lacks of each yarn, as a share of its need; only yarns that are short."""
    plan, _ = plan_once(
        resized(found.smallest, found.order, repeats, sets), guild, cast.drafts(), Shelf(guild)
    )
    short = {}
    for need in plan.yarns:
        missing_m = need.missing_ends * plan.warp_length_m + need.missing_weft_m
        if missing_m > 0:
            short[need.yarn.key] = missing_m / (need.warp_ends * plan.warp_length_m + need.weft_m)
    return short


@pytest.mark.parametrize(
    ("fern_m", "chalk_m"), [(200.0, 40.0), (300.0, 35.0), (150.0, 60.0), (120.0, 30.0), (80.0, 60.0)]
)
def test_the_yarn_named_is_the_one_shortest_in_whichever_order_their_keys_come(
    fern_m: float, chalk_m: float
) -> None:
    """Either yarn may be the shorter one: the name plays no part."""
    cones = (cast.cone("fern-1", meters=fern_m), cast.cone("chalk-1", cast.CHALK, chalk_m))
    guild = cast.guild(cast.order(items=(Item(0.5),)), cones=cones)
    found = fit(guild, cast.drafts(), "test")
    for size in found.sizes:
        for limit, repeats, sets in (
            (size.longer, size.repeats, size.sets + 1),
            (size.wider, size.repeats + 1, size.sets),
        ):
            if limit.bound == "yarn":
                short = _shares_short(found, guild, repeats, sets)
                assert limit.yarn in short
                if limit is size.longer:
                    assert limit.yarn == max(short, key=lambda key: short[key])
