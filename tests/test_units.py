"""How figures are shown in the guild's units."""

import hypothesis.strategies as st
import pytest
from hypothesis import given

from loomready.units import PER_CM, Shown, read

FIGURES = st.floats(0.01, 5000)


@given(FIGURES)
def test_a_weight_in_us_units_is_in_ounces_however_small(g: float) -> None:
    assert Shown("us").weight(g).endswith(" oz")
    assert Shown("metric").weight(g).endswith(" g")


@pytest.mark.parametrize(("g", "us", "metric"), [(1, "0.04 oz", "1 g"), (8.26, "0.29 oz", "8.3 g")])
def test_a_small_weight_keeps_a_figure_more(g: float, us: str, metric: str) -> None:
    assert (Shown("us").weight(g), Shown("metric").weight(g)) == (us, metric)


def test_setts_picks_and_reeds_are_named_as_weavers_name_them() -> None:
    us, metric = Shown("us"), Shown("metric")
    twenty = 20 / 2.54
    assert (us.epi(twenty), us.ppi(twenty), us.dents(twenty)) == ("20 epi", "20 ppi", "20 dents/in")
    assert (metric.epi(8), metric.ppi(8), metric.dents(4)) == (
        "8 ends/cm",
        "8 picks/cm",
        "40 dents/10 cm",
    )


@given(st.floats(0.1, 200), st.sampled_from(["us", "metric"]))
def test_a_sett_that_is_shown_can_be_typed_in_again(per_cm: float, system) -> None:
    for text in (Shown(system).epi(per_cm), Shown(system).ppi(per_cm), Shown(system).density(per_cm)):
        assert read(text.replace(",", ""), PER_CM) == pytest.approx(per_cm, abs=0.006)
