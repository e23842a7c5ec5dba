"""The sheet for the test weave: its picks, and the table by which a wrong end is read."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from loomready.cli.warps import with_warp
from loomready.loomside.steps.groups import groups
from loomready.loomside.steps.threading import shaft_of_end
from loomready.model.guild import LoomKind
from loomready.packet.options import LARGE, Options
from loomready.packet.packet import packet_pdf
from loomready.packet.test_weave import test_weave as sheet
from loomready.slips import job
from loomready.warp.plan import plan_guild
from tests.demo.examples import planned
from tests.packet import plans, reading

WALKED = (1, 3, 2, 4)  # the band's treadles, one for each pick of its twill


def test_every_shaft_has_a_row_of_its_own_that_says_how_its_ends_lie() -> None:
    made = sheet(plans.band())
    assert made is not None
    rows = {int(row["shaft"]): tuple(row["up"]) for row in made["rows"]}
    assert len(set(rows.values())) == len(rows)
    assert set(rows) == set(np.unique(shaft_of_end(plans.band())[shaft_of_end(plans.band()) > 0]).tolist())
    for number, pick in enumerate(made["picks"]):
        assert {int(up) for up in pick["up"] if up} == {shaft for shaft, up in rows.items() if up[number]}


def test_the_picks_on_paper_are_those_of_the_page() -> None:
    work = job.job(plans.band())
    assert work is not None
    text = reading.sheets(plans.printed(plans.band))["Test weave"]
    told = [reading.numbers(line) for line in text.splitlines() if re.fullmatch(r"[\d ]+", line.strip())]
    picks = work.picks(work.use_own)
    for number, (treadle, pick) in enumerate(zip(WALKED, picks, strict=True), start=1):
        assert [number, treadle, *pick] in told


@pytest.mark.parametrize("kind", ["jack", "counterbalance", "countermarche"])
def test_what_to_tie_names_the_shafts_that_sink_where_a_treadle_is_tied_to_them(kind: LoomKind) -> None:
    plan = planned("sewn-strips").warps[0]
    loom = replace(plan.loom, kind=kind)
    guild = replace(plan.guild, looms=(loom,))
    made = sheet(plan_guild(guild, {plan.order.draft: plan.draft}).warps[0])
    assert made is not None
    (said,) = map(str, made["to_tie"])
    assert said.endswith("shafts 1 and 4 rise." if kind == "jack" else "rise and shafts 2 and 3 sink.")


@pytest.mark.parametrize(("name", "large"), [("sectional-curtains", False), ("large-print-tea-towels", True)])
def test_its_letters_have_8_points_or_more(name: str, large: bool) -> None:
    pdf = packet_pdf(planned(name).warps[0], Options(large=large))
    (page,) = [page for page in reading.reader(pdf).pages if "Test weave ·" in page.extract_text()]
    assert reading.smallest_letters(page) >= 8 * (LARGE if large else 1)


def test_each_shaft_lifted_alone_is_on_the_sheet_of_eight_shafts_in_large_print() -> None:
    pdf = packet_pdf(planned("large-print-tea-towels").warps[0], Options(large=True))
    (page,) = reading.pages_with(pdf, "Test weave")
    assert "Each shaft lifted alone" in page


def test_it_is_one_page_with_room_to_write_and_says_what_mending_needs() -> None:
    pages = reading.pages_with(plans.printed(plans.band), "Test weave")
    assert len(pages) == 1
    for words in ("Looks different at ends", "reed hook", "Rust cotton", "should be on", "A dense line"):
        assert words in " ".join(pages[0].split())


def test_the_treadles_of_each_pick_stand_before_its_shafts() -> None:
    made = sheet(plans.band())
    assert made is not None
    assert [pick["treadles"] for pick in made["picks"]] == list(map(str, WALKED))
    assert not made["to_tie"]


def test_a_pick_that_no_treadle_makes_says_what_to_tie_for_it() -> None:
    pages = reading.pages_with(packet_pdf(planned("sewn-strips").warps[0]), "Test weave")
    text = " ".join(pages[0].split())
    assert (
        "For pick 3 tie treadle 3, which is free, so that shafts 1 and 4 rise and shafts 2 and 3 sink."
        in text
    )


def test_no_shaft_of_a_counterbalance_loom_is_lifted_alone() -> None:
    made = sheet(plans.band())
    assert made is not None
    assert not made["alone"]
    assert "alone" not in reading.sheets(plans.printed(plans.band))["Test weave"]


def test_the_sheet_of_a_tied_on_warp_names_no_threading_sheet() -> None:
    (napkins,) = (plan for plan in planned("tied-on-napkins").warps if plan.order.key == "napkins")
    text = " ".join(reading.pages_with(packet_pdf(napkins), "Test weave")[0].split())
    assert "the ends that rise are those threaded on it" in text
    assert "threading sheet" not in text
    assert "Ends 1–408, 12 at a time" in text
    assert "Group" not in text


def test_groups_say_which_of_their_ends_rise_with_each_shaft_alone() -> None:
    made, shafts = sheet(plans.curtain()), shaft_of_end(plans.curtain())
    assert made is not None
    told = {}
    for line in made["alone"]:
        for number in map(int, re.findall(r"\d+", str(line["groups"]))):
            told[number] = {int(each["shaft"]): each["ends"] for each in line["rising"]}
    for number, group in enumerate(groups(plans.curtain().web), start=1):
        on = shafts[group.first : group.stop].tolist()
        rising = {
            shaft: [place for place, each in enumerate(on, 1) if each == shaft] for shaft in on if shaft > 0
        }
        assert told.get(number, {}) == {shaft: " ".join(map(str, ends)) for shaft, ends in rising.items()}


def test_lifting_each_shaft_alone_is_on_the_sheet_where_the_page_has_room() -> None:
    plan = planned("painted-shawls").warps[0]
    text = " ".join(reading.sheets(packet_pdf(plan))["Test weave"].split())
    assert "the ends of the group that rise" in text
    assert re.search(r"1: 1 \d", text)


@pytest.mark.parametrize(("warp", "room"), [("scarves", True), ("towels", False), ("cushions", True)])
def test_the_sheets_of_the_demo_stay_one_page_and_use_the_room_they_have(warp: str, room: bool) -> None:
    loaded = with_warp(Path("demo/guild.toml"), warp)
    plan = plan_guild(loaded.guild, loaded.drafts, until=warp).warps[-1]
    pages = reading.pages_with(packet_pdf(plan), "Test weave")
    assert len(pages) == 1
    text = " ".join(pages[0].split())
    assert ("the ends of the group that rise" in text) == room
    assert "on the threading sheet" in text


def test_a_sheet_without_room_points_to_the_threading_sheet_and_gets_no_further_page() -> None:
    made = sheet(plans.curtain())
    assert made is not None
    assert made["alone"]
    pages = reading.pages_with(plans.printed(plans.curtain), "Test weave")
    assert len(pages) == 1
    assert "on the threading sheet" in " ".join(pages[0].split())
