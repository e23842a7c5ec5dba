"""Cones: the expected and the sure length, from the weight on the scale.

Expected L = net weight x grist. Two things are uncertain: the weighing, u(w)^2 = step^2 / 12 +
u(tare)^2 (JCGM 100:2008, 4.3.7: a reading with step a has the standard uncertainty a / sqrt(12)),
and the grist, u(g) / g = tolerance / 1.96, the tolerance being its 95 % band. Then
u(L)^2 = (g u(w))^2 + (net u(g))^2, and the sure length is L - 1.6449 u(L): in 95 of 100 cases there
is at least that much. Quantiles of the normal distribution: JCGM 100:2008, Table G.1.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from loomready.model.guild import Cone, Yarn

STEP_VARIANCE_DIVISOR = 12.0  # of a rectangular spread one scale step wide: JCGM 100:2008, 4.3.7
BAND_95 = 1.96  # standard uncertainties to each side of a 95 % band
SURE_95 = 1.6449  # standard uncertainties below which 5 % of cases lie


@dataclass(frozen=True, slots=True)
class Length:
    """A length of yarn in m, each 0 or more: expected, its standard uncertainty, and the sure length."""

    expected_m: float
    sd_m: float
    sure_m: float


def weighed(cone: Cone, yarn: Yarn) -> Length:
    """The yarn on one cone."""
    return pooled((cone,), yarn)


def heavier(now: Cone, before: Cone) -> bool:
    """Whether a cone holds more yarn than at an earlier weighing, beyond the uncertainty of both weighings.

    The difference is compared with the 95 % band of its own uncertainty: scale steps and tares of both.
    """
    spread = np.sqrt(
        sum(cone.scale_step_g**2 / STEP_VARIANCE_DIVISOR + cone.tare_sd_g**2 for cone in (now, before))
    )
    return bool(now.net_g - before.net_g > BAND_95 * spread)


def pooled(cones: Iterable[Cone], yarn: Yarn) -> Length:
    """The yarn on all these cones of one yarn together, as weft may be pieced.

    Weighing errors of several cones are independent and partly cancel; an error in the grist is
    common to all and does not.
    """
    table = np.array(
        [(cone.net_g, cone.scale_step_g, cone.tare_sd_g) for cone in cones], dtype=np.float64
    ).reshape(-1, 3)
    net_g, step_g, tare_sd_g = table.T
    grist = yarn.grist_m_per_g
    expected_m = float(net_g.sum()) * grist
    weighing_m = grist * np.sqrt((step_g**2 / STEP_VARIANCE_DIVISOR + tare_sd_g**2).sum())
    sd_m = float(np.hypot(weighing_m, expected_m * yarn.tolerance / BAND_95))
    return Length(expected_m, sd_m, max(0.0, expected_m - SURE_95 * sd_m))
