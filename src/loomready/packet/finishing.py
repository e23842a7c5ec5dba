"""Finishing, the record of what was really used, and the usual cautions."""

from __future__ import annotations

from loomready.loomside.steps.cutting_told import cut_rows, cutting_told
from loomready.loomside.steps.doubled_told import ends_told
from loomready.model.guild import Cone
from loomready.packet.words import Data, Letters, cut_short
from loomready.phrases import phrase
from loomready.units import Shown
from loomready.warp.result import WarpPlan
from loomready.yarn.taken import comes_off

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
    phrase("Hem, twist or knot the fringes after the first wash; trim what was mended last."),
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


def finishing(plan: WarpPlan, letters: Letters) -> Data:
    return {
        "steps": list(FINISHING),
        "cautions": list(CAUTIONS),
        "record": _record(plan, letters),
        "cutting": _cutting(plan),
    }


def _cutting(plan: WarpPlan) -> Data | None:
    """Cutting lines and what becomes of the pieces; None for one piece that is only cut off."""
    rows, told = cut_rows(plan), cutting_told(plan)
    if len(rows) < 2 and not told:
        return None
    return {
        "rows": [{"name": row.name, "between": row.between, "says": row.says} for row in rows],
        "told": told,
    }


def _before(plan: WarpPlan, cone: Cone) -> bool:
    """Whether the cone's weighing was made before the warp took anything."""
    return plan.order.wound is None or comes_off(plan.order.wound, cone.weighed)


def _record(plan: WarpPlan, letters: Letters) -> Data:
    show = Shown(plan.guild.units)
    off_loom_mm = plan.width_in_reed_mm * (1 - plan.order.draw_in)
    lines = [
        (phrase("Ends wound"), ends_told(plan)),
        (phrase("Warp length, as wound"), show.length(plan.warp_length_m)),
        (phrase("Width in the reed"), show.width(plan.width_in_reed_mm)),
        (phrase("Width at the fell"), show.width(off_loom_mm)),
        (
            phrase("Picks per inch") if show.us else phrase("Picks per cm"),
            show.ppi(plan.order.picks_per_cm),
        ),
        (phrase("Picks woven"), f"{plan.picks:,}"),
        (phrase("Length woven, tension off"), show.length(plan.lengths.woven_m + plan.order.sample_m)),
        (phrase("Width washed and dry"), show.width(plan.finished_width_mm)),
        (
            phrase("Length washed and dry, all pieces"),
            show.length(sum(item.finished_length_m * item.count for item in plan.order.items)),
        ),
        (phrase("Warp left over at the end"), show.length(plan.lengths.waste_m)),
    ]
    uses = [(need, use) for need in plan.yarns for use in need.uses if use.ends or use.weft_m]
    cones = {cone.key: cone for cone in plan.guild.cones}
    return {
        "lines": [{"what": what, "planned": planned} for what, planned in lines],
        "cones": [
            {
                "key": cut_short(use.cone, 24),
                **letters.chip(plan, need.yarn.key),
                "before": show.weight(cones[use.cone].gross_g) if _before(plan, cones[use.cone]) else "–",
                "after": show.weight(
                    max(
                        cones[use.cone].tare_g,
                        cones[use.cone].tare_g + use.expected_after_m / need.yarn.grist_m_per_g,
                    )
                ),
            }
            for need, use in uses
        ],
    }
