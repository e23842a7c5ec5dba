"""Diameter, sett and cover against printed figures. Sources and how each was confirmed stand beside the rows.

"seen": read in a stored copy of the source; "computed": worked out with a general library.
"""

from __future__ import annotations

import numpy as np
import pytest

from loomready.draft.draft import lift_plan
from loomready.draft.structure.analysis import interlacements
from loomready.draft.structure.layers import layers_of
from loomready.model.guild import Yarn
from loomready.warp import sett
from loomready.warp.sett import sett_from_firmness
from loomready.warp.sett_charts import Kind, chart_sett
from loomready.yarn import cover
from loomready.yarn.counts import parse_count, tex_of
from loomready.yarn.diameter import diameter_mm
from loomready.yarn.unlabeled import from_wraps

PER_INCH = 2.54  # threads per cm to threads per inch

PLAIN = [[1], [2]]
TWILL_2_1 = [[1, 2], [2, 3], [1, 3]]
TWILL_2_2 = [[1, 2], [2, 3], [3, 4], [1, 4]]
SATIN_5 = [[1], [3], [5], [2], [4]]


# T. R. Ashenhurst, A Treatise on Textile Calculations, 1884 (title from memory): K sqrt(yd/lb) diameters per
# inch, K 0.90 firm yarns, 0.84 woollen. Status: seen; the 52.17 of 8/2 cotton and what 10 000 yd/lb gives
# computed.
DIAMETERS = [("8/2 cotton", False, 52.17), ("10000 yd/lb", False, 90.0), ("10000 yd/lb", True, 84.0)]


@pytest.mark.parametrize(("text", "woollen", "per_inch"), DIAMETERS)
def test_diameters_to_the_inch(text: str, woollen: bool, per_inch: float) -> None:
    assert 25.4 / diameter_mm(parse_count(text).tex, woollen) == pytest.approx(per_inch, abs=0.006)


def test_wraps_give_the_grist_back() -> None:
    # Ashenhurst 1884 the other way round. Status: seen and computed.
    assert from_wraps(52.17 / PER_INCH).tex == pytest.approx(147.64, abs=0.05)


# Ashenhurst 1884: greatest sett = D W / (W + I), for 8/2 cotton. Status: seen and computed.
GREATEST = [(PLAIN, 2, 26.08), (TWILL_2_1, 3, 31.30), (TWILL_2_2, 4, 34.78), (SATIN_5, 5, 37.26)]


@pytest.mark.parametrize(("lifts", "shafts", "per_inch"), GREATEST)
def test_the_greatest_sett_of_a_weave(lifts: list[list[int]], shafts: int, per_inch: float) -> None:
    e, p, i = interlacements(lift_plan(range(1, shafts + 1), lifts))
    d = diameter_mm(parse_count("8/2 cotton").tex)
    assert sett_from_firmness(1.0, e, p, i, d, d) * PER_INCH == pytest.approx(per_inch, abs=0.01)


def test_the_greatest_sett_of_a_double_plain_cloth_is_twice_that_of_plain_weave() -> None:
    # Ashenhurst 1884, for each layer separately: 8/2 cotton, 2 x 26.08. Status: seen (26.08) and computed.
    double = lift_plan([1, 2, 3, 4], [[1], [1, 2, 3], [3], [1, 3, 4]])
    d = diameter_mm(parse_count("8/2 cotton").tex)
    setts = [
        sett_from_firmness(1.0, *interlacements(layer.draft), d, d) * PER_INCH
        for layer in layers_of(double, 2)
    ]
    assert setts == pytest.approx([26.08, 26.08], abs=0.01)


def test_ordinary_cloth_has_80_percent() -> None:
    # Ashenhurst's tradition: 3/4 of the greatest sett is workable, 80 % for ordinary cloth. Status: seen.
    yarn = Yarn("y", "y", parse_count("8/2 cotton").tex, "cotton")
    d = diameter_mm(yarn.tex)
    plain = np.eye(2, dtype=bool)
    advice = sett.setts(cloths=[sett.Cloth(2, 2, 4, d, d)], block=plain, warp=yarn, weft=yarn)
    assert advice.formula_per_cm / advice.greatest_per_cm == pytest.approx(0.80)
    assert advice.formula_per_cm * PER_INCH == pytest.approx(0.80 * 26.08, abs=0.01)


# J. T. Taylor, Cotton Weaving and Designing, 6th ed., pp. 453, 458: with K 0.95 for cotton, diameters per
# inch. Status: seen and computed. loomready keeps Ashenhurst's 0.90, so the ratio of the two is put in.
TAYLOR_DIAMETERS = [(15, 106.5, 0.3), (32, 156.0, 0.3), (60, 213.0, 0.5)]


