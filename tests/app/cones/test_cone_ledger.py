"""The ledger page of a cone."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from django.test import Client

from loomready.app.cones import cone_ledger, weighing_mistakes
from loomready.app.media.ledger_picture import picture
from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.model.guild import Cone, Yarn
from loomready.units import Shown
from loomready.yarn.ledger import Taken, Weighed, ledger
from tests.app.asking import form_of

WEIGH, LEDGER = "/shelf/cone/fern-big/weigh", "/shelf/cone/fern-big/ledger"


def weigh(client: Client, gross: str) -> None:
    client.post(WEIGH, form_of(client, WEIGH) | {"gross": gross, "sure": "heavier"})


def says(page: str) -> list[str]:
    """The second column, as text, spaces as a browser shows them."""
    cells = re.findall(r"<tr>\s*<td>(?:(?!</td>).)*</td>\s*<td>(.*?)</td>", page, re.DOTALL)
    return [" ".join(re.sub(r"<.*?>", "", each).split()) for each in cells]


def test_the_shelf_and_the_cone_lead_to_the_ledger(weaver: Client) -> None:
    for page in ("/shelf", "/shelf/cone/fern-big", WEIGH):
        assert f'href="{LEDGER}"' in weaver.get(page).content.decode()


def test_a_forgotten_warp_is_said_with_its_amount(weaver: Client) -> None:
    assert "Check:" not in weaver.get(LEDGER).content.decode()
    weigh(weaver, "120")
    page = weaver.get(LEDGER).content.decode()
    assert re.search(r"The scale shows [\d,]+ yd less than the last weighing", page)
    assert "not marked as wound" in page
    assert "<svg" in page


def test_a_mistake_is_not_in_the_ledger(weaver: Client) -> None:
    weigh(weaver, "422")
    day = next(
        each.weighing.day for each in weighing_mistakes.listed("fern-big") if each.weighing.gross == "422 g"
    )
    made = {"day": day, "was": "422 g", "tare": "37 g", "right": ""}
    weaver.post("/shelf/cone/fern-big/mistake", made)
    page = weaver.get(LEDGER).content.decode()
    assert len(says(page)) == 1
    assert "One weighing is marked as a mistake" in page


def test_a_wound_warp_stands_in_the_ledger_and_explains_the_next_weighing(weaver: Client) -> None:
    weaver.post("/warps/towels/step", {"step": "wound"})
    snapshot = current_snapshot()
    cones = [cone.key for cone in snapshot.guild.cones]
    told = {
        key: [row for row in cone_ledger.of_cone(snapshot, key).rows if row.warp == "towels"] for key in cones
    }
    plan = next(each.plan for each in snapshot.planned if each.order.key == "towels")
    assert plan is not None
    yarns = {need.yarn.key for need in plan.yarns if need.warp_ends}
    assert {cone.yarn for cone in snapshot.guild.cones if told[cone.key]} == yarns
    assert all(len(rows) <= 1 for rows in told.values())


def test_a_later_weighing_does_not_take_a_wound_warp_out_of_the_ledger(weaver: Client) -> None:
    towels = Record.objects.get(kind="warps", key="towels")
    fields = towels.fields | {"wound": "2026-09-20"}
    store.write("warps", "towels", fields, version=towels.version, who="Wren")
    before = [row for row in cone_ledger.of_cone(current_snapshot(), "fern-big").rows if row.warp]
    weigh(weaver, "60")
    after = [row for row in cone_ledger.of_cone(current_snapshot(), "fern-big").rows if row.warp]
    assert len(before) == 1
    assert [row.says for row in before] == [row.says for row in after]


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_picture_keeps_inside_its_frame(system: str) -> None:
    yarn, cone = Yarn("y", "y", tex=100.0), Cone("y-1", "y", gross_g=540.0, tare_g=40.0)
    day = date(2026, 9, 1)
    events = [
        Weighed(None, cone),
        Weighed(day, cone),
        Taken(day, "a", "warp", 900.0),
        Taken(day, "b", "warp", 900.0),
        Weighed(date(2027, 3, 1), replace(cone, gross_g=44.0)),
    ]
    made = picture(ledger(events, yarn), Shown("us" if system == "us" else "metric"), str)
    places = [float(x) for x in re.findall(r'cx="([\d.]+)"', made)]
    assert places == sorted(places)
    assert all(62 <= x <= 330 for x in places)
    assert "nan" not in made
    assert picture(ledger(events[:1], yarn), Shown("us"), str) == ""


def test_flaws_typed_on_the_cone_warn_on_the_plan(weaver: Client) -> None:
    address = "/shelf/cone/fern-big"
    form = form_of(weaver, address)
    refused = weaver.post(address, form | {"flaws": "some"})
    assert refused.status_code == 422
    assert "none seen" in refused.content.decode()
    assert weaver.post(address, form | {"flaws": "4 /100 yd"}).status_code == 302
    assert "Cone fern-big has flaws" in weaver.get("/warps/towels").content.decode()
