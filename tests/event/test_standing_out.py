"""Why a warp stands out of an event, by name, and what would help; what a begun warp keeps."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from loomready.event.allotment import allot
from loomready.event.places import Trials
from loomready.event.watch import Watch
from loomready.model.event import Event, Opening, ShopCone
from loomready.model.guild import Guild, Reed
from tests import cast
from tests.event.test_allotment import ONE, OTHER, SECOND, room

ROOMY = replace(SECOND, heddles=(150, 150, 150, 150))
WOUND = date(2026, 9, 20)


def told(guild: Guild) -> str:
    [problem] = allot(guild, cast.drafts()).problems
    return problem.message


def test_a_warp_is_called_by_its_name_and_a_free_loom_is_the_first_way_out():
    orders = (
        replace(ONE, looms=(), own_name="Blue scarf"),
        replace(OTHER, looms=(), own_name="Anna's towels"),
    )
    assert told(room(*orders, looms=(cast.LOOM, ROOMY))) == (
        "Anna's towels has no place: Alder has Blue scarf. What would help: take Birch."
    )


def test_a_reed_that_is_taken_is_named_with_the_warp_that_has_it_and_one_like_it_is_borrowed():
    orders = (replace(ONE, looms=()), replace(OTHER, loom="birch", looms=()))
    reeds = (replace(cast.REED, own_name="Forty, blue tape"),)
    assert told(room(*orders, looms=(cast.LOOM, ROOMY), reeds=reeds)).startswith(
        "other has no place: Birch is free, but every reed for it is taken: Forty, blue tape has one. "
        "What would help: borrow a reed of 40 dents/10 cm, 100 cm long"
    )


def test_a_loom_of_a_warp_that_is_not_of_the_event_is_told_to_be_taken():
    event = Event((Opening.__new__(Opening),), warps=("other",))
    wound = replace(ONE, looms=(), wound=WOUND, own_name="Old towels")
    guild = room(wound, replace(OTHER, looms=()), event=event)
    assert told(guild).startswith("other has no place: Alder has Old towels.")


def test_where_no_way_helps_alone_a_pair_of_ways_is_told():
    few = replace(SECOND, heddles=(70, 70, 70, 70))
    orders = (replace(ONE, looms=()), replace(OTHER, loom="birch", looms=(), reed="forty"))
    for reed in ("forty", None):  # one that it sets, or the only one
        other = replace(orders[1], reed=reed)
        assert told(room(orders[0], other, looms=(cast.LOOM, few), reeds=(cast.REED,))) == (
            "other has no place: Birch is short 92 heddles: the warp needs 372, it has 280. What would help: "
            "borrow a reed of 40 dents/10 cm, 100 cm long and 92 heddles more on Birch."
        )


def test_yarn_that_is_short_is_the_reason_and_one_cone_more_would_help():
    cones = (cast.cone("fern-1", meters=600), cast.cone("chalk-1", cast.CHALK, 9000))
    message = told(room(replace(ONE, looms=()), cones=cones))
    assert "The shop sells no Fern green." in message
    assert "one more cone of Fern green, " in message


def test_a_way_that_is_told_works_when_it_is_done():
    orders = (replace(ONE, looms=()), replace(OTHER, loom="birch", looms=()))
    guild = room(*orders, looms=(cast.LOOM, ROOMY), reeds=(cast.REED,))
    borrowed = replace(guild, reeds=(*guild.reeds, Reed("more", 4.0, 1000)))
    assert set(allot(borrowed, cast.drafts()).places) == {"one", "other"}


def test_a_wound_warp_keeps_its_loom_and_its_reed_and_nobody_else_gets_them():
    reeds = (cast.REED, replace(cast.REED, key="like it"))
    for wound_reed in ("like it", None):
        wound = replace(
            OTHER, loom="alder", looms=("alder", "birch"), wound=WOUND, wound_reed=wound_reed, wound_sley=(2,)
        )
        places = allot(
            room(replace(ONE, value=9), wound, looms=(cast.LOOM, ROOMY), reeds=reeds), cast.drafts()
        ).places
        assert places["other"].loom == "alder"
        assert places["one"].loom == "birch"
        assert places["other"].reed == (wound_reed or "forty")
        assert places["one"].reed != places["other"].reed


def test_a_warp_that_is_begun_and_not_wound_keeps_its_place_too():
    reeds = (cast.REED, replace(cast.REED, key="like it"))
    guild = room(replace(ONE, value=9), OTHER, looms=(cast.LOOM, ROOMY), reeds=reeds)
    for begun in (("alder", "like it"), ("birch", "forty")):
        made = allot(guild, cast.drafts(), begun={"other": begun})
        assert (made.places["other"].loom, made.places["other"].reed) == begun
        assert made.places["one"].loom != begun[0]
        assert made.places["one"].reed != begun[1]
        assert made.plans["other"].sley.reed.key == begun[1]


def test_a_loom_that_the_file_no_longer_names_for_a_warp_is_not_kept():
    made = allot(
        room(replace(ONE, looms=()), looms=(cast.LOOM, ROOMY)),
        cast.drafts(),
        begun={"one": ("birch", "gone")},
    )
    assert made.places["one"].loom == "alder"


def test_prices_add_up_to_the_cent():
    cones = (cast.cone("fern-1", meters=100), cast.cone("chalk-1", cast.CHALK, 9000))
    shop = (ShopCone("small", "fern", 60.0, Decimal("0.10")),)
    made = allot(room(replace(ONE, looms=()), cones=cones, shop=shop), cast.drafts())
    [bought] = made.buy
    assert bought.cones >= 3
    assert made.cost == Decimal("0.10") * bought.cones


def test_many_small_cones_are_bought_where_no_others_are_sold():
    cones = (cast.cone("fern-1", meters=100), cast.cone("chalk-1", cast.CHALK, 9000))
    shop = tuple(ShopCone(f"s{n}", "fern", 30.0 + n, Decimal(5) + n) for n in range(4))
    made = allot(room(replace(ONE, looms=()), cones=cones, shop=shop), cast.drafts())
    assert made.problems == ()
    assert made.proved


def test_a_search_that_is_stopped_keeps_the_best_so_far_and_says_so():
    cones = (cast.cone("fern-1", meters=100), cast.cone("chalk-1", cast.CHALK, 9000))
    shop = (ShopCone("small", "fern", 60.0, Decimal(7)),)
    seen: list[tuple[str, float]] = []
    watch = Watch(lambda stage, share: seen.append((stage, share)), lambda: True)
    guild = room(ONE, OTHER, cones=cones, shop=shop, looms=(cast.LOOM, ROOMY))
    made = allot(guild, cast.drafts(), watch=watch)
    assert made.ended_early
    assert not made.proved
    assert set(made.places) == {"one", "other"}
    assert seen == [("looms and yarn", 0.0)]
    assert not allot(guild, cast.drafts()).ended_early


def test_each_loom_and_reed_is_planned_once_for_a_warp():
    trials = Trials(cast.drafts())
    guild = room(replace(ONE, looms=()))
    assert trials.options(guild.warps[0], guild) == trials.options(guild.warps[0], guild)
    assert len(trials._made) == len(guild.reeds)
