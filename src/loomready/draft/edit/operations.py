"""The editor's operations: each makes a new draft from a draft.

An operation is a small frozen dataclass with its numbers counted from 1, as in the draft's file. ``apply``
returns the new draft and does not change the old one. Operations that move threads (insert, delete, move,
copy, mirror, reverse, repeat) take each thread with its shaft or treadles, its color, spacing and
thickness.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal, Protocol

import numpy as np

from loomready.colors import RGB
from loomready.draft.draft import Draft
from loomready.draft.edit.sheds import Lifting, SetCount, Shed, Tie, Tread, Treadling, side_of, with_side
from loomready.draft.edit.threads import (
    Side,
    check_count,
    counted,
    length_of,
    place_before,
    run_of,
    taken,
    threads_of,
)
from loomready.phrases import phrase, word
from loomready.problems import BadInput

__all__ = [
    "MAX_COLORS",
    "Color",
    "Copy",
    "Delete",
    "Insert",
    "Lifting",
    "Mirror",
    "Move",
    "Operation",
    "Palette",
    "Repeat",
    "Reverse",
    "SetCount",
    "Shed",
    "Slide",
    "Thread",
    "Tie",
    "Tread",
    "Treadling",
    "apply",
]

MAX_COLORS = 256


class Operation(Protocol):
    """An operation on a draft."""

    def apply(self, draft: Draft) -> Draft:
        """The draft after it.

        :raises BadInput: it cannot be done to this draft; nothing is changed
        """


def apply(draft: Draft, operations: Iterable[Operation]) -> Draft:
    """The draft after several operations, one after the other: all of them or none.

    :raises BadInput: one of them cannot be done
    """
    for operation in operations:
        draft = operation.apply(draft)
    return draft


@dataclass(frozen=True, slots=True)
class Thread:
    """Ends from ``first`` on go on these shafts; shaft 0: not threaded."""

    first: int
    shafts: tuple[int, ...]

    def apply(self, draft: Draft) -> Draft:
        start = run_of(draft, "warp", self.first, self.first + len(self.shafts) - 1).start
        for shaft in self.shafts:
            if not 0 <= shaft <= draft.shafts:
                raise BadInput(
                    phrase(
                        "there is no shaft {shaft}; expected 1 to {shafts}, or 0 for not threaded",
                        shaft=shaft,
                        shafts=draft.shafts,
                    )
                )
        threading = draft.threading.copy()
        threading[start : start + len(self.shafts)] = np.array(self.shafts, dtype=np.int16) - 1
        return replace(draft, threading=threading)


@dataclass(frozen=True, slots=True)
class Color:
    """Threads from ``first`` on take these colors of the palette, numbered from 1."""

    side: Side
    first: int
    colors: tuple[int, ...]

    def apply(self, draft: Draft) -> Draft:
        start = run_of(draft, self.side, self.first, self.first + len(self.colors) - 1).start
        for number in self.colors:
            if not 1 <= number <= len(draft.palette):
                raise BadInput(
                    phrase(
                        "there is no color {number}; expected 1 to {colors}",
                        number=number,
                        colors=len(draft.palette),
                    )
                )
        before = draft.warp_colors if self.side == "warp" else draft.weft_colors
        after = before.copy()
        after[start : start + len(self.colors)] = np.array(self.colors, dtype=np.int16) - 1
        if self.side == "warp":
            return replace(draft, warp_colors=after)
        return replace(draft, weft_colors=after)


@dataclass(frozen=True, slots=True)
class Palette:
    """Color ``number`` becomes ``value``; the number after the last adds a color."""

    number: int
    value: RGB

    def apply(self, draft: Draft) -> Draft:
        known = len(draft.palette)
        if not 1 <= self.number <= min(known + 1, MAX_COLORS):
            raise BadInput(
                phrase(
                    "there is no color {number}; expected 1 to {colors}",
                    number=self.number,
                    colors=min(known + 1, MAX_COLORS),
                )
            )
        place = self.number - 1
        return replace(draft, palette=(*draft.palette[:place], self.value, *draft.palette[place + 1 :]))


@dataclass(frozen=True, slots=True)
class Insert:
    """``count`` threads before thread ``before``: ends not threaded, picks without a treadle or lift.

    Color, spacing and thickness are those of the thread before them, or of the first.
    """

    side: Side
    before: int
    count: int

    def apply(self, draft: Draft) -> Draft:
        place = place_before(draft, self.side, self.before)
        counted(self.count, phrase("count of threads"))
        old = np.arange(length_of(draft, self.side))
        like = np.full(self.count, max(0, place - 1))
        blank = np.zeros(len(old) + self.count, dtype=np.bool_)
        blank[place : place + self.count] = True
        made = taken(draft, self.side, np.concatenate([old[:place], like, old[place:]]))
        if self.side == "warp":
            threading = made.threading.copy()
            threading[blank] = -1
            return replace(made, threading=threading)
        side = side_of(made).copy()
        side[blank] = False
        return with_side(made, side)


@dataclass(frozen=True, slots=True)
class Delete:
    """Threads ``first`` to ``last`` go; one at least stays."""

    side: Side
    first: int
    last: int

    def apply(self, draft: Draft) -> Draft:
        run = run_of(draft, self.side, self.first, self.last)
        if run.stop - run.start == length_of(draft, self.side):
            raise BadInput(
                phrase(
                    "that is every {end_or_pick}; expected to leave at least one",
                    end_or_pick=word(threads_of(self.side)),
                )
            )
        return taken(draft, self.side, np.delete(np.arange(length_of(draft, self.side)), run))


@dataclass(frozen=True, slots=True)
class Move:
    """Threads ``first`` to ``last`` go before thread ``before`` (one after the last thread: to the end)."""

    side: Side
    first: int
    last: int
    before: int

    def apply(self, draft: Draft) -> Draft:
        run = run_of(draft, self.side, self.first, self.last)
        place = place_before(draft, self.side, self.before)
        old = np.arange(length_of(draft, self.side))
        if run.start < place < run.stop:
            return draft
        rest = np.delete(old, run)
        place -= run.stop - run.start if place >= run.stop else 0
        return taken(draft, self.side, np.concatenate([rest[:place], old[run], rest[place:]]))


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy of threads ``first`` to ``last`` goes before thread ``before``."""

    side: Side
    first: int
    last: int
    before: int

    def apply(self, draft: Draft) -> Draft:
        run = run_of(draft, self.side, self.first, self.last)
        place = place_before(draft, self.side, self.before)
        old = np.arange(length_of(draft, self.side))
        return taken(draft, self.side, np.concatenate([old[:place], old[run], old[place:]]))


