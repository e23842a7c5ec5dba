"""Everything a packet shows, as plain words and numbers: the templates only lay it out."""

from __future__ import annotations

from loomready.loomside.steps.words import some
from loomready.packet.dressing import dressing
from loomready.packet.finishing import finishing
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
from loomready.packet.tags import tag_pictures, tags
from loomready.packet.test_weave import test_weave
from loomready.packet.threading import threading
from loomready.packet.weaving import weaving
from loomready.packet.winding import winding
from loomready.packet.words import Data, Letters, cut_short
from loomready.warp.result import WarpPlan


def packet_data(plan: WarpPlan) -> Data:
    """The words and numbers of every sheet."""
    letters = Letters.of(plan)
    return {
        "frame": _frame(plan),
        "project": project(plan, letters),
        "winding": winding(plan, letters),
        "tags": tags(plan, letters),
        "dressing": dressing(plan),
        "threading": threading(plan, letters),
        "test_weave": test_weave(plan),
        "weaving": weaving(plan, letters),
        "finishing": finishing(plan, letters),
    }


def packet_pictures(plan: WarpPlan) -> tuple[Data, dict[str, str]]:
    """Where each picture goes and how large it is, and the pictures by name."""
    pictures = Pictures()
    cloth, draft, board = cloth_picture(plan), draft_picture(plan), board_picture(plan)
    placed: Data = {
        "strips": {sheet: pictures.add(f"strip-{sheet}.svg", svg) for sheet, svg in strips(plan).items()},
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
        "tags": [pictures.add(f"tag-{at}.svg", svg) for at, svg in enumerate(tag_pictures(plan), start=1)],
    }
    if board is not None:
        svg, height = board
        width_mm = min(BOARD_MM[0], BOARD_MM[1] / height)
        placed["board"] = {"name": pictures.add("board.svg", svg), "width_mm": round(width_mm, 2)}
    return placed, pictures.made


def _draft_says(plan: WarpPlan, ends: int, picks: int) -> str:
    if ends == plan.draft.ends and picks == plan.draft.picks:
        return f"The draft: {some(ends, 'end')}, {some(picks, 'pick')}."
    return (
        f"The draft's first {some(ends, 'end')} and {some(picks, 'pick')}, "
        f"of {some(plan.draft.ends, 'end')} and {some(plan.draft.picks, 'pick')}."
    )


def _frame(plan: WarpPlan) -> Data:
    guild = plan.guild
    return {
        "paper": "us-letter" if guild.units == "us" else "a4",
        "guild": cut_short(guild.name, 60),
        "warp": cut_short(plan.order.key, 44),
        "loom": cut_short(plan.loom.name, 44),
        "title": f"{cut_short(plan.order.key, 80)}: warp packet of {cut_short(guild.name, 80)}",
        "end_1": guild.end_1,
        "orientation": (
            f"End 1 at the {guild.end_1}, seen from where the weaver sits. Shaft 1 "
            f"{'in front, nearest the weaver' if guild.shaft_1 == 'front' else 'at the back'}."
        ),
        "end_mark": "end 1",
        "ends": f"{some(plan.web.ends, 'end')}",
        "boxes": "",
    }
