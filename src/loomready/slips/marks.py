"""What was seen, found and mended of a test weave as marks: bits that facts set and clear, and union merges.

A warp's test weave has a bit for each end that is tested, then blocks of bits for all that somebody may tap.
The facts of the job (:mod:`loomready.loomside.log.facts`) say which bits are set, so that several phones
agree without a network. The page gets the blocks' places from here.

    tested    E        the web is right, or as it is meant to be
    other     1        weave the other picks: test picks in place of the draft's own, or the other way round
    looked    2 x E    ends that were compared with the cloth: on test picks, on the draft's own
    differs   R x E    cells that look different, pick by pick: all test picks, then the draft's own
    at        E        where the slip that is looked for lies
    sign      6        how it looks
    passed    2        not seen: where, how it looks
    answered  L x E    an end was watched in a lift; ``rose``: it rose; ``unseen``: nobody can see it
    kept      C        slips that were confirmed; ``mended``, ``left``: what became of a slip, however found
    way       3        which set of actions was chosen
    odds      4 x (E + 1)    how sure questions were of the slip at an end, a step of :data:`ODDS` in binary
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import accumulate

import numpy as np
import numpy.typing as npt

from loomready.slips.possible import KINDS, SIGNS
from loomready.slips.result import Slip, SlipKind

Bits = npt.NDArray[np.bool_]
Key = tuple[SlipKind, int, int]  # kind, end or pick (from 1), and the shaft that tells it from its like
_ON_SHAFT: tuple[SlipKind, ...] = ("wrong shaft", "extra")
_WAYS = 3
SURE_ENOUGH = 19.0  # odds of a slip that questions found: they end at 95 in 100
# Odds that are kept of a slip found by questions, rounded down; step 0: none are known.
ODDS = (0.1, 0.5, 1.0, 2.0, 3.0, 5.0, 9.0, 19.0, 30.0, 50.0, 100.0, 300.0, 1000.0, 10_000.0, 100_000.0)
ODDS_BITS = len(ODDS).bit_length()


@dataclass(frozen=True, slots=True)
class Layout:
    """Sizes of a test weave.

    ends    E, of the web
    shafts  S, of the loom
    test    test picks; ``own``: different lifts of the draft; R of both together
    lifts   L, that a question may ask for
    """

    ends: int
    shafts: int
    test: int
    own: int
    lifts: int

    @property
    def rows(self) -> int:
        return self.test + self.own

    @property
    def codes(self) -> int:
        """Slips that can be told apart: of the threading, then a lift and a shaft for each wrong lift."""
        return sum(size for _kind, size in self._kinds()) + self.rows * self.shafts

    def _kinds(self) -> Iterator[tuple[SlipKind, int]]:
        for kind in KINDS:
            yield kind, (self.ends + 1) * (self.shafts + 1 if kind in _ON_SHAFT else 1)

    @property
    def blocks(self) -> Mapping[str, tuple[int, int]]:
        """First bit, from 0, and size of each block."""
        sizes = {
            "tested": self.ends,
            "other": 1,
            "looked": 2 * self.ends,
            "differs": self.rows * self.ends,
            "at": self.ends,
            "sign": len(SIGNS),
            "passed": 2,
            "answered": self.lifts * self.ends,
            "rose": self.lifts * self.ends,
            "unseen": self.lifts * self.ends,
            "kept": self.codes,
            "mended": self.codes,
            "left": self.codes,
            "way": _WAYS,
            "odds": ODDS_BITS * (self.ends + 1),  # last: marks of earlier versions keep their places
        }
        firsts = accumulate(sizes.values(), initial=0)
        return {name: (first, size) for (name, size), first in zip(sizes.items(), firsts, strict=False)}

    @property
    def bits(self) -> int:
        first, size = self.blocks["odds"]
        return first + size

    def odds(self, end: int, odds: float | None) -> Iterator[tuple[str, int, int, bool]]:
        """The changes that keep the odds of the slip at an end (from 1): block, first and last bit, value."""
        first, step = (end - 1) * ODDS_BITS, 0 if odds is None else max(1, bisect_right(ODDS, odds))
        for bit in range(ODDS_BITS):
            yield "odds", first + bit, first + bit, bool(step >> bit & 1)

    def code(self, slip: Slip) -> int:
        """The place of a slip in its blocks, from 0."""
        first = 0
        for kind, size in self._kinds():
            if slip.kind == kind:
                on = slip.found or 0
                each = self.shafts + 1 if kind in _ON_SHAFT else 1
                return first + ((slip.end or 1) - 1) * each + (on if each > 1 else 0)
            first += size
        return first + ((slip.pick or 1) - 1) * self.shafts + (slip.planned or slip.found or 1) - 1

    def key(self, code: int) -> Key:
        """What stands at a place in the blocks of slips."""
        for kind, size in self._kinds():
            if code < size:
                each = self.shafts + 1 if kind in _ON_SHAFT else 1
                return kind, code // each + 1, code % each
            code -= size
        return "wrong lift", code // self.shafts + 1, code % self.shafts + 1


@dataclass(frozen=True, slots=True, eq=False)
class Marks:
    """The marks of a test weave: ``done`` bool[bits]."""

    layout: Layout
    done: Bits

    def block(self, name: str) -> Bits:
        first, size = self.layout.blocks[name]
        return self.done[first : first + size]

    def looked(self, own: bool) -> Bits:
        """bool[E]: ends compared with the cloth on the draft's own picks, or on test picks."""
        looked: Bits = self.block("looked").reshape(2, self.layout.ends)[int(own)]
        return looked

    def differs(self, own: bool) -> Bits:
        """bool[P, E]: cells of those picks that look different."""
        cells = self.block("differs").reshape(self.layout.rows, self.layout.ends)
        return cells[self.layout.test :] if own else cells[: self.layout.test]

    def kept(self, threading: npt.NDArray[np.integer]) -> tuple[Slip, ...]:
        """The slips that questions found, in the planned threading (shafts from 0; -1: not threaded)."""
        slips = (slip for _code, slip in self.slips("kept", threading) if slip.end is not None)
        return tuple(replace(slip, odds=self.odds(slip.end or 1) or SURE_ENOUGH) for slip in slips)

    def slips(self, name: str, threading: npt.NDArray[np.integer]) -> Iterator[tuple[int, Slip]]:
        """The slips that are marked in a block, each with its place there."""
        for code in np.flatnonzero(self.block(name)).tolist():
            yield code, slip_at(self.layout, code, threading)

    def odds(self, end: int) -> float | None:
        """How sure questions were of the slip at an end; None: it was not kept."""
        bits = self.block("odds").reshape(-1, ODDS_BITS)[end - 1]
        step = int(bits @ (1 << np.arange(ODDS_BITS)))
        return ODDS[step - 1] if step else None

    def has(self, name: str, slip: Slip) -> bool:
        return bool(self.block(name)[self.layout.code(slip)])

    @property
    def way(self) -> int:
        """The set of actions that was chosen, from 0."""
        chosen = np.flatnonzero(self.block("way"))
        return int(chosen[-1]) if chosen.size else 0


def slip_at(layout: Layout, code: int, threading: npt.NDArray[np.integer]) -> Slip:
    """The slip at a place in its block; of a wrong lift nobody knows whether the shaft rose or sank."""
    kind, end, found = layout.key(code)
    if kind == "wrong lift":
        return Slip(kind, None, end, found, None, SURE_ENOUGH)

    def on(number: int) -> int:
        return int(threading[number - 1]) + 1 if number <= len(threading) else 0

    if kind == "crossed":
        return Slip(kind, end, None, on(end), on(end + 1), SURE_ENOUGH)
    planned = on(end) if kind in ("wrong shaft", "skipped", "round its heddle") else None
    return Slip(kind, end, None, planned, found if kind in _ON_SHAFT else None, SURE_ENOUGH)
