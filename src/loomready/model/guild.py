"""The nouns of the shared room: what a guild owns and plans. Units stand in the field names."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from loomready.model.event import (
    ANY_PACE,
    NOT_SAID,
    Event,
    JobHours,
    Lesson,
    Pace,
    Packed,
    Person,
    ShopCone,
    Stand,
)
from loomready.units import System

LoomKind = Literal["table", "jack", "counterbalance", "countermarche", "rigid heddle", "inkle"]
Side = Literal["left", "right"]
DoubleCloth = Literal["double width", "tube"]
Dressing = Literal["back to front", "front to back"]
SecondKind = Literal["pile", "supplementary", "seersucker"]
Tension = Literal["firm", "light", "slack"]

MAX_SHAFTS = 64
MAX_TREADLES = 64
MAX_ENDS = 20_000
MAX_DENTS = 1_000  # empty dents side by side
MAX_PICKS = 20_000
MAX_PEGS = 64


@dataclass(frozen=True, slots=True)
class Grist:
    """A yarn's size known as so much length to the weight."""

    m_per_g: float


@dataclass(frozen=True, slots=True)
class Measured:
    """A length of an unknown yarn, laid out and weighed on a scale with steps of ``scale_step_g``."""

    length_m: float
    weight_g: float
    scale_step_g: float = 1.0


@dataclass(frozen=True, slots=True)
class Wraps:
    """Wraps of an unknown yarn around a ruler."""

    per_cm: float


@dataclass(frozen=True, slots=True)
class Yarn:
    """A yarn on the shelf. ``tolerance``: the 95 % band of its grist, as a share, either way. The length that
    twisting takes up goes one way only and is no part of it (``yarn.label.BEFORE_TWISTING``).

    ``tex``: the yarn's size, figured from what was given: a ``count`` in its ``count_system``, one of the
    things that ``source`` holds, or (both None) tex itself. ``woollen``: spun lofty, which a
    woollen count or fiber implies; ``estimated`` marks a grist that comes from wraps and is a first guess.
    """

    key: str
    name: str
    tex: float
    fiber: str = ""
    count: str | None = None
    count_system: str | None = None
    color: tuple[int, int, int] = (200, 190, 175)
    tolerance: float = 0.05
    price_per_g: float | None = None
    estimated: bool = False
    source: Grist | Measured | Wraps | None = None
    woollen: bool = False
    notes: str = ""

    @property
    def grist_m_per_g(self) -> float:
        """Meters to a gram."""
        return 1000.0 / self.tex


@dataclass(frozen=True, slots=True)
class Cone:
    """A cone as it was last weighed. ``flaws_per_m``: knots and weak spots; None: nobody has looked.

    ``own_name``: None: it is called after its yarn, see :meth:`Guild.name_of_cone`.
    """

    key: str
    yarn: str
    gross_g: float
    tare_g: float
    lot: str | None = None
    tare_sd_g: float = 2.0
    scale_step_g: float = 1.0
    weighed: date | None = None
    flaws_per_m: float | None = None
    own_name: str | None = None
    notes: str = ""

    @property
    def net_g(self) -> float:
        return self.gross_g - self.tare_g


