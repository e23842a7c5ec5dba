"""Turns of the beam against geometry: the ring's area, and the spiral's own length by quadrature."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from loomready.loomside.steps.beam_turns import beaming, layer_mm, length_of_turns_m, turns_of_length
from loomready.problems import BadInput

AROUND = st.floats(100, 1500)
LAYER = st.floats(0.1, 6)


@settings(max_examples=60)
@given(AROUND, LAYER, st.floats(0.05, 60))
def test_the_warp_fills_the_ring_between_bare_and_full_beam(
    around_mm: float, layer: float, turns: float
) -> None:
    bare = around_mm / (2 * math.pi)
    full = bare + turns * layer
    ring = math.pi * (full * full - bare * bare)
    assert length_of_turns_m(turns, around_mm, layer) * 1000 * layer == pytest.approx(ring, rel=1e-9)


@settings(max_examples=30)
@given(st.floats(150, 1500), st.floats(0.1, 3), st.integers(1, 40))
def test_the_length_is_that_of_the_spiral_at_the_middle_of_its_layer(
    around_mm: float, layer: float, turns: int
) -> None:
    """Arc length of r(a) = bare + layer / 2 pi x a + half a layer's growth, integrated numerically."""
    bare = around_mm / (2 * math.pi)
    step = layer / (2 * math.pi)
    arc, _ = quad(lambda angle: math.hypot(bare + step * angle, step), 0, 2 * math.pi * turns, limit=200)
    assert length_of_turns_m(turns, around_mm, layer) * 1000 == pytest.approx(arc, rel=2e-3)


@settings(max_examples=60)
@given(AROUND, LAYER, st.floats(0.1, 200))
def test_turns_and_length_are_each_other_backward(around_mm: float, layer: float, length_m: float) -> None:
    turns = turns_of_length(length_m, around_mm, layer)
    assert length_of_turns_m(turns, around_mm, layer) == pytest.approx(length_m, rel=1e-9)


@settings(max_examples=40)
@given(AROUND, LAYER, st.floats(0.1, 60))
def test_each_turn_takes_two_pi_layers_more_than_the_one_before(
    around_mm: float, layer: float, length_m: float
) -> None:
    done = beaming(length_m, around_mm, layer)
    assert done.turn_ends_m[-1] == pytest.approx(length_m)
    whole = [0.0, *done.turn_ends_m[: math.floor(done.turns)]]
    took = [(b - a) * 1000 for a, b in itertools.pairwise(whole)]
    more = [b - a for a, b in itertools.pairwise(took)]
    assert more == pytest.approx([2 * math.pi * layer] * len(more), abs=1e-6)


def test_a_thin_layer_winds_as_on_a_bare_beam() -> None:
    assert turns_of_length(5.0, 500, 1e-9) == pytest.approx(10)
    assert beaming(5.0, 500, 1e-9).whole_turns == 10


def test_sticks_lie_so_close_that_no_gap_is_wider_than_asked() -> None:
    done = beaming(3.0, 500, 0.5, stick_every_mm=100)
    assert done.sticks[0] == 6  # the first turn takes 501.6 mm
    lengths = [b - a for a, b in zip((0.0, *done.turn_ends_m), done.turn_ends_m, strict=False)]
    assert all(1000 * each / count <= 100.000001 for each, count in zip(lengths, done.sticks, strict=True))


def test_sticks_in_the_first_turns_only_and_paper_all_along() -> None:
    done = beaming(3.0, 500, 0.5, stick_every_mm=100, stick_turns=1, paper=True)
    assert done.sticks[0] > 0
    assert set(done.sticks[1:]) == {0}
    assert done.paper_m == 3.0


def test_a_close_warp_lies_more_than_one_deep() -> None:
    assert layer_mm(5, 0.5) == 0.5
    assert layer_mm(40, 0.5) == pytest.approx(1.0)
    assert layer_mm(5, 0.5, 0.2) == pytest.approx(0.7)


@pytest.mark.parametrize(
    "wrong", [(0, 500, 0.5), (-1, 500, 0.5), (5, 3, 0.5), (5, 500, 0), (math.nan, 500, 0.5)]
)
def test_what_is_no_beam_or_warp_is_refused(wrong: tuple[float, float, float]) -> None:
    with pytest.raises(BadInput):
        beaming(*wrong)


def test_sticks_too_close_are_refused() -> None:
    with pytest.raises(BadInput):
        beaming(3, 500, 0.5, stick_every_mm=0)


def test_a_warp_of_whole_turns_has_no_turn_begun_at_its_end() -> None:
    for turns in (1, 2, 7):
        length_m = length_of_turns_m(turns, 500, 0.4)
        done = beaming(length_m, 500, 0.4)
        assert len(done.turn_ends_m) == turns
        assert done.turn_ends_m[-1] == pytest.approx(length_m)
    assert len(beaming(length_of_turns_m(2, 500, 0.4) + 0.01, 500, 0.4).turn_ends_m) == 3


@pytest.mark.parametrize("length_m", [0.3, 1.0, 10_000.0])
def test_a_short_warp_and_a_very_long_one_are_beamed(length_m: float) -> None:
    assert beaming(length_m, 500, 0.4).turn_ends_m[-1] == pytest.approx(length_m)


@pytest.mark.parametrize("length_m", [0.0, -1.0, 10_000.1, math.inf])
def test_what_is_no_length_of_a_warp_is_not_beamed(length_m: float) -> None:
    with pytest.raises(BadInput, match="expected more than 0 and at most 10 000 m"):
        beaming(length_m, 500, 0.4)
