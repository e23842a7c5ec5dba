"""A width near the one asked for at which no stripe is cut off at the edge."""

from __future__ import annotations

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.choose.stripes.whole_stripes import ends_whole, fitted, fitted_stripes
from loomready.draft.draft import lift_plan
from loomready.model.guild import Stripe
from loomready.warp.plan import plan_guild, plan_once
from loomready.warp.shelf import Shelf
from tests import cast


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.integers(2, 40), min_size=2, max_size=4),
    st.integers(150, 500),
    st.booleans(),
    st.booleans(),
)
def test_the_web_ends_with_a_whole_stripe(counts, width_mm, mirrored, floating):
    stripes = tuple(Stripe(("fern", "chalk")[n % 2], count) for n, count in enumerate(counts))
    order = cast.order(
        stripes=stripes, stripes_mirrored=mirrored, finished_width_mm=width_mm, floating_selvedges=floating
    )
    guild, drafts = cast.guild(order), cast.drafts()
    before = plan_guild(guild, drafts).warps[0]
    found = fitted(before, guild, drafts, Shelf(guild))
    if found is None:
        possible = range(4, 2 * before.web.ends, 4)
        near = [n for n in possible if abs((n + before.web.floating) / before.web.ends - 1) <= 0.25]
        assert all(ends_whole(order, n) is None for n in near)
        return
    made = plan_once(found.order, guild, drafts, Shelf(guild))[0]
    assert made.web.ends == found.ends
    assert abs(made.web.ends / before.web.ends - 1) <= 0.25
    left = made.web.heddle_ends // (2 if mirrored else 1)
    assert not (mirrored and made.web.heddle_ends % 2)
    for count in itertools.cycle(counts):  # stripe by stripe from the edge
        left -= count
        if left <= 0:
            break
    assert left == 0


def test_a_web_that_ends_whole_already_stays_as_it_is():
    order = cast.order(stripes=(Stripe("fern", 4), Stripe("chalk", 4)), finished_width_mm=200)
    guild, drafts = cast.guild(order), cast.drafts()
    before = plan_guild(guild, drafts).warps[0]
    found = fitted(before, guild, drafts, Shelf(guild))
    assert found is not None
    assert abs(found.ends - before.web.ends) <= 4


def test_repeats_that_meet_the_stripes_nowhere_near_are_none():
    order = cast.order(stripes=(Stripe("fern", 2000), Stripe("chalk", 2000)))
    guild = cast.guild(order, cones=(cast.cone("fern-1", meters=9000),))
    plan = plan_guild(guild, cast.drafts()).warps[0]
    assert fitted(plan, guild, cast.drafts(), Shelf(guild)) is None


def test_ends_that_are_not_threaded_do_not_count():
    gap = lift_plan([1, 2, 0, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]])
    order = cast.order(stripes=(Stripe("fern", 6), Stripe("chalk", 6)))
    guild = cast.guild(order)
    plan = plan_guild(guild, {"d": gap}).warps[0]
    found = fitted(plan, guild, {"d": gap}, Shelf(guild))
    assert found is not None
    made = plan_once(found.order, guild, {"d": gap}, Shelf(guild))[0]
    assert made.web.heddle_ends % 6 == 0


@given(st.lists(st.integers(1, 40), min_size=1, max_size=5), st.integers(1, 700), st.booleans())
def test_stripes_are_made_to_end_with_the_web(counts, heddled, mirrored):
    stripes = tuple(Stripe(("fern", "chalk")[n % 2], count) for n, count in enumerate(counts))
    order = cast.order(stripes=stripes, stripes_mirrored=mirrored)
    made = fitted_stripes(order, heddled)
    ends = -(-heddled // 2) if mirrored else heddled
    if made is None:
        assert ends < len(counts) * max(1, round(ends / sum(counts)))
        return
    assert min(stripe.ends for stripe in made) >= 1
    assert ends % sum(stripe.ends for stripe in made) == 0
    runs = len(made) // len(counts)
    assert [stripe.yarn for stripe in made] == [stripe.yarn for stripe in stripes] * runs


def test_a_run_that_divides_the_web_stays_one_run():
    order = cast.order(stripes=(Stripe("fern", 12), Stripe("chalk", 4)))
    assert fitted_stripes(order, 160) == order.stripes
    assert fitted_stripes(order, 170) == (Stripe("fern", 13), Stripe("chalk", 4))
    long = fitted_stripes(order, 163)
    assert long is not None
    assert (len(long), sum(stripe.ends for stripe in long)) == (20, 163)
    assert {stripe.ends for stripe in long} == {12, 13, 4, 5}
