"""The analysis of a draft from lifts and threading, without a drawdown."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from loomready.draft.draft import Bools, Draft, Ints
from loomready.draft.structure import findings, floats, integrity, spacing
from loomready.draft.structure.periods import (
    AnyInts,
    Numbered,
    mirrors,
    number,
    number_columns,
    number_rows,
    smallest_period,
)
from loomready.phrases import phrase
from loomready.problems import BadInput, Problem


@dataclass(frozen=True, slots=True)
class Analysis:
    """The facts that ``check`` reports about a draft.

    shafts_used       shafts that hold at least one end
    heddles           ends on each shaft
    repeat            ends and picks of the smallest period of the uncolored drawdown, a partial last allowed
    color_repeat      likewise of the drawdown with its warp and weft colors, by palette number
    longest_*_float   threads spanned, either face, in the continuous repeat; None: a thread is loose
    holds_together    the cloth is one; ``parts`` counts the parts of the repeat that hold on to one another
    plain_weave       some lifts of this threading weave tabby over its smallest period
    mirror_*          the continuous repeat has a mirror line, through a thread or between two
    distinct_lifts    different picks; lever_moves: shafts that change from pick to pick, last to first too;
                      most_shafts_up: in any pick. All three as written; shafts without ends ignored
    """

    title: str | None
    shafts: int
    treadles: int | None
    ends: int
    picks: int
    shafts_used: int
    heddles: tuple[int, ...]
    repeat: tuple[int, int]
    color_repeat: tuple[int, int]
    longest_warp_float: int | None
    longest_weft_float: int | None
    holds_together: bool
    parts: int
    plain_weave: bool
    mirror_ends: bool
    mirror_picks: bool
    distinct_lifts: int
    lever_moves: int
    most_shafts_up: int
    problems: tuple[Problem, ...]


class Structure:
    """The uncolored structure of a draft: its ends and picks numbered by what they do, and its repeat.

    :raises BadInput: no ends or no picks, so there is no cloth
    """

    def __init__(self, draft: Draft) -> None:
        if not draft.ends or not draft.picks:
            raise BadInput(phrase("the draft has no ends or no picks; expected at least one of each"))
        self.draft = draft

    @cached_property
    def heddles(self) -> tuple[int, ...]:
        threading = self.draft.threading
        counts = np.bincount(threading[threading >= 0], minlength=self.draft.shafts)
        return tuple(counts.tolist())

    @cached_property
    def working_lifts(self) -> Bools:
        """Lifts of the shafts that hold ends, bool[P, shafts used]."""
        lifts: Bools = self.draft.lifts[:, np.array(self.heddles, dtype=np.int64) > 0]
        return lifts

    @cached_property
    def end_ids(self) -> AnyInts:
        """Ends numbered by their column of the drawdown, int[E]: shafts that lift alike count as one."""
        lifts = self.draft.lifts
        columns = np.zeros((lifts.shape[0], lifts.shape[1] + 1), dtype=np.bool_)
        columns[:, :-1] = lifts  # the last: ends not threaded
        return number_columns(columns).ids[self.draft.threading]

    @cached_property
    def picks(self) -> Numbered:
        """Picks numbered by their row of the drawdown."""
        return number_rows(self.working_lifts)

    @cached_property
    def repeat(self) -> tuple[int, int]:
        return smallest_period(self.end_ids), smallest_period(self.picks.ids)

    @property
    def threading(self) -> Ints:
        """Threading of the repeat."""
        return self.draft.threading[: self.repeat[0]]

    @property
    def lifts(self) -> Bools:
        """Lifts of the repeat, all shafts."""
        return self.draft.lifts[: self.repeat[1]]

    @property
    def distinct_lifts(self) -> Bools:
        """Each different lift once, in order of first appearance, all shafts."""
        return self.draft.lifts[self.picks.first]

    @cached_property
    def warp_floats(self) -> floats.Longest:
        return floats.warp(self.lifts, self.threading)

    @cached_property
    def weft_floats(self) -> floats.Longest:
        return floats.weft(self.distinct_lifts, self.threading)

    @cached_property
    def parts(self) -> integrity.Parts:
        """The parts of the repeat, from top to bottom."""
        return integrity.parts_of(self.lifts, self.threading)


def analyze(draft: Draft) -> Analysis:
    """The analysis for ``check``, with its problems (level "warn" throughout).

    :raises BadInput: the draft has no ends or no picks
    """
    structure = Structure(draft)
    repeat_ends, repeat_picks = structure.repeat
    lifts = structure.working_lifts
    changes = lifts != np.roll(lifts, 1, axis=0)
    return Analysis(
        title=draft.title,
        shafts=draft.shafts,
        treadles=draft.treadles,
        ends=draft.ends,
        picks=draft.picks,
        shafts_used=lifts.shape[1],
        heddles=structure.heddles,
        repeat=structure.repeat,
        color_repeat=(
            smallest_period(number(structure.end_ids, draft.warp_colors).ids),
            smallest_period(number(structure.picks.ids, draft.weft_colors).ids),
        ),
        longest_warp_float=structure.warp_floats.or_none,
        longest_weft_float=structure.weft_floats.or_none,
        holds_together=structure.parts.count == 1,
        parts=structure.parts.count,
        plain_weave=weaves_plain(draft.threading),
        mirror_ends=mirrors(structure.end_ids[:repeat_ends]),
        mirror_picks=mirrors(structure.picks.ids[:repeat_picks]),
        distinct_lifts=structure.picks.count,
        lever_moves=int(np.count_nonzero(changes)),
        most_shafts_up=int(np.count_nonzero(lifts, axis=1).max()),
        problems=(
            *findings.apart(structure.parts, structure.repeat, draft),
            *findings.loose(draft),
            *findings.no_shed(draft),
            *findings.long_floats(draft, structure.end_ids, structure.picks),
            *spacing.uneven(draft),
        ),
    )


def as_json(analysis: Analysis) -> dict[str, Any]:
    """The document that ``check --json`` prints."""
    return {
        "title": analysis.title,
        "shafts": analysis.shafts,
        "treadles": analysis.treadles,
        "ends": analysis.ends,
        "picks": analysis.picks,
        "shafts_used": analysis.shafts_used,
        "heddles": list(analysis.heddles),
        "repeat": dict(zip(("ends", "picks"), analysis.repeat, strict=True)),
        "color_repeat": dict(zip(("ends", "picks"), analysis.color_repeat, strict=True)),
        "longest_float": {"warp": analysis.longest_warp_float, "weft": analysis.longest_weft_float},
        "holds_together": analysis.holds_together,
        "parts": analysis.parts,
        "plain_weave": analysis.plain_weave,
        "mirror": {"ends": analysis.mirror_ends, "picks": analysis.mirror_picks},
        "distinct_lifts": analysis.distinct_lifts,
        "lever_moves": analysis.lever_moves,
        "most_shafts_up": analysis.most_shafts_up,
        "problems": [
            {"code": problem.code, "level": problem.level, "message": problem.message}
            for problem in analysis.problems
        ],
    }


def weaves_plain(threading: Ints) -> bool:
    """Whether some lifts of threading int[E] weave tabby over its smallest period, read as a continuous
    repeat.

    Neighbors must then alternate: the shafts of neighboring ends must split into two groups that are up in
    turn. An end not threaded is never up, so it cannot alternate.
    """
    period = threading[: smallest_period(threading)]
    if (period < 0).any():
        return False
    pairs = np.unique(np.stack([period, np.roll(period, -1)], axis=1), axis=0)
    beside: dict[int, set[int]] = {}
    for one, other in pairs.tolist():
        beside.setdefault(one, set()).add(other)
        beside.setdefault(other, set()).add(one)
    start = int(period[0])  # every shaft of the period is reached from its first
    camp = {start: False}
    to_visit = [start]
    while to_visit:
        shaft = to_visit.pop()
        for neighbor in beside[shaft]:
            if neighbor not in camp:
                camp[neighbor] = not camp[shaft]
                to_visit.append(neighbor)
            elif camp[neighbor] == camp[shaft]:
                return False
    return True


def interlacements(draft: Draft) -> tuple[int, int, int]:
    """Ends E and picks P of the smallest repeat, and I: face changes along its picks, as a continuous repeat.

    Plain weave gives (2, 2, 4), a 2/2 twill (4, 4, 8).

    :raises BadInput: the draft has no ends or no picks
    """
    structure = Structure(draft)
    ends, picks = structure.repeat
    plan = np.zeros((picks, draft.shafts + 1), np.float32)  # exact: whole numbers below 2**24
    plan[:, :-1] = structure.lifts  # the last: ends not threaded
    up = plan.sum(axis=0)
    apart = up[:, None] + up[None, :] - 2 * (plan.T @ plan)  # picks that part two shafts
    threading = structure.threading
    return ends, picks, int(apart[threading, np.roll(threading, -1)].sum(dtype=np.float64))
