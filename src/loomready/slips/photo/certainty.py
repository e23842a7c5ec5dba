"""From a photograph to slips, each either found with certainty or a place to check.

The cells that were read go through the same inference as cells that somebody noted. A slip is certain only if
the pixels alone say it too, and clearly; everything else is a place to look at.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from loomready.phrases import phrase
from loomready.problems import BadInput, Impossible
from loomready.slips import at_loom
from loomready.slips import test_picks as picking
from loomready.slips.as_json import Planned
from loomready.slips.infer import UNSEEN, Cells, infer
from loomready.slips.photo import reader
from loomready.slips.photo.alignment import Claim, Stretch
from loomready.slips.photo.picture import Picture
from loomready.slips.photo.reader import Reading
from loomready.slips.photo.rectify import NO_CONTRAST, Corners, Strip, rectify
from loomready.slips.result import MOST_ODDS, FoundSlips, Slip

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]

LEAST_PICKS, MOST_PICKS = 6, 40
LEAST_ENDS, MOST_ENDS = 12, 400
BEST_PICKS, BEST_ENDS = 16, 120
CERTAIN = 3.0  # logarithm of how much likelier than without the slip
_CERTAIN_DISAGREE, _MOST_DISAGREE = 0.02, 0.03  # shares of the cells
_OUTER, _OUTER_MOVED = 2, 5  # ends at each side that are never certain; missing and extra ones
_MOST_UNSURE = 0.25  # share of the cells
_MOST_SLIPS = 8
_NEAR = 3  # ends by which two tellings of a missing or extra end may differ
_BEYOND = 2  # ends of the web beside the stretch that a tap may have meant


@dataclass(frozen=True, slots=True)
class PhotoSlip:
    """A slip. ``certain``: else a place to check at the loom.

    column  where it is: a place in ``PhotoFound.x`` and ``y``
    of      its place among the slips that the cells alone tell; None: only the pixels say so
    """

    slip: Slip
    certain: bool
    column: int
    of: int | None


@dataclass(frozen=True, slots=True, eq=False)
class PhotoFound:
    """What a photograph shows.

    slips      in the order of the ends
    found      of the cells that were read, by the ends of the web
    cells      int8[P, C], with the web's ends from ``first`` to ``last`` (from 1) in them
    end        int[C], the web's end (from 1) of each column, 0: one too many
    x, y       float[P, C], where each cell lies in the upright photograph, in its pixels
    disagree   share of the cells that differ from the plan and its slips
    """

    slips: tuple[PhotoSlip, ...]
    found: FoundSlips
    cells: Cells
    first: int
    last: int
    end: Ints
    x: npt.NDArray[np.float64]
    y: npt.NDArray[np.float64]
    disagree: float


def find(
    picture: Picture,
    corners: Corners,
    planned: Planned,
    lifts: Bools,
    ends: tuple[int, int],
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> PhotoFound:
    """Read a stretch of a test weave.

    :param corners: first and last end at the first pick, first and last end at the last pick; in pixels
    :param lifts: bool[P, S] of the picks between the taps
    :param ends: the first and the last end of the stretch, from 1
    :param tell: is called with steps done and steps in all
    :raises BadInput: a stretch that cannot be, or a photograph that cannot be read with certainty
    """
    stretch, begins = stretch_of(planned, lifts, ends)
    strip = rectify(picture, corners, ends[1] - ends[0] + 1, len(lifts))
    tell(1, reader.STEPS + 2)
    reading = reader.read(strip, stretch, lambda done: tell(done + 1, reader.STEPS + 2))
    made = _found(reading, strip, stretch, planned, lifts, begins)
    tell(reader.STEPS + 2, reader.STEPS + 2)
    return made


def picks_for_photo(planned: Planned) -> Bools:
    """bool[P, S]: picks that read well from a photograph: many, and any two shafts far apart in them.

    On tied treadles, and where shafts hang in balance, the picks of the test weave's sheet, repeated: the
    loom makes them.
    """
    if planned.tied is not None or planned.loom.even:
        made = at_loom.sheet_picks(planned)
        return np.tile(made, (-(-BEST_PICKS // max(len(made), 1)), 1))
    threading, shafts = planned.threading, planned.lifts.shape[1]
    try:
        return picking.well_apart(threading, shafts, BEST_PICKS, picking.USUAL_FLOATS).lifts
    except Impossible:
        few = picking.fewest(threading, shafts).lifts
        again = -(-BEST_PICKS // max(len(few), 1))
        return np.tile(few, (again, 1))[:BEST_PICKS]


def stretch_of(planned: Planned, lifts: Bools, ends: tuple[int, int]) -> tuple[Stretch, int]:
    """What should stand between the taps, and the web's end (from 0) at its place 0."""
    web, shafts = len(planned.threading), lifts.shape[1]
    first, last = ends
    if not 1 <= first <= last <= web:
        raise BadInput(
            phrase(
                "ends {first} to {last} are none of this web; expected ends from 1 to {web:,}",
                first=first,
                last=last,
                web=web,
            )
        )
    if not LEAST_ENDS <= last - first + 1 <= MOST_ENDS:
        raise BadInput(
            phrase(
                "a stretch of {ends:,} ends; expected {least} to {most} ends, 120 are best",
                ends=last - first + 1,
                least=LEAST_ENDS,
                most=MOST_ENDS,
            )
        )
    if len(lifts) < LEAST_PICKS:
        raise BadInput(
            phrase(
                "{picks} picks are too few; expected {least} or more, 16 to 24 are best",
                picks=len(lifts),
                least=LEAST_PICKS,
            )
        )
    if len(lifts) > MOST_PICKS:
        raise BadInput(
            phrase(
                "{picks} picks are too many; expected {most} at most, 16 to 24 are best",
                picks=len(lifts),
                most=MOST_PICKS,
            )
        )
    begins = max(first - 1 - _BEYOND, 0)
    stops = min(last + _BEYOND, web)
    shaft = np.where(planned.threading < 0, shafts, planned.threading)[begins:stops].astype(np.int64)
    up = np.pad(lifts, ((0, 0), (0, 1)))
    return Stretch(shaft, planned.free[begins:stops], first - 1 - begins, last - 1 - begins, up), begins


