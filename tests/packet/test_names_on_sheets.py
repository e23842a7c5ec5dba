"""Sheets and text call things by their names; JSON and files by their keys."""

from __future__ import annotations

from dataclasses import replace

from loomready.packet.packet import packet_pdf
from loomready.report.as_json import plan_as_json
from loomready.report.plan_text import tell_plan
from loomready.warp.plan import plan_guild
from tests import cast
from tests.packet import reading

ORDER = cast.order(own_name="Anna & Beth")
CONES = (cast.cone("fern-1"), replace(cast.cone("odd", cast.CHALK), own_name="Grandmother's chalk"))
REEDS = (replace(cast.REED, own_name="The old reed"),)
MADE = plan_guild(cast.guild(ORDER, cones=CONES, reeds=REEDS), cast.drafts())


def test_a_packet_names_warp_reed_yarns_and_cones() -> None:
    pdf = packet_pdf(MADE.warps[0])
    text = {name: " ".join(told.split()) for name, told in reading.sheets(pdf).items()}
    assert all("Anna & Beth" in page for page in reading.pages(pdf))
    assert "The old reed" in text["Sley and heddles"]
    assert "Fern green #1" in text["Winding"]
    assert "Grandmother's chalk" in text["Project"]


def test_the_plan_in_text_has_the_name_and_the_key_that_commands_take() -> None:
    told = tell_plan(MADE)
    assert "Anna & Beth (test) on Alder" in told
    assert "from Fern green #1" in told
    assert "reed The old reed" in told


def test_json_has_keys() -> None:
    (warp,) = plan_as_json(MADE)["warps"]
    assert (warp["key"], warp["reed"]["key"]) == ("test", "forty")
    assert {cone for bout in warp["bouts"] for cone, _ends in bout["cones"]} == {"fern-1"}
