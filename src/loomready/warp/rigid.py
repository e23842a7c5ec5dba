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
from loomready.phrases import Phrase, listed_with_and, phrase, word
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

    def says(self, shaft: int) -> Phrase:
        """Where an end of a shaft goes: "slot", "hole", "hole of heddle 2"."""
        if shaft == self.slots:
            return word("slot")
        if self.heddles == 1:
            return word("hole")
        mine = self.shafts[shaft - 1]
        if len(mine) > 1:
            return phrase("hole of {heddles} in turn", heddles=_heddles(mine))
        return phrase("hole of {heddles}", heddles=_heddles(mine))

    def names(self) -> dict[int, Phrase]:
        """Shafts with a short name instead of a number: "slot", and "hole" if all the others are holes."""
        return {self.slots: word("slot")} | ({1: word("hole")} if self.heddles == 1 else {})

    def moves(self, up: frozenset[int]) -> Phrase:
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
            return phrase("no shed")
        which = word("heddle") if self.heddles == 1 else _heddles(tuple(moved))
        return phrase("{heddles} down", heddles=which) if down else phrase("{heddles} up", heddles=which)


def lines(plan: WarpPlan) -> tuple[Phrase, ...]:
    """How to thread the heddle, in sentences; empty for another loom. Threading and sleying are one step."""
    way = through(plan)
    if way is None:
        return ()
    show, sley = Shown(plan.guild.units), plan.sley
    told = []
    if sley is not None:
        edge = plan.web.floating // 2
        first = plan.heddles.assignment[plan.web.shaft[edge]] if plan.web.shaft[edge] >= 0 else None
        begins = (
            phrase(
                ", with a {slot_or_hole} for end {end}",
                slot_or_hole=word("slot" if first == way.slots else "hole"),
                end=1 + edge,
            )
            if first
            else ""
        )
        floating = (
            phrase("; a floating selvedge in a place of its own at each side") if plan.web.floating else ""
        )
        told.append(
            phrase(
                "Heddle of {dents}, holes and slots in turn: {cycle} per place, starting in place "
                "{first_dent} of {reed_dents} from the {side}, or the one beside it{begins}{floating}.",
                dents=show.epi(sley.reed.dents_per_cm),
                cycle="-".join(map(str, sley.cycle)),
                first_dent=sley.first_dent,
                reed_dents=sley.reed_dents,
                side=word(plan.guild.end_1),
                begins=begins,
                floating=floating,
            )
        )
    ends = sorted(
        (shaft, count)
        for shaft, count in zip(plan.heddles.assignment, plan.heddles.needed, strict=True)
        if shaft is not None
    )
    told += [
        phrase(
            "Shaft {shaft}: {ends:,} ends, each through a {place}.",
            shaft=shaft,
            ends=count,
            place=way.says(shaft),
        )
        for shaft, count in ends
    ]
    return tuple(told)


def _heddles(numbers: tuple[int, ...]) -> Phrase:
    if len(numbers) == 1:
        return phrase("heddle {number}", number=numbers[0])
    return phrase("heddles {numbers}", numbers=listed_with_and(map(str, numbers)))


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
            phrase(
                "The gauge of {loom} is not given: reed {reed} stands for its heddle.",
                loom=name,
                reed=plan.sley.reed.name,
            )
            if plan.sley
            else phrase(
                "The gauge of {loom} is not given: the plan takes the sett that was asked for.", loom=name
            ),
        )
    if plan.order.sley is not None or (plan.order.reed is not None and own_reed(plan.loom) is not None):
        yield Problem(
            "heddle-is-reed",
            "warn",
            phrase(
                "{loom} has no reed but its heddle; the {setting} that you set is not used.",
                loom=name,
                setting=word("reed" if plan.order.sley is None else "sley"),
            ),
        )
    way = through(plan)
    if way is None:
        return
    if way.lacking:
        yield Problem(
            "holes-short",
            "stop",
            phrase(
                "At this sett the ends in holes need {heddles} heddles; {loom} has {there}.",
                heddles=way.heddles,
                loom=name,
                there=plan.loom.shafts,
            ),
        )
    elif way.heddles == 1:
        yield from _alike(plan)


def _alike(plan: WarpPlan) -> Iterator[Problem]:
    inner = plan.web.shaft[plan.web.shaft >= 0]
    alike = np.flatnonzero(inner[1:] == inner[:-1]) + 1 + plan.web.floating // 2
    if alike.size:
        more = phrase(" ({places:,} such places)", places=alike.size) if alike.size > 1 else ""
        says = phrase(
            "Holes and slots come in turn, but ends {first} and {second} are on the same shaft{more}: a "
            "place stays empty between them.",
            first=int(alike[0]),
            second=int(alike[0]) + 1,
            more=more,
        )
        if alike.size > WIDER * inner.size:
            yield Problem("holes-in-turn", "stop", says)
        else:
            yield Problem("holes-in-turn", "warn", says)
