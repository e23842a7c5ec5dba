"""Yarn takes up water from the air: what a cone weighs at another dampness of the room.

ASTM D1909-13, commercial regains: water as a share of the bone-dry fiber, at which yarn is sold and
its count is meant.
"""

from __future__ import annotations

COMMERCIAL_REGAIN = {"cotton": 0.085, "linen": 0.12, "silk": 0.11, "wool": 0.136}


def at_commercial_regain(weight_g: float, regain: float, fiber: str) -> float | None:
    """Weight in g that yarn of ``weight_g`` at a ``regain`` (a share, 0 or more) has as it is sold.

    None: no commercial regain is known for this fiber.

    >>> round(at_commercial_regain(100.0, 0.06, "cotton"), 2)
    102.36
    """
    commercial = COMMERCIAL_REGAIN.get(fiber)
    return None if commercial is None else weight_g * (1.0 + commercial) / (1.0 + regain)
