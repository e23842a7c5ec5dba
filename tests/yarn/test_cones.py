"""How far the yarn on the shelf goes: expected, and surely."""

from __future__ import annotations

import math
from dataclasses import replace

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from loomready.model.guild import Cone, Yarn
from loomready.yarn.cones import heavier, pooled, weighed


@st.composite
def cones(draw: st.DrawFn) -> Cone:
    tare = draw(st.floats(0, 100))
    return Cone(
        "c",
        "y",
        gross_g=tare + draw(st.floats(0, 2000)),
        tare_g=tare,
        tare_sd_g=draw(st.floats(0, 10)),
        scale_step_g=draw(st.floats(0.01, 10)),
    )


def test_a_cone_is_heavier_only_beyond_what_scale_and_tare_leave_open() -> None:
    # u = sqrt(2 (1/12 + 2^2)) g = 2.86 g for both weighings together; 1.96 u = 5.6 g
    before = Cone("c", "y", gross_g=200, tare_g=38)
    assert not heavier(replace(before, gross_g=205), before)
    assert heavier(replace(before, gross_g=206), before)
    assert not heavier(replace(before, gross_g=206, tare_g=44), before)
    assert not heavier(replace(before, gross_g=206, tare_sd_g=4), before)
    assert not heavier(replace(before, gross_g=100), before)


YARNS = st.builds(Yarn, st.just("y"), st.just("y"), tex=st.floats(5, 2000), tolerance=st.floats(0, 0.5))


@given(cones(), YARNS)
def test_the_sure_length_is_never_more_than_the_expected(cone: Cone, yarn: Yarn) -> None:
    length = weighed(cone, yarn)
    assert 0 <= length.sure_m <= length.expected_m
    assert length.sd_m > 0


@given(st.lists(cones(), min_size=1, max_size=6), YARNS)
def test_pooled_cones_are_surer_than_each_by_itself(many: list[Cone], yarn: Yarn) -> None:
    each = [weighed(cone, yarn) for cone in many]
    together = pooled(many, yarn)
    assert together.expected_m == pytest.approx(sum(one.expected_m for one in each))
    assert together.sd_m <= sum(one.sd_m for one in each) * (1 + 1e-9)
    if all(one.sure_m > 0 for one in each):
        assert together.sure_m >= sum(one.sure_m for one in each) * (1 - 1e-9)


@given(st.integers(1, 9), YARNS)
def test_an_error_in_the_grist_does_not_cancel_between_cones(count: int, yarn: Yarn) -> None:
    cone = Cone("c", "y", gross_g=540, tare_g=40, tare_sd_g=0, scale_step_g=1e-9)
    assert pooled([cone] * count, yarn).sd_m == pytest.approx(count * weighed(cone, yarn).sd_m, abs=1e-6)


def test_weighing_errors_cancel_in_part() -> None:
    yarn = Yarn("y", "y", tex=100, tolerance=0)
    cone = Cone("c", "y", gross_g=540, tare_g=40)
    assert pooled([cone] * 9, yarn).sd_m == pytest.approx(3 * weighed(cone, yarn).sd_m)


def test_no_cones_give_no_yarn() -> None:
    nothing = pooled([], Yarn("y", "y", tex=100))
    assert (nothing.expected_m, nothing.sd_m, nothing.sure_m) == (0, 0, 0)


def test_a_nearly_bare_cone_gives_nothing_for_sure() -> None:
    assert weighed(Cone("c", "y", gross_g=41, tare_g=40), Yarn("y", "y", tex=100)).sure_m == 0


@settings(max_examples=5, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_a_thousand_shelves_hold_at_least_the_sure_length_in_95_of_100_cases(seed: int) -> None:
    """Monte Carlo: what the shelf truly holds, given what scale and label say."""
    rng = np.random.default_rng(seed)
    yarn = Yarn("y", "y", tex=120, tolerance=0.06)
    shelf = [Cone(f"c{n}", "y", gross_g=200 + 90 * n, tare_g=40, scale_step_g=5) for n in range(4)]
    trials = 20_000
    reading = rng.uniform(-2.5, 2.5, (trials, 4)) + rng.normal(0, 2, (trials, 4))
    net = np.array([cone.net_g for cone in shelf]) + reading
    grist = yarn.grist_m_per_g * (1 + rng.normal(0, 0.06 / 1.96, trials))
    holds = net.sum(axis=1) * grist
    share = (holds >= pooled(shelf, yarn).sure_m).mean()
    assert share == pytest.approx(0.95, abs=5 * math.sqrt(0.05 * 0.95 / trials))
