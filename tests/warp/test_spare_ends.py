"""Ends without a knot from a cone with knots."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready import guildfile
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from loomready.warp.spare_ends import flawed_share, spare_ends
from tests.cast import CHALK, cone, drafts, guild, order

CONE = '{{"key": "a", "yarn": "a", "gross": "500 g", "tare": "40 g", "flaws": {}}}'


def whole(ends: int, wound: int, flawed: float) -> float:
    """By adding up the binomial distribution, term by term."""
    return sum(
        math.comb(wound, k) * (1 - flawed) ** k * flawed ** (wound - k) for k in range(ends, wound + 1)
    )


def test_the_share_of_flawed_ends_is_that_of_poisson() -> None:
    # 2 in 100 m on ends of 5 m: 0.1 to the end, 1 - exp(-0.1) = 0.09516. Status: computed by hand.
    assert flawed_share(0.02, 5.0) == pytest.approx(0.09516, abs=1e-5)
    assert flawed_share(0.0, 5.0) == 0.0


@given(st.integers(1, 60), st.floats(0.0, 0.6))
def test_the_spare_ends_are_the_fewest_that_do(ends: int, flawed: float) -> None:
    spare = spare_ends(ends, flawed)
    if spare is None:
        assert whole(ends, 2 * ends, flawed) < 0.95 + 1e-9
        return
    assert whole(ends, ends + spare, flawed) >= 0.95 - 1e-9
    assert spare == 0 or whole(ends, ends + spare - 1, flawed) < 0.95 + 1e-9


@pytest.mark.parametrize(
    ("text", "per_m"),
    [('"none seen"', 0.0), ('"2 /100 yd"', 2 / 91.44), ('"3 /100 m"', 0.03), ('"0 /100 m"', 0.0)],
)
def test_flaws_are_a_number_per_length_or_none_seen(text: str, per_m: float) -> None:
    cone = guildfile.from_json("cones", CONE.format(text))
    assert cone.flaws_per_m == pytest.approx(per_m)
    assert guildfile.from_json("cones", guildfile.to_json("cones", cone)) == cone


@pytest.mark.parametrize("text", ["2", '"2"', '"some"', '"-1 /100 yd"', '"2 yd"', "true"])
def test_anything_else_is_refused_with_what_is_expected(text: str) -> None:
    with pytest.raises(BadInput, match="none seen"):
        guildfile.from_json("cones", CONE.format(text))


def said(flaws: float | None, wound: date | None = None) -> list[str]:
    cones = (replace(cone("fern-1"), flaws_per_m=flaws), cone("chalk-1", CHALK))
    plan = plan_guild(guild(order(wound=wound), cones=cones), drafts()).warps[0]
    return [problem.message for problem in plan.problems if problem.code == "flawed-yarn"]


def test_a_cone_with_knots_warns_how_many_ends_to_wind_to_spare() -> None:
    (message,) = said(0.02)
    assert message.startswith("Cone Fern green #1 has flaws: of ")
    assert " to spare, and " in message
    assert said(0.0) == said(None) == []


def test_a_warp_that_is_wound_is_not_warned_of_knots() -> None:
    assert said(0.02, wound=date(2026, 9, 20)) == []


def test_yarn_with_too_many_knots_is_no_warp_yarn() -> None:
    assert "use another cone for warp" in said(2.0)[0]


@pytest.mark.parametrize(("flawed_ends", "spare"), [(0.03, None), (0.2, 1), (1.0, 3)])
def test_ends_to_spare_are_named_even_if_it_is_one_and_not_where_none_is_needed(
    flawed_ends: float, spare: int | None
) -> None:
    """With so many flawed ends on the average; by Poisson, 1 to spare is enough for 0.05 to 0.35 of them."""
    plan = plan_guild(guild(order(), cones=(cone("fern-1"), cone("chalk-1", CHALK))), drafts()).warps[0]
    ends = sum(use.ends for need in plan.yarns for use in need.uses if use.cone == "fern-1")
    messages = said(flawed_ends / (ends * plan.warp_length_m))
    assert len(messages) == (spare is not None)
    assert all(f"wind {spare} to spare" in message for message in messages)
