"""A rigid heddle loom: its heddle is reed and shaft in one, with holes and slots in turn.

How ends go through holes and slots is common practice, no source: with one heddle every other end goes
through a hole and moves with the heddle, the others through slots and stay. Each further heddle adds a
shaft, and allows that many more ends per inch as the gauge has holes and slots.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loomready.model.guild import MAX_ENDS, Loom, Reed
from loomready.problems import Problem
from loomready.units import Shown
from loomready.warp.result import HeddlePlan, Ints, WarpPlan
from loomready.warp.rounding import whole_up

HEDDLE = "heddle"  # the key under which a plan lists the loom's own heddle as a reed
WIDER = 0.02  # of the web's ends: more empty places than this change its width too much (our choice)


def reed_words(loom: Loom) -> tuple[str, str]:
    """The words for what beats the weft and for one opening of it: "reed" and "dent", or "heddle" and
    "place"."""
    return ("heddle", "place") if loom.is_rigid_heddle else ("reed", "dent")


def own_reed(loom: Loom) -> Reed | None:
    """The heddle as a reed, with its holes and slots as dents. None: another kind of loom, or the gauge is
    unknown."""
    if not loom.is_rigid_heddle or loom.gauge_per_cm is None:
        return None
    return Reed(HEDDLE, loom.gauge_per_cm, min(loom.weaving_width_mm, loom.takes_reed_mm))


def heddles_there(loom: Loom) -> int:
    """Heddles in all; a rigid heddle is never short of them: only its width limits the ends."""
    return MAX_ENDS if loom.is_rigid_heddle else sum(loom.heddles)


def hang(web_shaft: Ints, draft_shafts: int, loom: Loom) -> HeddlePlan:
    """Which shafts of the draft go through holes, and which through slots.

    The used shaft with most ends (of several the last) goes through the slots and is counted as the shaft
    after the heddles; the others take the heddles in order. With too many shafts there is no assignment.
    """
    needed = np.bincount(web_shaft[web_shaft >= 0], minlength=draft_shafts)
    used = np.flatnonzero(needed).tolist()
    assignment: list[int | None] = [None] * draft_shafts
    if used and len(used) <= loom.draft_shafts:
        slots = max(used, key=lambda shaft: (needed[shaft], shaft))
        for number, shaft in enumerate([each for each in used if each != slots] + [slots], start=1):
            assignment[shaft] = number
    placed = tuple(assignment)
    return HeddlePlan(tuple(needed.tolist()), placed, 0, (), 0, placed, 0, ())


@dataclass(frozen=True, slots=True)
class Through:
    """What goes through the heddles. ``shafts``: the heddles (from 1) of each shaft but the last, shaft 1
    first; the ends of a shaft with several take them in turn. The last, ``slots``, goes through slots.

    ``holes``: holes of one heddle across the web. ``lacking``: heddles more than the loom has.
    """

    shafts: tuple[tuple[int, ...], ...]
    slots: int
    holes: int
    lacking: int

    @property
    def heddles(self) -> int:
        """Heddles in use."""
        return sum(map(len, self.shafts))

    def says(self, shaft: int) -> str:
        """Where an end of a shaft goes: "slot", "hole", "hole of heddle 2"."""
        if shaft == self.slots:
            return "slot"
        if self.heddles == 1:
            return "hole"
        mine = self.shafts[shaft - 1]
        in_turn = " in turn" if len(mine) > 1 else ""
        return f"hole of {_heddles(mine)}{in_turn}"

    def names(self) -> dict[int, str]:
        """Shafts with a short name instead of a number: "slot", and "hole" if all the others are holes."""
        return {self.slots: "slot"} | ({1: "hole"} if self.heddles == 1 else {})

    def moves(self, up: frozenset[int]) -> str:
        """Heddle positions for a shed with these shafts up; heddles not named rest in the middle.

        Where the ends in slots are up, the other heddles go down.
        """
        down = self.slots in up
        moved = [
            heddle
            for shaft, mine in enumerate(self.shafts, start=1)
            if (shaft in up) != down
            for heddle in mine
        ]
        if not moved:
            return "no shed"
        which = "heddle" if self.heddles == 1 else _heddles(tuple(moved))
        return f"{which} {'down' if down else 'up'}"


def lines(plan: WarpPlan) -> tuple[str, ...]:
    """How to thread the heddle, in sentences; empty for another loom. Threading and sleying are one step."""
    way = through(plan)
    if way is None:
        return ()
    show, sley = Shown(plan.guild.units), plan.sley
    told = []
    if sley is not None:
        edge = plan.web.floating // 2
        first = plan.heddles.assignment[plan.web.shaft[edge]] if plan.web.shaft[edge] >= 0 else None
        begins = f", with a {'slot' if first == way.slots else 'hole'} for end {1 + edge}" if first else ""
        floating = "; a floating selvedge in a place of its own at each side" if plan.web.floating else ""
        told.append(
            f"Heddle of {show.epi(sley.reed.dents_per_cm)}, holes and slots in turn: "
            f"{'-'.join(map(str, sley.cycle))} per place, starting in place {sley.first_dent} of "
            f"{sley.reed_dents} from the {plan.guild.end_1}, or the one beside it{begins}{floating}."
        )
    ends = sorted(
        (shaft, count)
        for shaft, count in zip(plan.heddles.assignment, plan.heddles.needed, strict=True)
        if shaft is not None
    )
    told += [f"Shaft {shaft}: {count:,} ends, each through a {way.says(shaft)}." for shaft, count in ends]
    return tuple(told)


def _heddles(numbers: tuple[int, ...]) -> str:
    if len(numbers) == 1:
        return f"heddle {numbers[0]}"
    return f"heddles {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"


def through(plan: WarpPlan) -> Through | None:
    """How the warp goes through its heddles. None: another loom, or a draft of too many shafts."""
    placed = [shaft for shaft in plan.heddles.assignment if shaft is not None]
    if not plan.loom.is_rigid_heddle or not placed:
        return None
    slots = max(placed)
    dents = plan.sley.dents - plan.web.floating if plan.sley else plan.web.heddle_ends
    holes = whole_up(dents / 2)
    ends = dict(zip(plan.heddles.assignment, plan.heddles.needed, strict=True))
    made, first = [], 1
    for shaft in range(1, slots):
        many = max(1, whole_up((ends[shaft] - 1) / holes)) if holes else 1  # an edge may have one more
        made.append(tuple(range(first, first + many)))
        first += many
    return Through(tuple(made), slots, holes, max(0, first - 1 - plan.loom.shafts))


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    """Problems of this warp on a rigid heddle loom, and warnings about what was assumed."""
    if not plan.loom.is_rigid_heddle:
        return
    name = plan.loom.name
    if plan.loom.gauge_per_cm is None:
        yield Problem(
            "no-gauge",
            "warn",
            f"The gauge of {name} is not given: "
            + (
                f"reed {plan.sley.reed.key} stands for its heddle."
                if plan.sley
                else "the plan takes the sett that was asked for."
            ),
        )
    if plan.order.sley is not None or (plan.order.reed is not None and own_reed(plan.loom) is not None):
        yield Problem(
            "heddle-is-reed",
            "warn",
            f"{name} has no reed but its heddle; the {'reed' if plan.order.sley is None else 'sley'} "
            "that you set is not used.",
        )
    way = through(plan)
    if way is None:
        return
    if way.lacking:
        yield Problem(
            "holes-short",
            "stop",
            f"At this sett the ends in holes need {way.heddles} heddles; {name} has {plan.loom.shafts}.",
        )
    elif way.heddles == 1:
        yield from _alike(plan)


def _alike(plan: WarpPlan) -> Iterator[Problem]:
    inner = plan.web.shaft[plan.web.shaft >= 0]
    alike = np.flatnonzero(inner[1:] == inner[:-1]) + 1 + plan.web.floating // 2
    if alike.size:
        more = f" ({alike.size:,} such places)" if alike.size > 1 else ""
        says = (
            f"Holes and slots come in turn, but ends {alike[0]} and {alike[0] + 1} are on the same "
            f"shaft{more}: a place stays empty between them."
        )
        if alike.size > WIDER * inner.size:
            yield Problem("holes-in-turn", "stop", says)
        else:
            yield Problem("holes-in-turn", "warn", says)
