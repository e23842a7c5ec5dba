"""Test picks on tied treadles: the lifts that a tie-up makes, and what to tie for others.

Shafts and treadles are the loom's, counted from 1.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from loomready.draft.draft import Bools
from loomready.loomside.steps import threading as threading_job
from loomready.phrases import Phrase, listed_with_and, phrase, plural
from loomready.slips.test_picks import AnyInts, alike, more_picks, used_shafts
from loomready.slips.wrong_lifts import Ties
from loomready.warp.result import WarpPlan
from loomready.warp.treadles import FEET

Lift = tuple[int, ...]
MOST_OWN = 24  # different lifts of a draft that somebody weaves as a test


@dataclass(frozen=True, slots=True)
class TiedTreadles:
    """What a tie-up makes of the shafts that hold ends.

    made   each lift once, with the treadles that are pressed for it
    used   shafts that hold ends
    free   treadles that nothing is tied to
    last   the last treadle that something is tied to
    sinks  a treadle is tied to the shafts that it sinks too, or to them alone
    """

    made: Ties
    used: Lift
    free: Lift
    last: int
    sinks: bool = False

    def renumbered(self, number_of: Mapping[int, int]) -> TiedTreadles:
        """The same with other numbers of shafts, by the loom's."""

        def other(lift: Lift) -> Lift:
            return tuple(sorted(number_of[shaft] for shaft in lift))

        return replace(
            self,
            made=tuple((other(lift), pressed) for lift, pressed in self.made),
            used=other(self.used),
        )

    def pressed_for(self, lift: Sequence[int]) -> Lift | None:
        """The treadles of a lift; None: the tie-up does not make it."""
        wanted = tuple(shaft for shaft in lift if shaft in self.used)
        return next((pressed for made, pressed in self.made if made == wanted), None)


@dataclass(frozen=True, slots=True)
class Way:
    """How a pick is made.

    pressed   its treadles; none where no shaft rises
    to_tie    this treadle is tied first, so that the pick's shafts rise; None: all is tied
    borrowed  no treadle was free for it: what is tied to it comes back afterward
    """

    pressed: Lift
    to_tie: int | None = None
    borrowed: bool = False


def tied_treadles(plan: WarpPlan) -> TiedTreadles | None:
    """None: the loom has levers, a direct tie-up, or fewer treadles than the plan needs."""
    treadles = plan.treadles
    if treadles is None or treadles.direct or treadles.short or not plan.loom.free_treadles:
        return None
    to = threading_job.loom_shaft(plan)
    shaft = threading_job.shaft_of_end(plan)
    used = tuple(np.unique(shaft[shaft > 0]).tolist())

    def on_loom(rows: Bools) -> Iterator[Lift]:
        for row in rows:
            up = (to[draft_shaft] for draft_shaft in np.flatnonzero(row).tolist() if draft_shaft < len(to))
            yield tuple(sorted(each for each in up if each is not None and each in used))

    made: dict[Lift, Lift] = {(): ()}
    for draft, picks in zip(treadles.drafts, treadles.pressed, strict=True):
        for lift, pressed in zip(on_loom(draft.lifts), picks, strict=True):
            made.setdefault(lift, pressed)
    for size in range(1, FEET + 1):
        several = list(combinations(range(treadles.count), size))
        up = np.array([treadles.rises[:, each].any(axis=1) for each in several])
        down = np.array([treadles.sinks[:, each].any(axis=1) for each in several])
        if plan.loom.kind == "counterbalance":
            up = ~down
        for each, lift, against in zip(several, on_loom(up), (up & down).any(axis=1).tolist(), strict=True):
            if not (against and plan.loom.kind == "countermarche"):
                made.setdefault(lift, tuple(number + 1 for number in each))
    free = tuple(range(treadles.count + 1, treadles.there + 1))
    return TiedTreadles(tuple(made.items()), used, free, treadles.count, plan.loom.kind != "jack")


