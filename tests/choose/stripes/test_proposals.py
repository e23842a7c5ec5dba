"""Orders of stripes: by their definitions, within their limits, and judged by what the shelf gives."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.choose.stripes.proposals import KINDS, Limits, arithmetic, fibonacci, propose
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from loomready.warp.shelf import Shelf
from tests import cast

YARNS = ("fern", "chalk")


def proposed(limits: Limits | None = None, seed: int = 1, yarns=YARNS, **more: object):
    guild, drafts = cast.guild(**more), cast.drafts()
    plan = plan_guild(guild, drafts).warps[0]
    return {
        each.kind: each
        for each in propose(plan, yarns, guild, drafts, Shelf(guild), limits=limits, seed=seed)
    }


@given(st.integers(1, 400))
def test_fibonacci_widths_are_the_sums_of_the_two_before(most):
    widths = list(fibonacci(most))
    assert widths[:2] == [1, 2][: len(widths)]
    assert all(c == a + b for a, b, c in zip(widths, widths[1:], widths[2:], strict=False))
    assert all(width <= most for width in widths)


@given(st.integers(1, 40), st.integers(0, 60), st.integers(1, 12))
def test_an_arithmetic_progression_grows_by_one_step_and_keeps_its_limits(first, more, count):
    widths = arithmetic(first, first + more, count)
    assert len(widths) == count
    assert widths[0] == first
    assert widths[-1] <= first + more
    assert len({b - a for a, b in itertools.pairwise(widths)}) <= 1


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 10), st.integers(0, 40), st.integers(1, 10), st.integers(0, 999))
def test_every_stripe_keeps_its_limits(narrowest, more, count, seed):
    limits = Limits(narrowest, narrowest + more, count)
    for each in proposed(limits, seed).values():
        assert all(narrowest <= stripe.ends <= narrowest + more for stripe in each.stripes)
        assert {stripe.yarn for stripe in each.stripes} <= set(YARNS)
        assert each.plan.order.stripes == each.stripes


def test_each_kind_is_what_its_name_says():
    found = proposed(Limits(2, 16, 8))
    widths = {kind: [stripe.ends for stripe in each.stripes] for kind, each in found.items()}
    assert set(found) == set(KINDS)
    assert widths["even"] == [9] * 2  # one stripe of each yarn
    assert widths["growing"] == [2, 4, 6, 8, 10, 12, 14, 16]
    assert widths["shrinking"] == widths["growing"][::-1]
    assert widths["growing and shrinking"] == [*range(2, 17, 2), *range(14, 2, -2)]
    assert widths["fibonacci"] == [2, 3, 5, 8, 13] * 2
    yarns = [stripe.yarn for stripe in found["fibonacci"].stripes]
    assert yarns == ["fern", "chalk"] * 5  # goes on where the widths begin again


def test_a_seed_gives_the_same_stripes_again_and_another_one_others():
    one, again, other = (proposed(seed=seed)["random"].stripes for seed in (7, 7, 8))
    assert one == again != other


@given(st.integers(0, 500))
@settings(max_examples=15, deadline=None)
def test_at_random_no_yarn_stands_twice_running(seed):
    yarns = [stripe.yarn for stripe in proposed(Limits(2, 9, 8), seed)["random"].stripes]
    assert all(a != b for a, b in itertools.pairwise([*yarns, yarns[0]]))


def test_what_the_shelf_gives_stands_first_and_what_is_short_is_named():
    cones = (cast.cone("fern-1"), cast.cone("chalk-1", cast.CHALK, meters=1490.0))
    guild, drafts = cast.guild(cones=cones), cast.drafts()
    plan = plan_guild(guild, drafts).warps[0]
    found = propose(plan, YARNS, guild, drafts, Shelf(guild))
    enough = [each.enough for each in found]
    assert enough == sorted(enough, reverse=True)
    assert any(enough)
    assert not all(enough)
    for each in found:
        for key, ends, weft_m in each.missing:
            assert key == "chalk"
            assert ends or weft_m
    whole = [each.whole for each in found if each.enough]
    assert whole == sorted(whole, reverse=True)


@pytest.mark.parametrize("yarns", [(), ("plum",), ("fern", "plum")])
def test_yarns_that_are_not_there_are_refused(yarns):
    with pytest.raises(BadInput):
        proposed(yarns=yarns)


@pytest.mark.parametrize("limits", [(0, 4, 3), (5, 4, 3), (2, 4, 0), (2, 4, 999)])
def test_limits_that_mean_nothing_are_refused(limits):
    with pytest.raises(BadInput):
        Limits(*limits)