@dataclass(frozen=True, slots=True)
class Mirror:
    """After threads ``first`` to ``last`` come the same in reverse.

    The turning thread is used once (a point) or twice.
    """

    side: Side
    first: int
    last: int
    turn: Literal["once", "twice"] = "once"

    def apply(self, draft: Draft) -> Draft:
        run = run_of(draft, self.side, self.first, self.last)
        old = np.arange(length_of(draft, self.side))
        back = old[run][::-1][1 if self.turn == "once" else 0 :]
        return taken(draft, self.side, np.concatenate([old[: run.stop], back, old[run.stop :]]))


@dataclass(frozen=True, slots=True)
class Reverse:
    """Threads ``first`` to ``last`` in reverse order."""

    side: Side
    first: int
    last: int

    def apply(self, draft: Draft) -> Draft:
        run = run_of(draft, self.side, self.first, self.last)
        order = np.arange(length_of(draft, self.side))
        order[run] = order[run][::-1]
        return taken(draft, self.side, order)


@dataclass(frozen=True, slots=True)
class Repeat:
    """Threads ``first`` to ``last`` repeated, ``times`` times in all."""

    side: Side
    first: int
    last: int
    times: int

    def apply(self, draft: Draft) -> Draft:
        run = run_of(draft, self.side, self.first, self.last)
        counted(self.times, phrase("number of times"))
        old = np.arange(length_of(draft, self.side))
        check_count(self.side, len(old) + (self.times - 1) * (run.stop - run.start))
        again = np.tile(old[run], self.times)
        return taken(draft, self.side, np.concatenate([old[: run.start], again, old[run.stop :]]))


@dataclass(frozen=True, slots=True)
class Slide:
    """Ends ``first`` to ``last`` go ``by`` shafts up, as a continuous repeat (down below 0).

    On the weft side picks move that many treadles on, or that many shafts up in a lift plan. Ends not
    threaded stay
    unthreaded.
    """

    side: Side
    first: int
    last: int
    by: int

    def apply(self, draft: Draft) -> Draft:
        run = run_of(draft, self.side, self.first, self.last)
        if self.side == "warp":
            threading = draft.threading.copy()
            old = threading[run].astype(np.int64)
            threading[run] = np.where(old < 0, -1, (old + self.by) % draft.shafts)
            return replace(draft, threading=threading)
        side = side_of(draft).copy()
        side[run] = np.roll(side[run], self.by % max(1, side.shape[1]), axis=1)
        return with_side(draft, side)
