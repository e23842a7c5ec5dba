"""What the classes of an event need: what is on the shelf after the warps took theirs, and what is short."""

from __future__ import annotations

import math
from dataclasses import dataclass

from loomready.model.event import Lesson, Material
from loomready.model.guild import Guild
from loomready.warp.shelf import Shelf


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


def kits(guild: Guild, shelf: Shelf) -> tuple[KitLine, ...]:
    """Classes in file order, each with what the warps and the classes before it leave.

    :param shelf: as all warps of the guild leave it, with what is bought for them
    """
    left: dict[str, float] = {}
    lines = []
    for lesson in guild.classes:
        for material in lesson.materials:
            wants = needed(lesson, material)
            if material.yarn is None:
                lines.append(KitLine(lesson.key, None, material.thing, wants, float(material.have)))
                continue
            there = left.setdefault(material.yarn, on_shelf_g(guild, shelf, material.yarn))
            has = min(there, wants)
            left[material.yarn] = there - has
            lines.append(KitLine(lesson.key, material.yarn, None, wants, has))
    return tuple(lines)


def on_shelf_g(guild: Guild, shelf: Shelf, key: str) -> float:
    """Sure grams of a yarn on a shelf."""
    yarn = guild.yarn(key)
    cones = shelf.cones_of(key)
    return shelf.sure_m(cones, yarn) / yarn.grist_m_per_g if cones else 0.0
