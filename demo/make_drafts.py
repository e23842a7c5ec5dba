"""Write the demo guild's drafts. Each is made from a construction that any weaving handbook teaches.

    python demo/make_drafts.py            writes demo/drafts/*.wif anew

The files are kept in the repository so that the guild file works at once; a test sees that they are what
this script makes.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np

from loomready.colors import parse_color
from loomready.draft.draft import Draft, lift_plan, lifts_of
from loomready.draft.wif.writer import save

FOLDER = Path(__file__).parent / "drafts"

INDIGO, RUST, UNDYED = "#2f3f6b", "#a8492f", "#eae0cb"
WALNUT, GOLD = "#5d4130", "#d3a33c"
GREEN, CREAM, BLUE = "#4d6a52", "#f0e7d3", "#8fa9b8"


def along(start: int, count: int, shafts: int, step: int = 1) -> list[int]:
    """A straight run of ``count`` ends from shaft ``start``, round and round; ``step`` -1 runs down."""
    return [(start - 1 + step * place) % shafts + 1 for place in range(count)]


def treadled(
    threading: Sequence[int],
    tieup: Sequence[Sequence[int]],
    treadling: Sequence[int],
    warp: Iterable[int],
    weft: Iterable[int],
    palette: Sequence[str],
    title: str,
    notes: str,
) -> Draft:
    """A draft for treadles that lift: shafts tied to each treadle, one treadle a pick, all from 1."""
    shafts = max(threading)
    ties = np.zeros((shafts, len(tieup)), dtype=np.bool_)
    for treadle, tied in enumerate(tieup):
        ties[[shaft - 1 for shaft in tied], treadle] = True
    feet = np.zeros((len(treadling), len(tieup)), dtype=np.bool_)
    feet[np.arange(len(treadling)), np.asarray(treadling) - 1] = True
    return Draft(
        threading=np.asarray(threading, dtype=np.int16) - np.int16(1),
        lifts=lifts_of(ties, feet, rising=True),
        tieup=ties,
        treadling=feet,
        rising=True,
        palette=tuple(parse_color(color) for color in palette),
        warp_colors=np.fromiter(warp, dtype=np.int16),
        weft_colors=np.fromiter(weft, dtype=np.int16),
        title=title,
        notes=notes,
    )


def broken_twill() -> Draft:
    """2/2 twill whose line turns with a clean break: the run up stops on 4 and the run down starts on 2.

    Neighbors at a break are opposites, so no float grows there. 16 straight ends stand at each side.
    """
    left, right = along(1, 16, 4), along(4, 16, 4, -1)
    middle = [*along(1, 12, 4), *along(2, 12, 4, -1), *along(1, 4, 4), *along(2, 4, 4, -1)]
    border = [0] * 6 + [1] * 6 + [0] * 4
    colors = [*border, *([2] * 11 + [0] * 2 + [2] * 19), *reversed(border)]
    feet = middle
    return treadled(
        [*left, *middle, *right],
        [(1, 2), (2, 3), (3, 4), (4, 1), (1, 3), (2, 4)],
        feet,
        colors,
        [0] * len(feet),
        [INDIGO, RUST, UNDYED],
        "Broken twill with borders",
        "Ends 17 to 48 repeat. Heading: treadles 5 and 6 in turn; at each break two ends rise together.",
    )


# Two layers, each plain weave: dark ends on the odd shafts of a block, light ends on the even ones.
# Picks go dark, light, dark, light. Where dark lies on top, a light pick finds all dark ends lifted.
BLOCKS = {"A": (1, 2, 3, 4), "B": (5, 6, 7, 8)}


def layered(block: str, dark_on_top: bool) -> list[set[int]]:
    """The shafts of a block that the four picks lift."""
    dark_1, light_1, dark_2, light_2 = BLOCKS[block]
    dark, light = {dark_1, dark_2}, {light_1, light_2}
    if dark_on_top:
        return [{dark_1}, dark | {light_1}, {dark_2}, dark | {light_2}]
    return [light | {dark_1}, {light_1}, light | {dark_2}, {light_2}]


def double_weave() -> Draft:
    """Double weave of two blocks that change places: block A shows dark where block B shows light."""
    profile = "AAAABAABBABBBBABBAAB"
    tieup = []
    for top in "AB":
        for a, b in zip(layered("A", top == "A"), layered("B", top == "B"), strict=True):
            tieup.append(sorted(a | b))
    threading = [shaft for block in profile for shaft in BLOCKS[block]]
    feet = [treadle for block in profile for treadle in ((1, 2, 3, 4) if block == "A" else (5, 6, 7, 8))]
    return treadled(
        threading,
        tieup,
        feet,
        [0, 1] * (len(threading) // 2),
        [0, 1] * (len(feet) // 2),
        [WALNUT, GOLD],
        "Double weave, two blocks",
        "Two layers of plain weave that change places from block to block. One treadle a pick.",
    )


TWILL_16 = (3, 1, 1, 3, 1, 3, 3, 1)  # up, down, up, ...: the line of the twill, 16 picks round


def advancing(point: bool) -> list[int]:
    """Runs of five, each beginning one shaft further on, up to shaft 16; with ``point`` also back."""
    up = [start + place for start in range(1, 13) for place in range(5)]
    return (
        [*up, *up[-2:0:-1]]
        if point
        else [(start - 1 + place) % 16 + 1 for start in range(1, 17) for place in range(5)]
    )


def advancing_twill(drawn_in: bool) -> Draft:
    """Advancing twill on a point. Woven as drawn in: diamonds; woven straight on: waves.

    The draft ends on the one end more that balances the point.
    """
    threading = [*advancing(point=True), 1]
    line = [up for place, length in enumerate(TWILL_16) for up in [place % 2 == 0] * length]
    order = advancing(point=drawn_in)
    lifts = [[shaft for shaft in range(1, 17) if line[(shaft - pick) % 16]] for pick in order]
    kind = "diamonds" if drawn_in else "waves"
    return lift_plan(
        threading,
        lifts,
        shafts=16,
        warp_colors=[0] * len(threading),
        weft_colors=[1] * len(lifts),
        palette=(parse_color(GREEN), parse_color(CREAM if drawn_in else BLUE)),
        title=f"Advancing twill on sixteen, {kind}",
    )


def drafts() -> dict[str, Draft]:
    return {
        "broken-twill": broken_twill(),
        "double-weave": double_weave(),
        "advancing-diamonds": advancing_twill(drawn_in=True),
        "advancing-waves": advancing_twill(drawn_in=False),
    }


def main() -> int:
    FOLDER.mkdir(exist_ok=True)
    for name, draft in drafts().items():
        save(FOLDER / f"{name}.wif", draft)
        print(f"wrote {FOLDER / name}.wif")
    return 0


if __name__ == "__main__":
    sys.exit(main())
