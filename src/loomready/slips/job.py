"""The test weave as a job at the loom: what is woven, what may be asked, and what the marks say of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from loomready.draft.draft import Bools
from loomready.loomside.log import facts
from loomready.loomside.steps import threading as threading_job
from loomready.slips import at_loom
from loomready.slips.actions import Mending, Rates
from loomready.slips.as_json import Planned
from loomready.slips.at_loom import Ints, Outcome
from loomready.slips.infer import UNSEEN, Cells
from loomready.slips.marks import Layout, Marks
from loomready.slips.mending import mend
from loomready.slips.mirrored import mirrored
from loomready.slips.result import Slip
from loomready.slips.test_picks import cannot_tell, more_picks, used_shafts
from loomready.slips.tied_treadles import MOST_OWN
from loomready.slips.wrong_lifts import pressed_for
from loomready.warp.result import WarpPlan

Picks = tuple[tuple[int, ...], ...]
MOST_MARKS = facts.MOST
# A new way to choose test picks gets a new number: marks of the old picks do not fit them.
_PICKS, _PICKS_ON_TREADLES = "picks 1", "picks 2"


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """A warp's test weave, on the shafts of its loom (from 1 in picks and lifts).

    test, own  test picks, and the draft's different lifts where they are few enough to weave each once
    use_own    the draft's own are the usual ones: they tell all shafts apart
    lifts      that a question may ask for, the picks among them
    """

    planned: Planned
    test: Picks
    own: Picks
    use_own: bool
    lifts: Picks
    layout: Layout

    def picks(self, own: bool) -> Picks:
        return self.own if own else self.test

    @property
    def shafts_move_alone(self) -> bool:
        """Whether a shaft can be lifted, by hand if need be, while the others stay: not where they hang in
        balance, each against another."""
        return not self.planned.loom.even

    def on_own(self, marks: Marks) -> bool:
        """Whether the draft's own lifts are woven, by default or by choice."""
        return bool(self.own) and self.use_own != bool(marks.block("other")[0])


@dataclass(frozen=True, slots=True)
class Untold:
    """Pairs of used shafts (from 1) that picks lift alike, and the fewest picks more that tell them apart."""

    pairs: tuple[tuple[int, int], ...]
    more: Picks


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """What the marks say.

    found   all slips, with the mending of those that are not left
    left    places in ``found.slips`` of those that are to stay
    mended  places of those that are ticked
    """

    found: Outcome
    left: frozenset[int]
    mended: frozenset[int]


def is_possible(plan: WarpPlan) -> bool:
    """Whether ends are in heddles on shafts: the holes and slots of a rigid heddle show a slip at once."""
    return not plan.loom.has_open_ends and bool((plan.web.shaft >= 0).any())


def fits_marks(plan: WarpPlan) -> bool:
    """Whether all that may be tapped has room in the marks of a job: a web of some thousand ends has not.

    Told from the widest layout that the web may have, before any picks are searched.
    """
    ends, planned = plan.web.ends, at_loom.on_loom(plan)
    own = len(at_loom.own_picks(planned))
    own = own if own <= MOST_OWN else 0
    shafts = planned.lifts.shape[1]
    test = at_loom.most_test_picks(planned)
    return Layout(ends, shafts, test, own, test + own + shafts).bits <= MOST_MARKS


@lru_cache(maxsize=64)
def job(plan: WarpPlan) -> Job | None:
    """The test weave of a warp; None where there is none (:func:`is_possible`)."""
    if not is_possible(plan):
        return None
    planned = at_loom.on_loom(plan)
    test = at_loom.shafts_of(at_loom.picks_apart(planned))
    own = at_loom.shafts_of(at_loom.own_picks(planned))
    own = own if len(own) <= MOST_OWN else ()
    lifts = tuple(dict.fromkeys((*test, *own, *at_loom.at_hand(planned, ()))))
    layout = Layout(len(planned.threading), planned.lifts.shape[1], len(test), len(own), len(lifts))
    use_own = bool(own) and at_loom.own_are_enough(planned)
    return Job(planned, test, own, use_own, lifts, layout)


