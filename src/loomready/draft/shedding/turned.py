"""Conversions: face down, turned, on fewer shafts; comparisons of cloths; unbalanced sheds."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from loomready.colors import RGB
from loomready.draft.draft import Draft, Ints, shed
from loomready.draft.structure.analysis import Structure
from loomready.draft.structure.periods import AnyInts, Numbered, Numbers, number_columns, number_rows
from loomready.phrases import phrase
from loomready.problems import BadInput

MOST_SHAFTS = 64
_AT_ONCE = 64  # threads compared at once


@dataclass(frozen=True, slots=True, eq=False)
class FaceDown:
    """A draft woven face down: what is up on the one face is down on the other.

    draft     the lift plan to weave from: the working shafts that the other leaves down; the cloth off the
              loom is turned over about its length to be the same (common practice, no source)
    before    shafts lifted over all the picks as it was; ``after`` face down
    """

    draft: Draft
    before: int
    after: int

    @property
    def lighter(self) -> bool:
        return self.after < self.before


def face_down(draft: Draft) -> FaceDown:
    """The draft woven face down: each working shaft up where it was down.

    An end not threaded cannot come up: such ends get a shaft of their own, the last, in every shed. A
    pick that lifts nothing makes no shed, and neither does one that lifts all: each becomes the other.
    """
    threading, lifts = draft.threading, draft.lifts
    if bool((threading < 0).any()):
        threading = np.where(threading < 0, draft.shafts, threading).astype(np.int16)
        lifts = np.concatenate([lifts, np.zeros((draft.picks, 1), dtype=np.bool_)], axis=1)
    working = np.zeros(lifts.shape[1], dtype=np.bool_)
    working[threading] = True
    turned = ~lifts & working
    woven = replace(draft, threading=threading.copy(), lifts=turned, tieup=None, treadling=None, rising=True)
    return FaceDown(woven, int((lifts & working).sum()), int(turned.sum()))


@dataclass(frozen=True, slots=True)
class Uneven:
    """A pick (from 1) that lifts ``up`` of the working shafts, not half of them."""

    pick: int
    up: int
    working: int


def uneven_sheds(draft: Draft) -> tuple[Uneven, ...]:
    """The picks whose sheds are uneven: a counterbalance loom opens best with half the shafts up.

    Common practice, no source. Shafts without ends do not count; an odd number of them is never even.
    """
    lifts = draft.lifts[:, _working(draft)]
    up, working = lifts.sum(axis=1), lifts.shape[1]
    return tuple(
        Uneven(pick + 1, int(up[pick]), working) for pick in np.flatnonzero(2 * up != working).tolist()
    )


def turned(draft: Draft) -> Draft:
    """The turned draft: its ends are the picks of the other, and its picks the ends, colors and all.

    Where warp was up there is weft up now, and the other way round, so that each thread keeps its place
    in the cloth: its drawdown is the other's, transposed and changed over. On as few shafts as it can be
    woven, one for each different pick of the other, in order of first appearance.

    :raises BadInput: no ends or no picks, or more different picks than shafts can be
    """
    structure = Structure(draft)
    picks = structure.picks
    if picks.count > MOST_SHAFTS:
        raise BadInput(
            phrase(
                "turned, the draft needs {shafts} shafts, one for each different pick; expected {most} at "
                "most",
                shafts=picks.count,
                most=MOST_SHAFTS,
            )
        )
    by_shaft = np.zeros((draft.shafts + 1, picks.count), dtype=np.bool_)
    by_shaft[:-1] = draft.lifts[picks.first].T
    return replace(
        draft,
        threading=picks.ids.astype(np.int16),
        lifts=~by_shaft[draft.threading],
        tieup=None,
        treadling=None,
        rising=True,
        warp_colors=draft.weft_colors,
        weft_colors=draft.warp_colors,
        warp_spacing_mm=draft.weft_spacing_mm,
        weft_spacing_mm=draft.warp_spacing_mm,
        warp_thickness_mm=draft.weft_thickness_mm,
        weft_thickness_mm=draft.warp_thickness_mm,
    )


def merged(draft: Draft) -> Draft:
    """The same cloth on the fewest shafts: shafts that lift alike become one, those without ends go.

    Treadles stay and are tied to the shafts that are left. Ends not threaded stay so.
    """
    working = _working(draft)
    alike: Numbered = number_columns(draft.lifts[:, working])
    kept: Numbers = working[alike.first]
    new_shaft = np.full(draft.shafts + 1, -1, dtype=np.int16)  # the last: not threaded
    new_shaft[working] = alike.ids
    threading: Ints = new_shaft[draft.threading]
    return replace(
        draft,
        threading=threading,
        lifts=draft.lifts[:, kept],
        tieup=None if draft.tieup is None else draft.tieup[kept],
    )


def same_cloth(one: Draft, other: Draft) -> bool:
    """Whether two drafts are the same cloth, thread for thread, colors included."""
    return _alike(one, other) and _cells_alike(one, other)


def other_face(one: Draft, other: Draft) -> bool:
    """Whether one draft shows the other's cloth from below: up is down, colors stay."""
    return _alike(one, other) and _cells_alike(one, other, turned_over=True)


