"""The sheets of a warp with doubled ends say what is wound, threaded and woven as one."""

from __future__ import annotations

from dataclasses import replace

from loomready.packet.packet import packet_pdf
from tests.cast import order
from tests.packet.reading import sheets
from tests.warp.test_doubled_ends import planned


def test_each_sheet_says_what_works_as_one() -> None:
    asked = order(ends_per_heddle=2, weft_strands=2, selvedge_ends=4, selvedge_ends_per_heddle=3)
    plan = planned(replace(asked, finished_width_mm=150.0))
    read = {name: " ".join(text.split()) for name, text in sheets(packet_pdf(plan)).items()}
    assert "Wind 2 ends as one" in read["Winding"]
    assert "wind 3 ends as one" in read["Winding"]
    for sheet in ("Sley and heddles", "Threading"):
        assert "2 ends of yarn in each heddle" in read[sheet]
    assert "2 strands of weft together in each pick" in read["Weaving"]
    assert f"{plan.web.every_end} ends of yarn" in read["Project"]
    both = f"{plan.web.ends} working ends, {plan.web.every_end} ends of yarn"
    assert f"All bouts {plan.web.ends} {both}: " in read["Winding"]
    for bout in plan.bouts:
        assert (
            f"{bout.ends} working ends, {bout.every_end} ends of yarn: {bout.first_end}–"
            in read["Chain tags"]
        )
