"""Weighing against printed figures. Sources and how each was confirmed stand beside the rows.

"seen": read in a stored copy of the source; "computed": worked out with a general library.
"""

from __future__ import annotations

import pytest
from scipy import stats

from loomready.model.guild import Cone, Yarn
from loomready.yarn.cones import weighed
from loomready.yarn.counts import parse_count, yards_per_pound
from loomready.yarn.unlabeled import from_measured, from_wraps

KILO = Yarn("k", "one gram to the meter", tex=1000.0, tolerance=0.0)


def test_reading_a_scale_spreads_over_its_step() -> None:
    # JCGM 100:2008, 4.3.7: standard uncertainty a / sqrt(12) = 0.2887 a. Status: from memory
    # (the clause), and computed.
    cone = Cone("c", "k", gross_g=1000.0, tare_g=0.0, tare_sd_g=0.0, scale_step_g=10.0)
    assert weighed(cone, KILO).sd_m == pytest.approx(2.887, abs=5e-4)
    assert stats.uniform(0, 10).std() == pytest.approx(2.887, abs=5e-4)
    # A measured sample reads the same scale: 1.96 x 2.887 g in 100 g.
    assert from_measured(100.0, 100.0, 10.0, 0.0).tolerance == pytest.approx(0.05658, abs=5e-6)


def test_five_in_a_hundred_lie_below_the_sure_length() -> None:
    # JCGM 100:2008, Table G.1: 90 % lie within 1.645 standard uncertainties, so 5 % below. Status: from
    # memory; 1.6449 computed with scipy.
    cone = Cone("c", "k", gross_g=1000.0, tare_g=0.0, tare_sd_g=10.0, scale_step_g=1e-9)
    length = weighed(cone, KILO)
    sure = (length.expected_m - length.sure_m) / length.sd_m
    assert sure == pytest.approx(stats.norm.ppf(0.95), abs=5e-5)


def test_a_tolerance_is_a_95_percent_band() -> None:
    # JCGM 100:2008, Table G.1: 95 % lie within 1.960. Status: from memory; computed with scipy.
    yarn = Yarn("k", "k", tex=1000.0, tolerance=0.05)
    cone = Cone("c", "k", gross_g=1000.0, tare_g=0.0, tare_sd_g=0.0, scale_step_g=1e-9)
    band = stats.norm(loc=1000.0, scale=weighed(cone, yarn).sd_m).interval(0.95)
    assert band == pytest.approx((950.0, 1050.0), abs=0.01)


def test_a_cone_weighed_by_hand() -> None:
    # 612 g gross less 38 g, 8/2 cotton: 574 g x 6.77345 m/g = 3887.96 m. By JCGM 100:2008, 5.1.2, on paper:
    # u(w) = sqrt(1/12 + 4) = 2.02073 g, in m 13.6873; u(grist) in m 3887.96 x 0.05 / 1.96 = 99.183; together
    # 100.123 m; 3887.96 - 1.6449 x 100.123 = 3723.27 m. Status: computed.
    yarn = Yarn("s", "s", tex=parse_count("8/2 Ne").tex, tolerance=0.05)
    length = weighed(Cone("c", "s", gross_g=612.0, tare_g=38.0), yarn)
    assert length.expected_m == pytest.approx(3887.96, abs=0.01)
    assert length.sd_m == pytest.approx(100.12, abs=0.01)
    assert length.sure_m == pytest.approx(3723.27, abs=0.02)


def test_a_warp_weighs_what_the_worked_example_says() -> None:
    # Magazine worked example: 528 ends x 4 yd = 2112 yd = 0.629 lb of 8/2 cotton. Status: seen and computed.
    pounds = 528 * 4 / yards_per_pound(parse_count("8/2 cotton").tex)
    assert pounds == pytest.approx(0.629, abs=5e-4)


def test_a_guess_from_wraps_doubles_each_share_of_error() -> None:
    # Error of a product of powers: JCGM 100:2008, 5.1.6, from memory. Wraps within 10 %: common practice, no
    # source. K from 0.84 (Ashenhurst 1884, woollen) to 0.95 (Taylor, cotton, p. 453), both seen, about 0.90:
    # 6.11 % either way. hypot(20 %, 12.22 %) = 23.44 %, computed.
    assert from_wraps(8.0).tolerance == pytest.approx(0.2344, abs=1e-4)
