"""The published checks bite: a constant of the trade that is off by 1 % fails the check that is named here.

Every number that stands by name in these modules is either bitten or owned up to as a choice of ours.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import pytest

from loomready.warp import sett, sett_charts, uneven_sett
from loomready.yarn import cones, counts, cover, diameter, unlabeled
from tests.published import test_sett_and_cover, test_weighing, test_yarn_counts

MODULES = (counts, cones, cover, diameter, unlabeled, sett, sett_charts, uneven_sett)

# Module, constant, and the published check that a wrong value fails. A table is bitten in each of its values.
BITES: list[tuple[ModuleType, str, Callable[..., None]]] = [
    (counts, "YARDS_PER_POUND", test_yarn_counts.test_tex_times_count_is_the_published_constant),
    (counts, "TEX_TIMES_NM", test_yarn_counts.test_metric_count_is_yards_per_pound_over_496_055),
    (counts, "DENIER_PER_TEX", test_yarn_counts.test_denier_is_nine_tex),
    (cones, "STEP_VARIANCE_DIVISOR", test_weighing.test_reading_a_scale_spreads_over_its_step),
    (cones, "BAND_95", test_weighing.test_a_tolerance_is_a_95_percent_band),
    (cones, "SURE_95", test_weighing.test_five_in_a_hundred_lie_below_the_sure_length),
    (diameter, "ASHENHURST_K", test_sett_and_cover.test_diameters_to_the_inch),
    (diameter, "ASHENHURST_K", test_sett_and_cover.test_the_greatest_sett_of_a_weave),
    (diameter, "ASHENHURST_K", test_sett_and_cover.test_wraps_give_the_grist_back),
    (diameter, "ASHENHURST_K", test_sett_and_cover.test_taylors_cottons_lie_finer_by_his_factor),
    (diameter, "ASHENHURST_K_WOOLLEN", test_sett_and_cover.test_diameters_to_the_inch),
    (cover, "PEIRCE_DIAMETERS", test_sett_and_cover.test_peirces_diameter_and_cover),
    (cover, "BRIERLEY_K", test_sett_and_cover.test_brierleys_greatest_sett),
    (cover, "BRIERLEY_M", test_sett_and_cover.test_brierleys_greatest_sett),
    (cover, "TAYLOR_FACTOR", test_sett_and_cover.test_taylors_contraction),
    (unlabeled, "K_TOLERANCE", test_weighing.test_a_guess_from_wraps_doubles_each_share_of_error),
    (unlabeled, "WRAPS_TOLERANCE", test_weighing.test_a_guess_from_wraps_doubles_each_share_of_error),
    (sett, "WORKING_FIRMNESS", test_sett_and_cover.test_ordinary_cloth_has_80_percent),
    (sett_charts, "CHART", test_sett_and_cover.test_charts),
]

# Limits that nobody published: how far a rule is trusted, and when a sign counts.
OUR_CHOICES = {
    (counts, "MOST_PLIES"),
    (unlabeled, "LENGTH_TOLERANCE"),
    (cover, "TAYLOR_COARSEST_NE"),
    (sett, "PLAIN_SHARE"),
    (sett, "SAME_YARN"),
    (sett_charts, "CHART_BAND"),
    (uneven_sett, "REP_COVER"),
    (uneven_sett, "LACE_SPOTS"),
    (uneven_sett, "LACE_AND_GROUND"),
}

# Conversions that come through the units: yard, pound and inch.
CONVERSIONS: list[tuple[ModuleType, Callable[..., None]]] = [
    (counts, test_yarn_counts.test_yarns_have_their_published_grist),
    (diameter, test_sett_and_cover.test_diameters_to_the_inch),
    (cover, test_sett_and_cover.test_peirces_diameter_and_cover),
]


def run(check: Callable[..., Any]) -> None:
    """A published check over all its rows."""
    rows: list[tuple[Any, ...]] = [()]
    for mark in getattr(check, "pytestmark", []):
        names, values = mark.args
        single = isinstance(names, str) and "," not in names
        rows = [(value,) if single else tuple(value) for value in values]
    for row in rows:
        check(*row)


def spoiled(value: Any) -> Iterator[tuple[str, Any]]:
    """The constant with each of its numbers 1 % too great, in turn."""
    if isinstance(value, float):
        yield "", value * 1.01
    elif isinstance(value, dict):
        for key in value:
            for which, wrong in spoiled(value[key]):
                yield f"{key} {which}", {**value, key: wrong}
    elif isinstance(value, tuple):
        for place, each in enumerate(value):
            for which, wrong in spoiled(each):
                yield f"{place} {which}", (*value[:place], wrong, *value[place + 1 :])
    elif isinstance(value, sett_charts.ChartRow):
        for which, wrong in spoiled(value.per_inch):
            yield f"{value.count} {which}", dataclasses.replace(value, per_inch=wrong)
    elif isinstance(value, int):
        yield "", value * 1.01


CASES = [
    pytest.param(module, name, wrong, check, id=f"{module.__name__.split('.')[-1]}.{name} {which}".strip())
    for module, name, check in BITES
    for which, wrong in spoiled(getattr(module, name))
]


@pytest.mark.parametrize(("module", "name", "wrong", "check"), CASES)
def test_a_constant_off_by_1_percent_fails_its_check(
    monkeypatch: pytest.MonkeyPatch, module: ModuleType, name: str, wrong: Any, check: Callable[..., None]
) -> None:
    run(check)
    monkeypatch.setattr(module, name, wrong)
    with pytest.raises(AssertionError):
        run(check)


@pytest.mark.parametrize(("module", "check"), CONVERSIONS)
def test_a_conversion_off_by_1_percent_fails_its_check(
    monkeypatch: pytest.MonkeyPatch, module: ModuleType, check: Callable[..., None]
) -> None:
    run(check)
    right = module.factor
    monkeypatch.setattr(module, "factor", lambda inside, unit: 1.01 * right(inside, unit))
    with pytest.raises(AssertionError):
        run(check)


def test_a_lost_ply_rule_of_spun_silk_fails_its_check(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(counts, "_RESULTANT_SYSTEMS", frozenset())
    with pytest.raises(AssertionError):
        run(test_yarn_counts.test_yarns_have_their_published_grist)


def test_every_named_number_is_bitten_or_owned_up_to() -> None:
    named = {
        (module, name)
        for module in MODULES
        for name, value in vars(module).items()
        if name.isupper() and not name.startswith("_") and next(spoiled(value), None) is not None
    }
    assert named == {(module, name) for module, name, _ in BITES} | OUR_CHOICES
