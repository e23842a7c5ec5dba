"""The event's page shows the days: who is where, hour by hour, and what the classes need."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from django.test import Client

from loomready.app.event import clock
from loomready.app.event.day_page import now_of
from loomready.event.plan_event import EventPlan
from loomready.model.event import Opening
from loomready.packet.event_sheets import SHEETS
from loomready.report.rota_grid import rota_grids
from tests.app.asking import made_by
from tests.app.event.test_plan_page import tell, text_of, the_plan

pytestmark = pytest.mark.usefixtures("quick_plans")


def hours_in_grids(plan: EventPlan) -> timedelta:
    """What all grids show of people's time."""
    return sum(
        (
            (grid.rows[cell.row + cell.rows - 1][1] - grid.rows[cell.row][0]) * len(cell.people)
            for grid in rota_grids(plan)
            for _name, cells in grid.columns
            for cell in cells
        ),
        timedelta(),
    )


def test_the_grids_hold_every_turn_and_cover_each_column_once(keeper: Client) -> None:
    keeper.get("/event")
    plan = the_plan()
    assert hours_in_grids(plan) == sum((each.end - each.start for each in plan.day.turns), timedelta())
    for grid in rota_grids(plan):
        for _name, cells in grid.columns:
            assert [row for cell in cells for row in range(cell.row, cell.row + cell.rows)] == list(
                range(len(grid.rows))
            )


def test_the_page_has_a_row_for_each_stretch_and_a_column_for_each_place(keeper: Client) -> None:
    text, plan = text_of(keeper), the_plan()
    page = keeper.get("/event").content.decode()
    days = re.findall(r"<tbody>(.*?)</tbody>", page[page.index("panel rota") :], re.S)
    for grid, body in zip(rota_grids(plan), days, strict=False):
        assert body.count("<tr>") == len(grid.rows)
        assert body.count("<td") == sum(len(cells) for _name, cells in grid.columns)
    assert "Saturday, May 8" in text
    assert "Twist a cord" in text
    assert "cord hook" in text
    packed = text[text.index("To pack") :]
    assert all(f"{each.count} {each.thing}" in packed for each in plan.packing)


def test_on_the_day_the_page_says_who_is_where_now_and_next(
    keeper: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    tell(keeper)
    noon = datetime(2027, 5, 8, 12, 0)
    monkeypatch.setattr(clock, "now", lambda: noon)
    text, plan = text_of(keeper), the_plan()
    now, later = text[text.index(" Now ") : text.index(" Next ")], text[text.index(" Next ") :]
    today = [each for each in plan.day.turns if each.start.date() == noon.date()]
    names = {each.key: each.name for each in plan.guild.people}
    assert {names[each.person] for each in today if each.start <= noon < each.end} == {
        name for name in names.values() if name in now
    }
    assert all(names[each.person] in later for each in today if each.start > noon)
    monkeypatch.setattr(clock, "now", lambda: datetime(2027, 5, 8, 17, 0))
    assert " Now " not in text_of(keeper)


def test_between_two_openings_of_a_day_it_says_what_comes_next(keeper: Client) -> None:
    keeper.get("/event")
    plan, day = the_plan(), datetime(2027, 5, 8)
    twice = tuple(
        Opening(day.replace(hour=first), day.replace(hour=last)) for first, last in ((10, 12), (14, 16))
    )
    plan = replace(plan, event=replace(plan.event, days=twice))
    assert now_of(plan, day.replace(hour=13)) is not None
    assert now_of(plan, day.replace(hour=16)) is None


@pytest.mark.django_db(transaction=True)
def test_a_sheet_of_the_event_is_printed_from_its_page(keeper: Client) -> None:
    page = keeper.get("/event").content.decode()
    names = re.findall(r'action="/event/sheets/([\w-]+)"', page)
    assert sorted(names) == sorted(SHEETS)
    assert made_by(keeper, "/event/sheets/rota").startswith(b"%PDF")
    assert keeper.post("/event/sheets/nothing").status_code == 404
