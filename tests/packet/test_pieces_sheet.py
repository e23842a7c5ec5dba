"""The weaving sheet tells each piece step by step, hems with a weave of their own too."""

from __future__ import annotations

from loomready.packet.packet import packet_pdf
from loomready.packet.weaving import weaving
from loomready.packet.words import Letters
from tests.packet.reading import sheets
from tests.warp.test_pieces import TOWEL, planned


def test_the_sheet_lists_header_hems_body_and_cut_line_with_their_picks() -> None:
    plan = planned(TOWEL)
    data = weaving(plan, Letters.of(plan))
    (piece,) = data["order"]
    assert (piece["what"], piece["times"]) == ("Piece 1", "3 ×")
    assert [step["what"] for step in piece["steps"]] == ["Header", "Hem", "Body", "Hem", "Cut line"]
    assert [step["picks"] for step in piece["steps"]] == ["", "44", "522", "44", ""]
    wefts = [weft for each in data["lists"] for weft in each["wefts"]]
    assert [weft["label"] for weft in wefts] == ["Piece 1, 3 times", "Hems of piece 1"]
    assert "Hems of piece 1: begin at pick 1, 22 repeats of 2 picks" in wefts[1]["facts"]
    assert data["tieup"] is not None
    assert len(data["tieup"]["treadles"]) == 6


def test_hems_are_printed_with_their_own_picks() -> None:
    text = " ".join(sheets(packet_pdf(planned(TOWEL)))["Weaving"].split())
    assert "in waste yarn, cut away later" in text
    assert "130 repeats of 4 picks, then 2 picks" in text
    assert "Picks for hems of piece 1" in text