@pytest.mark.parametrize(("count", "diameters", "within"), TAYLOR_DIAMETERS)
def test_taylors_cottons_lie_finer_by_his_factor(count: float, diameters: float, within: float) -> None:
    per_inch = 25.4 / diameter_mm(tex_of(count, "cotton")) * 0.95 / 0.90
    assert per_inch == pytest.approx(diameters, abs=within)


def test_a_plain_sett_becomes_a_twill_sett() -> None:
    # Taylor, p. 464: plain at 103 becomes 2/2 twill at 137 1/3. Status: seen and computed.
    plain, twill = (interlacements(lift_plan(range(1, n + 1), w)) for n, w in ((2, PLAIN), (4, TWILL_2_2)))
    ratio = sett_from_firmness(1.0, *twill, 0.2, 0.2) / sett_from_firmness(1.0, *plain, 0.2, 0.2)
    assert 103 * ratio == pytest.approx(137 + 1 / 3, abs=1e-6)


def test_brierleys_greatest_sett() -> None:
    # GATE Textile Engineering 2006, Q66: 60 tex, 2/2, K 200, m 0.39: 58.1 per inch. Status: seen and
    # computed.
    assert cover.brierley_per_cm(60.0, 2.0) * PER_INCH == pytest.approx(58.1, abs=0.05)


def test_peirces_diameter_and_cover() -> None:
    # F. T. Peirce, J. Text. Inst. 28 (1937) T45: d = 1/(28 sqrt Ne) inch, cover n/sqrt(Ne). Status: seen
    # and computed.
    tex = tex_of(16.0, "cotton")
    assert cover.peirce_diameter_mm(tex) == pytest.approx(25.4 / 112, rel=1e-6)
    assert cover.cover_factor(112 / PER_INCH, tex) == pytest.approx(28.0, rel=1e-6)
    assert cover.cover_factor(48 / PER_INCH, tex) == pytest.approx(12.0, rel=1e-6)


def test_jammed_square_plain() -> None:
    # Peirce 1937: p/D = 0.8660, crimp 20.92 %. Status: seen and computed.
    spacing, crimp = cover.jammed_square_plain()
    assert spacing == pytest.approx(0.8660, abs=5e-5)
    assert crimp == pytest.approx(0.2092, abs=5e-5)
    # Threads of 16s cotton, 112 diameters per inch, jam at 112 / (2 x 0.8660) per inch. Status: computed.
    assert cover.jammed_plain_per_cm(tex_of(16.0, "cotton")) * PER_INCH == pytest.approx(64.66, abs=0.01)


# Taylor, pp. 427-8: contraction % = intersections per inch x 4 / weft count. Status: seen and computed.
CONTRACTION = [(180 * 2 / 5, 70, 4.1), (120, 70, 6.86)]


@pytest.mark.parametrize(("intersections", "count", "percent"), CONTRACTION)
def test_taylors_contraction(intersections: float, count: float, percent: float) -> None:
    share = cover.contraction(intersections / PER_INCH, tex_of(count, "cotton"))
    assert share is not None
    digits = 0.005 if percent == 6.86 else 0.05
    assert 100 * share == pytest.approx(percent, abs=digits)


def test_taylors_contraction_is_not_given_for_coarse_yarn() -> None:
    assert cover.contraction(20 / PER_INCH, tex_of(4.0, "cotton")) is None


# Ends per inch. "master": Handwoven magazine, Master Yarn Chart, seen. "common": common sett charts,
# common practice, no source.
CHARTS: list[tuple[str, str, Kind, float, float]] = [
    ("8/2 cotton", "cotton", "lace", 16, 16),  # master
    ("8/2 cotton", "cotton", "plain", 20, 20),  # master
    ("8/2 cotton", "cotton", "twill", 24, 24),  # master
    ("10/2 cotton", "cotton", "lace", 20, 20),  # master
    ("10/2 cotton", "cotton", "plain", 24, 24),  # master
    ("10/2 cotton", "cotton", "twill", 28, 28),  # master
    ("5/2 cotton", "cotton", "plain", 16, 16),  # master
    ("20/2 cotton", "cotton", "plain", 24, 30),  # common
    ("20/2 cotton", "cotton", "twill", 32, 36),  # common
    ("3/2 cotton", "cotton", "plain", 10, 12),  # common
    ("3/2 cotton", "cotton", "twill", 15, 15),  # common
    ("20/2 linen", "linen", "plain", 20, 24),  # common
    ("20/2 linen", "linen", "twill", 30, 30),  # common
]


@pytest.mark.parametrize(("text", "fiber", "kind", "low", "high"), CHARTS)
def test_charts(text: str, fiber: str, kind: Kind, low: float, high: float) -> None:
    found = chart_sett(Yarn("y", "y", parse_count(text).tex, fiber), kind)
    assert found is not None
    assert found.low_per_cm * PER_INCH == pytest.approx(low)
    assert found.high_per_cm * PER_INCH == pytest.approx(high)
    assert found.yarn == text
