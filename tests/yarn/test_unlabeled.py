"""Yarn without a label."""

from __future__ import annotations

import hypothesis.strategies as st
import pytest
from hypothesis import given

from loomready.problems import BadInput
from loomready.yarn.diameter import diameter_mm
from loomready.yarn.unlabeled import from_measured, from_wraps


def test_a_measured_length_gives_its_grist() -> None:
    assert from_measured(50.0, 7.4, scale_step_g=0.1).tex == pytest.approx(148.0)


@given(st.floats(1, 500), st.floats(1, 500), st.floats(1.1, 10))
def test_a_longer_sample_is_surer(length: float, weight: float, times: float) -> None:
    short, long = from_measured(length, weight), from_measured(times * length, times * weight)
    assert long.tolerance < short.tolerance
    assert long.tex == pytest.approx(short.tex)


def test_the_tape_sets_the_limit_of_a_heavy_sample() -> None:
    assert from_measured(10_000, 1480).tolerance == pytest.approx(0.02, abs=1e-4)


def test_a_sample_too_light_for_its_scale_is_refused() -> None:
    with pytest.raises(BadInput, match="too light"):
        from_measured(3.0, 0.4, scale_step_g=1.0)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan")])
def test_a_sample_without_length_or_weight_is_refused(bad: float) -> None:
    for sample in ((bad, 5.0, 1.0), (5.0, bad, 1.0), (5.0, 5.0, bad)):
        with pytest.raises(BadInput, match="above 0"):
            from_measured(*sample)
    with pytest.raises(BadInput, match="above 0"):
        from_wraps(bad)


@given(st.floats(1, 60), st.booleans())
def test_wraps_are_one_over_the_diameter(wraps: float, woollen: bool) -> None:
    guess = from_wraps(wraps, woollen)
    assert 10 / diameter_mm(guess.tex, woollen) == pytest.approx(wraps)


def test_a_guess_from_wraps_is_marked_and_its_band_is_wider() -> None:
    guess, known = from_wraps(12.0), from_measured(100.0, 15.0)
    assert guess.estimated
    assert not known.estimated
    assert guess.tolerance > 2 * known.tolerance
