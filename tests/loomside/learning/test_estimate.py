"""What was measured makes the next plan better: the posterior's laws, and figures worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, stats

from loomready.loomside.learning.estimate import Observation, Prior, estimate, posterior
from loomready.loomside.learning.finished_warps import (
    PRIORS,
    About,
    ProjectRecord,
    Worked,
    believable,
    grist,
    measured,
    rate,
    share,
    waste,
)

Seen = list[tuple[float, float]]
VALUES = st.floats(-1, 1)
SDS = st.floats(0.001, 1)
SEEN = st.lists(st.tuples(VALUES, SDS), max_size=8)


@settings(max_examples=60)
@given(VALUES, SDS, SEEN, st.randoms())
def test_the_order_of_measurements_does_not_matter(
    mean: float, sd: float, seen: Seen, random: Random
) -> None:
    mixed = list(seen)
    random.shuffle(mixed)
    assert posterior(mean, sd, seen) == posterior(mean, sd, mixed)


@settings(max_examples=60)
@given(VALUES, SDS, SEEN, SEEN)
def test_learning_in_two_steps_is_learning_at_once(mean: float, sd: float, first: Seen, then: Seen) -> None:
    between = posterior(mean, sd, first)
    assert posterior(*between, then) == pytest.approx(posterior(mean, sd, first + then), rel=1e-6, abs=1e-9)


@settings(max_examples=8, deadline=None)
@given(
    st.floats(-0.5, 0.5), st.floats(0.05, 0.5), st.lists(st.tuples(VALUES, st.floats(0.05, 1)), max_size=3)
)
def test_it_is_the_posterior_that_integrating_gives(mean: float, sd: float, seen: Seen) -> None:
    """Prior times likelihood, integrated numerically."""

    def weight(true: float) -> float:
        density = stats.norm.pdf(true, mean, sd)
        for value, spread in seen:
            density *= stats.norm.pdf(value, true, spread)
        return float(density)

    got_mean, got_sd = posterior(mean, sd, seen)
    low, high = got_mean - 12 * got_sd, got_mean + 12 * got_sd
    whole, _ = integrate.quad(weight, low, high, epsabs=0, points=[got_mean])
    first, _ = integrate.quad(lambda x: x * weight(x) / whole, low, high, epsabs=1e-9, points=[got_mean])
    assert first == pytest.approx(got_mean, abs=1e-5)
    second, _ = integrate.quad(lambda x: (x - first) ** 2 * weight(x) / whole, low, high, points=[got_mean])
    assert math.sqrt(second) == pytest.approx(got_sd, rel=1e-4)


def test_without_data_it_is_the_default_with_its_own_doubt() -> None:
    prior = Prior(0.10, sd=0.04, spread=0.015)
    found = estimate(prior, [])
    assert (found.mean, found.sd, found.warps) == (0.10, 0.04, ())


def test_few_data_stay_between_default_and_mean_and_many_come_to_the_mean() -> None:
    prior = Prior(0.10, sd=0.04, spread=0.02)
    one = estimate(prior, [Observation(0.06, 0.005, "a")])
    assert 0.06 < one.mean < 0.10
    many = estimate(prior, [Observation(0.06, 0.005, f"w{n}") for n in range(500)])
    assert many.mean == pytest.approx(0.06, abs=2e-4)
    assert many.sd < one.sd < prior.sd
    assert many.count == 500


def test_a_warp_of_another_kind_says_less() -> None:
    prior = Prior(0.10, sd=0.04, spread=0.02)
    near = estimate(prior, [Observation(0.06, 0.005, "a")])
    far = estimate(prior, [Observation(0.06, 0.005, "a", far=2.0)])
    assert near.mean < far.mean < prior.mean


def test_rates_are_learned_by_their_logarithm() -> None:
    prior = Prior(100.0, sd=0.5, spread=1e-9, in_logs=True)
    found = estimate(prior, [Observation(400.0, 0.5, "a")])
    assert found.mean == pytest.approx(200.0)  # halfway, each as sure as the other
    assert found.low < found.mean < found.high
    assert found.high / found.mean == pytest.approx(found.mean / found.low)


RESULT = ProjectRecord(
    warp="aprons",
    loom="porch",
    structure="twill",
    warp_yarns=("sand", "pine"),
    weft_yarns=("sand",),
    warp_ends={"sand": 300, "pine": 100},
    label_m_per_g={"sand": 6.0, "pine": 6.0},
    width_in_reed_mm=500.0,
    warp_length_m=5.0,
    unwoven_m=0.2,
    fell_width_mm=460.0,
    tense_length_m=4.0,
    off_length_m=3.75,
    washed_width_mm=414.0,
    washed_length_m=3.45,
    waste_m=0.675,
    picks_per_cm=8.0,
    warp_g={"sand": 250.0, "pine": 80.0},
    weft_g={"sand": 260.0},
    worked=(Worked("winding", 4.0), Worked("sleying", 1.0, people=2), Worked("weaving", 10.0)),
)
LIKE = About("porch", "twill", ("sand",), ("sand",))


def test_each_figure_is_reckoned_as_the_plan_reckons_it_backward() -> None:
    found = {name: value for name, (value, _) in measured(RESULT).items()}
    assert found["take_up"] == pytest.approx((5 - 0.2 - 0.675) / 3.75 - 1)  # 10 %
    assert found["draw_in"] == pytest.approx(0.08)
    assert found["shrink_length"] == pytest.approx(0.08)
    assert found["shrink_width"] == pytest.approx(0.10)
    assert found["waste"] == 0.675
    assert found["grist sand"] == pytest.approx(300 * 5 / 250)
    assert found["grist pine"] == pytest.approx(100 * 5 / 80)
    # 3000 picks of half a meter; 260 g at the 6 m/g that the warp showed
    assert found["weft_take_up"] == pytest.approx(260 * 6.0 / 1500 - 1)
    assert found["rate winding"] == 100
    assert found["rate sleying"] == 200
    assert found["rate weaving"] == pytest.approx(300)


def test_the_length_under_tension_stands_in_where_no_other_was_measured() -> None:
    found = measured(replace(RESULT, off_length_m=None))
    assert found["take_up"][0] == pytest.approx((5 - 0.2 - 0.675) / 4.0 - 1)


def test_what_was_not_measured_is_not_told() -> None:
    bare = ProjectRecord("x", "porch", "plain", ("sand",), ("sand",), {"sand": 10}, {"sand": 6.0}, 100.0, 2.0)
    assert measured(bare) == {}


def test_a_short_cloth_is_known_less_surely_than_a_long_one() -> None:
    long = measured(RESULT)["take_up"][1]
    short = measured(
        replace(RESULT, warp_length_m=1.4, unwoven_m=0, waste_m=0.3, off_length_m=1.0, tense_length_m=None)
    )["take_up"][1]
    assert short > long


def test_only_warps_of_the_yarn_and_structure_count() -> None:
    results = [
        RESULT,
        replace(RESULT, warp="plain", structure="plain"),
        replace(RESULT, warp="other", warp_yarns=("wool",)),
    ]
    found = share("take_up", LIKE, results)
    assert found.warps == ("aprons",)
    assert share("weft_take_up", LIKE, results).warps == ("aprons", "other")
    assert share("take_up", About("porch", "lace", ("sand",), ()), results).mean == PRIORS["take_up"].mean


def test_draw_in_on_another_loom_says_less_and_shrinkage_as_much() -> None:
    elsewhere = replace(RESULT, loom="attic")
    assert share("draw_in", LIKE, [elsewhere]).sd > share("draw_in", LIKE, [RESULT]).sd
    assert share("shrink_width", LIKE, [elsewhere]).sd == share("shrink_width", LIKE, [RESULT]).sd


def test_a_misread_tape_is_told_but_not_learned() -> None:
    wrong = replace(RESULT, off_length_m=37.5)
    value = measured(wrong)["take_up"][0]
    assert not believable("take_up", value, wrong)
    assert share("take_up", LIKE, [wrong]).warps == ()


def test_loom_waste_grist_and_rates_come_near_what_was_measured() -> None:
    assert 0.55 < waste("porch", 0.55, [RESULT]).mean < 0.675
    assert waste("attic", 0.55, [RESULT]).warps == ()
    found = grist("pine", 6.0, 0.05, [RESULT])
    assert 6.0 < found.mean < 6.25
    assert found.sd < 0.05 / 1.96
    assert 100 < rate("winding", "attic", [RESULT]).mean < 120
    assert rate("threading", "porch", [RESULT]).warps == ()


def test_yarn_that_was_weighed_but_gave_no_end_or_was_not_weighed_has_no_grist() -> None:
    odd = replace(RESULT, warp_ends={"sand": 300, "pine": 0}, warp_g={"sand": 250.0, "pine": 80.0})
    assert {key for key in measured(odd) if key.startswith("grist")} == {"grist sand"}
    unweighed = replace(RESULT, warp_g={"sand": 250.0, "pine": 0.0})
    assert {key for key in measured(unweighed) if key.startswith("grist")} == {"grist sand"}
