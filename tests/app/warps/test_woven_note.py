"""A cone that is weighed while a warp is woven knows of the weft that is woven already."""

from __future__ import annotations

import pytest
from django.test import Client

from loomready.app.models import Record
from loomready.app.state.snapshot import open_room
from loomready.warp.result import YarnNeed
from tests.app.asking import form_of
from tests.app.progress.test_progress import report

pytestmark = pytest.mark.django_db
YARN, CONE = "wool-indigo", "wool-indigo-1"


def need() -> YarnNeed:
    planned = open_room().plan_of("scarves")
    assert planned is not None
    assert planned.plan is not None
    return next(each for each in planned.plan.yarns if each.yarn.key == YARN)


def weigh(client: Client, grams: float) -> None:
    address = f"/shelf/cone/{CONE}/weigh"
    client.post(address, form_of(client, address) | {"gross": f"{grams:.0f} g", "sure": "heavier"})


def test_weighing_while_weaving_neither_counts_twice_nor_stops_the_warp(weaver: Client) -> None:
    weaver.post("/warps/scarves/step", {"step": "tied on"})
    before = need()
    picks = report(weaver, "weaving", 1000, warp="scarves")
    assert picks > 1000
    weigh(weaver, 100.0)
    fields = Record.objects.get(kind="warps", key="scarves").fields
    assert fields["woven_picks"] == 1000
    after = need()
    assert 0 < after.wanted_m < before.wanted_m
    assert after.enough
    weighed = after.on_shelf_m
    version = Record.objects.get(kind="progress", key="scarves").version
    weaver.post("/warps/scarves/step", {"step": "cut off", "version": version})
    assert need().wanted_m == 0
    assert need().on_shelf_m == pytest.approx(weighed - after.wanted_m, abs=0.1)


def test_a_finished_cloth_took_its_weft_from_the_cones_of_its_plan_whatever_is_weighed_later(
    weaver: Client,
) -> None:
    weaver.post("/warps/scarves/step", {"step": "tied on"})
    version = Record.objects.get(kind="progress", key="scarves").version
    weaver.post("/warps/scarves/step", {"step": "cut off", "version": version})
    gave = {each["cone"] for each in Record.objects.get(kind="warps", key="scarves").fields["woven_from"]}
    assert CONE in gave
    others = {cone.key for cone in open_room().guild.cones if cone.yarn == YARN} - gave
    kept = {row: open_room().now.taken(_cones(row)) for row in others}
    weigh(weaver, 90.0)
    assert {row: open_room().now.taken(_cones(row)) for row in others} == kept
    assert open_room().now.taken(_cones(CONE)) == 0


def _cones(key: str):
    return tuple(cone for cone in open_room().guild.cones if cone.key == key)