@dataclass(frozen=True, slots=True)
class Loom:
    """A loom. ``heddles``: how many hang on each shaft, shaft 1 first. ``waste_m``: warp it cannot weave.

    ``longest_reed_mm``: the longest reed that its beater takes, if the guild measured it.

    On a rigid heddle loom ``shafts`` are its heddles, and ``gauge_per_cm`` the holes and slots of one.

    ``front_waste_m``: the part of the waste between the knots at the front and the first pick.
    ``direct_tie_up``: treadle n moves shaft n for good; a pick presses several at once.
    ``longest_warp_m``: the longest warp that it holds: the way over the pegs of an inkle loom.
    ``pick_up_sticks``: sticks behind a rigid heddle, each of which raises some of the ends in slots.
    ``beam_around_mm``: around its bare warp beam, if the guild measured it. ``section_mm``: width of a
    section of a sectional beam; None: a plain beam. ``sections``: how many it has, if the guild counted them.
    ``beams``: its warp beams, each with a brake of its own.
    """

    key: str
    name: str
    kind: LoomKind
    shafts: int
    weaving_width_mm: float
    heddles: tuple[int, ...]
    waste_m: float
    treadles: int = 0
    longest_reed_mm: float | None = None
    gauge_per_cm: float | None = None
    beam_around_mm: float | None = None
    section_mm: float | None = None
    sections: int | None = None
    direct_tie_up: bool = False
    front_waste_m: float | None = None
    pick_up_sticks: int = 0
    longest_warp_m: float | None = None
    beams: int = 1
    notes: str = ""

    @property
    def free_treadles(self) -> int:
        """Treadles that can be tied to any shafts: none where each is tied to one shaft for good."""
        return 0 if self.direct_tie_up else self.treadles

    @property
    def is_rigid_heddle(self) -> bool:
        return self.kind == "rigid heddle"

    @property
    def has_open_ends(self) -> bool:
        """Whether some ends go through slots (rigid heddle) or stay open (inkle)."""
        return self.kind in ("rigid heddle", "inkle")

    @property
    def draft_shafts(self) -> int:
        """Shafts that a draft may use: ends in slots, or open, count as one more, and those that a pick-up
        stick raises as another."""
        return self.shafts + self.has_open_ends + self.pick_up_sticks

    @property
    def takes_reed_mm(self) -> float:
        """Longest reed that goes in; if unknown, weaving width and 2 in (common practice, no source)."""
        return self.weaving_width_mm + 50.8 if self.longest_reed_mm is None else self.longest_reed_mm


@dataclass(frozen=True, slots=True)
class Reed:
    key: str
    dents_per_cm: float
    width_mm: float
    own_name: str | None = None

    @property
    def name(self) -> str:
        return self.own_name or self.key


@dataclass(frozen=True, slots=True)
class Peg:
    """A peg of a board: its center, to the right and up from wherever the guild measures."""

    name: str
    x_mm: float = 0.0
    y_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Board:
    """A warping board, or a mill unrolled. Warps begin at ``start`` and cross between the ``cross`` pegs.

    ``mill``: what stands after the cross is one peg, drawn wherever it can go.
    """

    key: str
    name: str
    pegs: tuple[Peg, ...]
    start: str
    cross: tuple[str, str]
    mill: bool = False

    def peg(self, name: str) -> Peg:
        return next(peg for peg in self.pegs if peg.name == name)


@dataclass(frozen=True, slots=True)
class Stripe:
    """So many ends of one yarn side by side in the web, in heddles; or, with no ends, so many empty dents.

    ``sley``: its own ends in each dent in turn; without it, those of the warp.
    """

    yarn: str = ""
    ends: int = 0
    sley: tuple[int, ...] | None = None
    dents: int = 0


@dataclass(frozen=True, slots=True)
class WeftStripe:
    """So many picks of one yarn one after the other."""

    yarn: str
    picks: int


def _yarns_in(stripes: tuple[Stripe, ...] | tuple[WeftStripe, ...]) -> tuple[str, ...]:
    """The yarns of stripes in the order in which they first appear."""
    return tuple(dict.fromkeys(stripe.yarn for stripe in stripes if stripe.yarn))