def picks_on(tied: TiedTreadles, own: Bools, threading: AnyInts) -> Bools:
    """Picks that tell the used shafts apart with as little tying as can be, bool[P, S].

    The draft's own lifts, where they are few enough; lifts that the tie-up makes too, one by one that which
    leaves fewest shafts alike; then lifts for which a treadle has to be tied.

    :param own: bool[P, S], the draft's different lifts
    :param threading: int[E], shafts from 0
    """
    used, shafts = used_shafts(threading), own.shape[1]
    there = _rows([lift for lift, _pressed in tied.made], shafts)
    picks = own if len(own) <= MOST_OWN else own[:0]
    while alike(picks, used):
        left = [_alike_with(picks, row, used) for row in there]
        best = int(np.argmin(left))
        if left[best] >= _pairs(alike(picks, used)):
            break
        picks = np.concatenate([picks, there[best : best + 1]])
    return np.concatenate([picks, more_picks(picks, used)])


def ways(tied: TiedTreadles, picks: Sequence[Lift]) -> tuple[Way, ...]:
    """How each of the picks is made; free treadles are tied in their order."""
    free, tied_now, made = list(tied.free), dict[Lift, int](), []
    for pick in picks:
        pressed = tied.pressed_for(pick)
        if pressed is not None:
            made.append(Way(pressed))
        elif pick in tied_now:
            made.append(Way((tied_now[pick],), tied_now[pick]))
        elif free:
            tied_now[pick] = free.pop(0)
            made.append(Way((tied_now[pick],), tied_now[pick]))
        else:
            made.append(Way((tied.last,), tied.last, borrowed=True))
    return tuple(made)


def to_tie(tied: TiedTreadles, picks: Sequence[Lift]) -> tuple[Phrase, ...]:
    """What to tie for these picks, a sentence for each treadle."""
    told: dict[Lift, Phrase] = {}
    for number, (pick, way) in enumerate(zip(picks, ways(tied, picks), strict=True), start=1):
        if way.to_tie is None or pick in told:
            continue
        told[pick] = (
            phrase(
                "No treadle is free for pick {pick}: tie treadle {treadle} so that {shafts_move}, and "
                "afterward as it was.",
                pick=number,
                treadle=way.to_tie,
                shafts_move=_moved(tied, pick),
            )
            if way.borrowed
            else phrase(
                "For pick {pick} tie treadle {treadle}, which is free, so that {shafts_move}.",
                pick=number,
                treadle=way.to_tie,
                shafts_move=_moved(tied, pick),
            )
        )
    return tuple(told.values())


def _moved(tied: TiedTreadles, pick: Lift) -> Phrase:
    """The shafts that rise, and those that sink where the treadle is tied to them."""
    up = [shaft for shaft in tied.used if shaft in pick]
    down = [shaft for shaft in tied.used if shaft not in pick]
    rise = plural(len(up), "shaft {up} rises", "shafts {up} rise", up=listed_with_and(map(str, up)))
    if not tied.sinks or not down:
        return rise
    sink = plural(len(down), "shaft {down} sinks", "shafts {down} sink", down=listed_with_and(map(str, down)))
    return phrase("{shafts_rise} and {shafts_sink}", shafts_rise=rise, shafts_sink=sink)


def _rows(lifts: Sequence[Lift], shafts: int) -> Bools:
    made = np.zeros((len(lifts), shafts), dtype=np.bool_)
    for row, lift in zip(made, lifts, strict=True):
        row[[shaft - 1 for shaft in lift]] = True
    return made


def _pairs(groups: Sequence[Sequence[int]]) -> int:
    return sum(len(group) * (len(group) - 1) // 2 for group in groups)


def _alike_with(picks: Bools, row: Bools, used: Sequence[int]) -> int:
    """Pairs of used shafts that these picks and this one leave alike."""
    return _pairs(alike(np.concatenate([picks, row[None]]), used))
