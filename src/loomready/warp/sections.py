"""How a warp lies on a sectional beam: sections of one width, each wound from the rack in one go.

Common practice, no source: the ends of a section are its width times the sett. Where that is no whole number,
sections of two counts take turns. The last section holds what is left. Of cloth in layers a section holds as
many ends of each layer, so that it ends with a whole pair.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from loomready.model.guild import Loom, WarpOrder
from loomready.warp.rounding import cycle_near, whole_down


@dataclass(frozen=True, slots=True)
class Sections:
    """The sections that a web fills.

    width_mm  of one section
    cycle     ends of a full section, as a repeating cycle from the side of end 1
    places    where the web is cut: numbers of ends from 0 to all of them
    first     number of the first section used, counted on the beam from the side of end 1
    on_beam   sections that the beam has
    """

    width_mm: float
    cycle: tuple[int, ...]
    places: tuple[int, ...]
    first: int
    on_beam: int

    @property
    def ends(self) -> tuple[int, ...]:
        """Ends of each section, end 1 first."""
        return tuple(after - before for before, after in itertools.pairwise(self.places))

    @property
    def at_once(self) -> int:
        """The most ends in a section: cones or spools on the rack at once."""
        return max(self.ends)

    @property
    def fits(self) -> bool:
        return len(self.ends) <= self.on_beam


def sections_on(loom: Loom) -> int:
    """Sections of a loom's beam; where nobody counted them, those that its weaving width holds."""
    if loom.section_mm is None:
        return 0
    return loom.sections or max(1, whole_down(loom.weaving_width_mm / loom.section_mm))


def sections_of(order: WarpOrder, loom: Loom, sett_per_cm: float, ends: int) -> Sections | None:
    """The sections of a warp that is wound in sections, in the middle of the beam; None for other warps."""
    if not order.sectional or loom.section_mm is None:
        return None
    layers = max(1, order.layers)
    cycle = tuple(layers * each for each in cycle_near(sett_per_cm * loom.section_mm / 10 / layers))
    places = (
        0,
        *itertools.takewhile(lambda at: at < ends, itertools.accumulate(itertools.cycle(cycle))),
        ends,
    )
    on_beam = sections_on(loom)
    return Sections(loom.section_mm, cycle, places, max(0, on_beam - len(places) + 1) // 2 + 1, on_beam)


@dataclass(frozen=True, slots=True)
class OnRack:
    """One yarn on the rack.

    places_m  length that each of its places feeds, longest first; as many places as a section has of its ends
    cones     the cones that give it, with the length that each gives in all
    spools    whether it is wound to spools first: there are fewer cones than places, or one holds too little
    """

    yarn: str
    places_m: tuple[float, ...]
    cones: tuple[tuple[str, float], ...]
    spools: bool

    @property
    def grouped(self) -> tuple[tuple[int, float], ...]:
        """The places as (how many, length of each), longest first."""
        return tuple((len(list(alike)), length) for length, alike in itertools.groupby(self.places_m))


def on_rack(
    yarn: str,
    in_section: Sequence[int],
    warp_length_m: float,
    given: Sequence[tuple[str, float]],
    holds_m: Sequence[float],
) -> OnRack:
    """What one yarn needs on the rack.

    A place feeds every section that has at least as many ends of the yarn as the place's number, so that
    all places together feed just the ends that there are.

    :param in_section: ends of the yarn in each section
    :param given: (cone, length) of the cones that give the warp's ends
    :param holds_m: what each cone of the same dye lots surely holds

    >>> on_rack("slate", [3, 2, 3], 10.0, [("slate-1", 80.0)], [500.0]).grouped
    ((2, 30.0), (1, 20.0))
    """
    places = tuple(
        sum(count >= place for count in in_section) * warp_length_m
        for place in range(1, max(in_section, default=0) + 1)
    )
    largest = sorted(holds_m, reverse=True)
    straight = len(largest) >= len(places) and all(
        there >= needed for there, needed in zip(largest, places, strict=False)
    )
    return OnRack(yarn, places, tuple(given), not straight)
