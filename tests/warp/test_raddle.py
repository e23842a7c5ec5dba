"""How the ends lie in a raddle."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready import guildfile
from loomready.warp.plan import plan_guild
from loomready.warp.raddle import SPACINGS, raddle_spreads


@given(st.integers(2, 3000), st.floats(50, 2500), st.sampled_from(["us", "metric"]))
def test_the_web_lies_in_the_raddle_about_as_wide_as_in_the_reed(ends, width_mm, units):
    for spread in raddle_spreads(ends, width_mm, units):
        assert len(spread.cycle) <= 4
        assert max(spread.cycle) - min(spread.cycle) <= 1
        mean = sum(spread.cycle) / len(spread.cycle)
        wanted = ends * spread.spacing_mm / width_mm
        assert abs(mean - max(wanted, 0.25)) <= 0.25
        assert (spread.spaces - 4) * mean <= ends <= (spread.spaces + 4) * mean


def test_spaces_stand_half_on_each_side_of_the_center_mark():
    half, whole = raddle_spreads(258, 291.3, "us")
    assert half.cycle == (11, 11, 11, 12)
    assert (half.spaces, half.from_center) == (23, 12)
    assert (whole.spaces, whole.from_center) == (12, 6)


@pytest.mark.parametrize("units", ["us", "metric"])
def test_the_usual_spacings_of_each_system_are_told(units):
    assert [spread.name for spread in raddle_spreads(100, 300.0, units)] == [n for _, n in SPACINGS[units]]


def test_spaces_as_in_the_reed_are_even_where_the_reed_is():
    """A dent that ends just where a space does, with 1 in for ten dents, falls into no wrong space."""
    folder = Path(__file__).parents[2] / "demo" / "warps" / "double-width"
    loaded = guildfile.load(folder / "guild.toml")
    (blanket,) = [
        each for each in plan_guild(loaded.guild, loaded.drafts).warps if each.order.key == "blanket"
    ]
    inches = blanket.raddle[1]
    assert inches.name == "1 in"
    assert inches.cycle == (10, *[20] * 30, 10)
