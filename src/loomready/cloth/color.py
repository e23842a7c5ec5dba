"""Color as light: mixing, contrast, difference. Code values are sRGB 0-255; light is linear, 0-1.

Threads too fine to be told apart mix as light does, not as code values: a fine check of black and
white looks like half the light, about #bcbcbc, and not like #808080.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Literal, get_args

import numpy as np
import numpy.typing as npt

from loomready.colors import RGB
from loomready.phrases import phrase
from loomready.problems import BadInput

Light = npt.NDArray[np.float64]
Lab = tuple[float, float, float]
Deficiency = Literal["protan", "deutan", "tritan"]
DEFICIENCIES: tuple[Deficiency, ...] = get_args(Deficiency)

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
            phrase(
                "{colors} colors and {weights} weights; expected as many of each, one or more",
                colors=len(colors),
                weights=len(shares),
            )
        )
    if not np.isfinite(shares).all() or shares.min() < 0 or shares.sum() <= 0:
        raise BadInput(phrase("weights of a color mixture must be 0 or more, and not all 0"))
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


@cache
def deficiency_matrix(kind: Deficiency) -> Light:
    """What is seen of red, green and blue light, float64[3, 3]: rows seen, columns there; linear light.

    Color-vision deficiency of the whole severity (G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, IEEE
    Trans. Vis. Comput. Graph. 15 (2009) 1291-1298), as coloraide keeps it.
    """
    from coloraide import Color

    seen = [
        Color("srgb-linear", one).filter(kind, 1, method="machado", space="srgb-linear").coords()
        for one in ([1, 0, 0], [0, 1, 0], [0, 0, 1])
    ]
    return np.asarray(seen, dtype=np.float64).T


def with_deficiency(colors: npt.ArrayLike, kind: Deficiency) -> Light:
    """Linear light [..., 3], 0-1, that stands for sRGB colors [..., 3] with color-vision deficiency."""
    seen: Light = np.clip(to_light(colors) @ deficiency_matrix(kind).T, 0.0, 1.0)
    return seen


def lab_of_light(light: npt.ArrayLike) -> Light:
    """CIELAB (D65), float64[n, 3], of linear light [n, 3]."""
    from coloraide import Color

    rows = np.asarray(light, dtype=np.float64).tolist()
    labs = [Color("srgb-linear", row).convert("lab-d65").coords() for row in rows]
    return np.asarray(labs, dtype=np.float64).reshape(-1, 3)


def delta_e_2000_of(ones: npt.ArrayLike, others: npt.ArrayLike) -> Light:
    """CIEDE2000 of CIELAB colors [..., 3], many at once; the shapes broadcast.

    G. Sharma, W. Wu, E. N. Dalal, Color Res. Appl. 30 (2005) 21-30, their equations 2 to 22. A chroma of 0
    has no hue: its hue counts as that of the other color.
    """
    one, other = np.broadcast_arrays(np.asarray(ones, np.float64), np.asarray(others, np.float64))
    chroma = (np.hypot(one[..., 1], one[..., 2]) + np.hypot(other[..., 1], other[..., 2])) / 2
    stretch = 1.5 - 0.5 * _high(chroma)
    c1, h1 = _polar(one, stretch)
    c2, h2 = _polar(other, stretch)
    gray = c1 * c2 == 0
    turn = np.where(gray, 0.0, (h2 - h1 + 180.0) % 360.0 - 180.0)
    # Hues half a circle apart turn as Sharma has it: forward if the second lies beyond the first.
    turn = np.where(~gray & (np.abs(h2 - h1) == 180.0), h2 - h1, turn)
    near = np.abs(h1 - h2) <= 180.0
    total = h1 + h2
    mean_hue = np.where(near, total, np.where(total < 360.0, total + 360.0, total - 360.0)) / 2
    mean_hue = np.where(gray, total, mean_hue)
    mean_l, mean_c = (one[..., 0] + other[..., 0]) / 2, (c1 + c2) / 2
    angle = np.deg2rad(mean_hue)
    hue_weight = (
        1
        - 0.17 * np.cos(angle - np.deg2rad(30))
        + 0.24 * np.cos(2 * angle)
        + 0.32 * np.cos(3 * angle + np.deg2rad(6))
        - 0.20 * np.cos(4 * angle - np.deg2rad(63))
    )
    off_middle = (mean_l - 50) ** 2
    lightness = (other[..., 0] - one[..., 0]) / (1 + 0.015 * off_middle / np.sqrt(20 + off_middle))
    chromas = (c2 - c1) / (1 + 0.045 * mean_c)
    hues = 2 * np.sqrt(c1 * c2) * np.sin(np.deg2rad(turn) / 2) / (1 + 0.015 * mean_c * hue_weight)
    blue = np.deg2rad(60 * np.exp(-(((mean_hue - 275) / 25) ** 2)))
    twist = -2 * _high(mean_c) * np.sin(blue)
    found: Light = np.sqrt(np.maximum(lightness**2 + chromas**2 + hues**2 + twist * chromas * hues, 0.0))
    return found


def _high(chroma: Light) -> Light:
    """Near 0 for gray colors, near 1 for strong ones."""
    return np.asarray(np.sqrt(chroma**7 / (chroma**7 + 25.0**7)), dtype=np.float64)


def _polar(lab: Light, stretch: Light) -> tuple[Light, Light]:
    """Chroma and hue in degrees 0-360, with the red-green axis stretched."""
    a, b = lab[..., 1] * stretch, lab[..., 2]
    return np.hypot(a, b), np.rad2deg(np.arctan2(b, a)) % 360.0