@dataclass(frozen=True, slots=True)
class Band:
    """So much of a finished piece in one dye, along the warp; undyed where neither dye nor color is said."""

    length_m: float
    dye: str = ""
    color: tuple[int, int, int] | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """A piece of cloth on the warp, ``count`` times. Hem and fringe stand at each end of each piece.

    ``weft_stripes``: its picks by yarn, as a continuous repeat from its pick 1, whatever the draft's colors
    are; ``weft_yarns`` are then their yarns, as these first appear.
    ``painted``: bands of its warp, as lengths of the finished piece from its first pick.
    ``header_m``: woven in waste yarn before each piece, as measured on the loom. ``hem_draft``,
    ``hem_weft_yarns``, ``hem_picks_per_cm``, ``hem_weft_strands``: the hems' own; with none of them hems
    weave as the body does. ``weft_strands``: strands of weft together in each pick.
    ``twisted_fringe_m``: the fringe once it is twisted, which loses the share ``twist`` of its length;
    ``fringe_m`` is then what is left unwoven for it. ``sewn``: so many pieces are sewn side by side into one.
    """

    finished_length_m: float
    count: int = 1
    hem_m: float = 0.0
    fringe_m: float = 0.0
    draft: str | None = None
    weft_yarns: tuple[str, ...] | None = None
    picks_per_cm: float | None = None
    header_m: float = 0.0
    hem_draft: str | None = None
    hem_weft_yarns: tuple[str, ...] | None = None
    hem_picks_per_cm: float | None = None
    weft_stripes: tuple[WeftStripe, ...] = ()
    painted: tuple[Band, ...] = ()
    weft_strands: int | None = None
    hem_weft_strands: int | None = None
    twisted_fringe_m: float = 0.0
    twist: float = 0.15
    sewn: int = 1

    def __post_init__(self) -> None:
        if self.twisted_fringe_m:
            object.__setattr__(self, "fringe_m", self.twisted_fringe_m / (1 - self.twist))
        if self.weft_stripes:
            object.__setattr__(self, "weft_yarns", _yarns_in(self.weft_stripes))

    @property
    def has_own_hems(self) -> bool:
        """Whether anything of its hems is other than its body."""
        own = (self.hem_draft, self.hem_weft_yarns, self.hem_picks_per_cm, self.hem_weft_strands)
        return any(each is not None for each in own)


@dataclass(frozen=True, slots=True)
class Sample:
    """A woven length of the sample with a weft, draft or picks of its own; None: as the warp's."""

    length_m: float
    weft_yarns: tuple[str, ...] | None = None
    draft: str | None = None
    picks_per_cm: float | None = None
    weft_strands: int | None = None


@dataclass(frozen=True, slots=True)
class WoundFrom:
    """So many ends of a wound warp came from one cone, which need not be on the shelf any more."""

    cone: str
    ends: int


@dataclass(frozen=True, slots=True)
class WovenFrom:
    """So much weft came from one cone, woven until ``at``; None: until the cloth was cut off."""

    cone: str
    length_m: float
    at: date | None = None


# The keys of a warp that say what was done since it was wound.
DONE_SINCE_WOUND = (
    "wound_from",
    "wound_reed",
    "wound_sley",
    "woven_picks",
    "woven_at",
    "woven_from",
    "cut_early",
)


