"""The ledger of one cone: its weighings and takings in order of time, and where they disagree.

After a weighing a cone holds what :mod:`loomready.yarn.cones` says. A taking is a length, subtracted from the
expected, the sure and the upper length. A later weighing includes every taking before it and starts over;
compared with what the last one leaves, it shows a difference D in m:

    D = grist (net now - net before) + taken between them
    u(D)^2 = grist^2 (u(w now)^2 + u(w before)^2) + ((net now - net before) u(grist))^2 + u(taken)^2

with u(w) and u(grist) as in ``cones`` (JCGM 100:2008, 4.3.7 and 5.1.2) and each taking known to a share of
its length. Beyond 1.96 u(D) the weighings and takings disagree.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time

import numpy as np

from loomready.model.guild import Cone, Yarn
from loomready.yarn.cones import BAND_95, STEP_VARIANCE_DIVISOR, SURE_95, weighed
from loomready.yarn.unlabeled import LENGTH_TOLERANCE


@dataclass(frozen=True, slots=True)
class Weighed:
    """The cone as it was weighed; its ``weighed`` None: before everything that has a date."""

    at: date | None
    cone: Cone


@dataclass(frozen=True, slots=True)
class Taken:
    """``meters`` (0 or more) that a warp took: ``part`` "warp" once wound, "weft" once off."""

    at: date
    warp: str
    part: str
    meters: float


@dataclass(frozen=True, slots=True)
class Disagreement:
    """How much more (above 0) or less (below 0) than before a weighing shows, in m.

    ``band_m``: what scale, tare and count explain, to each side, in 95 of 100 cases.
    """

    meters: float
    band_m: float


@dataclass(frozen=True, slots=True)
class Entry:
    """What is on the cone after an event, in m, each 0 or more: expected, sure and upper length.

    ``disagrees``: this weighing does not follow from the one before and the takings since.
    """

    event: Weighed | Taken
    expected_m: float
    sure_m: float
    upper_m: float
    disagrees: Disagreement | None = None


def ledger(events: Iterable[Weighed | Taken], yarn: Yarn) -> tuple[Entry, ...]:
    """The entries of one cone in order of time. The first weighing includes every taking before it.

    On one day a weighing without a time comes before a taking; with times on both, the time decides.
    """
    entries: list[Entry] = []
    before: Weighed | None = None
    taken: list[float] = []
    for event in sorted(events, key=when):
        if isinstance(event, Weighed):
            length = weighed(event.cone, yarn)
            spread = SURE_95 * length.sd_m
            disagrees = None if before is None else _against(event.cone, before.cone, taken, yarn)
            upper = length.expected_m + spread
            entries.append(Entry(event, length.expected_m, length.sure_m, upper, disagrees))
            before, taken = event, []
        elif before is None:
            entries.append(Entry(event, 0.0, 0.0, 0.0))
        else:
            taken.append(event.meters)
            last = entries[-1]
            expected, sure, upper = (
                max(0.0, each - event.meters) for each in (last.expected_m, last.sure_m, last.upper_m)
            )
            entries.append(Entry(event, expected, sure, upper))
    return tuple(entries)


def when(event: Weighed | Taken) -> tuple[date, int, time, int]:
    """Sort key of events: within a day untimed weighings, then anything with a time, then untimed takings."""
    taking = isinstance(event, Taken)
    if event.at is None:
        return date.min, 0, time.min, 0
    if isinstance(event.at, datetime):
        return event.at.date(), 1, event.at.time(), int(taking)
    return event.at, 2 if taking else 0, time.min, int(taking)


def _against(now: Cone, before: Cone, taken: list[float], yarn: Yarn) -> Disagreement | None:
    """The difference, where it is outside its band."""
    grist = yarn.grist_m_per_g
    gained_g = now.net_g - before.net_g
    weighing_g2 = sum(c.scale_step_g**2 / STEP_VARIANCE_DIVISOR + c.tare_sd_g**2 for c in (now, before))
    shares = np.array([gained_g * grist * yarn.tolerance, *(LENGTH_TOLERANCE * each for each in taken)])
    band = float(np.sqrt(BAND_95**2 * grist**2 * weighing_g2 + (shares**2).sum()))
    meters = grist * gained_g + sum(taken)
    return Disagreement(meters, band) if abs(meters) > band else None
