"""Finishing, the record of what was really used, and the usual cautions."""

from __future__ import annotations

from loomready.loomside.steps.cutting_told import cut_rows, cutting_told
from loomready.packet.options import USUAL, Options
from loomready.packet.record import record
from loomready.packet.words import Data, Letters
from loomready.phrases import phrase
from loomready.warp.result import WarpPlan

# Common practice, no source, unless the line says otherwise.
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

CAUTIONS = (
    phrase(
        "Keep fingers away from treadles, jacks, levers and the beater while somebody else is at the loom."
    ),
    phrase(
        "Never leave a dressed loom unattended near children: release the tension; lock or tie up "
        "parts that can fall or swing."
    ),
    phrase("Tie back hair, scarves and cords. Keep shears and threading hooks in a box, not on the beam."),
    phrase("Keep the floor clear around looms and warping boards; tape down cables."),
    phrase(
        "Take a break at least every half hour of beating and bending; change tasks after an hour "
        "and a half at most."
    ),
    phrase(
        "Two people to a loom when it is lifted. What one person may lift depends on reach, height "
        "and turn: the NIOSH lifting equation (NIOSH 94-110, rev. 2021) starts from 23 kg (51 lb) "
        "and only comes down; it is guidance, not law."
    ),
    phrase(
        "The venue's fire, electrical and access rules come first, and so do licensed people where "
        "they are needed."
    ),
)


def finishing(plan: WarpPlan, letters: Letters, options: Options = USUAL) -> Data:
    return {
        "steps": list(FINISHING),
        "cautions": list(CAUTIONS),
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
