"""Color-and-weave: dark and light threads in an order that the weave turns into a figure.

Constructions from memory of handbook practice; no source at hand.
"""

from __future__ import annotations

from math import lcm

from loomready.draft.draft import Draft
from loomready.draft.families.blocks import at_most, planned, profile, treadling
from loomready.draft.families.draft_making import DARK_COLOR, LIGHT_COLOR, by_sheds, treadled
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Blocks, ColorOrder, Ratio, WholeNumber, WordChoice
from loomready.draft.families.point import there_and_back
from loomready.draft.families.tieups import TIE_UP, settled, shafts_for_twill, twill_tieup
from loomready.phrases import listed_with_and, phrase, plural

_check = at_most(2, phrase("log cabin has lines in two directions"))


def log_cabin(profile: Blocks, treadling: Blocks | None, shafts: int, pairs: int) -> Draft:
    """Plain weave of dark and light in turn; from A to B two threads of one color meet, and the lines
    turn."""
    _check(profile)
    plan, _ = planned(profile, treadling, None, lambda blocks: blocks)

    def colors(blocks: list[int]) -> list[int]:
        return [(block + thread) % 2 for block in blocks for thread in range(2 * pairs)]

    warp = colors(list(plan.units))
    weft = colors([block for unit in plan.treadled for block in unit])
    tabby = (frozenset(range(0, shafts, 2)), frozenset(range(1, shafts, 2)))
    return by_sheds(
        [end % shafts for end in range(len(warp))],
        [tabby[pick % 2] for pick in range(len(weft))],
        shafts=shafts,
        title=plural(pairs, "Log cabin, {count} pair to a block", "Log cabin, {count} pairs to a block"),
        warp_colors=warp,
        weft_colors=weft,
    )


def colored_twill(shafts: int | None, tieup: Ratio | None, warp: Ratio, weft: Ratio | None) -> Draft:
    """A straight twill whose threads are dark and light in turn, as many of each as the orders say."""
    shafts = settled(shafts, tieup)
    tied, said = twill_tieup(shafts, tieup)
    weft = weft or warp
    ends, picks = (_in_order(order, lcm(sum(order), shafts)) for order in (warp, weft))
    orders = listed_with_and("/".join(map(str, order)) for order in dict.fromkeys((warp, weft)))
    return treadled(
        [end % shafts for end in range(len(ends))],
        tied,
        [pick % shafts for pick in range(len(picks))],
        title=phrase("Color-and-weave, twill {ratio}, colors {orders}", ratio=said, orders=orders),
        warp_colors=ends,
        weft_colors=picks,
    )


def _in_order(order: Ratio, threads: int) -> list[int]:
    once = [place % 2 for place, count in enumerate(order) for _ in range(count)]
    return once * (threads // len(once))


def houndstooth() -> Draft:
    """A 2/2 twill with four dark threads and four light, both ways."""
    run = list(range(4)) * 2
    colors = [DARK_COLOR] * 4 + [LIGHT_COLOR] * 4
    tied, _ = twill_tieup(4, (2, 2))
    return treadled(run, tied, run, title=phrase("Houndstooth"), warp_colors=colors, weft_colors=colors)


def shadow_weave(shafts: int, draw: str) -> Draft:
    """A dark twill line, with its light shadow half the shafts on after each dark end; treadled as drawn in.

    Each dark thread and its shadow are opposites, so pairs weave plain and floats of two draw the line.
    """
    half = shafts // 2
    line = there_and_back(shafts - 1, shafts) if draw == "point" else list(range(shafts))
    order = [(shaft + side) % shafts for shaft in line for side in (0, half)]
    tied, _ = twill_tieup(shafts, (half, half))
    colors = [DARK_COLOR, LIGHT_COLOR] * len(line)
    title = (
        phrase("Shadow weave, point draw on {shafts} shafts", shafts=shafts)
        if draw == "point"
        else phrase("Shadow weave, straight draw on {shafts} shafts", shafts=shafts)
    )
    return treadled(order, tied, order, title=title, warp_colors=colors, weft_colors=colors)


LOG_CABIN = Family(
    name="log-cabin",
    title=phrase("Log cabin"),
    group=phrase("color-and-weave"),
    says=phrase("plain weave of dark and light in turn: lines up in one block, lines across in the other"),
    build=log_cabin,
    own=(
        profile("AB"),
        treadling(),
        WholeNumber(
            name="shafts",
            meaning=phrase("shafts of the straight draw"),
            default="4",
            lowest=2,
            highest=40,
            even=True,
        ),
        WholeNumber(
            name="pairs", meaning=phrase("pairs of threads to a unit"), default="4", lowest=1, highest=50
        ),
    ),
    repeats=2,
)

COLORED_TWILL = Family(
    name="colored-twill",
    title=phrase("Colored twill"),
    group=phrase("color-and-weave"),
    least=3,
    says=phrase("a straight twill of dark and light threads in any order"),
    build=colored_twill,
    own=(
        shafts_for_twill(),
        TIE_UP,
        ColorOrder(name="warp", meaning=phrase("dark and light ends in turn"), default="2/2"),
        ColorOrder(
            name="weft", meaning=phrase("dark and light picks in turn"), unsaid=phrase("like the warp")
        ),
    ),
    repeats=4,
)

HOUNDSTOOTH = Family(
    name="houndstooth",
    title=phrase("Houndstooth"),
    group=phrase("color-and-weave"),
    says=phrase("2/2 twill with four dark threads and four light, both ways"),
    build=houndstooth,
    own=(),
    repeats=3,
)

SHADOW_WEAVE = Family(
    name="shadow-weave",
    title=phrase("Shadow weave"),
    group=phrase("color-and-weave"),
    says=phrase("a dark line and its light shadow, nearly plain weave"),
    build=shadow_weave,
    own=(
        WholeNumber(
            name="shafts",
            meaning=phrase("shafts of the line"),
            default="4",
            lowest=4,
            highest=40,
            even=True,
        ),
        WordChoice(
            name="draw",
            meaning=phrase("the line up and back, or one way"),
            default="point",
            choices=("point", "straight"),
        ),
    ),
    repeats=2,
)
