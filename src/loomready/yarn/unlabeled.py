"""A yarn without a label: its grist from a weighed length, or a first guess from wraps."""

from __future__ import annotations

import math
from typing import NamedTuple

from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.yarn import cones
from loomready.yarn.counts import yards_per_pound
from loomready.yarn.diameter import ashenhurst_k

# How well a length is measured, as a 95 % band: yarn stretched along a tape or wound on a board or
# a niddy-noddy gives its length within 2 %, since yarn stretches and turns overlap. Common practice, no
# source.
LENGTH_TOLERANCE = 0.02
# How well wraps are counted, as a 95 % band: how hard yarn is pushed together changes the count by
# a tenth either way. Common practice, no source.
WRAPS_TOLERANCE = 0.10
# How far Ashenhurst's K differs between yarns of one kind: the factors in print for firm yarns run from
# 0.84 (his own, woollen) to 0.95 (Taylor, cotton), half of that range, to each side.
K_TOLERANCE = (0.95 - 0.84) / 2.0 / 0.90


class Measured(NamedTuple):
    """A grist that was measured. ``tolerance``: its 95 % band as a share, as :class:`Yarn` keeps it."""

    tex: float
    tolerance: float

    @property
    def estimated(self) -> bool:
        return False


class Estimated(NamedTuple):
    """A grist that is a first estimate: weigh a length before relying on it."""

    tex: float
    tolerance: float

    @property
    def estimated(self) -> bool:
        return True


def from_measured(
    length_m: float, weight_g: float, scale_step_g: float = 1.0, length_tolerance: float = LENGTH_TOLERANCE
) -> Measured:
    """Grist of a yarn of which ``length_m`` weighs ``weight_g`` net; the scale steps by ``scale_step_g``.

    The tolerance joins the reading of the scale (step / sqrt(12), JCGM 100:2008, 4.3.7, times 1.96)
    with the 95 % band of the measured length.

    >>> tex, tolerance = from_measured(100.0, 14.8, scale_step_g=0.1)
    >>> round(tex, 1), round(tolerance, 4)
    (148.0, 0.0204)

    :raises BadInput: a length, weight or step that is not above 0, or a sample too light for the scale
    """
    if not (length_m > 0 and weight_g > 0 and scale_step_g > 0 and 0 <= length_tolerance < 1):
        raise BadInput(
            phrase("a yarn sample needs a length, a weight and a scale step above 0; weigh it again")
        )
    weight_tolerance = cones.BAND_95 * scale_step_g / math.sqrt(cones.STEP_VARIANCE_DIVISOR) / weight_g
    tolerance = math.hypot(weight_tolerance, length_tolerance)
    if not tolerance < 1:
        raise BadInput(
            phrase(
                "{weight:g} g is too light for a scale with steps of {scale_step:g} g; weigh a longer sample",
                weight=weight_g,
                scale_step=scale_step_g,
            )
        )
    return Measured(1000.0 * weight_g / length_m, tolerance)


def from_wraps(wraps_per_cm: float, woollen: bool = False) -> Estimated:
    """Grist guessed from wraps laid side by side: Ashenhurst backwards, yd/lb = (wraps per inch / K)^2.

    The grist goes with the square of wraps and of K, so each share of error counts twice: 10 % in the
    wraps is 20 %, the spread of K 12 %, together 23 %.

    >>> tex, tolerance = from_wraps(52.17 / 2.54)
    >>> round(tex, 1), round(tolerance, 2)
    (147.6, 0.23)

    :raises BadInput: wraps that are not above 0
    """
    if not 0 < wraps_per_cm < math.inf:
        raise BadInput(phrase("wraps need a number above 0; count them again"))
    wraps_per_inch = 2.54 * wraps_per_cm
    tex = yards_per_pound((wraps_per_inch / ashenhurst_k(woollen)) ** 2)
    return Estimated(tex, math.hypot(2.0 * WRAPS_TOLERANCE, 2.0 * K_TOLERANCE))