@dataclass(frozen=True, slots=True)
class WarpOrder:
    """What somebody wants on a loom. Shares are fractions; see docs/guild-file.md for each key.

    ``key`` never changes: records, facts and files refer to it. ``own_name``: what people call it; None: its
    key.

    ``stripes``: the ends in heddles by yarn, as a continuous repeat from end 1, whatever the draft's warp
    colors are; ``warp_yarns`` are then their yarns, as these first appear. ``weft_stripes`` and
    ``weft_yarns`` likewise for the picks of each piece.
    ``tied_to``: the old warp on the loom, or a dummy, whose ends the new ends are tied to; ``tied_waste_m``:
    warp of its own that cannot be woven then, in place of the loom's waste.
    ``sectional``: wound section by section onto the loom's sectional beam, not in bouts at a board.

    ``ends_per_heddle``: so many ends of yarn work as one, a working end; sett, stripes and every other count
    of ends are of working ends. ``selvedge_ends_per_heddle``: those of the selvedge ends, None: likewise.
    ``weft_strands``: strands of weft together in each pick. ``samples``: the sample in parts, one after
    another, each with its own weft; ``sample_m`` is then their length in all.

    ``double_cloth``: its two layers are joined at the last end, and open to double width, or at both edges,
    a tube; the finished width is that of the opened cloth, or of the tube as it lies flat. ``fold_left_out``:
    ends that the threading would have there and that are not wound. ``fold_sley``: ends in each dent from the
    fold inward. ``fringe_in_waste``: the first and the last fringe lie in the loom waste.

    ``second_yarns``: of the warp yarns, those whose ends are a second warp, with its own length and beam.
    ``second_kind`` is what its take-up and tension are where neither ``second_take_up``, nor ``second_cut_m``
    with ``second_woven_m`` (an end drawn out of that much cloth, and how long it is), nor ``second_tension``
    says it. ``second_weighted``: it hangs in weighted chains in place of a beam. See ``warp.second``.

    ``looms``: the looms that the event may choose from; until it does, ``loom`` is the first of them.
    ``hours``: of its jobs, in place of what pace says. ``value``: what is left out of the event first is
    worth least.
    """

    key: str
    loom: str
    draft: str
    warp_yarns: tuple[str, ...]
    weft_yarns: tuple[str, ...]
    finished_width_mm: float
    items: tuple[Item, ...]
    picks_per_cm: float
    sett_per_cm: float | None = None
    firmness: float | None = None
    repeat_ends: tuple[int, int] | None = None
    take_up: float = 0.10
    shrink_length: float = 0.08
    draw_in: float = 0.06
    shrink_width: float = 0.08
    weft_take_up: float = 0.05
    sample_m: float = 0.0
    selvedge_ends: int = 0
    selvedge_shafts: tuple[int, ...] | None = None
    floating_selvedges: bool = False
    layers: int = 1
    max_bout_ends: int = 120
    reserve: float = 0.03
    mix_lots: bool = False
    wound_length_m: float | None = None
    wound: date | None = None
    off: date | None = None
    reed: str | None = None
    sley: tuple[int, ...] | None = None
    wound_from: tuple[WoundFrom, ...] = ()
    woven_picks: int | None = None
    woven_at: date | None = None
    woven_from: tuple[WovenFrom, ...] = ()
    wound_reed: str | None = None
    wound_sley: tuple[int, ...] | None = None
    cut_early: bool = False
    stripes: tuple[Stripe, ...] = ()
    stripes_mirrored: bool = False
    weft_stripes: tuple[WeftStripe, ...] = ()
    sectional: bool = False
    tied_to: str | None = None
    tied_waste_m: float | None = None
    ends_per_heddle: int = 1
    selvedge_ends_per_heddle: int | None = None
    weft_strands: int = 1
    samples: tuple[Sample, ...] = ()
    double_cloth: DoubleCloth | None = None
    fold_left_out: int = 0
    fold_sley: tuple[int, ...] | None = None
    fringe_in_waste: bool = False
    second_yarns: tuple[str, ...] | None = None
    second_kind: SecondKind = "supplementary"
    second_take_up: float | None = None
    second_cut_m: float | None = None
    second_woven_m: float | None = None
    second_tension: Tension | None = None
    second_weighted: bool = False
    second_wound_length_m: float | None = None
    looms: tuple[str, ...] = ()
    hours: JobHours = NOT_SAID
    value: int = 1
    own_name: str | None = None
    notes: str = ""

    def __post_init__(self) -> None:
        if self.samples:
            object.__setattr__(self, "sample_m", sum(each.length_m for each in self.samples))
        if self.stripes:
            object.__setattr__(self, "warp_yarns", _yarns_in(self.stripes))
        if self.weft_stripes:
            object.__setattr__(self, "weft_yarns", _yarns_in(self.weft_stripes))

    @property
    def name(self) -> str:
        """What people call it."""
        return self.own_name or self.key

    @property
    def loom_is_open(self) -> bool:
        """Whether the event chooses its loom; until then it is planned on the first of them."""
        return len(self.looms) > 1 and self.wound is None and self.off is None

    @property
    def opens_to(self) -> int:
        """Widths of the web that the finished cloth is wide."""
        return 2 if self.double_cloth == "double width" else 1

    @property
    def set_reed(self) -> str | None:
        """The only reed it may have: the one that it sets, or the one that it was wound for."""
        return self.reed or (self.wound_reed if self.wound is not None else None)

    @property
    def set_sley(self) -> tuple[int, ...] | None:
        """The only sley it may have: the one that it sets, or in the reed it was wound for the one then."""
        if self.sley is not None or self.wound is None or self.set_reed != self.wound_reed:
            return self.sley
        return self.wound_sley

    @property
    def drafts(self) -> tuple[str, ...]:
        """The key of every draft that is woven on the warp, its own first, each once."""
        own = [key for item in self.items for key in (item.draft, item.hem_draft) if key is not None]
        own += [each.draft for each in self.samples if each.draft is not None]
        return tuple(dict.fromkeys((self.draft, *own)))

    @property
    def all_weft_yarns(self) -> tuple[str, ...]:
        """The key of every weft yarn, those of pieces and their hems too, each once."""
        own = [(*(item.weft_yarns or ()), *(item.hem_weft_yarns or ())) for item in self.items]
        own += [each.weft_yarns or () for each in self.samples]
        return tuple(dict.fromkeys((*self.weft_yarns, *(key for keys in own for key in keys))))


