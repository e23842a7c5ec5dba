"""What the classes of an event need: what is on the shelf after the warps took theirs, and what is short."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from loomready.model.event import Lesson, Material
from loomready.model.guild import Guild
from loomready.warp.result import WarpPlan
from loomready.yarn.cones import pooled


@dataclass(frozen=True, slots=True)
class KitLine:
    """A material of a class: grams of a yarn, or a number of things.

    ``have``: of what the classes before leave.
    """

    lesson: str
    yarn: str | None
    thing: str | None
    needed: float
    have: float

    @property
    def short(self) -> float:
        return max(0.0, self.needed - self.have)


def needed(lesson: Lesson, material: Material) -> float:
    """For all places with the spare share; grams and things both rounded up to whole ones."""
    return float(math.ceil(lesson.places * material.each * (1 + lesson.spare) - 1e-9))


def kits(guild: Guild, plans: Mapping[str, WarpPlan]) -> tuple[KitLine, ...]:
    """Classes in file order, each with what the warps and the classes before it leave.

    :param plans: of the event's warps; other warps that take from the shelf are not in it
    """
    left: dict[str, float] = {}
    lines = []
    for lesson in guild.classes:
        for material in lesson.materials:
            wants = needed(lesson, material)
            if material.yarn is None:
                lines.append(KitLine(lesson.key, None, material.thing, wants, float(material.have)))
                continue
            there = left.setdefault(material.yarn, on_shelf_g(guild, plans, material.yarn))
            has = min(there, wants)
            left[material.yarn] = there - has
            lines.append(KitLine(lesson.key, material.yarn, None, wants, has))
    return tuple(lines)


def on_shelf_g(guild: Guild, plans: Mapping[str, WarpPlan], key: str) -> float:
    """Grams of a yarn that the warps of the event leave, of the sure length of its cones, with
    those that are bought for the warps."""
    yarn = guild.yarn(key)
    cones = tuple(cone for cone in guild.cones if cone.yarn == key)
    if not cones:
        return 0.0
    needs = [need for plan in plans.values() for need in plan.yarns if need.yarn.key == key]
    if not needs:
        return pooled(cones, yarn).sure_m / yarn.grist_m_per_g
    last = needs[-1]
    return max(0.0, last.sure_m - last.wanted_m) / yarn.grist_m_per_g
