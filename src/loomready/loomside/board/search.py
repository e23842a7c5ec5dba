"""The path with the least excess, and the longest path, over a board's field.

How a path can continue depends only on its last peg and on the segments that are left to it:
those that cross nothing laid, touch no peg used, and can be reached. Paths that agree in that are one
*state* with many lengths, so that all paths are looked through together, peg by peg, as whole arrays. Two
bounds keep the lengths few: a path that is long enough ends, and one that cannot become long enough with all
pegs it can still reach is dropped.

The effort is counted in states and lengths, never in time. Where the count is used up, a second run keeps
only so many states a step, and what it finds is not proved to be the least.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loomready.loomside.board.board_geometry import Field, Ints, Words

SLACK = 1000  # in 1e-9 mm: the sum of the rounding of all segments, far too small to see
_ONE = np.uint64(1)
# How a thinned run ranks states. Tried on boards of 30 to 40 pegs; no bound depends on them.
_FIRST_LOOK = 4
_OF_WHAT_MAY_COME = 0.6
Index = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Effort:
    """``states``, ``lengths``: how many a run may make in all that looks through everything.

    ``width``, ``few``: how many states and lengths a thinned run keeps from step to step.
    ``end_states``, ``end_lengths``: how many a run makes that lays the end of a path again.
    """

    states: int = 100_000
    lengths: int = 800_000
    width: int = 2_000
    few: int = 15_000
    end_states: int = 8_000
    end_lengths: int = 100_000


@dataclass(frozen=True, slots=True)
class FoundPath:
    """A path by peg numbers and its length in 1e-9 mm; ``proved``: there is no better one."""

    path: tuple[int, ...]
    length: int
    proved: bool


@dataclass(slots=True)
class _Step:
    """All partial paths of one number of pegs. S states, I paths with distinct lengths, ordered by state.

    ``left``: uint64[n, S], bit q of [p, s] is set where segment (p, q) is left to state s; ``last``: int[S];
    ``state``, ``length``, ``parent``, ``peg``: [I].
    """

    left: Words
    last: Index
    state: Index
    length: Ints
    parent: Index
    peg: Index


class _UsedUp(Exception):
    """More states or lengths than the effort allows."""


def least_excess(field: Field, wanted: int, effort: Effort) -> FoundPath | None:
    """The shortest path of at least ``wanted`` (1e-9 mm); None where none was found.

    A path that begins over start and cross must be free, see :func:`beginning`.
    """
    return _run(field, wanted, effort)


def longest(field: Field, effort: Effort) -> FoundPath:
    """The longest path of all."""
    found = _run(field, None, effort)
    assert found is not None  # the path is only its beginning
    return found


def nearer(field: Field, wanted: int, found: FoundPath, effort: Effort) -> FoundPath:
    """A path that comes nearer to ``wanted`` than one that is longer: its end is laid again.

    The end grows by a peg at a time, as long as all its ways can be looked through.
    """
    little = replace(effort, states=effort.end_states, lengths=effort.end_lengths)
    best = replace(found, proved=False)
    for kept in range(len(found.path) - 1, len(_beginning(field)) - 1, -1):
        try:
            other = _Search(field, wanted, little, found.path[:kept], thinned=False).run()
        except _UsedUp:
            break
        if other is not None and other.length < best.length:
            best = replace(other, proved=other.length <= wanted)
    return best


def _run(field: Field, wanted: int | None, effort: Effort) -> FoundPath | None:
    begun = _beginning(field)
    try:
        return _Search(field, wanted, effort, begun, thinned=False).run()
    except _UsedUp:
        return _Search(field, wanted, effort, begun, thinned=True).run()


def _beginning(field: Field) -> tuple[int, ...]:
    return (field.start, *field.cross)


class _Search:
    """One run. ``wanted`` None: the longest path is looked for. ``begun``: the pegs that are settled."""

    def __init__(
        self, field: Field, wanted: int | None, effort: Effort, begun: tuple[int, ...], *, thinned: bool
    ) -> None:
        self.begun = begun
        self.field, self.wanted, self.effort, self.thinned = field, wanted, effort, thinned
        free = field.free
        self.reach_of = np.where(free, field.length, 0).max(axis=1)  # the longest segment at each peg
        self.left_states, self.left_lengths = effort.states, effort.lengths
        self.steps: list[_Step] = []
        self.passed_over = False
        self.best: int | None = None
        self.best_at: tuple[int, int, int] = (-1, -1, -1)  # step, path in it, peg

    def run(self) -> FoundPath | None:
        step = self._first()
        self.steps.append(step)
        begun = int(step.length[0])
        if self.wanted is None or begun >= self.wanted - SLACK:
            self.best, self.best_at = begun, (0, 0, -1)
        if self.wanted is None or begun < self.wanted - SLACK:
            while step is not None and len(step.length):
                following = self._next(step)
                if following is None or self.best == self.wanted:
                    break
                self.steps.append(following)
                step = following
        if self.best is None:
            return None
        proved = not self.passed_over or (self.wanted is not None and self.best <= self.wanted)
        return FoundPath(self._path(), self.best, proved)

    def _first(self) -> _Step:
        field = self.field
        n = field.pegs
        left = np.zeros((n, 1), dtype=np.uint64)
        for q in range(n):
            left[:, 0] |= field.free[:, q].astype(np.uint64) << np.uint64(q)
        for a, b in itertools.pairwise(self.begun):
            left[:, 0] &= field.beside[a, b]
            left &= ~(_ONE << np.uint64(a))
        left[list(self.begun[:-1])] = 0
        last = np.array(self.begun[-1:], dtype=np.intp)
        reach = _close(left, last)
        left = _cut(left, reach)
        length = np.array(
            [sum(field.length[a, b] for a, b in itertools.pairwise(self.begun))], dtype=np.int64
        )
        nought = np.zeros(1, dtype=np.intp)
        return _Step(left, last, nought, length, nought - 1, last)

    def _next(self, step: _Step) -> _Step | None:
        """Every path by one peg further."""
        field, n = self.field, self.field.pegs
        here = step.left[step.last, np.arange(len(step.last))]
        from_state, to_peg = np.nonzero((here[:, None] >> np.arange(n, dtype=np.uint64)) & _ONE)
        if not len(from_state):
            return None
        away = field.length[step.last[from_state], to_peg]
        parent, edge = _join(step.state, from_state, len(step.last))
        length = step.length[parent] + away[edge]
        self._look(length, parent, to_peg[edge])
        if self.wanted is not None:
            going = length < self.wanted - SLACK
            parent, edge, length = parent[going], edge[going], length[going]
        used = np.flatnonzero(np.bincount(edge, minlength=len(from_state)))
        far = np.zeros(len(from_state), dtype=np.int64)
        np.maximum.at(far, edge, length)
        if self.thinned:
            ways = np.bitwise_count(step.left[to_peg[used], from_state[used]])
            used = used[self._thin(far[used] + ways * self.reach_of.mean(), _FIRST_LOOK)]
        if not len(used):
            return None
        self.left_states -= len(used)
        if self.left_states < 0 and not self.thinned:
            raise _UsedUp
        left, last, reach = self._grown(step, from_state[used], to_peg[used])
        more = self._more(reach, last)
        if self.thinned:
            some = self._thin(far[used] + _OF_WHAT_MAY_COME * more, 1)
            used, left, last, more = used[some], left[:, some], last[some], more[some]
        number = np.full(len(from_state), -1, dtype=np.intp)
        number[used] = np.arange(len(used))
        child = number[edge]
        enough = (child >= 0) & (more[child] > 0)
        if self.wanted is not None:
            enough &= length + more[child] >= self.wanted - SLACK
        elif self.best is not None:
            enough &= length + more[child] > self.best
        parent, child, length = parent[enough], child[enough], length[enough]
        if not len(child):
            return None
        return self._merged(left, last, parent, child, length)

    def _look(self, length: Ints, parent: Index, peg: Index) -> None:
        """Keep the best of the complete paths."""
        if self.wanted is None:
            at = int(length.argmax())
            better = self.best is None or int(length[at]) > self.best
        else:
            whole = np.where(length >= self.wanted - SLACK, length, np.iinfo(np.int64).max)
            at = int(whole.argmin())
            better = int(whole[at]) < (self.best if self.best is not None else np.iinfo(np.int64).max)
            length = whole
        if better:
            self.best = int(length[at])
            self.best_at = (len(self.steps) - 1, int(parent[at]), int(peg[at]))

    def _grown(self, step: _Step, state: Index, peg: Index) -> tuple[Words, Index, Words]:
        """What is left after the segment to ``peg``: uint64[n, K], the pegs, and what they reach."""
        before = step.last[state]
        left = step.left[:, state] & self.field.beside[before, peg].T
        left &= ~(_ONE << before.astype(np.uint64))
        left[before, np.arange(len(state))] = 0
        reach = _close(left, peg)
        return _cut(left, reach), peg, reach

    def _more(self, reach: Words, last: Index) -> Ints:
        """The most by which each path can grow: every peg within reach is visited once."""
        more = np.zeros(len(last), dtype=np.int64)
        for p, most in enumerate(self.reach_of.tolist()):
            more += ((reach >> np.uint64(p)) & _ONE).astype(np.int64) * most
        more -= self.reach_of[last]
        more[reach == _ONE << last.astype(np.uint64)] = 0
        return more

    def _merged(self, left: Words, last: Index, parent: Index, child: Index, length: Ints) -> _Step:
        """The same states made one, and of the same lengths in one state one kept."""
        there = np.flatnonzero(np.bincount(child))
        first, same = _same(left[:, there], last[there])
        state = same[np.searchsorted(there, child)]
        order = np.lexsort((length, state))
        state, length, parent, child = state[order], length[order], parent[order], child[order]
        kept = np.ones(len(state), dtype=bool)
        if self.wanted is None:
            kept[:-1] = state[1:] != state[:-1]
        else:
            kept[1:] = (state[1:] != state[:-1]) | (length[1:] != length[:-1])
        if self.thinned:
            kept = self._fewer(kept)
        self.left_lengths -= int(kept.sum())
        if self.left_lengths < 0 and not self.thinned:
            raise _UsedUp
        chosen = there[first]
        return _Step(
            left[:, chosen], last[chosen], state[kept], length[kept], parent[kept], last[child[kept]]
        )

    def _fewer(self, kept: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Some of the lengths, evenly through all."""
        at = np.flatnonzero(kept)
        if len(at) <= self.effort.few:
            return kept
        self.passed_over = True
        some = np.zeros(len(kept), dtype=bool)
        some[at[np.linspace(0, len(at) - 1, self.effort.few).astype(np.intp)]] = True
        return some

    def _thin(self, promise: NDArray[np.float64], times: int) -> Index:
        """Which states to follow, at most ``times`` the width: half the most promising, half spread over
        all."""
        width = self.effort.width * times
        if len(promise) <= width:
            return np.arange(len(promise))
        self.passed_over = True
        order = np.argsort(-promise, kind="stable")
        rest = order[width // 2 :]
        some = rest[np.linspace(0, len(rest) - 1, width - width // 2).astype(np.intp)]
        return np.sort(np.concatenate([order[: width // 2], some]))

    def _path(self) -> tuple[int, ...]:
        step, at, peg = self.best_at
        backward = [] if peg < 0 else [peg]
        while step > 0:
            here = self.steps[step]
            backward.append(int(here.peg[at]))
            at, step = int(here.parent[at]), step - 1
        return (*self.begun, *reversed(backward))


def _join(state: Index, from_state: Index, states: int) -> tuple[Index, Index]:
    """For each edge every path of its state: path numbers and edge numbers. Both given are ordered."""
    counts = np.bincount(state, minlength=states)
    starts = np.concatenate([[0], np.cumsum(counts)])
    times = counts[from_state]
    edge = np.repeat(np.arange(len(from_state)), times)
    before = np.cumsum(times) - times
    path = starts[from_state][edge] + np.arange(len(edge)) - before[edge]
    return path, edge


def _close(left: Words, last: Index) -> Words:
    """The pegs that each state reaches by segments left to it, its own peg too: uint64[S]."""
    reach = _ONE << last.astype(np.uint64)
    while True:
        before = reach.copy()
        for p, row in enumerate(left):
            reach |= row * ((reach >> np.uint64(p)) & _ONE)
        if (reach == before).all():
            return reach


def _cut(left: Words, reach: Words) -> Words:
    """Without the segments that are out of reach."""
    pegs = np.arange(len(left), dtype=np.uint64)[:, None]
    return left * ((reach >> pegs) & _ONE)


def _same(left: Words, last: Index) -> tuple[Index, Index]:
    """The first state of each kind, and for each state the number of its kind."""
    mixed = last.astype(np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    for row in left:
        mixed = (mixed ^ row) * np.uint64(0xD6E8FEB86659FD93)
        mixed ^= mixed >> np.uint64(32)
    _, first, same = np.unique(mixed, return_index=True, return_inverse=True)
    if (left == left[:, first[same]]).all() and (last == last[first[same]]).all():
        return first, same
    whole = np.concatenate([left, last.astype(np.uint64)[None, :]])  # two kinds share a hash: compare in full
    _, first, same = np.unique(whole, axis=1, return_index=True, return_inverse=True)
    return first, same.reshape(-1)
