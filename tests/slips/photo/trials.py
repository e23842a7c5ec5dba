"""Simulated photographs with slips, read, and how what was named compares with what is there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loomready.problems import BadInput
from loomready.slips import test_picks as picking
from loomready.slips.as_json import Planned
from loomready.slips.mending import OnLoom
from loomready.slips.photo.certainty import find
from loomready.slips.photo.picture import of_bytes
from tests.slips.photo.simulated import Grade, Photograph, photograph

Random = np.random.Generator
KINDS = ("wrong shaft", "crossed", "skipped", "extra")
_APART = 7  # ends between slips


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """A threading as planned, the picks, a photograph, and its slips: (kind, end from 1)."""

    planned: np.ndarray
    there: np.ndarray
    lifts: np.ndarray
    photo: Photograph
    slips: tuple[tuple[str, int], ...]


def threading(random: Random, ends: int, shafts: int) -> np.ndarray:
    """Straight, point, undulating, advancing, or blocks."""
    kind = int(random.integers(5))
    if kind == 0:
        return np.arange(ends) % shafts
    if kind == 1:
        return np.resize(np.concatenate([np.arange(shafts), np.arange(shafts - 2, 0, -1)]), ends)
    if kind == 2:
        return np.cumsum(np.repeat(random.choice([-1, 1], size=ends // 4 + 1), 4)[:ends]) % shafts
    if kind == 3:
        return np.array([(end // 5 + end % 5) % shafts for end in range(ends)])
    pairs = random.integers(0, shafts // 2, ends // 8 + 1)
    return np.concatenate([np.tile([2 * pair, 2 * pair + 1], 4) for pair in pairs])[:ends]


def trial(
    grade: Grade,
    seed: tuple[int, ...],
    slips: int | None = None,
    *,
    ends: int = 120,
    picks: int = 16,
    shafts: int = 8,
    kinds: tuple[str, ...] = KINDS,
    warp_colors: int = 1,
) -> Trial:
    """One photograph with 0 to 3 slips, or so many."""
    random = np.random.default_rng(seed)
    planned = threading(random, ends, shafts)
    lifts = picking.well_apart(planned, shafts, picks, 6).lifts
    count = int(random.integers(0, 4)) if slips is None else slips
    places = np.zeros(0, dtype=int)
    while len(places) < count or np.diff(places).min(initial=99) < _APART:
        places = np.sort(random.integers(1, ends - 2, count))
    used = np.unique(planned).tolist()
    web, told, crowded, gaps = planned.tolist(), [], [], []
    for end in places[::-1].tolist():
        kind = str(random.choice(kinds))
        if kind == "crossed" and web[end] == web[end + 1]:
            kind = "wrong shaft"
        if kind == "wrong shaft":
            web[end] = int(random.choice([each for each in used if each != web[end]]))
        elif kind == "crossed":
            web[end : end + 2] = web[end + 1], web[end]
        elif kind == "skipped":
            del web[end]
            crowded, gaps = [each - 1 for each in crowded], [each - 1 for each in gaps]
            if random.random() < 0.5:
                gaps.append(end)
        else:
            web.insert(end, int(random.choice(used)))
            crowded, gaps = [each + 1 for each in crowded], [each + 1 for each in gaps]
            if random.random() < 0.5:
                crowded.append(end)
        told.append((kind, end + 1))
    there = np.array(web)
    photo = photograph(
        lifts[:, there],
        grade,
        random,
        crowded=tuple(crowded),
        gaps=tuple(gaps),
        warp_colors=warp_colors,
        end_1=str(random.choice(["left", "right"])),
    )
    return Trial(planned, there, lifts, photo, tuple(sorted(told, key=lambda each: each[1])))


@dataclass(frozen=True, slots=True)
class Score:
    """``right``: of each slip its kind, whether it was named, and as certain; ``false``: what is not there.

    A missing or an extra end is right within two ends: "about here".
    """

    refused: str
    right: tuple[tuple[str, bool, bool], ...]
    false: tuple[tuple[str, bool], ...]


def score(trial: Trial) -> Score:
    """Read the photograph and compare."""
    ends = len(trial.planned)
    free = np.zeros(ends, dtype=np.bool_)
    planned = Planned("trial", trial.planned, free, trial.lifts, OnLoom())
    try:
        made = find(of_bytes(trial.photo.data), trial.photo.corners, planned, trial.lifts, (1, ends))
    except BadInput as error:
        return Score(str(error), tuple((kind, False, False) for kind, _ in trial.slips), ())
    left = [(each.slip.kind, each.slip.end or 0, each.certain) for each in made.slips]
    right = []
    for kind, end in trial.slips:
        near = 2 if kind in ("skipped", "extra") else 0
        same = [each for each in left if each[0] == kind and abs(each[1] - end) <= near]
        if same:
            left.remove(same[0])
        right.append((kind, bool(same), bool(same) and same[0][2]))
    return Score("", tuple(right), tuple((kind, certain) for kind, _, certain in left))
