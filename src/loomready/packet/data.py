"""Everything a packet shows, as plain words and numbers: the templates only lay it out."""

from __future__ import annotations

from loomready.loomside.steps.painting import picture as painted_picture
from loomready.loomside.steps.tying_in import left_out
from loomready.packet.dressing import dressing
from loomready.packet.finishing import finishing
from loomready.packet.inkle import inkle
from loomready.packet.painting import PICTURE, painting
from loomready.packet.pictures import (
    BOARD_MM,
    Pictures,
    board_picture,
    cloth_picture,
    draft_picture,
    in_svg,
    strips,
)
from loomready.packet.project import project
from loomready.packet.sections import sections
from loomready.packet.tags import tag_pictures, tags
from loomready.packet.test_weave import test_weave
from loomready.packet.threading import threading
from loomready.packet.tying_in import tying_in
from loomready.packet.weaving import weaving
from loomready.packet.winding import winding
from loomready.packet.words import Data, Letters, cut_short
from loomready.phrases import ENGLISH, Catalog, Phrase, phrase, some, word
from loomready.warp.result import WarpPlan


def packet_data(plan: WarpPlan) -> Data:
    """The words and numbers of every sheet."""
    letters = Letters.of(plan)
    return {
        "frame": _frame(plan),
        "project": project(plan, letters),
        "winding": winding(plan, letters),
        "inkle": inkle(plan, letters),
        "sections": sections(plan, letters),
        "painting": painting(plan),
        "tying_in": tying_in(plan, letters),
        "left_out": _left_out(plan),
        "tags": tags(plan, letters),
        "dressing": dressing(plan),
        "threading": threading(plan, letters),
        "test_weave": test_weave(plan),
        "weaving": weaving(plan, letters),
        "finishing": finishing(plan, letters),
    }


def _left_out(plan: WarpPlan) -> list[str]:
    """Sheets that nobody needs: for threading, and for sley and heddles, where a tied-on warp keeps both."""
    jobs = left_out(plan)
    return [
        *(["threading"] if "threading" in jobs else []),
        *(["dressing"] if {"threading", "sleying"} <= jobs else []),
    ]


def packet_pictures(plan: WarpPlan, catalog: Catalog = ENGLISH) -> tuple[Data, dict[str, str]]:
    """Where each picture goes and how large it is, and the pictures by name.

    :param catalog: for the words in the pictures; words beside them stay phrases
    """
    pictures = Pictures()
    cloth, draft, board = cloth_picture(plan), draft_picture(plan, catalog), board_picture(plan)
    placed: Data = {
        "strips": {
            sheet: pictures.add(f"strip-{sheet}.svg", svg) for sheet, svg in strips(plan, catalog).items()
        },
        "cloth": {
            "name": pictures.add("cloth.svg", in_svg(cloth)),
            "width_mm": round(cloth.width_mm, 3),
            "height_mm": round(cloth.height_mm, 3),
        },
        "draft": {
            "name": pictures.add("draft.svg", draft.svg),
            "width_mm": round(draft.width_mm, 2),
            "narrow": draft.narrow,
            "says": _draft_says(plan, draft.ends, draft.picks),
        },
        "tags": [
            pictures.add(f"tag-{at}.svg", svg) for at, svg in enumerate(tag_pictures(plan, catalog), start=1)
        ],
    }
    bands = painted_picture(plan, *PICTURE, catalog)
    if bands:
        placed["painted"] = pictures.add("painted.svg", bands)
    if board is not None:
        svg, height = board
        width_mm = min(BOARD_MM[0], BOARD_MM[1] / height)
        placed["board"] = {"name": pictures.add("board.svg", svg), "width_mm": round(width_mm, 2)}
    return placed, pictures.made


def _draft_says(plan: WarpPlan, ends: int, picks: int) -> Phrase:
    if ends == plan.draft.ends and picks == plan.draft.picks:
        return phrase("The draft: {ends}, {picks}.", ends=some(ends, "end"), picks=some(picks, "pick"))
    return phrase(
        "The draft's first {ends} and {picks}, of {all_ends} and {all_picks}.",
        ends=some(ends, "end"),
        picks=some(picks, "pick"),
        all_ends=some(plan.draft.ends, "end"),
        all_picks=some(plan.draft.picks, "pick"),
    )


def _frame(plan: WarpPlan) -> Data:
    guild = plan.guild
    return {
        "paper": "us-letter" if guild.units == "us" else "a4",
        "guild": cut_short(guild.name, 60),
        "warp": cut_short(plan.order.key, 44),
        "loom": cut_short(plan.loom.name, 44),
        "title": phrase(
            "{warp}: warp packet of {guild}",
            warp=cut_short(plan.order.key, 80),
            guild=cut_short(guild.name, 80),
        ),
        "end_1": guild.end_1,
        "orientation": phrase(
            "End 1 at the {side}, seen from where the weaver sits. Shaft 1 in front, nearest the weaver.",
            side=word(guild.end_1),
        )
        if guild.shaft_1 == "front"
        else phrase(
            "End 1 at the {side}, seen from where the weaver sits. Shaft 1 at the back.",
            side=word(guild.end_1),
        ),
        "end_mark": phrase("end {end}", end=1),
        "ends": some(plan.web.ends, "end"),
        "boxes": "",
    }