def turned_cloth(one: Draft, other: Draft) -> bool:
    """Whether one draft's warp is the other's weft: the same cloth, lying crosswise."""
    return (
        _colors(one, one.warp_colors) == _colors(other, other.weft_colors)
        and _colors(one, one.weft_colors) == _colors(other, other.warp_colors)
        and _cells_across_alike(one, other)
    )


def _cells_alike(one: Draft, other: Draft, *, turned_over: bool = False) -> bool:
    """Whether the drawdowns are equal, or each other's reverse.

    Ends on the same two shafts are compared once: drawdowns of 20,000 ends and picks take 400 MB each.
    """
    if (one.picks, one.ends) != (other.picks, other.ends):
        return False
    both = _distinct(one.threading, other.threading)
    for at in range(0, len(both), _AT_ONCE):
        ends = both[at : at + _AT_ONCE]
        cells = shed(other.lifts, other.threading[ends])
        if not np.array_equal(shed(one.lifts, one.threading[ends]), ~cells if turned_over else cells):
            return False
    return True


def _cells_across_alike(one: Draft, other: Draft) -> bool:
    """Whether one drawdown is the other's, transposed and changed over."""
    if (one.picks, one.ends) != (other.ends, other.picks):
        return False
    picks = _distinct(number_rows(one.lifts).ids, other.threading)
    ends = _distinct(one.threading, number_rows(other.lifts).ids)
    for at in range(0, len(picks), _AT_ONCE):
        some = picks[at : at + _AT_ONCE]
        across = shed(other.lifts[ends], other.threading[some])
        if not np.array_equal(shed(one.lifts[some], one.threading[ends]), ~across.T):
            return False
    return True


def _distinct(one: AnyInts, other: AnyInts) -> Numbers:
    """Where each pair of two sequences of the same length stands first."""
    if not len(one):
        return np.zeros(0, dtype=np.int64)
    both = np.stack([one.astype(np.int64), other.astype(np.int64)])
    return np.unique(both, axis=1, return_index=True)[1].astype(np.int64)


def _alike(one: Draft, other: Draft) -> bool:
    return all(
        _colors(one, mine) == _colors(other, theirs)
        for mine, theirs in ((one.warp_colors, other.warp_colors), (one.weft_colors, other.weft_colors))
    )


def _colors(draft: Draft, numbers: Ints) -> list[RGB]:
    return [draft.palette[number] for number in numbers.tolist()]


def _working(draft: Draft) -> Numbers:
    """Shafts that hold ends, in order."""
    used: Numbers = np.unique(draft.threading[draft.threading >= 0]).astype(np.int64)
    return used
