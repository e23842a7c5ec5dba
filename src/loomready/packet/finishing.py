"""Finishing, the record of what was really used, and the usual cautions."""

from __future__ import annotations

from loomready.loomside.steps.cautions import for_the_room
from loomready.loomside.steps.cutting_told import cut_rows, cutting_told
from loomready.packet.options import USUAL, Options
from loomready.packet.record import record
from loomready.packet.words import Data, Letters
from loomready.phrases import Phrase, phrase
from loomready.warp.result import WarpPlan

# Common practice, no source.
UNTIL_WASHED = (
    phrase(
        "On the loom, before the tension is taken off, secure the first and last picks of every "
        "piece: hemstitch, twine, or weave a few picks of scrap yarn."
    ),
    phrase("Cut off and measure the relaxed cloth on a table: write width and length in the record."),
    phrase("Check both faces against a light: mend skips and broken ends now, before the water sets them."),
    phrase(
        "Wash a sample first if there is one. Then wash as the most delicate yarn in the cloth "
        "requires, no hotter; wool and silk cool and without rubbing. Dry flat or hung, press while "
        "damp if the yarn allows it."
    ),
)
LAST = phrase(
    "Measure again when it is dry. The difference from the size on the loom is the shrinkage for the "
    "next plan."
)


def finishing(plan: WarpPlan, letters: Letters, options: Options = USUAL) -> Data:
    return {
        "steps": [*UNTIL_WASHED, _edges(plan), LAST],
        "cautions": list(for_the_room(plan.loom)),
        "record": record(plan, letters, options),
        "cutting": _cutting(plan),
    }


def _edges(plan: WarpPlan) -> Phrase:
    """Fringes and hems, as far as the pieces have them."""
    fringes = any(item.fringe_m for item in plan.order.items)
    hems = any(item.hem_m for item in plan.order.items)
    if fringes and hems:
        return phrase(
            "Twist or knot the fringes before the first wash; hem after it. Trim what was mended last."
        )
    if fringes:
        return phrase("Twist or knot the fringes before the first wash. Trim what was mended last.")
    if hems:
        return phrase("Hem after the first wash. Trim what was mended last.")
    return phrase("Trim what was mended last.")


def _cutting(plan: WarpPlan) -> Data | None:
    """Cutting lines and what becomes of the pieces; None for pieces all alike that are only cut off."""
    rows, told = cut_rows(plan), cutting_told(plan)
    if len({str(row.says) for row in rows}) < 2 and not told:
        return None
    return {
        "rows": [{"name": row.name, "between": row.between, "says": row.says} for row in rows],
        "told": told,
    }
