"""The event's page shows the days: who is where, hour by hour, and what the classes need."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.test import Client

from loomready.event.plan_event import EventPlan
from loomready.report.rota_grid import rota_grids
from tests.app.asking import made_by
from tests.app.event.test_plan_page import text_of, the_plan

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


@pytest.mark.django_db(transaction=True)
def test_a_sheet_of_the_event_is_printed_from_its_page(keeper: Client) -> None:
    page = keeper.get("/event").content.decode()
    names = re.findall(r'action="/event/sheets/([\w-]+)"', page)
    assert names == ["wall-chart", "wall-chart-pages", "people", "rota", "kits", "packing"]
    assert made_by(keeper, "/event/sheets/rota").startswith(b"%PDF")
    assert keeper.post("/event/sheets/nothing").status_code == 404
