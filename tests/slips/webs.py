"""Simulated webs with slips, and the cells that a weaver would note of them: some misread, some unseen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loomready.slips import test_picks as picking
from loomready.slips.infer import FoundSlips, infer

Random = np.random.Generator
Told = tuple[str, int, int | None, int | None]

MISREAD, UNSEEN = 0.01, 0.05
PICKS, FLOATS = 16, 6


@dataclass(frozen=True, slots=True, eq=False)
class Web:
    """A threading as planned and as it stands, the test picks, and its slips: (kind, end, planned, found)."""

    planned: np.ndarray
    there: np.ndarray
    lifts: np.ndarray
    slips: tuple[Told, ...]

    def cells(self, random: Random, misread: float = MISREAD, unseen: float = UNSEEN) -> np.ndarray:
        cells = self.lifts[:, self.there].astype(np.int8)
        cells = np.where(random.random(cells.shape) < misread, 1 - cells, cells)
        return np.where(random.random(cells.shape) < unseen, -1, cells).astype(np.int8)


def threading(random: Random, ends: int, shafts: int) -> np.ndarray:
    """Straight, point, undulating or advancing."""
    kind = int(random.integers(4))
    if kind == 0:
        return np.arange(ends) % shafts
    if kind == 1:
        return np.resize(np.concatenate([np.arange(shafts), np.arange(shafts - 2, 0, -1)]), ends)
    if kind == 2:
        return np.cumsum(np.repeat(random.choice([-1, 1], size=ends // 4 + 1), 4)[:ends]) % shafts
    return np.array([(end // 5 + end % 5) % shafts for end in range(ends)])


def with_slips(planned: np.ndarray, slips: int, random: Random) -> tuple[np.ndarray, tuple[Told, ...]]:
    """The threading as it stands with so many slips, three ends or more apart, and what they are.

    A skipped or extra end of a run on one shaft is told by the first place that weaves the same.
    """
    places = np.zeros(0, dtype=int)
    while len(places) < slips or np.diff(places).min(initial=9) < 3:
        places = np.sort(random.integers(1, len(planned) - 2, slips))
    web, told = planned.tolist(), []
    used = sorted(set(web))
    for end in places[::-1].tolist():
        kind = str(random.choice(["wrong shaft", "crossed", "skipped", "extra"]))
        if kind == "wrong shaft" or (kind == "crossed" and web[end] == web[end + 1]):
            shaft = int(random.choice([each for each in used if each != web[end]]))
            told.append(("wrong shaft", end + 1, web[end] + 1, shaft + 1))
            web[end] = shaft
        elif kind == "crossed":
            told.append((kind, end + 1, web[end] + 1, web[end + 1] + 1))
            web[end : end + 2] = web[end + 1], web[end]
        elif kind == "skipped":
            shaft = web[end]
            del web[end]
            first = end
            while first and planned[first - 1] == shaft:
                first -= 1
            told.append((kind, first + 1, shaft + 1, None))
        else:
            shaft = int(random.choice(used))
            web.insert(end, shaft)
            first = end
            while first and planned[first - 1] == shaft:
                first -= 1
            told.append((kind, first + 1, None, shaft + 1))
    return np.array(web), tuple(sorted(told, key=lambda slip: slip[1]))


def web(random: Random, slips: int) -> Web:
    """A web of 60 to 600 ends on 8 to 24 shafts, with 16 test picks."""
    shafts = int(random.integers(8, 25))
    planned = threading(random, int(random.integers(60, 601)), shafts)
    there, told = with_slips(planned, slips, random)
    lifts = picking.well_apart(planned, shafts, PICKS, FLOATS).lifts
    return Web(planned, there, lifts, told)


def told(found: FoundSlips) -> tuple[Told, ...]:
    """The slips of the threading as they were found, comparable with those of a web."""
    return tuple((slip.kind, slip.end, slip.planned, slip.found) for slip in found.slips if slip.end)


def found_exactly(webs: int, slips: int, seed: int, misread: float = MISREAD) -> float:
    """Share of simulated webs whose slips are found exactly, and nothing else is named."""
    random = np.random.default_rng([seed, slips])
    right = 0
    for _ in range(webs):
        each = web(random, slips)
        found = infer(each.cells(random, misread), each.lifts, each.planned)
        right += told(found) == each.slips and len(found.slips) == slips
    return right / webs
