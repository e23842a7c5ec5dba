"""Cover of a cloth by rules other than Ashenhurst's, as cross-checks of a sett.

They were found on mill cloths, mostly cotton. A handweaver's sett lies well under them; they show whether a
cloth is closer or more open than usual, not what to sley.
"""

from __future__ import annotations

import math

from loomready.units import PER_CM, WIDTH_MM, factor
from loomready.yarn.counts import count_of

# F. T. Peirce, "The Geometry of Cloth Structure", J. Text. Inst. 28 (1937) T45: a cotton of count Ne
# has 28 sqrt(Ne) diameters to the inch; a cover factor of 28 is threads touching.
PEIRCE_DIAMETERS = 28.0
# S. Brierley's rule as worked in GATE Textile Engineering 2006, Q66: threads per inch = sqrt(K Ne) F^m,
# F ends to each intersection. His exponent differs from weave to weave; the one seen there is a twill's.
# Plain weave has F = 1, where it does not matter.
BRIERLEY_K = 200.0
BRIERLEY_M = 0.39
# J. T. Taylor, Cotton Weaving and Designing, 6th ed., pp. 427-8: contraction in % is
# intersections per inch x 4 / weft count.
TAYLOR_FACTOR = 4.0
# His examples are fine cottons; on coarse yarn the rule gives far too much. Our own limit, no source.
TAYLOR_COARSEST_NE = 20.0


def per_inch() -> float:
    """One thread per inch, in threads per cm."""
    return factor(PER_CM.inside, "1/inch")


def peirce_diameter_mm(tex: float) -> float:
    """Diameter in mm of a yarn of ``tex`` (above 0), 1 / (28 sqrt(Ne)) inch."""
    return factor(WIDTH_MM.inside, "inch") / (PEIRCE_DIAMETERS * math.sqrt(count_of(tex, "cotton")))


def cover_factor(threads_per_cm: float, tex: float) -> float:
    """Peirce's cover factor n / sqrt(Ne), n threads per inch: 0 bare, 28 threads touching."""
    return threads_per_cm / per_inch() / math.sqrt(count_of(tex, "cotton"))


def jammed_square_plain() -> tuple[float, float]:
    """Spacing over the sum of both diameters, and crimp, of the closest square plain weave.

    In Peirce's geometry jammed threads lie wholly on one another: p / D = sin(a) and 1 - cos(a) = 1/2 for
    equal crimp, so a = 60 degrees; the crimp is a / sin(a) - 1.
    """
    angle = math.acos(1.0 - 0.5)
    return math.sin(angle), angle / math.sin(angle) - 1.0


def jammed_plain_per_cm(tex: float) -> float:
    """The closest square sett of plain weave, threads per cm, both ways in a yarn of ``tex``."""
    spacing, _ = jammed_square_plain()
    return 10.0 / (spacing * 2.0 * peirce_diameter_mm(tex))


def brierley_per_cm(tex: float, ends_per_intersection: float) -> float:
    """Brierley's greatest square sett, threads per cm. Ends per intersection: plain weave 1, 2/2 twill 2."""
    ends_per_inch = math.sqrt(BRIERLEY_K * count_of(tex, "cotton"))
    ends_per_inch *= math.pow(ends_per_intersection, BRIERLEY_M)
    return ends_per_inch * per_inch()


def contraction(intersections_per_cm: float, tex: float) -> float | None:
    """Share by which weft of ``tex`` is longer than the cloth is wide (Taylor); None for coarse yarn."""
    count = count_of(tex, "cotton")
    if count < TAYLOR_COARSEST_NE:
        return None
    return intersections_per_cm / per_inch() * TAYLOR_FACTOR / count / 100.0
