"""The plan of a warp as data, for screens, sheets and the command line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Draft
from loomready.draft.structure.analysis import Analysis
from loomready.model.guild import Dressing, Guild, Loom, Reed, WarpOrder, WeftStripe, Yarn
from loomready.phrases import Phrase
from loomready.problems import Problem
from loomready.warp.free_reeds import Reeds
from loomready.warp.pieces import Piece, Section, pieces_of, weaves_of
from loomready.warp.rounding import SLACK
from loomready.warp.second import Second
from loomready.warp.sections import Sections
from loomready.warp.sett import SettAdvice
from loomready.warp.tied import Tied
from loomready.warp.treadles import Treadles

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Web:
    """Every end of the web in order, end 1 first; arrays of length ``ends``.

    shaft   draft shaft from 0; -1: not threaded
    role    index into the order's ``warp_yarns``
    source  end of the draft (from 0) that stands here; -1 for a selvedge on shafts of its own
    as_one  ends of yarn that work as one here, in one heddle
    """

    shaft: Ints
    role: Ints
    source: Ints
    repeats: int
    repeat_ends: int
    border_ends: int
    floating: int
    selvedge: int
    repeat_starts: tuple[int, ...]
    as_one: Ints

    @property
    def every_end(self) -> int:
        """Ends of yarn in all, each of those that work as one counted."""
        return int(self.as_one.sum())

    @property
    def is_doubled(self) -> bool:
        """Whether some working end is of several ends of yarn."""
        return bool((self.as_one > 1).any())

    def every_end_of(self, roles: int) -> list[int]:
        """Ends of yarn of each color role, each of those that work as one counted."""
        counted = np.bincount(self.role, weights=self.as_one, minlength=roles)
        return [int(each) for each in counted.tolist()]

    @property
    def ends(self) -> int:
        return int(self.shaft.shape[0])

    @property
    def heddle_ends(self) -> int:
        return int((self.shaft >= 0).sum())


def cycle_told(cycle: Sequence[int]) -> str:
    """Ends in each dent in turn, in short; one number where all are alike.

    >>> cycle_told((1, 2)), cycle_told((2, 2)), cycle_told((3,))
    ('1-2', '2', '3')
    """
    return f"{cycle[0]}" if len(set(cycle)) == 1 else "-".join(map(str, cycle))


@dataclass(frozen=True, slots=True)
class Sley:
    """A reed and how to sley it. ``dents``: dents used, those of floating selvedges among them.

    ``within``: its sett is within 3 % of the one asked for. ``fits``: reed and loom are wide enough.
    ``denting``: of a crammed and spaced web (ends in the dent, how many dents running), without its floating
    selvedges; ``cycle`` is then the sley of stripes without one, and the sett is the mean. Else empty.
    """

    reed: Reed
    cycle: tuple[int, ...]
    sett_per_cm: float
    first_dent: int
    dents: int
    reed_dents: int
    within: bool
    fits: bool
    denting: tuple[tuple[int, int], ...] = ()

    @property
    def told(self) -> str:
        """Its cycle in short."""
        return cycle_told(self.cycle)

    @property
    def most(self) -> int:
        """The most ends in a dent."""
        return max((count for count, _ in self.denting), default=max(self.cycle))


@dataclass(frozen=True, slots=True)
class Move:
    """Heddles to move from one loom shaft to another (from 1)."""

    from_shaft: int
    to_shaft: int
    count: int


@dataclass(frozen=True, slots=True)
class HeddlePlan:
    """Heddles needed per draft shaft and the loom shafts (from 1) they go on.

    ``spare``: heddles per loom shaft left over after the moves, as (first side, other side), half to each.
    """

    needed: tuple[int, ...]
    assignment: tuple[int | None, ...]
    moved: int
    moves: tuple[Move, ...]
    short: int
    least_assignment: tuple[int | None, ...]
    least_moved: int
    spare: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Bout:
    """A bout to wind: its runs of yarn in order, and how many ends each cone gives.

    ``more``: its ends of yarn beyond one for each working end, where several work as one. ``cones`` has all.
    ``second``: of the second warp. Ends are numbered in the order of winding, :attr:`WarpPlan.wound_order`.
    """

    number: int
    first_end: int
    ends: int
    colors: tuple[tuple[str, int], ...]
    cones: tuple[tuple[str, int], ...]
    more: int = 0
    second: bool = False

    @property
    def every_end(self) -> int:
        """Its ends of yarn, each of those that work as one counted."""
        return self.ends + self.more

    @property
    def last_end(self) -> int:
        return self.first_end + self.ends - 1


@dataclass(frozen=True, slots=True)
class ConeUse:
    """What one cone gives to this warp, and what is surely and probably left on it afterwards."""

    cone: str
    ends: int
    warp_m: float
    weft_m: float
    expected_before_m: float
    sure_before_m: float
    expected_after_m: float
    sure_after_m: float


@dataclass(frozen=True, slots=True)
class YarnNeed:
    """The warp's need of one yarn, and what the shelf has of it.

    ``wanted_m`` is still to come from the shelf: warp and weft, only weft once the warp is wound, nothing
    once the cloth is off the loom. ``on_shelf_m`` and ``sure_m`` are the expected and the sure length before
    this warp takes its part; ``available_m`` is the sure length less the reserve; ``missing_ends`` and
    ``missing_weft_m`` is what the yarn is short.
    """

    yarn: Yarn
    warp_ends: int
    warp_m: float
    weft_m: float
    wanted_m: float
    weight_g: float
    cost: float | None
    on_shelf_m: float
    sure_m: float
    available_m: float
    enough: bool
    missing_ends: int
    missing_weft_m: float
    lots: tuple[str | None, ...]
    uses: tuple[ConeUse, ...]
    bobbins: int

    @property
    def taken_m(self) -> float:
        """What the warp has taken already: warp yarn once it is wound, and weft known to be woven."""
        taken = self.warp_m + self.weft_m - self.wanted_m
        return taken if taken > 1000 * SLACK else 0.0  # a smaller difference is rounding


@dataclass(frozen=True, slots=True)
class RaddleSpread:
    """How the ends lie in a raddle: ends per space, as a repeating cycle.

    ``spaces`` are filled in all; the first of them, at the side of end 1, is the space number ``from_center``
    counted from the raddle's center mark, so that the web lies in the middle.

    ``repeats`` False: of a crammed and spaced web ``cycle`` holds the ends of every space once.
    """

    spacing_mm: float
    name: str
    cycle: tuple[int, ...]
    spaces: int
    from_center: int
    repeats: bool = True


@dataclass(frozen=True, slots=True)
class Weft:
    """Everything woven alike: one draft, its yarns and picks per cm.

    ``pieces``: (number, picks, count) for each piece so woven, or its hems: its number in the order (0: the
    sample), the picks of one, how many of it. Each begins at pick 1 of the draft. ``stripes``: its picks by
    yarn from pick 1 on, whatever weft colors the draft has. ``strands``: of weft together in each pick.
    """

    label: Phrase
    draft: Draft
    yarns: tuple[str, ...]
    picks_per_cm: float
    woven_m: float
    pieces: tuple[tuple[int, int, int], ...]
    stripes: tuple[WeftStripe, ...] = ()
    strands: int = 1

    @property
    def picks(self) -> int:
        return sum(picks * count for _, picks, count in self.pieces)


@dataclass(frozen=True, slots=True)
class Lengths:
    """The parts of the warp's length, m: cloth with its take-up, fringes, sample, loom waste, headers.

    ``fringe_in_waste_m``: fringe that lies in the loom waste; ``fringe_m`` is the rest.
    """

    woven_m: float
    cloth_m: float
    fringe_m: float
    sample_m: float
    waste_m: float
    header_m: float = 0.0
    fringe_in_waste_m: float = 0.0

    @property
    def needed_m(self) -> float:
        return self.cloth_m + self.fringe_m + self.sample_m + self.waste_m + self.header_m

    @property
    def not_cloth_m(self) -> float:
        """Fringes and headers: warp of the pieces that is not cloth."""
        return self.fringe_m + self.header_m + self.fringe_in_waste_m

    @property
    def left_over_m(self) -> float:
        """Loom waste when the fringe that lies in it is cut off with the pieces."""
        return self.waste_m - self.fringe_in_waste_m


def winding_order(second: Second | None, ends: int) -> Ints:
    """The places of the ends in the web, from 0, in the order in which they are wound."""
    return np.arange(ends) if second is None else np.argsort(second.of_end, kind="stable")


def length_of(order: WarpOrder, yarn: str, length_m: float, second: Second | None) -> float:
    """Length of the warp that a yarn is in; ``length_m``: of the first."""
    return length_m if second is None or yarn not in (order.second_yarns or ()) else second.length_m


@dataclass(frozen=True, slots=True, eq=False)
class WarpPlan:
    """The plan of one warp. ``sections``: how it lies on a sectional beam; its bouts are these sections.

    ``tied``: how it meets the old warp that it is tied on to. ``second``: its second warp; ``lengths`` and
    ``warp_length_m`` are then those of the first.
    """

    order: WarpOrder
    guild: Guild
    loom: Loom
    draft: Draft
    analysis: Analysis
    web: Web
    wanted_width_mm: float
    width_in_reed_mm: float
    finished_width_mm: float
    asked_sett_per_cm: float
    sett_per_cm: float
    sett_advice: SettAdvice
    lengths: Lengths
    warp_length_m: float
    wefts: tuple[Weft, ...]
    picks: int
    yarns: tuple[YarnNeed, ...]
    sley: Sley | None
    reeds: Reeds
    heddles: HeddlePlan
    bouts: tuple[Bout, ...]
    raddle: tuple[RaddleSpread, ...]
    treadles: Treadles | None
    problems: tuple[Problem, ...]
    sections: Sections | None = None
    tied: Tied | None = None
    second: Second | None = None

    @property
    def wound_order(self) -> Ints:
        """int[ends], for each end in the order of winding its place in the web, from 0.

        The order of the web, unless a second warp is wound after the first.
        """
        return winding_order(self.second, self.web.ends)

    def length_of(self, yarn: str) -> float:
        """Length of the warp that a yarn is in; m."""
        return length_of(self.order, yarn, self.warp_length_m, self.second)

    @property
    def longest_m(self) -> float:
        """Length that is enough for any end: that of the longer warp."""
        return self.warp_length_m if self.second is None else max(self.warp_length_m, self.second.length_m)

    @property
    def warp_m(self) -> float:
        """Warp yarn in all."""
        if self.second is None:
            return self.web.every_end * self.warp_length_m
        return self.second.first_ends * self.warp_length_m + self.second.ends * self.second.length_m

    @property
    def dressing(self) -> Dressing:
        """The order of dressing: what is wound onto its beam is threaded before it is sleyed."""
        return "back to front" if self.sections is not None else self.guild.dressing

    @property
    def stopped(self) -> bool:
        return any(problem.level == "stop" for problem in self.problems)

    @property
    def cost_of_priced(self) -> float:
        """What the yarns with a price cost: the sum of their amounts, each rounded to two decimals."""
        return sum(round(need.cost, 2) for need in self.yarns if need.cost is not None)

    @property
    def cost(self) -> float | None:
        """What all yarn costs; None: a yarn has no price."""
        return self.cost_of_priced if all(need.cost is not None for need in self.yarns) else None

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """What is woven, piece by piece, the sample first."""
        return pieces_of(self.order)

    def weft_of(self, section: Section) -> Weft:
        """The weave of a section of a piece."""
        return self.wefts[weaves_of(self.pieces).index(section.weave)]


@dataclass(frozen=True, slots=True)
class GuildPlan:
    guild: Guild
    warps: tuple[WarpPlan, ...]
    problems: tuple[Problem, ...]

    @property
    def stopped(self) -> bool:
        found = any(problem.level == "stop" for problem in self.problems)
        return found or any(warp.stopped for warp in self.warps)
