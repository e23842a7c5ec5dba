"""The sheet for the test weave: its picks, and the table by which a wrong end is read."""

from __future__ import annotations

import re

import numpy as np

from loomready.loomside.steps.threading import shaft_of_end
from loomready.packet.packet import packet_pdf
from loomready.packet.test_weave import test_weave as sheet
from loomready.slips import job
from tests.packet import plans, reading


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
    text = reading.sheets(packet_pdf(plans.band()))["Test weave"]
    told = [reading.numbers(line) for line in text.splitlines() if re.fullmatch(r"[\d ]+", line.strip())]
    for number, pick in enumerate(work.picks(work.use_own), start=1):
        assert [number, *pick] in told


def test_it_is_one_page_with_room_to_write_and_says_what_mending_needs() -> None:
    pages = [text for text in reading.pages(packet_pdf(plans.band())) if "Test weave · page" in text]
    assert len(pages) == 1
    for words in ("Looks different at ends", "reed hook", "Rust cotton", "should be on", "A dense line"):
        assert words in " ".join(pages[0].split())
