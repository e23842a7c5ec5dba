"""Color as light: mixing, contrast, difference. Code values are sRGB 0-255; light is linear, 0-1.

Threads too fine to be told apart mix as light does, not as code values: a fine check of black and
white looks like half the light, about #bcbcbc, and not like #808080.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from loomready.colors import RGB
from loomready.problems import BadInput

Light = npt.NDArray[np.float64]
Lab = tuple[float, float, float]

# The sRGB curve (IEC 61966-2-1, as WCAG 2.2 prints it): straight below the knee, bent above.
KNEE, SLOPE, OFFSET, POWER = 0.04045, 12.92, 0.055, 2.4
# What red, green and blue light give to luminance (WCAG 2.2).
RED_SHARE, GREEN_SHARE, BLUE_SHARE = 0.2126, 0.7152, 0.0722
FLARE = 0.05  # light that every screen throws back (WCAG 2.2)

DARK_INK: RGB = (38, 34, 30)
PALE_INK: RGB = (255, 252, 244)


def to_light(code: npt.ArrayLike) -> Light:
    """Linear light 0-1 of sRGB code values 0-255, any shape."""
    value = np.asarray(code, dtype=np.float64) / 255.0
    bent: Light = np.where(value <= KNEE, value / SLOPE, ((value + OFFSET) / (1 + OFFSET)) ** POWER)
    return bent


def to_code(light: npt.ArrayLike) -> npt.NDArray[np.uint8]:
    """The nearest sRGB code values of linear light, any shape; light outside 0-1 is clipped."""
    value = np.clip(np.asarray(light, dtype=np.float64), 0.0, 1.0)
    bent = np.where(value <= KNEE / SLOPE, value * SLOPE, (1 + OFFSET) * value ** (1 / POWER) - OFFSET)
    return np.rint(bent * 255.0).astype(np.uint8)


def mix_linear(colors: Sequence[RGB], weights: Sequence[float]) -> RGB:
    """The color seen from afar when ``colors`` cover the cloth in these shares (weights need not sum to 1).

    >>> mix_linear([(0, 0, 0), (255, 255, 255)], [1, 1])
    (188, 188, 188)

    :raises BadInput: no color, a negative weight, or weights that sum to nothing
    """
    shares = np.asarray(weights, dtype=np.float64)
    if len(colors) != len(shares) or not len(colors):
        raise BadInput(
            f"{len(colors)} colors and {len(shares)} weights; expected as many of each, one or more"
        )
    if not np.isfinite(shares).all() or shares.min() < 0 or shares.sum() <= 0:
        raise BadInput("weights of a color mixture must be 0 or more, and not all 0")
    red, green, blue = to_code(shares @ to_light(colors) / shares.sum()).tolist()
    return red, green, blue


def relative_luminance(color: RGB) -> float:
    """Relative luminance 0-1 (WCAG 2.2)."""
    red, green, blue = to_light(color).tolist()
    return float(RED_SHARE * red + GREEN_SHARE * green + BLUE_SHARE * blue)


def contrast_ratio(one: RGB, other: RGB) -> float:
    """Contrast 1-21 between two colors (WCAG 2.2): 4.5 for text, 3 for large text and graphics.

    >>> contrast_ratio((0, 0, 0), (255, 255, 255))
    21.0
    """
    lighter, darker = sorted((relative_luminance(one), relative_luminance(other)), reverse=True)
    return (lighter + FLARE) / (darker + FLARE)


def ink_on(color: RGB) -> RGB:
    """Dark or pale ink, whichever reads better on ``color``; at least 4.1 to 1 on every color."""
    return max((DARK_INK, PALE_INK), key=lambda ink: contrast_ratio(ink, color))


def delta_e_2000(one: RGB, other: RGB) -> float:
    """How different two colors look (CIEDE2000, D65): about 1 can just be seen side by side."""
    return delta_e_2000_lab(lab(one), lab(other))


def delta_e_2000_lab(one: Lab, other: Lab) -> float:
    """CIEDE2000 of two CIELAB colors (Sharma, Wu, Dalal 2005)."""
    from coloraide import Color  # a tenth of a second to load: only when a difference is asked for

    return float(Color("lab-d65", one).delta_e(Color("lab-d65", other), method="2000"))


def lab(color: RGB) -> Lab:
    """CIELAB (D65) of an sRGB color."""
    return _convert(color, "lab-d65")


def oklab(color: RGB) -> Lab:
    """OKLab (Ottosson 2020) of an sRGB color: equal steps look about equal."""
    return _convert(color, "oklab")


def _convert(color: RGB, space: str) -> Lab:
    from coloraide import Color

    one, two, three = Color("srgb", [value / 255 for value in color]).convert(space).coords()
    return float(one), float(two), float(three)
