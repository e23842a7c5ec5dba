"""Each rounding rule of the plan, named once.

Written decimals become binary fractions inside; a result that misses a whole number by less than
one part in a thousand million stands for that number.
"""

from __future__ import annotations

import math

SLACK = 1e-9


def whole_up(value: float) -> int:
    """Up to the next whole number: picks, dents, bobbins."""
    return math.ceil(value - SLACK * max(1.0, abs(value)))


def whole_down(value: float) -> int:
    """Down to a whole number: ends from a cone, dents in a reed."""
    return math.floor(value + SLACK * max(1.0, abs(value)))


def at_most(value: float, limit: float) -> bool:
    """Whether a quantity keeps a limit that it may just reach."""
    return value <= limit + SLACK * max(1.0, abs(limit))
