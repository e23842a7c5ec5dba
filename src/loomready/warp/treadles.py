"""One tie-up for everything that is woven on a warp: sample, pieces and hems."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from loomready.draft.draft import Bools, Draft
from loomready.draft.shedding.fewest_treadles import Shed, Tieup, fewest_treadles
from loomready.draft.structure.periods import number_rows
from loomready.model.guild import Loom, LoomKind

Pressed = tuple[tuple[int, ...], ...]
FEET = 2  # most treadles in a pick
_EFFORT = 0.25  # of the search's usual limit: plans are made often
_SHED: dict[LoomKind, Shed] = {
    "jack": "rising",
    "counterbalance": "sinking",
    "countermarche": "countermarche",
}


@dataclass(frozen=True, slots=True, eq=False)
class Treadles:
    """A tie-up for all drafts of a warp, on the draft's shafts.

    rises     bool[S, T], shafts that are up when the treadle is pressed alone
    sinks     bool[S, T], shafts that the treadle tells to go down; on a countermarche the rest is untied
    pressed   for each draft, for each of its picks, the treadles from 1
    at_least  no tie-up with as many treadles to a pick has fewer
    own       the tie-up is the warp's draft's own
    there     treadles of the loom
    direct    treadle n moves shaft n of the loom for good: nothing is tied
    """

    rises: Bools
    sinks: Bools
    drafts: tuple[Draft, ...]
    pressed: tuple[Pressed, ...]
    at_least: int
    own: bool
    there: int
    direct: bool = False

    @property
    def count(self) -> int:
        return int(self.rises.shape[1])

    @property
    def short(self) -> int:
        """Treadles that the loom does not have."""
        return max(0, self.count - self.there)

    @property
    def proved(self) -> bool:
        """Whether it is proved that no tie-up with fewer treadles weaves all drafts with as many treadles per
        pick."""
        return self.at_least == self.count

    @property
    def most_pressed(self) -> int:
        return max((len(pick) for picks in self.pressed for pick in picks), default=0)

    def of(self, draft: Draft) -> Pressed:
        """The treadles of each pick of one of the drafts."""
        return next(picks for each, picks in zip(self.drafts, self.pressed, strict=True) if each is draft)


def treadles_for(drafts: tuple[Draft, ...], loom: Loom, working: Bools) -> Treadles | None:
    """The tie-up for all of the drafts on a loom; None: it has levers, or no treadles.

    The first draft's own tie-up is kept where it weaves all of them on this loom. Otherwise each different
    lift gets a treadle; if that takes too many, some lifts use two treadles together.

    :param drafts: of one threading, each once
    :param working: bool[S], draft shafts that hold ends
    """
    if not loom.treadles or loom.kind not in _SHED or not drafts:
        return None
    return _joined(drafts, loom.kind, loom.treadles, tuple(working.tolist()))


@lru_cache(maxsize=256)
def _joined(drafts: tuple[Draft, ...], kind: LoomKind, there: int, working: tuple[bool, ...]) -> Treadles:
    shafts = max(draft.shafts for draft in drafts)
    used = np.zeros(shafts, dtype=np.bool_)
    used[: len(working)] = working[:shafts]
    all_lifts = [_wide(draft.lifts, shafts) for draft in drafts]
    together = Draft(
        threading=np.zeros(0, dtype=np.int16),
        lifts=np.concatenate(all_lifts),
        tieup=None,
        treadling=None,
        rising=True,
        palette=drafts[0].palette,
        warp_colors=np.zeros(0, dtype=np.int16),
        weft_colors=np.zeros(sum(draft.picks for draft in drafts), dtype=np.int16),
    )
    own = _own(drafts, all_lifts, kind, there, used)
    if own is not None:
        if own.most_pressed > 1:
            shared = fewest_treadles(together, feet=FEET, shed=_SHED[kind], working=used, effort=_EFFORT)
            own = replace(own, at_least=min(shared.at_least, own.count))
        return own
    made = fewest_treadles(together, feet=1, shed=_SHED[kind], working=used)
    if made.treadles > there:
        shared = fewest_treadles(together, feet=FEET, shed=_SHED[kind], working=used, effort=_EFFORT)
        made = shared if shared.treadles < made.treadles else replace(made, at_least=shared.at_least)
    return _as_treadles(made, drafts, used, there)


def _as_treadles(made: Tieup, drafts: tuple[Draft, ...], used: Bools, there: int) -> Treadles:
    held = used[:, None]
    if made.sinks is not None:
        rises, sinks = made.tieup, made.sinks
    elif made.shed == "sinking":
        rises, sinks = ~made.tieup & held, made.tieup
    else:
        rises, sinks = made.tieup, ~made.tieup & held
    cuts = np.cumsum([draft.picks for draft in drafts])[:-1]
    pressed = tuple(_listed(part) for part in np.split(made.treadling, cuts))
    return Treadles(rises, sinks, drafts, pressed, made.at_least, False, there)


def _own(
    drafts: tuple[Draft, ...], lifts: list[Bools], kind: LoomKind, there: int, used: Bools
) -> Treadles | None:
    """The first draft's own tie-up, if it weaves all of the drafts on this kind of loom."""
    first = drafts[0]
    if first.tieup is None or first.treadling is None or not 0 < first.tieup.shape[1] <= there:
        return None
    shafts = len(used)
    tied = _wide(first.tieup.T, shafts).T
    rises: Bools = (tied if first.rising else ~tied) & used[:, None]
    sinks: Bools = ~rises & used[:, None]
    all_pressed = []
    for draft, up in zip(drafts, lifts, strict=True):
        same = draft.tieup is not None and draft.rising == first.rising and _same(draft.tieup, first.tieup)
        treadling = draft.treadling if same else None
        if treadling is None or not _makes(rises, sinks, treadling, up & used, kind):
            treadling = _one_each(rises, up & used)
        if treadling is None:
            return None
        all_pressed.append(_listed(treadling))
    every = np.concatenate(lifts)[:, used]
    # With one treadle per pick, each different lift needs its own treadle.
    least = number_rows(every[every.any(axis=1)]).count
    return Treadles(rises, sinks, drafts, tuple(all_pressed), min(least, rises.shape[1]), True, there)


