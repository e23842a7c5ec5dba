"""The finishing sheet lists the cutting lines and what becomes of the pieces."""

from __future__ import annotations

from loomready.model.guild import Item
from loomready.packet.finishing import finishing
from loomready.packet.packet import packet_pdf
from loomready.packet.words import Letters
from tests.cast import order
from tests.packet.reading import pages
from tests.warp.test_cutting import planned


def test_cutting_lines_and_sewing_are_on_the_finishing_sheet() -> None:
    plan = planned(order(items=(Item(0.5, count=2, sewn=2, twisted_fringe_m=0.085), Item(0.3))))
    text = " ".join(" ".join(pages(packet_pdf(plan))).split())
    assert "Cutting and pieces" in text
    assert "Piece 1, 2 of 2" in text
    assert "leave 10 cm of fringe at each end; twisted, it is 8.5 cm long" in text
    assert "sew 2 side by side into one" in text


def test_one_piece_that_is_only_cut_off_needs_no_list() -> None:
    plan = planned(order())
    assert finishing(plan, Letters.of(plan))["cutting"] is None
