"""The sheets of a warp of double width: how it opens, its fold, the tabby of each layer."""

from __future__ import annotations

from loomready.packet.packet import packet_pdf
from tests.packet.reading import sheets
from tests.warp.test_double_cloth import asked, planned


def test_weaving_and_sleying_say_what_is_done_at_the_fold_and_in_each_layer() -> None:
    plan = planned(asked(fold_sley=(1, 1), reed="forty", finished_width_mm=300.0))
    read = {name: " ".join(text.split()) for name, text in sheets(packet_pdf(plan)).items()}
    assert "in the reed opens to" in read["Weaving"]
    assert "Upper layer: shafts 1 3; its tabby lifts 1, then 3." in read["Weaving"]
    assert (
        "At the fold, sley the outermost 2 dents 1 per dent, counted from the edge."
        in read["Sley and heddles"]
    )
    assert "Opened width" in read["Project"]
