"""Which loom and reed for each warp, and what to buy."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from itertools import product

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from loomready.event.allotment import allot
from loomready.model.event import Event, Opening, ShopCone
from loomready.model.guild import Guild, Reed
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from tests import cast

SECOND = replace(cast.LOOM, key="birch", name="Birch", heddles=(40, 40, 40, 40))
ONE = cast.order(key="one", loom="alder", looms=("alder", "birch"))
OTHER = replace(ONE, key="other")


def room(*orders, **more) -> Guild:
    reeds = (cast.REED, Reed(key="eighty", dents_per_cm=8.0, width_mm=1000))
    cones = (cast.cone("fern-1", meters=9000), cast.cone("chalk-1", cast.CHALK, 9000))
    return replace(cast.guild(*orders, looms=(cast.LOOM, SECOND), reeds=reeds, cones=cones), **more)


def test_no_loom_and_no_reed_is_given_twice():
    roomy = replace(SECOND, heddles=(150, 150, 150, 150))
    made = allot(room(ONE, OTHER, looms=(cast.LOOM, roomy)), cast.drafts())
    assert made.problems == ()
    assert {place.loom for place in made.places.values()} == {"alder", "birch"}
    assert {place.reed for place in made.places.values()} == {"forty", "eighty"}


def test_fewest_heddles_are_moved():
    roomy = replace(SECOND, heddles=(150, 150, 150, 150))
    few = replace(cast.LOOM, heddles=(400, 60, 60, 400))
    made = allot(room(replace(ONE, looms=("alder", "birch")), looms=(few, roomy)), cast.drafts())
    assert made.places["one"].loom == "birch"
    assert made.places["one"].heddles_moved == 0
    assert made.proved


def test_a_loom_comes_first_in_the_order_in_which_the_warp_names_it():
    roomy = replace(SECOND, heddles=(150, 150, 150, 150))
    for looms in (("alder", "birch"), ("birch", "alder")):
        made = allot(room(replace(ONE, loom=looms[0], looms=looms), looms=(cast.LOOM, roomy)), cast.drafts())
        assert made.places["one"].loom == looms[0]


def test_a_warp_without_a_loom_stands_out_with_the_reason():
    made = allot(
        room(replace(ONE, looms=(), loom="alder"), replace(OTHER, looms=(), loom="alder")), cast.drafts()
    )
    assert set(made.places) == {"one"}
    [problem] = made.problems
    assert (problem.code, problem.level) == ("stands-out", "stop")
    assert problem.message == "other has no place: Alder has one."


def test_what_a_loom_is_short_of_is_named_with_a_way_out():
    made = allot(room(replace(ONE, looms=("birch",), loom="birch")), cast.drafts())
    assert "heddles" in made.problems[0].message
    assert "What would help" in made.problems[0].message


def test_the_warp_worth_more_gets_the_only_loom():
    orders = (replace(ONE, looms=()), replace(OTHER, looms=(), value=3))
    assert set(allot(room(*orders), cast.drafts()).places) == {"other"}


def test_the_cheapest_cones_that_are_enough_are_bought_and_no_fewer_would_do():
    cones = (cast.cone("fern-1", meters=100), cast.cone("chalk-1", cast.CHALK, 9000))
    shop = (ShopCone("big", "fern", 200.0, Decimal(20)), ShopCone("small", "fern", 60.0, Decimal(7)))
    guild = room(replace(ONE, looms=()), cones=cones, shop=shop)
    made = allot(guild, cast.drafts())
    assert made.problems == ()
    assert made.proved
    assert not plan_guild(made.guild, cast.drafts()).stopped
    needed_m = sum(need.warp_m for need in made.plans["one"].yarns)
    cheaper = [
        (big, small)
        for big in range(8)
        for small in range(24)
        if 20 * big + 7 * small < made.cost and (200 * big + 60 * small) / 0.12 * 0.97 >= needed_m
    ]
    for big, small in cheaper:  # whole ends only: enough meters in all are not always enough
        bought = [cast.cone(f"b{n}", meters=200 / 0.12) for n in range(big)]
        bought += [cast.cone(f"s{n}", meters=60 / 0.12) for n in range(small)]
        bought = [replace(each, tare_g=0.0, gross_g=each.net_g, lot="new") for each in bought]
        assert plan_guild(replace(guild, cones=(*cones, *bought)), cast.drafts()).stopped


def test_yarn_that_nobody_sells_is_told():
    cones = (cast.cone("fern-1", meters=100), cast.cone("chalk-1", cast.CHALK, 9000))
    made = allot(room(replace(ONE, looms=()), cones=cones), cast.drafts())
    assert made.places == {}
    assert "The shop sells no Fern green." in made.problems[0].message


def every_choice(guild: Guild, orders) -> list[tuple[int, int]]:
    """(value left out, heddles moved) of every way to give looms and reeds, by planning each warp."""
    ways: list[list[tuple[str, str, int] | None]] = []
    for order in orders:
        own: list[tuple[str, str, int] | None] = [None]
        for loom in order.looms:
            for reed in guild.reeds:
                alone = replace(order, loom=loom, looms=(), reed=reed.key)
                plan = plan_guild(replace(guild, warps=(alone,)), cast.drafts()).warps[0]
                if not plan.stopped:
                    own.append((loom, reed.key, plan.heddles.moved))
        ways.append(own)
    found = []
    for choice in product(*ways):
        given = [each for each in choice if each is not None]
        if len({loom for loom, _, _ in given}) == len({reed for _, reed, _ in given}) == len(given):
            left_out = sum(order.value for order, each in zip(orders, choice, strict=True) if each is None)
            found.append((left_out, sum(moved for _, _, moved in given)))
    return found


@given(
    st.lists(st.tuples(*[st.integers(60, 130)] * 4), min_size=2, max_size=2),
    st.lists(st.sampled_from([200.0, 300.0, 400.0]), min_size=2, max_size=3),
    st.integers(1, 3),
)
@settings(max_examples=8)
def test_no_choice_has_more_value_or_fewer_heddles_to_move(heddles, widths, value):
    looms = tuple(replace(cast.LOOM, key=f"loom-{n}", heddles=each) for n, each in enumerate(heddles))
    keys = tuple(loom.key for loom in looms)
    orders = tuple(
        cast.order(
            key=f"w{n}", loom=keys[0], looms=keys, finished_width_mm=width, value=value if n == 0 else 1
        )
        for n, width in enumerate(widths)
    )
    reeds = (cast.REED, replace(cast.REED, key="like it"))
    guild = room(*orders, looms=looms, reeds=reeds)
    made = allot(guild, cast.drafts())
    left_out = sum(order.value for order in orders if order.key not in made.places)
    moved = sum(place.heddles_moved for place in made.places.values())
    assert (left_out, moved) == min(every_choice(guild, orders))


def test_an_order_that_is_not_valid_is_placed():
    with pytest.raises(BadInput) as error:
        allot(room(ONE, replace(OTHER, warp_yarns=("fern", "chalk"))), cast.drafts())
    assert error.value.where.startswith("[warps 2]")


def test_more_choices_than_can_be_looked_at_are_refused():
    orders = tuple(replace(ONE, key=f"w{number}") for number in range(60))
    reeds = tuple(replace(cast.REED, key=f"r{number}") for number in range(200))
    with pytest.raises(BadInput) as error:
        allot(room(*orders, reeds=reeds), cast.drafts())
    assert "24,000 choices" in error.value.line()


def test_an_order_beside_the_event_that_is_not_valid_is_placed_by_its_number_too():
    event = Event((Opening(datetime(2027, 5, 8, 10), datetime(2027, 5, 8, 16)),), warps=("one",))
    with pytest.raises(BadInput) as error:
        allot(room(replace(OTHER, warp_yarns=("fern", "chalk")), ONE, event=event), cast.drafts())
    assert error.value.where.startswith("[warps 1]")
