"""A warp that is ticked as wound keeps which cones gave its ends, and they can be corrected."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.warp.result import WarpPlan

pytestmark = pytest.mark.django_db


def warp(key: str = "towels") -> Record:
    return Record.objects.get(kind="warps", key=key)


def plan() -> WarpPlan:
    planned = current_snapshot().plan_of("towels")
    assert planned is not None
    assert planned.plan is not None
    return planned.plan


def on_shelf(key: str) -> float:
    return next(need.on_shelf_m for need in plan().yarns if need.yarn.key == key)


def wound(client: Client) -> dict[str, int]:
    client.post("/warps/towels/step", {"step": "wound"})
    return {each["cone"]: each["ends"] for each in warp().fields["wound_from"]}


def test_ticking_wound_keeps_the_cones_of_the_plan_and_unticking_forgets_them(weaver: Client) -> None:
    before = plan()
    ends = wound(weaver)
    assert sum(ends.values()) == before.web.ends
    assert set(ends) == {cone for bout in before.bouts for cone, _ in bout.cones}
    page = weaver.get("/warps/towels").content.decode()
    assert "progress of warp towels: wound" in page  # one line for one act
    back = {"step": "planned", "version": Record.objects.get(kind="progress", key="towels").version}
    weaver.post("/warps/towels/step", back)
    assert "wound_from" not in warp().fields


def test_another_cone_can_be_named_and_the_yarn_comes_off_that_one(weaver: Client) -> None:
    ends = wound(weaver)
    cone = max(ends, key=lambda key: ends[key])
    yarn = next(each.yarn for each in current_snapshot().guild.cones if each.key == cone)
    page = weaver.get("/warps/towels").content.decode()
    shown = dict(re.findall(r'name="ends-([\w-]+)"[^>]*value="(\d+)"', page))
    assert {key: int(text) for key, text in shown.items() if text != "0"} == ends
    posted = {f"ends-{key}": text for key, text in shown.items()} | {f"ends-{cone}": str(ends[cone] - 10)}
    before = on_shelf(yarn)
    version = str(warp().version)
    assert weaver.post("/warps/towels/wound-from", posted | {"version": version}).status_code == 302
    assert on_shelf(yarn) == pytest.approx(before + 10 * plan().warp_length_m)
    assert "no longer on the shelf" in weaver.get("/warps/towels").content.decode()
    stale = weaver.post("/warps/towels/wound-from", posted | {"version": version})
    assert stale.status_code == 409


@pytest.mark.parametrize("text", ["ten", "-3", "99999"])
def test_a_wrong_number_of_ends_is_refused_with_a_word(weaver: Client, text: str) -> None:
    cone = next(iter(wound(weaver)))
    posted = {f"ends-{cone}": text, "version": str(warp().version)}
    answer = weaver.post("/warps/towels/wound-from", posted)
    assert answer.status_code == 422
    assert re.search("whole number of ends|the warp has", answer.content.decode())


def test_a_cone_weighed_after_winding_and_before_the_tick_can_say_so(weaver: Client) -> None:
    """The scale at ten, the tick at eleven: taken off twice until you say that winding came first."""
    ends = wound(weaver)
    key = max(ends, key=lambda each: ends[each])
    cone = Record.objects.get(kind="cones", key=key)
    yarn = cone.fields["yarn"]
    made = dict(cone.fields) | {"weighed": "2026-09-20T10:00:00"}
    store.write("cones", key, made, version=cone.version, who="test")
    made = dict(warp().fields) | {"wound": "2026-09-20T11:00:00"}
    store.write("warps", "towels", made, version=warp().version, who="test")
    page = weaver.get("/warps/towels").content.decode()
    assert "It was weighed after winding" in page
    twice = on_shelf(yarn)
    weaver.post("/warps/towels/wound-from", {"before": key, "version": str(warp().version)})
    length = plan().warp_length_m
    assert on_shelf(yarn) == pytest.approx(twice + ends[key] * length)
    assert "It was weighed after winding" not in weaver.get("/warps/towels").content.decode()
