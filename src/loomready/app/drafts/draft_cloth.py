"""The cloth of a draft on its page: large and close by, and as it looks from a distance."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from loomready.app.state.snapshot import Snapshot
from loomready.choose.drafts.finding import USUAL_DISTANCE_M, setting_of, usual_setting
from loomready.cloth.distance import seen_jpeg
from loomready.cloth.picture import cloth_png
from loomready.colors import RGB
from loomready.draft.draft import Draft
from loomready.model.guild import Side
from loomready.warp.plan import analysis_of

_ACROSS = ((96, 12), (144, 8), (240, 5))  # ends of the picture, pixels of each
_ANY: tuple[RGB, RGB] = ((0, 0, 0), (255, 255, 255))  # a setting's colors; the draft's own are drawn


@dataclass(frozen=True, slots=True)
class Sett:
    """How close threads lie. ``warp``: whose finished cloth it is; "": none, the usual sett."""

    mm_per_end: float
    mm_per_pick: float
    warp: str = ""


def sett_of(snapshot: Snapshot, key: str) -> Sett:
    """The sett of the first warp woven from a draft; of a draft without warps the usual one."""
    for planned in snapshot.planned:
        if planned.plan is not None and planned.order.draft == key:
            found = setting_of(planned.plan, 1, USUAL_DISTANCE_M, _ANY)
            return Sett(found.mm_per_end, found.mm_per_pick, planned.order.key)
    usual = usual_setting(1)
    return Sett(usual.mm_per_end, usual.mm_per_pick)


def _part(draft: Draft) -> tuple[range, range, int]:
    """The ends and picks shown, and pixels of each: more of them where the repeat is large."""
    ends, picks = analysis_of(draft).repeat
    across, cell = next((each for each in _ACROSS if each[0] >= max(2 * ends, 3 * picks)), _ACROSS[-1])
    return range(across), range(across * 2 // 3), cell


@lru_cache(maxsize=32)
def near(draft: Draft, end_1: Side) -> bytes:
    """The cloth close by, as a PNG."""
    ends, picks, cell = _part(draft)
    return cloth_png(draft, cell, ends=ends, picks=picks, end_1=end_1)


@lru_cache(maxsize=32)
def far(draft: Draft, sett: Sett, end_1: Side) -> bytes:
    """The same part of the cloth seen from :data:`USUAL_DISTANCE_M`, as a JPEG."""
    ends, picks, cell = _part(draft)
    return seen_jpeg(
        draft,
        cell,
        mm_per_end=sett.mm_per_end,
        mm_per_pick=sett.mm_per_pick,
        distance_m=USUAL_DISTANCE_M,
        ends=ends,
        picks=picks,
        end_1=end_1,
    )
