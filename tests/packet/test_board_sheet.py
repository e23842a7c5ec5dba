"""The winding sheet shows the way over the guild's board, to scale, and says what it gives."""

from __future__ import annotations

from dataclasses import replace

from loomready.loomside.board.layouts import frame
from loomready.model.guild import Item
from loomready.packet.data import packet_data, packet_pictures
from loomready.packet.packet import packet_pdf
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan

from . import plans, reading


def on_a_board(wound_m: float | None = None) -> WarpPlan:
    order = replace(plans.BAND.warps[0], items=(Item(3.0),), wound_length_m=wound_m)
    boards = (frame("wall", "Wall board", 900, 1000, 5),)
    return plan_guild(replace(plans.BAND, boards=boards, warps=(order,)), {"d": plans.TWILL}).warps[0]


def test_the_winding_sheet_names_the_pegs_in_order() -> None:
    text = " ".join(reading.sheets(packet_pdf(on_a_board()))["Winding"].split())
    assert "Over Wall board" in text
    assert "Start at start, cross between cross-1 and cross-2, then" in text
    assert "This path gives" in text


def test_a_warp_without_a_board_has_no_drawing() -> None:
    assert packet_data(plans.band())["winding"]["board"] is None
    assert "board" not in packet_pictures(plans.band())[0]


def test_a_warp_that_was_wound_another_way_shows_no_path() -> None:
    assert packet_data(on_a_board(wound_m=3.9123))["winding"]["board"] is None
