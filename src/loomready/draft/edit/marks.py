"""What is marked on the cloth while its draft is edited: where, not only whether.

Floats, parts and mirror lines are those of the smallest repeat, as a continuous repeat, shown wherever they
come in the draft as it is written; edges are those of the web as it is written.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from loomready.draft.draft import Bools, Draft
from loomready.draft.edit.edges import Edges, edges
from loomready.draft.structure import floats
from loomready.draft.structure.analysis import Structure
from loomready.draft.structure.periods import AnyInts, Numbers, cyclic_period, number
from loomready.phrases import phrase
from loomready.problems import BadInput

MOST_FLOATS = 20_000
_MOST_CROSSINGS = 1 << 22

Runs = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Floats:
    """Floats over the limit that run alike in several threads.

    threads  the ends (or picks) that float so, from 0
    face     they lie on the face of the cloth; else on its back
    runs     where: (first, length) along the thread, from 0, cut at the borders of the draft
    """

    threads: tuple[int, ...]
    face: bool
    runs: Runs


@dataclass(frozen=True, slots=True)
class LoosePart:
    """Threads of the draft (from 0) that hold on to one another and to nothing else."""

    ends: tuple[int, ...]
    picks: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Marks:
    """What is to be seen on a draft.

    limit          longest float that is fine, in threads: (warp floats, over picks; weft floats, over ends)
    warp, weft     floats over it; ``count`` how many lie on the face and on the back, None if they are too
                   many to be marked one by one
    loose_ends     ends and picks (from 0) that never interlace, with their face
    not_threaded   ends (from 0) that are not threaded
    no_treadle     picks (from 0) without a treadle, or that lift no shaft in a lift plan
    parts          from top to bottom, where the cloth comes apart; empty where it holds together
    mirror_ends    mirror lines across the ends, in half threads: 2 e lies in end e (from 0), 2 e + 1 after it
    edges          where the weft is not caught at the edges
    """

    limit: tuple[int, int]
    warp: tuple[Floats, ...]
    weft: tuple[Floats, ...]
    count: tuple[int, int] | None
    loose_ends: tuple[int, ...]
    loose_picks: tuple[int, ...]
    not_threaded: tuple[int, ...]
    no_treadle: tuple[int, ...]
    parts: tuple[LoosePart, ...]
    mirror_ends: tuple[int, ...]
    mirror_picks: tuple[int, ...]
    edges: Edges


def threads_within(limit_mm: float, threads_per_cm: float) -> int:
    """How many threads a float of ``limit_mm`` passes: the most that are not over the limit.

    >>> threads_within(10.0, 8.0), threads_within(9.525, 20 / 2.54)  # 3/8 in at 20 to the inch
    (8, 7)
    """
    return max(1, math.floor(limit_mm * threads_per_cm / 10 + 1e-9))


def marks(draft: Draft, limit: tuple[int, int]) -> Marks:
    """Look for all that is marked.

    :param limit: the longest warp float (in picks) and weft float (in ends) that is fine
    :raises BadInput: no ends or no picks, or a limit below 1
    """
    if min(limit) < 1:
        raise BadInput(
            phrase("a float of {threads} threads is none; expected 1 or more", threads=min(limit)),
            where="limit",
        )
    structure = Structure(draft)
    repeat_ends, repeat_picks = structure.repeat
    by_end = np.zeros((draft.picks, draft.shafts + 1), dtype=np.bool_)
    by_end[:, :-1] = draft.lifts  # the last: ends not threaded
    shafts = np.unique(draft.threading)
    warp, warp_count = _floats(
        np.ascontiguousarray(by_end[:repeat_picks, shafts].T),
        np.searchsorted(shafts, draft.threading),
        draft.picks,
        limit[0],
        face_up=True,
    )
    weft, weft_count = _weft_floats(structure, by_end, limit[1])
    used = np.count_nonzero(draft.lifts if draft.treadling is None else draft.treadling, axis=1)
    up_picks = np.count_nonzero(by_end, axis=0)[draft.threading]
    up_ends = by_end @ np.bincount(
        draft.threading.astype(np.int64) % by_end.shape[1], minlength=by_end.shape[1]
    )
    return Marks(
        limit=limit,
        warp=warp or (),
        weft=weft or (),
        count=None
        if warp is None or weft is None
        else (warp_count[0] + weft_count[0], warp_count[1] + weft_count[1]),
        loose_ends=_where((up_picks == 0) | (up_picks == draft.picks)),
        loose_picks=_where((up_ends == 0) | (up_ends == draft.ends)),
        not_threaded=_where(draft.threading < 0),
        no_treadle=_where(used == 0),
        parts=_parts(structure),
        mirror_ends=mirror_lines(structure.end_ids[:repeat_ends], draft.ends),
        mirror_picks=mirror_lines(structure.picks.ids[:repeat_picks], draft.picks),
        edges=edges(draft),
    )


_Found = tuple[tuple[Floats, ...] | None, tuple[int, int]]
"""Floats, or None where they are too many; and how many there are on the face and on the back."""


def _weft_floats(structure: Structure, by_end: Bools, limit: int) -> _Found:
    """Only picks that float over the limit are expanded to crossings, and only if they are few."""
    picks, threading = structure.picks, structure.threading
    reaching = np.flatnonzero(floats.weft_reaching(structure.distinct_lifts, threading, limit + 1))
    if len(reaching) * len(threading) > _MOST_CROSSINGS:
        return None, (0, 0)
    lines = np.zeros((picks.count, len(threading)), dtype=np.bool_)
    lines[reaching] = by_end[picks.first[reaching]][:, threading]
    return _floats(lines, picks.ids, structure.draft.ends, limit, face_up=False)


def _where(found: Bools) -> tuple[int, ...]:
    return tuple(np.flatnonzero(found).tolist())


def _floats(lines: Bools, line_of: AnyInts, length: int, limit: int, *, face_up: bool) -> _Found:
    """Floats longer than ``limit`` along bool[n, repeat], gone on to ``length`` threads.

    ``line_of`` says which line each thread of the draft weaves; ``face_up``: what is true lies on the face.
    """
    line, first, span = float_runs(lines, limit)
    if not line.size:
        return (), (0, 0)
    # Each line twice: its floats on the back, and those on the face.
    line = 2 * line + (lines[line, first] == face_up)
    repeat = lines.shape[1]
    # The repeat continues, cut at the borders; a run may begin in the repeat before the draft's first.
    turns = np.arange(-1, -(-length // repeat))
    starts = (first[:, None] + repeat * turns[None, :]).ravel()
    owner = np.repeat(line, len(turns))
    stops = np.minimum(starts + np.repeat(span, len(turns)), length)
    starts = np.maximum(starts, 0)
    seen = stops > starts
    owner, starts, stops = owner[seen], starts[seen], stops[seen]
    threads = np.bincount(line_of, minlength=len(lines))[owner // 2]
    face = owner % 2 == 1
    count = (int(threads[face].sum()), int(threads[~face].sum()))
    if len(owner) > MOST_FLOATS:
        return None, count
    order = np.argsort(owner, kind="stable")
    owner, starts, stops = owner[order], starts[order], stops[order]
    cuts = np.concatenate([[0], np.flatnonzero(owner[1:] != owner[:-1]) + 1, [len(owner)]])
    by_line = np.argsort(line_of, kind="stable")
    first_of = np.searchsorted(line_of[by_line], np.arange(len(lines) + 1))
    found = []
    for begin, end in zip(cuts[:-1].tolist(), cuts[1:].tolist(), strict=True):
        mine, on_face = divmod(int(owner[begin]), 2)
        members = by_line[first_of[mine] : first_of[mine + 1]]
        runs = zip(starts[begin:end].tolist(), (stops - starts)[begin:end].tolist(), strict=True)
        found.append(Floats(tuple(members.tolist()), bool(on_face), tuple(runs)))
    return tuple(found), count


def float_runs(lines: Bools, limit: int) -> tuple[Numbers, Numbers, Numbers]:
    """Runs of one face longer than ``limit`` in the rows of bool[n, m], as a continuous repeat: row, first,
    length.

    A row that never turns has no run: it is loose.
    """
    row, turn = np.nonzero(lines != np.roll(lines, 1, axis=1))
    if not row.size:
        none = np.zeros(0, dtype=np.int64)
        return none, none, none
    following = np.concatenate([turn[1:], turn[:1]])
    last = np.flatnonzero(np.concatenate([row[1:] != row[:-1], [True]]))
    begin = np.concatenate([[0], last[:-1] + 1])
    following[last] = turn[begin] + lines.shape[1]
    length = following - turn
    over = length > limit
    return row[over], turn[over], length[over]


def _parts(structure: Structure) -> tuple[LoosePart, ...]:
    found = structure.parts
    if found.count == 1:
        return ()
    repeat_ends, repeat_picks = structure.repeat
    ends = _part_of(found.end_order, found.end_cuts)[np.arange(structure.draft.ends) % repeat_ends]
    picks = _part_of(found.pick_order, found.pick_cuts)[np.arange(structure.draft.picks) % repeat_picks]
    return tuple(
        LoosePart(_where(ends == part), _where(picks == part)) for part in range(min(found.count, 9))
    )


def _part_of(order: Numbers, cuts: Numbers) -> Numbers:
    """The part that each thread of the repeat is in."""
    part = np.empty(len(order), dtype=np.int64)
    part[order] = np.repeat(np.arange(len(cuts) - 1), np.diff(cuts))
    return part


def mirror_lines(ids: AnyInts, length: int) -> tuple[int, ...]:
    """Mirror lines of the repeat int[n], as a continuous repeat, inside ``length`` threads, in half threads.

    2 e is a line in the middle of thread e, 2 e + 1 one between e and e + 1. The reversal of the smallest
    cyclic period is a rotation of it in at most one way; its lines come every half period.

    >>> mirror_lines(np.array([0, 1, 2, 1]), 8)
    (0, 4, 8, 12)
    """
    if not len(ids):
        return ()
    period = cyclic_period(ids)
    codes = number(ids[:period]).ids.astype("<u4").tobytes().decode("utf-32-le", "surrogatepass")
    shift = (codes + codes).find(codes[::-1])
    if shift < 0:
        return ()
    # Thread e meets thread shift - 1 - e: the line lies at half their sum, and half a period on.
    first = (shift - 1) % period
    return tuple(range(first, 2 * length - 1, period))
