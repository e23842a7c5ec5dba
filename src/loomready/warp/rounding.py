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


def cycle_near(mean: float) -> tuple[int, ...]:
    """Ends for each space as a repeating cycle of at most four, nearest to so many on average.

    >>> cycle_near(12.5), cycle_near(30.0)
    ((12, 13), (30,))
    """
    length = min(range(1, 5), key=lambda size: (abs(max(1, round(mean * size)) / size - mean), size))
    low, more = divmod(max(1, round(mean * length)), length)
    return (low,) * (length - more) + (low + 1,) * more
