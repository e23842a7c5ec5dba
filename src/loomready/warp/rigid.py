"""A rigid heddle loom: its heddle is reed and shaft in one, with holes and slots in turn.

How ends go through holes and slots is common practice, no source: with one heddle every other end goes
through a hole and moves with the heddle, the others through slots and stay. Each further heddle adds a
shaft, and allows that many more ends per inch as the gauge has holes and slots.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from loomready.draft.structure import periods
from loomready.model.guild import MAX_ENDS, Loom, Reed
from loomready.phrases import Phrase, joined, listed, listed_with_and, phrase, some, word
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


def the_heddle(loom: Loom) -> Phrase:
    """The heddle, or the heddles, of a rigid heddle loom."""
    return phrase("the heddle") if loom.shafts == 1 else phrase("the heddles")


def own_reed(loom: Loom) -> Reed | None:
    """The heddle as a reed, with its holes and slots as dents. None: another kind of loom, or the gauge is
    unknown."""
    if not loom.is_rigid_heddle or loom.gauge_per_cm is None:
        return None
    return Reed(HEDDLE, loom.gauge_per_cm, min(loom.weaving_width_mm, loom.takes_reed_mm))


def heddles_there(loom: Loom) -> int:
    """Heddles in all; a rigid heddle is never short of them: only its width limits the ends."""
    return MAX_ENDS if loom.has_open_ends else sum(loom.heddles)


def hang(web_shaft: Ints, draft_shafts: int, loom: Loom) -> HeddlePlan:
    """Which shafts of the draft go through holes, and which through slots.

    The used shaft with most ends (of several the last) goes through the slots and is counted as the shaft
    after the heddles; the others take the heddles in order. Where there are pick-up sticks for more shafts,
    those go through slots whose ends lie between the others, so that holes and slots come in turn. With too
    many shafts there is no assignment.
    """
    needed = np.bincount(web_shaft[web_shaft >= 0], minlength=draft_shafts)
    used = np.flatnonzero(needed).tolist()
    assignment: list[int | None] = [None] * draft_shafts
    if used and len(used) <= loom.draft_shafts:
        slots = _through_slots(web_shaft, used, needed, max(1, len(used) - loom.shafts))
        for number, shaft in enumerate([each for each in used if each not in slots] + slots, start=1):
            assignment[shaft] = number
    placed = tuple(assignment)
    return HeddlePlan(tuple(needed.tolist()), placed, 0, (), 0, placed, 0, ())


def _through_slots(web_shaft: Ints, used: list[int], needed: Ints, many: int) -> list[int]:
    """The draft shafts whose ends go through slots, fewest ends first.

    One alone is the shaft with most ends. Of several, those that leave fewest neighbors both in holes or
    both in slots; then those with most ends, then the last.
    """
    if many == 1:
        return [max(used, key=lambda shaft: (needed[shaft], shaft))]
    inner = web_shaft[web_shaft >= 0]

    def worth(chosen: tuple[int, ...]) -> tuple[int, int, tuple[int, ...]]:
        slot = np.isin(inner, chosen)
        return -int((slot[1:] == slot[:-1]).sum()), int(needed[list(chosen)].sum()), chosen

    best = max(itertools.combinations(used, many), key=worth)
    return sorted(best, key=lambda shaft: (needed[shaft], shaft))


@dataclass(frozen=True, slots=True)
class StringHeddles:
    """The string heddles of a band: one for each heddled end, and those that its inkle loom has."""

    needed: int
    there: int

    @property
    def to_tie(self) -> int:
        return max(0, self.needed - self.there)

    @property
    def told(self) -> Phrase:
        if self.to_tie:
            return phrase(
                "String heddles: {needed:,}, one for each heddled end. Tie {more:,} more: the loom has "
                "{there:,}.",
                needed=self.needed,
                more=self.to_tie,
                there=self.there,
            )
        return phrase(
            "String heddles: {needed:,}, one for each heddled end; the loom has {there:,}.",
            needed=self.needed,
            there=self.there,
        )


def string_heddles(plan: WarpPlan) -> StringHeddles | None:
    """The string heddles of a band; None: another loom, or a draft of too many shafts."""
    if plan.loom.kind != "inkle" or through(plan) is None:
        return None
    ends = dict(zip(plan.heddles.assignment, plan.heddles.needed, strict=True))
    return StringHeddles(ends.get(1, 0), sum(plan.loom.heddles))


@dataclass(frozen=True, slots=True)
class Through:
    """What goes through the heddles. ``shafts``: the heddles (from 1) of each shaft in holes, shaft 1 first;
    the ends of a shaft with several take them in turn. The shafts after them go through slots.

    ``slots``: the last of these. ``holes``: holes of one heddle across the web. ``lacking``: heddles more
    than the loom has. ``sticks``: the pick-up stick of each shaft in slots that some pick raises without
    the other slots.
    """

    shafts: tuple[tuple[int, ...], ...]
    slots: int
    holes: int
    lacking: int
    sticks: Mapping[int, int] = field(default_factory=dict)
    inkle: bool = False

    @property
    def free(self) -> range:
        """The shafts whose ends go through slots."""
        return range(len(self.shafts) + 1, self.slots + 1)

    @property
    def heddles(self) -> int:
        """Heddles in use."""
        return sum(map(len, self.shafts))

    def says(self, shaft: int) -> Phrase:
        """Where an end of a shaft goes: "slot", "hole", "hole of heddle 2"."""
        if self.inkle:
            return phrase("a string heddle") if shaft <= len(self.shafts) else phrase("no heddle, open")
        if shaft in self.sticks:
            return phrase("slot, on pick-up stick {stick}", stick=self.sticks[shaft])
        if shaft > len(self.shafts):
            return word("slot")
        if self.heddles == 1:
            return word("hole")
        mine = self.shafts[shaft - 1]
        if len(mine) > 1:
            return phrase("hole of {heddles} in turn", heddles=_heddles(mine))
        return phrase("hole of {heddles}", heddles=_heddles(mine))

    def names(self) -> dict[int, Phrase]:
        """Shafts with a short name instead of a number: "slot", and "hole" if all the others are holes."""
        if self.inkle:
            return {1: word("heddle"), self.slots: phrase("open")}
        slots = {
            shaft: phrase("slot ({stick})", stick=self.sticks[shaft])
            if shaft in self.sticks
            else word("slot")
            for shaft in range(len(self.shafts) + 1, self.slots + 1)
        }
        return slots | ({1: word("hole")} if self.heddles == 1 else {})

    def moves(self, up: frozenset[int]) -> Phrase:
        """Heddle positions for a shed with these shafts up; heddles not named rest in the middle.

        Where all ends in slots are up, the other heddles go down; where only some are, their sticks raise
        them.
        """
        free = range(len(self.shafts) + 1, self.slots + 1)
        down = all(shaft in up for shaft in free)
        sticks = (
            [] if down else [self.sticks[shaft] for shaft in free if shaft in up and shaft in self.sticks]
        )
        moved = [
            heddle
            for shaft, mine in enumerate(self.shafts, start=1)
            if (shaft in up) != down
            for heddle in mine
        ]
        if not moved and not sticks:
            return phrase("no shed")
        if self.inkle:
            return phrase("open ends up") if down else phrase("open ends down")
        picked = joined(" + ", (phrase("stick {stick}", stick=stick) for stick in sticks))
        if not moved:
            return picked
        which = word("heddle") if self.heddles == 1 else _heddles(tuple(moved))
        if down:
            return phrase("{heddles} down", heddles=which)
        raised = phrase("{heddles} up", heddles=which)
        return phrase("{heddles} + {sticks}", heddles=raised, sticks=picked) if sticks else raised


def lines(plan: WarpPlan) -> tuple[Phrase, ...]:
    """How to thread the heddle, in sentences; empty for another loom. Threading and sleying are one step."""
    way = through(plan)
    if way is None:
        return ()
    if way.inkle:
        return tuple(_inkle_told(plan, way))
    show, sley = Shown(plan.guild.units), plan.sley
    told = []
    if sley is not None:
        edge = plan.web.floating // 2
        first = plan.heddles.assignment[plan.web.shaft[edge]] if plan.web.shaft[edge] >= 0 else None
        begins = (
            phrase(
                ", with a {slot_or_hole} for end {end}",
                slot_or_hole=word("slot" if first > len(way.shafts) else "hole"),
                end=1 + edge,
            )
            if first
            else ""
        )
        floating = (
            phrase("; a floating selvedge in a place of its own at each side") if plan.web.floating else ""
        )
        if way.heddles > 1:
            told.append(
                phrase(
                    "Heddles of {dents}, one behind the other: an end goes through a hole of its own heddle, "
                    "and through the slot beside that place in each of the others.",
                    dents=show.epi(sley.reed.dents_per_cm),
                )
            )
        told.append(
            phrase(
                "On average {cycle} ends per place, a hole or a slot, starting in place {first_dent} of "
                "{reed_dents} from the {side}, or the one beside it{begins}{floating}.",
                cycle=sley.told,
                first_dent=sley.first_dent,
                reed_dents=sley.reed_dents,
                side=word(plan.guild.end_1),
                begins=begins,
                floating=floating,
            )
            if way.heddles > 1
            else phrase(
                "Heddle of {dents}, holes and slots in turn: {cycle} per place, starting in place "
                "{first_dent} of {reed_dents} from the {side}, or the one beside it{begins}{floating}.",
                dents=show.epi(sley.reed.dents_per_cm),
                cycle=sley.told,
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
    return (*told, *_sticks_told(plan, way))


def _inkle_told(plan: WarpPlan, way: Through) -> Iterator[Phrase]:
    """How the ends of a band go on an inkle loom, and how its two sheds are made."""
    ends = dict(zip(plan.heddles.assignment, plan.heddles.needed, strict=True))
    first = plan.heddles.assignment[plan.web.shaft[plan.web.floating // 2]]
    yield phrase(
        "Heddled and open ends in turn, the first {first}: {heddled:,} in string heddles, {open:,} open.",
        first=phrase("open") if first == way.slots else phrase("heddled"),
        heddled=ends.get(1, 0),
        open=ends.get(way.slots, 0),
    )
    strings = string_heddles(plan)
    if strings is not None:
        yield strings.told
    yield phrase("Press the open ends down to raise the heddled ones, lift them to lower these.")


def _sticks_told(plan: WarpPlan, way: Through) -> Iterator[Phrase]:
    """Which ends in slots each pick-up stick takes, counted along the slots from end 1."""
    if not way.sticks:
        return
    number_of = {draft: shaft for draft, shaft in enumerate(plan.heddles.assignment) if shaft is not None}
    on_loom = np.asarray([number_of.get(shaft, 0) for shaft in plan.web.shaft.tolist()])
    in_slots = on_loom[on_loom > len(way.shafts)]
    for shaft, stick in way.sticks.items():
        told = [
            phrase("{count} up", count=count) if up else phrase("{count} down", count=count)
            for up, count in _repeat(in_slots == shaft)
        ]
        yield phrase(
            "Pick-up stick {stick}, behind the heddle: with the heddle down, pick up the ends in slots "
            "{pattern}, as a repeat from end 1.",
            stick=stick,
            pattern=listed(told),
        )
    if len(way.sticks) > 1:
        yield phrase(
            "Behind the heddle only the front stick slides freely: put the ends of the others on heddle rods."
        )


def _repeat(picked: npt.NDArray[np.bool_]) -> list[tuple[bool, int]]:
    """The runs of ends picked up and left down in the smallest repeat."""
    once = picked[: periods.smallest_period(picked.astype(np.int64))]
    return [(bool(once[start]), length) for start, length in periods.runs(once)]


def _heddles(numbers: tuple[int, ...]) -> Phrase:
    if len(numbers) == 1:
        return phrase("heddle {number}", number=numbers[0])
    return phrase("heddles {numbers}", numbers=listed_with_and(map(str, numbers)))


def through(plan: WarpPlan) -> Through | None:
    """How the warp goes through its heddles. None: another loom, or a draft of too many shafts."""
    placed = [shaft for shaft in plan.heddles.assignment if shaft is not None]
    if not plan.loom.has_open_ends or not placed:
        return None
    slots = max(placed)
    inkle = plan.loom.kind == "inkle"
    in_holes = slots - max(1, slots - plan.loom.shafts)
    dents = plan.sley.dents - plan.web.floating if plan.sley else plan.web.heddle_ends
    holes = whole_up(dents / 2)
    ends = dict(zip(plan.heddles.assignment, plan.heddles.needed, strict=True))
    made, first = [], 1
    for shaft in range(1, in_holes + 1):
        many = max(1, whole_up((ends[shaft] - 1) / holes)) if holes else 1  # an edge may have one more
        made.append(tuple(range(first, first + many)))
        first += many
    lacking = max(0, first - 1 - plan.loom.shafts)
    return Through(tuple(made), slots, holes, lacking, _sticks(plan, in_holes, slots), inkle)


def _sticks(plan: WarpPlan, in_holes: int, slots: int) -> dict[int, int]:
    """A pick-up stick, from 1, for each shaft in slots that some pick raises without the other slots."""
    if slots - in_holes < 2:
        return {}
    number_of = {draft: shaft for draft, shaft in enumerate(plan.heddles.assignment) if shaft is not None}
    free, found = set(range(in_holes + 1, slots + 1)), set[int]()
    for weft in plan.wefts:
        for row in np.unique(weft.draft.lifts, axis=0):
            up = {number_of[draft] for draft in np.flatnonzero(row).tolist() if draft in number_of} & free
            found |= up if up != free else set()
    return {shaft: number for number, shaft in enumerate(sorted(found), start=1)}


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    """Problems of this warp on a rigid heddle loom, and warnings about what was assumed."""
    if not plan.loom.has_open_ends:
        return
    name = plan.loom.name
    if plan.loom.gauge_per_cm is None and plan.loom.is_rigid_heddle:
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
    way, strings = through(plan), string_heddles(plan)
    if way is None:
        return
    if strings is not None and strings.to_tie:
        yield Problem(
            "string-heddles-short",
            "warn",
            phrase(
                "The band takes {needed}; {loom} has {there}: tie {more} more before you wind.",
                needed=some(strings.needed, "string heddle"),
                loom=name,
                there=strings.there,
                more=strings.to_tie,
            ),
        )
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
        yield from _alike(plan, len(way.shafts))
    if len(way.sticks) > plan.loom.pick_up_sticks:
        yield Problem(
            "sticks-short",
            "stop",
            phrase(
                "Some ends in slots rise without the others, which takes {sticks}; {loom} has {there}.",
                sticks=some(len(way.sticks), "pick-up stick"),
                loom=name,
                there=plan.loom.pick_up_sticks,
            ),
        )


def _alike(plan: WarpPlan, in_holes: int) -> Iterator[Problem]:
    holes = np.asarray([shaft is not None and shaft <= in_holes for shaft in plan.heddles.assignment])
    inner = holes[plan.web.shaft[plan.web.shaft >= 0]]
    alike = np.flatnonzero(inner[1:] == inner[:-1]) + 1 + plan.web.floating // 2
    if alike.size:
        more = phrase(" ({places:,} such places)", places=alike.size) if alike.size > 1 else ""
        says = (
            phrase(
                "Heddled and open ends come in turn, but ends {first} and {second} are on the same "
                "shaft{more}.",
                first=int(alike[0]),
                second=int(alike[0]) + 1,
                more=more,
            )
            if plan.loom.kind == "inkle"
            else phrase(
                "Holes and slots come in turn, but ends {first} and {second} are on the same shaft{more}: a "
                "place stays empty between them.",
                first=int(alike[0]),
                second=int(alike[0]) + 1,
                more=more,
            )
        )
        if alike.size > WIDER * inner.size:
            yield Problem("holes-in-turn", "stop", says)
        else:
            yield Problem("holes-in-turn", "warn", says)
