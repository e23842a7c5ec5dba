"""The signs of an event: a sheet for each stand, its name, its cloth, what a visitor may know and do."""

from __future__ import annotations

from dataclasses import dataclass

from loomready.event.plan_event import EventPlan
from loomready.model.event import Stand
from loomready.packet.options import USUAL
from loomready.packet.pictures import Pictures, cloth_of, in_svg
from loomready.packet.words import Data
from loomready.phrases import Phrase, joined, listed_with_and, phrase, some
from loomready.units import Shown
from loomready.warp.result import WarpPlan

CLOTH_PX = 1600


@dataclass(frozen=True, slots=True)
class SignPaper:
    """Millimeters. ``scale``: of letters, 1 on a whole sheet; ``cloth``: room for its picture."""

    width: float
    height: float
    scale: float
    cloth: tuple[float, float]


WHOLE = {
    "a4": SignPaper(210, 297, 1.0, (170, 110)),
    "us-letter": SignPaper(215.9, 279.4, 1.0, (175.9, 100)),
}
HALF = {
    "a4": SignPaper(148, 210, 0.68, (120, 75)),
    "us-letter": SignPaper(139.7, 215.9, 0.68, (112, 75)),
}


def signs(plan: EventPlan, pictures: Pictures, *, half: bool) -> Data | None:
    """A sign for each stand; None: there are none.

    :param pictures: takes the pictures of the cloths
    :param half: on half a sheet of the guild's paper
    """
    if not plan.guild.stands:
        return None
    paper = (HALF if half else WHOLE)[USUAL.paper_of(plan.guild)]
    return {
        "width": paper.width,
        "height": paper.height,
        "scale": paper.scale,
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
