"""Words for how hues stand to one another."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.choose.colors.hues import WORDS, angles_between, relation


def colors(*hues: float | None) -> list[list[float]]:
    """OKLab colors of one lightness; None: a gray."""
    return [
        [0.6, 0.0, 0.0]
        if hue is None
        else [0.6, 0.1 * np.cos(np.deg2rad(hue)), 0.1 * np.sin(np.deg2rad(hue))]
        for hue in hues
    ]


@pytest.mark.parametrize(
    ("hues", "word"),
    [
        ((None,), "neutrals"),
        ((None, None), "neutrals"),
        ((40,), "one hue"),
        ((40, None), "one hue"),
        ((350, 5), "one hue"),
        ((350, 40), "analogous"),
        ((10, 45, 80), "analogous"),
        ((30, 210), "complementary"),
        ((20, 35, 205), "complementary"),
        ((355, 170, None), "complementary"),
        ((0, 120, 240), "triad"),
        ((15, 130, 250), "triad"),
        ((0, 100), "contrasting"),
        ((0, 90, 180), "contrasting"),
    ],
)
def test_each_relation_has_its_word(hues: tuple[float | None, ...], word: str) -> None:
    assert relation(colors(*hues)) == word


@given(st.lists(st.floats(0, 359.99), min_size=1, max_size=5), st.floats(0, 360), st.randoms())
def test_the_order_of_the_colors_does_not_matter(hues: list[float], turn: float, random: object) -> None:
    word = relation(colors(*hues))
    assert word in WORDS
    random.shuffle(hues)  # type: ignore[attr-defined]
    assert relation(colors(*hues)) == word


def test_angles_go_the_short_way_round_and_a_gray_has_none() -> None:
    apart = angles_between(colors(350, 20, 170, None))
    assert apart[0].tolist() == pytest.approx([0, 30, 180, 0])
    assert (apart == apart.T).all()
