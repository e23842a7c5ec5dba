"""Pictures of a plan for screens: the web strip, the cloth at true size, shelf bars, thumbnails."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache

from loomready.cloth.picture import cloth_png
from loomready.colors import hex_color
from loomready.draft.draft import Draft
from loomready.model.guild import Side
from loomready.packet.pictures import cloth_of
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


@lru_cache(maxsize=256)
def thumbnail(draft: Draft, end_1: Side) -> bytes:
    """A corner of the cloth, as large as a card."""
    ends, picks = 60, 40
    return cloth_png(draft, 5, ends=range(ends), picks=range(picks), end_1=end_1)


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