def _makes(rises: Bools, sinks: Bools, treadling: Bools, up: Bools, kind: LoomKind) -> bool:
    """Whether pressing these treadles on this kind of loom opens these sheds."""
    if int(treadling.sum(axis=1).max(initial=0)) > FEET:
        return False
    pressed = treadling.astype(np.int64)
    told_up, told_down = pressed @ rises.T > 0, pressed @ sinks.T > 0
    if kind == "countermarche" and bool((told_up & told_down).any()):
        return False
    some = treadling.any(axis=1, keepdims=True)
    made = told_up if kind != "counterbalance" else ~told_down & rises.any(axis=1) & some
    return bool(np.array_equal(made, up))


def _one_each(rises: Bools, up: Bools) -> Bools | None:
    """One treadle for each pick bool[P, T], none where nothing is lifted; None: some lift has no treadle."""
    same = (up[:, None, :] == rises.T[None]).all(axis=2)
    first = same & (np.cumsum(same, axis=1) == 1)
    treadling: Bools = first & up.any(axis=1, keepdims=True)
    return treadling if bool((treadling.any(axis=1) == up.any(axis=1)).all()) else None


def _wide(lifts: Bools, shafts: int) -> Bools:
    return np.pad(lifts, ((0, 0), (0, shafts - lifts.shape[1])))


def _same(one: Bools, other: Bools) -> bool:
    return bool(np.array_equal(one, other))


def _listed(treadling: Bools) -> Pressed:
    return tuple(tuple((np.flatnonzero(row) + 1).tolist()) for row in treadling)
