"""What is packed for the days of an event: worked out from its warps, stands and classes.

Things and counts that are not figured from a plan are common practice, no source. The guild's own ``packing``
sets the count of a thing, or adds one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from loomready.model.guild import Guild
from loomready.phrases import Phrase, phrase
from loomready.warp.result import WarpPlan

EVENT = "event"
Source = Literal["plan", "common practice, no source", "guild file"]
_PRACTICE: Source = "common practice, no source"


@dataclass(frozen=True, slots=True)
class PackedThing:
    """``packed_for``: key of a loom, stand or class, or ``event``."""

    packed_for: str
    thing: str | Phrase
    count: int
    source: Source


def packing(guild: Guild, plans: Mapping[str, WarpPlan]) -> tuple[PackedThing, ...]:
    """Everything to pack, looms first, as the guild changed it; what is counted as 0 is left out."""
    made = {(each.packed_for, f"{each.thing}"): each for each in _usual(guild, plans)}
    for own in guild.packing:
        at = (own.packed_for, own.thing)
        before = made.get(at, PackedThing(own.packed_for, own.thing, 0, "guild file"))
        made[at] = replace(before, count=own.count, source="guild file")
    return tuple(each for each in made.values() if each.count)


def _usual(guild: Guild, plans: Mapping[str, WarpPlan]) -> Iterator[PackedThing]:
    for plan in plans.values():
        yield from _for_loom(plan)
    for stand in guild.stands:
        yield from _for(stand.key, ((phrase("sign"), 1), (phrase("chair"), stand.people)))
    for lesson in guild.classes:
        seats = lesson.places + 1
        yield from _for(lesson.key, ((phrase("sign"), 1), (phrase("chair"), seats), (phrase("lamp"), 1)))
        if lesson.materials:
            yield PackedThing(lesson.key, phrase("bag with the materials of a place"), lesson.places, "plan")
    if guild.stands or guild.classes or plans:
        yield from _for(
            EVENT,
            (
                (phrase("first aid kit"), 1),
                (phrase("tape to hold cords to the floor"), 1),
                (phrase("scissors"), 2),
                (phrase("printed plan of the day"), 1),
            ),
        )


def _for(packed_for: str, things: tuple[tuple[Phrase, int], ...]) -> Iterator[PackedThing]:
    for thing, count in things:
        yield PackedThing(packed_for, thing, count, _PRACTICE)


def _for_loom(plan: WarpPlan) -> Iterator[PackedThing]:
    key = plan.loom.key
    if plan.sley is not None and not plan.loom.is_rigid_heddle:
        yield PackedThing(key, phrase("reed {reed}", reed=plan.sley.reed.name), 1, "plan")
    for need in plan.yarns:
        if need.bobbins:
            wound = phrase("bobbin wound with {yarn}", yarn=need.yarn.name)
            yield PackedThing(key, wound, need.bobbins, "plan")
    yield from _for(
        key,
        (
            (phrase("bench"), 1),
            (phrase("lamp"), 1),
            (phrase("shuttle"), 2),
            (phrase("reed hook"), 1),
            (phrase("lease stick"), 2),
            (phrase("repair heddle"), 4),
            (phrase("weight for a mended end"), 4),
            (phrase("scissors"), 1),
            (phrase("measuring tape"), 1),
        ),
    )
