"""The signs of an event: a sheet for each stand, its name, its cloth, what a visitor may know and do."""

from __future__ import annotations

from dataclasses import dataclass

from loomready.event.plan_event import EventPlan
from loomready.model.event import Stand
from loomready.packet.options import PAPER_MM, USUAL
from loomready.packet.pictures import Pictures, cloth_of, in_svg
from loomready.packet.words import Data
from loomready.phrases import Phrase, joined, listed_with_and, phrase, some
from loomready.units import Shown
from loomready.warp.result import WarpPlan

CLOTH_PX = 1600
MARGIN, CLOTH_SHARE = 20.0, 0.36  # mm of a whole sheet; of its height
HALF_SCALE = 0.68  # of letters and margins on half a sheet


@dataclass(frozen=True, slots=True)
class SignPaper:
    """Millimeters. ``scale``: of letters and margins, 1 on a whole sheet."""

    width: float
    height: float
    scale: float

    @property
    def cloth(self) -> tuple[float, float]:
        """Room for the picture of a cloth: width and height."""
        return self.width - 2 * MARGIN * self.scale, self.height * CLOTH_SHARE


def paper_of(plan: EventPlan, *, half: bool) -> SignPaper:
    width, height = PAPER_MM[USUAL.paper_of(plan.guild)]
    return SignPaper(height / 2, width, HALF_SCALE) if half else SignPaper(width, height, 1.0)


def signs(plan: EventPlan, pictures: Pictures, *, half: bool) -> Data | None:
    """A sign for each stand; None: there are none.

    :param pictures: takes the pictures of the cloths
    :param half: on half a sheet of the guild's paper
    """
    if not plan.guild.stands:
        return None
    paper = paper_of(plan, half=half)
    return {
        "width": paper.width,
        "height": paper.height,
        "scale": paper.scale,
        "margin": MARGIN * paper.scale,
        "signs": [_sign(plan, each, paper, pictures) for each in plan.guild.stands],
    }


def _sign(plan: EventPlan, stand: Stand, paper: SignPaper, pictures: Pictures) -> Data:
    warp = plan.allotment.plans.get(stand.warp or "")
    made: Data = {
        "name": stand.name,
        "title": (warp.draft.title or "") if warp else "",
        "text": _paragraphs(stand, warp),
        "touch": "" if stand.touch is None else _touch(may=stand.touch),
        "may": bool(stand.touch),
        "cloth": None,
    }
    if warp is not None:
        cloth = cloth_of(warp, paper.cloth, CLOTH_PX)
        made["cloth"] = {
            "name": pictures.add(f"cloth-{stand.key}.svg", in_svg(cloth)),
            "width_mm": round(cloth.width_mm, 3),
            "height_mm": round(cloth.height_mm, 3),
        }
    return made


def _touch(*, may: bool) -> Phrase:
    return phrase("Please touch") if may else phrase("Please do not touch")


def _paragraphs(stand: Stand, warp: WarpPlan | None) -> list[str]:
    if stand.sign is not None:
        return [line for line in stand.sign.split("\n") if line.strip()]
    return [] if warp is None else [facts_told(warp)]


def facts_told(plan: WarpPlan) -> Phrase:
    """What a visitor may want to know of a cloth, in a few sentences."""
    show, web = Shown(plan.guild.units), plan.web
    names = plan.guild.names_of_yarns
    warp = listed_with_and(names[need.yarn.key] for need in plan.yarns if need.warp_m)
    weft = listed_with_and(names[need.yarn.key] for need in plan.yarns if need.weft_m)
    return joined(
        " ",
        (
            phrase(
                "{ends} lie side by side, {close}; {shafts} raise and lower them.",
                ends=some(web.every_end, "thread"),
                close=show.close(plan.sett_per_cm),
                shafts=some(plan.analysis.shafts_used, "shaft"),
            ),
            phrase("Once washed, the cloth is {width} wide.", width=show.width(plan.finished_width_mm)),
            phrase("Warp: {warp}. Weft: {weft}.", warp=warp, weft=weft),
        ),
    )
