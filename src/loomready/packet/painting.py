"""The sheet for painting or dip-dyeing a warp: every band from the knots on."""

from __future__ import annotations

from loomready.colors import hex_color
from loomready.loomside.steps import painting as steps
from loomready.packet.words import Data, cut_short
from loomready.phrases import phrase
from loomready.units import Shown
from loomready.warp.result import WarpPlan

# Common practice, no source; the maker's sheet and the rules of the place come first.
CAUTION = phrase(
    "Dyeing: wear gloves and keep pots and spoons for dye alone, never for food. Mix powders with a dust "
    "mask on and air moving, and cover the floor. Follow the data sheet of each dye and the rules of the "
    "place."
)
PICTURE = (700, 120)  # px; as wide as the text on the page


def painting(plan: WarpPlan) -> Data | None:
    """What the sheet shows; None for a warp that is not painted."""
    found, show = steps.stretches(plan), Shown(plan.guild.units)
    if not found:
        return None
    return {
        "from": steps.measured_from(plan),
        "dyes": steps.dyes_told(plan),
        "rows": [
            {
                "number": f"{number}",
                "from": show.piece(each.from_m),
                "to": show.piece(each.to_m),
                "length": show.piece(each.to_m - each.from_m),
                "dye": cut_short(steps.dye_of(each), 40),
                "color": hex_color(each.color) if each.color else "",
                "where": steps.where(plan, each),
            }
            for number, each in enumerate(found, 1)
        ],
        "steps": [
            phrase(
                "Wind and chain the warp as planned. Tag the end that will be tied on: all bands are "
                "measured from it."
            ),
            phrase(
                "Stretch the warp out straight, tie it off tightly at both ends of each band, and dye band "
                "by band."
            ),
            phrase(
                "Beam with even tension, so that no end slips along the others and the bands stay straight."
            ),
            CAUTION,
        ],
    }
