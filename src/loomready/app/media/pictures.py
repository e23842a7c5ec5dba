"""Pictures of a plan for screens: the web strip, the cloth at true size, shelf bars, thumbnails."""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass
from functools import lru_cache

from PIL import Image

from loomready.cloth.picture import cloth_png
from loomready.colors import hex_color
from loomready.draft.draft import Draft
from loomready.model.guild import Side
from loomready.packet.pictures import cloth_of
from loomready.warp.plan import analysis_of
from loomready.warp.result import WarpPlan

CSS_PX_TO_MM = 25.4 / 96
WIDE, NARROW, HIGH = 1180, 328, 66
CLOTH_ROOM_MM = (156.0, 120.0)
WHOLE_MM = (1500.0, 260.0)


@dataclass(frozen=True, slots=True)
class Cloth:
    """A picture of cloth: its size on the screen in CSS pixels is its true size."""

    png: bytes
    width: int
    height: int
    name: str


@lru_cache(maxsize=64)
def cloth(plan: WarpPlan, whole: bool = False) -> Cloth:
    """The washed cloth from end 1 on, true to size on a screen of 96 pixels an inch.

    :param whole: its whole width (to 1.5 m), where else a piece has to do that fits beside the figures
    """
    room_mm, width_px = (WHOLE_MM, 2400) if whole else (CLOTH_ROOM_MM, 1200)
    image = cloth_of(plan, room_mm, width_px)
    name = hashlib.sha256(image.png).hexdigest()[:16]
    return Cloth(image.png, round(image.width_mm / CSS_PX_TO_MM), round(image.height_mm / CSS_PX_TO_MM), name)


_SHADES = 12
_ACROSS = ((24, 10), (40, 6), (60, 4), (80, 3), (120, 2))  # ends of a thumbnail, pixels of each


@lru_cache(maxsize=256)
def thumbnail(draft: Draft, end_1: Side) -> bytes:
    """A corner of the cloth, as large as a card: two repeats or more of it where they fit."""
    ends, picks = analysis_of(draft).repeat
    wanted = max(2 * ends, 3 * picks)
    across, cell = next((each for each in _ACROSS if each[0] >= wanted), _ACROSS[-1])
    made = cloth_png(draft, cell, ends=range(across), picks=range(across * 2 // 3), end_1=end_1)
    return smaller(made)


def smaller(png: bytes) -> bytes:
    """The same picture in fewer shades and bytes, for pages that show many."""
    out = io.BytesIO()
    Image.open(io.BytesIO(png)).convert("RGB").quantize(_SHADES).save(out, "PNG", optimize=True)
    return out.getvalue()


@dataclass(frozen=True, slots=True)
class Strips:
    """A picture for a wide and for a narrow screen, and the links over it for fingers and keys."""

    wide: str
    narrow: str
    touch: str = ""


def bar(color: tuple[int, int, int], needed_m: float, expected_m: float, sure_m: float) -> str:
    """A shelf bar: needed solid, expected pale, a mark where it is sure."""
    whole = max(needed_m, expected_m, 1e-9)
    need, there, sure = (round(300 * min(1.0, part / whole), 1) for part in (needed_m, expected_m, sure_m))
    fill = hex_color(color)
    lack = f'<rect class="lack" x="{sure}" width="{round(max(0.0, need - sure), 1)}" y="4" height="12"/>'
    return (
        '<svg class="bar" viewBox="0 0 302 20" preserveAspectRatio="none" aria-hidden="true">'
        '<rect class="ground" x="0" width="302" y="4" height="12" rx="3"/>'
        f'<rect x="0" width="{there}" y="4" height="12" rx="3" fill="{fill}" fill-opacity="0.38"/>'
        f'<rect class="need" x="0.5" width="{need}" y="4" height="12" rx="3" fill="{fill}"/>'
        f"{lack if needed_m > sure_m else ''}"
        f'<path class="mark" d="M{max(1.0, sure)} 0v20"/></svg>'
    )
