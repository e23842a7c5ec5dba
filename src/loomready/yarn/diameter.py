"""How thick a yarn lies in cloth.

T. R. Ashenhurst, *A Treatise on Textile Calculations*, 1884 (title from memory): so many diameters fit
side by side into an inch: K sqrt(yards per pound).
"""

from __future__ import annotations

import math

from loomready.units import WIDTH_MM, factor
from loomready.yarn.counts import yards_per_pound

ASHENHURST_K = 0.90  # firm yarns: cotton, linen, silk, worsted
ASHENHURST_K_WOOLLEN = 0.84  # woollen counts, whose yarns are loftier


def ashenhurst_k(woollen: bool) -> float:
    return ASHENHURST_K_WOOLLEN if woollen else ASHENHURST_K


def diameter_mm(tex: float, woollen: bool = False) -> float:
    """Diameter in mm of a yarn of ``tex`` (above 0), 1 / (K sqrt(yd/lb)) inch.

    >>> round(diameter_mm(147.635), 3)  # 8/2 cotton
    0.487
    """
    inch_mm = factor(WIDTH_MM.inside, "inch")
    return inch_mm / (ashenhurst_k(woollen) * math.sqrt(yards_per_pound(tex)))
