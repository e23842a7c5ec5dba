"""Finishing, the record of what was really used, and the usual cautions."""

from __future__ import annotations

from loomready.loomside.steps.cautions import for_the_room
from loomready.loomside.steps.cutting_told import cut_rows, cutting_told
from loomready.packet.options import USUAL, Options
from loomready.packet.record import record
from loomready.packet.words import Data, Letters
from loomready.phrases import phrase
from loomready.warp.result import WarpPlan

# Common practice, no source.
FINISHING = (
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
    phrase("Twist or knot the fringes before the first wash; hem after it. Trim what was mended last."),
    phrase(
        "Measure again when it is dry. The difference from the size on the loom is the shrinkage for "
        "the next plan."
    ),
)


def finishing(plan: WarpPlan, letters: Letters, options: Options = USUAL) -> Data:
    return {
        "steps": list(FINISHING),
        "cautions": list(for_the_room(plan.loom)),
        "record": record(plan, letters, options),
        "cutting": _cutting(plan),
    }


def _cutting(plan: WarpPlan) -> Data | None:
    """Cutting lines and what becomes of the pieces; None for pieces all alike that are only cut off."""
    rows, told = cut_rows(plan), cutting_told(plan)
    if len({str(row.says) for row in rows}) < 2 and not told:
        return None
    return {
        "rows": [{"name": row.name, "between": row.between, "says": row.says} for row in rows],
        "told": told,
    }
