"""The draft: small, exact, immutable. All other facts about the cloth are derived from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from loomready.draft.unread_sections import Section

Ints = npt.NDArray[np.int16]
Bools = npt.NDArray[np.bool_]
Floats = npt.NDArray[np.float64]
RGB = tuple[int, int, int]

DARK: RGB = (38, 58, 84)
LIGHT: RGB = (243, 238, 226)


@dataclass(frozen=True, slots=True, eq=False)
class Draft:
    """A draft of E ends and P picks on S shafts. All arrays are read-only.

    threading      int16[E], shaft of each end from 0; -1: not threaded (the end is always down)
    lifts          bool[P, S], true where the shaft is up
    tieup          bool[S, T] as the file ties it, or None for a lift plan
    treadling      bool[P, T], or None for a lift plan
    rising         whether a tied treadle raises (True) or sinks (False) its shafts; says how ``tieup`` reads
    palette        colors as RGB triples 0-255; warp_colors int16[E] and weft_colors int16[P] point into it
    *_spacing_mm   float64[E] or [P]: distance to the next thread, or None where the file has none
    *_thickness_mm likewise
    extra          sections of the file that loomready does not read, kept for a rewrite
    """

    threading: Ints
    lifts: Bools
    tieup: Bools | None
    treadling: Bools | None
    rising: bool
    palette: tuple[RGB, ...]
    warp_colors: Ints
    weft_colors: Ints
    title: str | None = None
    notes: str | None = None
    warp_spacing_mm: Floats | None = None
    weft_spacing_mm: Floats | None = None
    warp_thickness_mm: Floats | None = None
    weft_thickness_mm: Floats | None = None
    extra: tuple[Section, ...] = ()

    def __post_init__(self) -> None:
        ends, picks = self.threading.shape[0], self.lifts.shape[0]
        shapes = {"lifts": (self.lifts, (picks, self.shafts)), "warp_colors": (self.warp_colors, (ends,))}
        shapes["weft_colors"] = (self.weft_colors, (picks,))
        if self.tieup is not None and self.treadling is not None:
            shapes["tieup"] = (self.tieup, (self.shafts, self.tieup.shape[1]))
            shapes["treadling"] = (self.treadling, (picks, self.tieup.shape[1]))
        for name, (array, shape) in shapes.items():
            if array.shape != shape:
                raise ValueError(f"{name} has shape {array.shape}, the draft needs {shape}")
        if ends and int(self.threading.max()) >= self.shafts:
            raise ValueError(f"an end is on shaft {int(self.threading.max()) + 1} of {self.shafts}")
        for field in self.__slots__:
            value = getattr(self, field)
            if isinstance(value, np.ndarray):
                value.flags.writeable = False

    @property
    def ends(self) -> int:
        return int(self.threading.shape[0])

    @property
    def picks(self) -> int:
        return int(self.lifts.shape[0])

    @property
    def shafts(self) -> int:
        return int(self.lifts.shape[1])

    @property
    def treadles(self) -> int | None:
        """How many treadles the tie-up has; None for a lift plan."""
        return None if self.tieup is None or self.treadling is None else int(self.tieup.shape[1])

    def as_lift_plan(self) -> Draft:
        """The same cloth without treadles."""
        return replace(self, tieup=None, treadling=None, rising=True)


def lifts_of(tieup: Bools, treadling: Bools, rising: bool) -> Bools:
    """The shafts up in each pick, bool[P, S].

    On a rising shed two treadles lift the union of their ties; on a sinking one the union sinks and the
    rest are up. A pick without a treadle makes no shed and lifts none.
    """
    tied = (treadling.astype(np.uint8) @ tieup.T.astype(np.uint8)) > 0
    if rising:
        return tied
    up: Bools = ~tied & treadling.any(axis=1, keepdims=True)
    return up


def lift_plan(
    threading: Sequence[int],
    lifts: Sequence[Sequence[int]],
    *,
    shafts: int | None = None,
    warp_colors: Sequence[int] | None = None,
    weft_colors: Sequence[int] | None = None,
    palette: tuple[RGB, ...] = (DARK, LIGHT),
    title: str | None = None,
) -> Draft:
    """A draft written as weavers write it: shafts from 1 (0: not threaded), each pick a list of shafts up.

    >>> plain = lift_plan([1, 2], [[1], [2]])
    >>> drawdown(plain).astype(int).tolist()
    [[1, 0], [0, 1]]
    """
    threads = np.asarray(threading, dtype=np.int16) - np.int16(1)
    most = max([shafts or 0, int(threads.max(initial=-1)) + 1, *(max(up, default=0) for up in lifts)])
    plan = np.zeros((len(lifts), most), dtype=np.bool_)
    for pick, up in enumerate(lifts):
        plan[pick, [shaft - 1 for shaft in up]] = True
    warp = np.zeros(len(threads)) if warp_colors is None else np.asarray(warp_colors)
    weft = np.full(len(plan), min(1, len(palette) - 1)) if weft_colors is None else np.asarray(weft_colors)
    return Draft(
        threading=threads,
        lifts=plan,
        tieup=None,
        treadling=None,
        rising=True,
        palette=palette,
        warp_colors=warp.astype(np.int16),
        weft_colors=weft.astype(np.int16),
        title=title,
    )


def drawdown(draft: Draft) -> Bools:
    """Where the warp is up, bool[P, E] (Fortran order: stored end by end, which is faster).

    An end not threaded is down in every pick.
    """
    return shed(draft.lifts, draft.threading)


def shed(lifts: Bools, threading: Ints) -> Bools:
    """Drawdown bool[P, E] of lifts bool[P, S] and threading int[E]."""
    by_shaft = np.zeros((lifts.shape[1] + 1, lifts.shape[0]), dtype=np.bool_)
    by_shaft[:-1] = lifts.T  # row -1, the last, stays down: ends not threaded
    return by_shaft.take(threading, axis=0, mode="wrap").T