def _found(
    reading: Reading, strip: Strip, stretch: Stretch, planned: Planned, lifts: Bools, begins: int
) -> PhotoFound:
    if (reading.cells == UNSEEN).mean() > _MOST_UNSURE:
        raise BadInput(NO_CONTRAST)
    if reading.disagree > _MOST_DISAGREE:
        raise BadInput(
            phrase(
                "this photograph does not fit the plan: {share:.0f} % of its cells differ. Check the ends, "
                "the picks and the four corners, or take it closer, in even light, with a weft that is much "
                "lighter or darker than the warp",
                share=100 * reading.disagree,
            )
        )
    there = [column.end for column in reading.aligned.columns if column.end >= 0]
    first, last = min(there), max(there)
    if abs(first - stretch.first) > _BEYOND or abs(last - stretch.last) > _BEYOND:
        raise BadInput(
            phrase(
                "the first or the last end does not lie where it was tapped; check their numbers, tap the "
                "four corners again, or take a better photograph"
            )
        )
    shaft = stretch.shaft[first : last + 1]
    threading = np.where(shaft == lifts.shape[1], -1, shaft)
    found = infer(
        reading.cells, lifts, threading, stretch.free[first : last + 1], rare_in=len(planned.threading)
    )
    offset = begins + first
    found = _moved(found, offset)
    claims = [replace(claim, end=claim.end + begins) for claim in reading.aligned.claims]
    slips = _together(found, claims, reading, offset, begins + last)
    if len(slips) > _MOST_SLIPS:
        raise BadInput(
            phrase(
                "this photograph shows too many slips to be right. Check the ends, the picks and the four "
                "corners, or take a better one"
            )
        )
    x, y = strip.to_photo(reading.x, reading.y)
    end = np.array([begins + each.end + 1 if each.end >= 0 else 0 for each in reading.aligned.columns])
    return PhotoFound(slips, found, reading.cells, offset + 1, begins + last + 1, end, x, y, reading.disagree)


def _moved(found: FoundSlips, offset: int) -> FoundSlips:
    def moved(slip: Slip) -> Slip:
        return slip if slip.end is None else replace(slip, end=slip.end + offset)

    return replace(
        found,
        slips=tuple(map(moved, found.slips)),
        alternatives=tuple(replace(each, slip=moved(each.slip)) for each in found.alternatives),
    )


def _together(
    found: FoundSlips, claims: list[Claim], reading: Reading, first: int, last: int
) -> tuple[PhotoSlip, ...]:
    """Slips of the cells and slips of the pixels. ``first``, ``last``: the ends that were read, from 0."""
    made: list[PhotoSlip] = []
    left = list(range(len(claims)))
    for of, slip in enumerate(found.slips):
        if slip.end is None:
            made.append(PhotoSlip(slip, False, 0, of))
            continue
        same = next((n for n in left if _same(slip, claims[n])), None)
        if same is None:
            column = min(max(slip.end - 1 - first, 0), len(reading.aligned.columns) - 1)
            made.append(PhotoSlip(replace(slip, odds=min(slip.odds, 1.0)), False, column, of))
            continue
        left.remove(same)
        margin = reading.margins[same]
        odds = min(slip.odds, math.exp(min(margin, 30.0)), MOST_ODDS)
        outer = _OUTER_MOVED if slip.kind in ("skipped", "extra") else _OUTER
        inside = first + outer <= slip.end - 1 <= last - outer
        certain = (
            inside
            and margin >= CERTAIN
            and odds >= math.exp(CERTAIN)
            and reading.disagree < _CERTAIN_DISAGREE
        )
        made.append(PhotoSlip(replace(slip, odds=odds), certain, claims[same].column, of))
    for number in left:
        claim = claims[number]
        planned = None if claim.kind == "extra" else claim.planned + 1
        shaft = claim.shaft + 1 if claim.kind != "skipped" else None
        odds = min(math.exp(min(reading.margins[number], 30.0)), 1.0)
        told = Slip(claim.kind, claim.end + 1, None, planned, shaft, odds)
        made.append(PhotoSlip(told, False, claim.column, None))
    return tuple(sorted(made, key=lambda each: (each.slip.end is None, each.slip.end or each.slip.pick or 0)))


def _same(slip: Slip, claim: Claim) -> bool:
    if slip.kind != claim.kind or slip.end is None:
        return False
    near = _NEAR if slip.kind in ("skipped", "extra") else 0
    return abs(slip.end - 1 - claim.end) <= near
