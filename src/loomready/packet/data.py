"""Everything a packet shows, as plain words and numbers: the templates only lay it out."""

from __future__ import annotations

from loomready.loomside.steps.painting import picture as painted_picture
from loomready.loomside.steps.tying_in import left_out
from loomready.loomside.steps.words import span
from loomready.packet.dressing import dressing
from loomready.packet.finishing import finishing
from loomready.packet.inkle import inkle
from loomready.packet.options import SMALL, USUAL, Options
from loomready.packet.painting import PICTURE, painting
from loomready.packet.pictures import (
    BOARD_MM,
    Pictures,
    board_picture,
    cloth_picture,
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
from loomready.packet.whole_draft import Part, whole_draft
from loomready.packet.winding import winding
from loomready.packet.words import Data, Letters, cut_short
from loomready.phrases import ENGLISH, Catalog, Phrase, phrase, some, word
from loomready.warp.result import WarpPlan


def packet_data(plan: WarpPlan, options: Options = USUAL) -> Data:
    """The words and numbers of every sheet."""
    letters = Letters.of(plan)
    return {
        "frame": frame(plan, options),
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
        "weaving": weaving(plan, letters, options),
        "finishing": finishing(plan, letters, options),
    }


def _left_out(plan: WarpPlan) -> list[str]:
    """Sheets that nobody needs: for threading, and for sley and heddles, where a tied-on warp keeps both."""
    jobs = left_out(plan)
    return [
        *(["threading"] if "threading" in jobs else []),
        *(["dressing"] if {"threading", "sleying"} <= jobs else []),
    ]


def packet_pictures(
    plan: WarpPlan, catalog: Catalog = ENGLISH, options: Options = USUAL
) -> tuple[Data, dict[str, str]]:
    """Where each picture goes and how large it is, and the pictures by name.

    :param catalog: for the words in the pictures; words beside them stay phrases
    :param options: which paper they stand on
    """
    pictures = Pictures()
    cloth, board = cloth_picture(plan), board_picture(plan)
    placed: Data = {
        "strips": {
            sheet: pictures.add(f"strip-{sheet}.svg", svg)
            for sheet, svg in strips(plan, catalog, options.scale).items()
        },
        "cloth": {
            "name": pictures.add("cloth.svg", in_svg(cloth)),
            "width_mm": round(cloth.width_mm, 3),
            "height_mm": round(cloth.height_mm, 3),
        },
        "draft": _draft(plan, pictures, options, catalog),
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


def _draft(plan: WarpPlan, pictures: Pictures, options: Options, catalog: Catalog) -> Data:
    room = options.room_mm(plan.guild)
    made = whole_draft(plan, room, catalog)
    parts = made.parts
    return {
        "says": made.says,
        "narrow": len(parts) == 1 and parts[0].width_mm < room[0] / 2,
        "parts": [
            {
                "name": pictures.add(f"draft-{number}.svg", part.svg),
                "width_mm": round(part.width_mm, 2),
                "least": part.least,
                "most": part.most,
                "turned": part.turned,
                "says": _part_says(part, number) if len(parts) > 1 else "",
            }
            for number, part in enumerate(parts, start=1)
        ],
        "map": None
        if made.map is None
        else {
            "name": pictures.add("draft-map.svg", made.map.svg),
            "width_mm": round(made.map.width_mm, 2),
            "height_mm": round(made.map.height_mm, 2),
            "parts": [[round(100 * share, 4) for share in each] for each in made.map.parts],
            "says": phrase(
                "The whole draft, small. Thread by thread it would take {parts}: too many to print here.",
                parts=some(made.left_out, "page"),
            )
            if made.left_out
            else phrase("The whole draft, small, with the parts that follow."),
        },
    }


def _part_says(part: Part, number: int) -> Phrase:
    return phrase(
        "Part {number}: ends {ends}, picks {picks}",
        number=number,
        ends=span(*part.ends),
        picks=span(*part.picks),
    )


def frame(plan: WarpPlan, options: Options) -> Data:
    guild = plan.guild
    return {
        "paper": options.paper_of(guild),
        "scale": options.scale,
        "small": SMALL,
        "sheets": list(options.sheets),
        "guild": cut_short(guild.name, 60),
        "warp": cut_short(plan.order.name, 44),
        "loom": cut_short(plan.loom.name, 44),
        "title": phrase(
            "{warp}: warp packet of {guild}",
            warp=cut_short(plan.order.name, 80),
            guild=cut_short(guild.name, 80),
        ),
        "end_1": guild.end_1,
        "orientation": _orientation(plan),
        "winding_orientation": _winding_orientation(plan),
        "end_mark": phrase("end {end}", end=1),
        "ends": some(plan.web.ends, "end"),
        "boxes": "",
    }


def _orientation(plan: WarpPlan) -> Phrase:
    """Where the first end lies, and the first shaft of a loom that has shafts."""
    side = word(plan.guild.end_1)
    if plan.loom.has_open_ends:
        return phrase("End 1 at the {side}, seen from where the weaver sits.", side=side)
    if plan.guild.shaft_1 == "front":
        return phrase(
            "End 1 at the {side}, seen from where the weaver sits. Shaft 1 in front, nearest the weaver.",
            side=side,
        )
    return phrase("End 1 at the {side}, seen from where the weaver sits. Shaft 1 at the back.", side=side)


def _winding_orientation(plan: WarpPlan) -> Phrase:
    """Likewise over the winding sheet, which shows two warps one beside the other."""
    if plan.second is None:
        return _orientation(plan)
    return phrase(
        "End 1 at the {side}, seen from where the weaver sits. Not as in the web, but as wound: the first "
        "warp, then the second.",
        side=word(plan.guild.end_1),
    )