@dataclass(frozen=True, slots=True)
class Guild:
    """Everything a guild file says, in file order. ``rack``: cones or spools that its spool rack holds."""

    name: str = "Guild"
    units: System = "us"
    currency: str | None = None
    end_1: Side = "right"
    shaft_1: Literal["front", "back"] = "front"
    dressing: Dressing = "back to front"
    bobbin_g: float = 20.0
    rack: int | None = None
    yarns: tuple[Yarn, ...] = ()
    cones: tuple[Cone, ...] = ()
    looms: tuple[Loom, ...] = ()
    reeds: tuple[Reed, ...] = ()
    boards: tuple[Board, ...] = ()
    warps: tuple[WarpOrder, ...] = ()
    event: Event | None = None
    people: tuple[Person, ...] = ()
    pace: Pace = ANY_PACE
    shop: tuple[ShopCone, ...] = ()
    stands: tuple[Stand, ...] = ()
    classes: tuple[Lesson, ...] = ()
    packing: tuple[Packed, ...] = ()

    def yarn(self, key: str) -> Yarn:
        return next(yarn for yarn in self.yarns if yarn.key == key)

    def loom(self, key: str) -> Loom:
        return next(loom for loom in self.looms if loom.key == key)

    @property
    def names_of_yarns(self) -> dict[str, str]:
        """The names of the yarns by their keys."""
        return {yarn.key: yarn.name for yarn in self.yarns}

    def name_of_cone(self, key: str) -> str:
        """What a cone is called: its own name, or its yarn's with its number; of a cone that is gone its key.

        >>> gray = Yarn("gray", "Wool, stone gray", 125.0)
        >>> Guild(yarns=(gray,), cones=(Cone("gray-2", "gray", 300.0, 30.0),)).name_of_cone("gray-2")
        'Wool, stone gray #2'
        """
        cone = next((cone for cone in self.cones if cone.key == key), None)
        if cone is None:
            return key
        number = key.removeprefix(f"{cone.yarn}-")
        if cone.own_name is not None or number == key or not number.isdecimal():
            return cone.own_name or key
        return f"{self.yarn(cone.yarn).name} #{number}"

    def name_of_warp(self, key: str) -> str:
        """What a warp is called; of one that is gone its key."""
        return next((order.name for order in self.warps if order.key == key), key)