def signs(plan: WarpPlan) -> list[str]:
    """What each end of the test weave is, and then what its picks follow from."""
    planned = at_loom.on_loom(plan)
    own = _written(at_loom.own_picks(planned))
    picks = f"{_PICKS} {plan.loom.kind} {own}"
    if planned.tied is not None:
        picks = f"{_PICKS_ON_TREADLES} {own}, {_written(at_loom.picks_apart(planned))}"
    return [*map(str, threading_job.shaft_of_end(plan).tolist()), picks]


def _written(lifts: Bools) -> str:
    return " ".join("".join(map(str, row)) for row in lifts.astype(int).tolist())


def lifts_of(work: Job, own: bool) -> Bools:
    """bool[P, S] of the picks that are woven."""
    return at_loom.lifts_of(work.picks(own), work.layout.shafts)


def untold(work: Job, own: bool) -> Untold:
    """What the draft's own picks, or the test picks, leave alike."""
    lifts, used = lifts_of(work, own), used_shafts(work.planned.threading)
    pairs = tuple((one + 1, other + 1) for one, other in cannot_tell(lifts, used))
    return Untold(pairs, at_loom.shafts_of(more_picks(lifts, used)))


def cells(work: Job, marks: Marks) -> Cells:
    """int8[P, E]: what was seen; unseen where nobody looked."""
    own = work.on_own(marks)
    planned = at_loom.cells_planned(work.planned, lifts_of(work, own))
    seen = planned ^ marks.differs(own)
    return np.where(marks.looked(own)[None, :], seen, UNSEEN).astype(np.int8)


def standing(work: Job, marks: Marks, rates: Rates | None = None) -> Standing:
    """Slips from cells and questions, which of them stay, and how to mend the others."""
    own = work.on_own(marks)
    kept = marks.kept(work.planned.threading)
    found = at_loom.outcome(work.planned, lifts_of(work, own), cells(work, marks), kept, rates)
    left, mended = (
        frozenset(
            place for place, slip in enumerate(found.slips) if marks.has(name, in_layout(work, slip, own))
        )
        for name in ("left", "mended")
    )
    if left:
        found = replace(found, mending=_mending_of_the_rest(work, found, left, own, rates))
    return Standing(found, left, mended)


def _mending_of_the_rest(
    work: Job, found: Outcome, left: frozenset[int], own: bool, rates: Rates | None
) -> tuple[Mending, ...]:
    """The mending of the slips that do not stay, by their places among all slips."""
    places = [place for place in range(len(found.slips)) if place not in left]
    slips = [found.slips[place] for place in places]
    loom, picks = work.planned.loom, work.picks(own)
    made = mend(slips, work.layout.ends, len(picks), loom, rates, pressed=pressed_for(loom.ties, picks))

    def placed(each: Mending) -> Mending:
        actions = tuple(
            replace(action, slips=tuple(places[number] for number in action.slips)) for action in each.actions
        )
        return replace(each, actions=actions)

    return tuple(map(placed, made))


def in_layout(work: Job, slip: Slip, own: bool) -> Slip:
    """The slip with its pick counted among all picks, test picks first."""
    if slip.pick is None or not own:
        return slip
    return replace(slip, pick=slip.pick + work.layout.test)


def as_it_stands(plan: WarpPlan, work: Job, at: Standing) -> tuple[Ints, Ints] | None:
    """The ends in heddles as they stand: see :func:`at_loom.to_draft`."""
    return at_loom.to_draft(plan, at.found, at.mended)


def mirrored_too(plan: WarpPlan, work: Job, at: Standing) -> tuple[tuple[Slip, ...], Ints, Ints] | None:
    """The slips to make on the other side, and the ends as they then stand; None: none can be made."""
    standing = [slip for number, slip in enumerate(at.found.slips) if number not in at.mended]
    made = mirrored(standing, work.planned.threading.astype(np.int64))
    if made is None:
        return None
    found = replace(at.found, slips=(*at.found.slips, *made))
    changed = at_loom.to_draft(plan, found, at.mended)
    return None if changed is None else (made, *changed)
