"""Operations on tie-up, treadling or lift plan, and on the number of shafts and treadles."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from loomready.draft.draft import Bools, Draft, lifts_of
from loomready.draft.edit.threads import run_of
from loomready.model.guild import MAX_SHAFTS, MAX_TREADLES
from loomready.phrases import phrase, word
from loomready.problems import BadInput

Cells = tuple[tuple[int, int], ...]
Rows = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Tie:
    """Tie these (treadle, shaft) cells of the tie-up, or untie them."""

    cells: Cells
    on: bool

    def apply(self, draft: Draft) -> Draft:
        tieup, treadling = _by_foot(draft)
        tieup = tieup.copy()
        for treadle, shaft in self.cells:
            if not 1 <= treadle <= tieup.shape[1]:
                raise BadInput(
                    phrase(
                        "there is no treadle {treadle}; expected 1 to {treadles}",
                        treadle=treadle,
                        treadles=tieup.shape[1],
                    )
                )
            if not 1 <= shaft <= draft.shafts:
                raise BadInput(
                    phrase(
                        "there is no shaft {shaft}; expected 1 to {shafts}", shaft=shaft, shafts=draft.shafts
                    )
                )
            tieup[shaft - 1, treadle - 1] = self.on
        return _treadled(draft, tieup, treadling)


@dataclass(frozen=True, slots=True)
class Tread:
    """Set or clear these (pick, treadle) cells of the treadling; (pick, shaft) in a lift plan."""

    cells: Cells
    on: bool

    def apply(self, draft: Draft) -> Draft:
        side = side_of(draft).copy()
        for pick, column in self.cells:
            run_of(draft, "weft", pick, pick)
            _check_column(draft, column)
            side[pick - 1, column - 1] = self.on
        return with_side(draft, side)


@dataclass(frozen=True, slots=True)
class Treadling:
    """Picks from ``first`` on take these treadles, a tuple each; shafts in a lift plan."""

    first: int
    rows: Rows

    def apply(self, draft: Draft) -> Draft:
        start = run_of(draft, "weft", self.first, self.first + len(self.rows) - 1).start
        side = side_of(draft).copy()
        for pick, columns in enumerate(self.rows, start):
            side[pick] = False
            for column in columns:
                _check_column(draft, column)
                side[pick, column - 1] = True
        return with_side(draft, side)


@dataclass(frozen=True, slots=True)
class SetCount:
    """Set the number of shafts or treadles. None that is in use is removed."""

    what: Literal["shafts", "treadles"]
    to: int

    def apply(self, draft: Draft) -> Draft:
        self.check()
        return self._shafts(draft) if self.what == "shafts" else self._treadles(draft)

    def check(self) -> None:
        """:raises BadInput: no draft has so many"""
        most = MAX_SHAFTS if self.what == "shafts" else MAX_TREADLES
        if not 1 <= self.to <= most:
            raise BadInput(
                phrase(
                    "{number} {shafts_or_treadles} is not possible; expected 1 to {most}",
                    number=self.to,
                    shafts_or_treadles=word(self.what),
                    most=most,
                ),
                where=self.what,
            )

    def _shafts(self, draft: Draft) -> Draft:
        used = int(draft.threading.max(initial=-1)) + 1
        if used > self.to:
            raise BadInput(phrase("shaft {shaft} has ends; move them to other shafts first", shaft=used))
        if draft.tieup is not None and draft.treadling is not None:
            tieup = _columns(draft.tieup.T, self.to).T.copy()
            lifts = lifts_of(tieup, draft.treadling, draft.rising)
            return replace(draft, tieup=tieup, lifts=lifts)
        return replace(draft, lifts=_columns(draft.lifts, self.to))

    def _treadles(self, draft: Draft) -> Draft:
        tieup, treadling = _by_foot(draft)
        pressed = np.flatnonzero(treadling.any(axis=0))
        if len(pressed) and pressed[-1] >= self.to:
            raise BadInput(
                phrase(
                    "treadle {treadle} is used in the treadling; delete it there first",
                    treadle=int(pressed[-1]) + 1,
                )
            )
        return _treadled(draft, _columns(tieup, self.to), _columns(treadling, self.to))


@dataclass(frozen=True, slots=True)
class Lifting:
    """Convert to a lift plan, or to treadles: one for each different lift, in order of first appearance.

    A pick that lifts nothing has no treadle. ``shedding`` finds the fewest treadles.
    """

    by: Literal["lift plan", "treadles"]

    def apply(self, draft: Draft) -> Draft:
        if self.by == "lift plan":
            return draft.as_lift_plan()
        if draft.treadles is not None:
            return draft
        different, first, which = np.unique(draft.lifts, axis=0, return_index=True, return_inverse=True)
        order = [row for row in np.argsort(first).tolist() if different[row].any()]
        if len(order) > MAX_TREADLES:
            raise BadInput(
                phrase(
                    "the lift plan has {lifts} different lifts, one treadle each; expected at most {most}",
                    lifts=len(order),
                    most=MAX_TREADLES,
                )
            )
        if not order:
            raise BadInput(
                phrase("the lift plan lifts nothing; expected at least one lift to tie to a treadle")
            )
        treadling = which.reshape(-1)[:, None] == np.array(order)[None, :]
        return _treadled(replace(draft, rising=True), different[order].T.copy(), treadling)


@dataclass(frozen=True, slots=True)
class Shed:
    """The ties raise their shafts (``rising``), or sink them.

    To keep the cloth, each treadle is tied to the shafts that it was not tied to. To keep the ties changes
    the cloth, for a draft whose kind of shed was read wrong.
    """

    rising: bool
    keep: Literal["cloth", "ties"]

    def apply(self, draft: Draft) -> Draft:
        tieup, treadling = _by_foot(draft)
        if draft.rising == self.rising:
            return draft
        made = _treadled(
            replace(draft, rising=self.rising), ~tieup if self.keep == "cloth" else tieup, treadling
        )
        others = np.flatnonzero((made.lifts != draft.lifts).any(axis=1))
        if self.keep == "cloth" and len(others):
            raise BadInput(
                phrase(
                    "pick {pick} uses several treadles, which make another shed when tied the other way; "
                    "expected one treadle per pick",
                    pick=int(others[0]) + 1,
                )
            )
        return made


def _by_foot(draft: Draft) -> tuple[Bools, Bools]:
    if draft.tieup is None or draft.treadling is None:
        raise BadInput(phrase("a lift plan has no treadles; expected a draft with a tie-up"))
    return draft.tieup, draft.treadling


def _treadled(draft: Draft, tieup: Bools, treadling: Bools) -> Draft:
    lifts = lifts_of(tieup, treadling, draft.rising)
    return replace(draft, tieup=tieup, treadling=treadling, lifts=lifts)


def side_of(draft: Draft) -> Bools:
    """The treadling, or the lift plan."""
    return draft.lifts if draft.treadling is None else draft.treadling


def with_side(draft: Draft, side: Bools) -> Draft:
    if draft.tieup is None or draft.treadling is None:
        return replace(draft, lifts=side)
    return _treadled(draft, draft.tieup, side)


def _check_column(draft: Draft, column: int) -> None:
    noun, most = ("shaft", draft.shafts) if draft.treadles is None else ("treadle", draft.treadles)
    if not 1 <= column <= most:
        raise BadInput(
            phrase(
                "there is no {shaft_or_treadle} {number}; expected 1 to {most}",
                shaft_or_treadle=word(noun),
                number=column,
                most=most,
            )
        )


def _columns(table: Bools, count: int) -> Bools:
    """The first ``count`` columns, empty ones added where there are fewer."""
    made = np.zeros((len(table), count), dtype=np.bool_)
    kept = min(count, table.shape[1])
    made[:, :kept] = table[:, :kept]
    return made
