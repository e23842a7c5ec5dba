"""The first page and the list of warps: what leads, what is shown, in which order."""

from __future__ import annotations

import re
from datetime import date

import pytest
from django.test import Client

from loomready.app.models import Change, Record
from loomready.app.progress.home_data import home_data
from loomready.app.progress.warp_list import warp_list
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import form_of
from tests.app.progress.test_progress import report

pytestmark = pytest.mark.django_db


def titles(address: str, client: Client) -> list[str]:
    page = client.get(address).content.decode()
    return re.findall(r'<h[23]><a href="/warps/([\w-]+)">', page)


def order() -> list[str]:
    return [each.order.key for each in current_snapshot().planned]


def tick(client: Client, warp: str, step: str) -> None:
    entry = current_snapshot().entry("progress", warp)
    client.post(f"/warps/{warp}/step", {"step": step, "version": entry.version if entry else ""})


def test_the_warp_that_is_furthest_leads_the_first_page(weaver: Client) -> None:
    assert "Wind the warp: scarves" in weaver.get("/").content.decode()
    tick(weaver, "cushions", "beamed")
    report(weaver, "winding", 86)  # of the towels
    page = weaver.get("/").content.decode()
    assert "Thread the heddles: cushions" in page
    assert "2 warps are under way, 1 is planned, 1 loom is empty." in page
    assert titles("/", weaver) == ["cushions", "towels", "scarves"]
    filled = re.findall(r'class="button"\s+href="/beside/([\w-]+)/', weaver.get("/beside").content.decode())
    assert filled == ["cushions"]


def test_a_warp_that_something_stops_does_not_lead(weaver: Client) -> None:
    address = "/shelf/cone/fern-big/weigh"
    weaver.post(address, form_of(weaver, address) | {"gross": "90"})
    weaver.post("/warps/towels/move", {"to": "first"})
    data = home_data(current_snapshot())
    assert [row.state.title for row in data.planned] == ["towels", "scarves", "cushions"]
    assert data.first is not None
    assert data.first.state.title == "scarves"
    assert data.says.endswith("1 warp can’t go on yet.")
    page = weaver.get("/warps/towels").content.decode()
    assert "Not ready." in page
    assert ">1 problem to solve</a>" in page


def test_a_guild_without_warps_is_led_by_the_first_steps_only(client: Client) -> None:
    client.post("/start", {"with": "empty"})
    assert home_data(current_snapshot()).first is None
    assert 'class="warp-rows' not in client.get("/").content.decode()


@pytest.mark.parametrize(
    ("to", "then"),
    [
        ("first", ["towels", "scarves", "cushions"]),
        ("up", ["scarves", "towels", "cushions"]),
    ],
)
def test_a_warp_is_moved_among_those_that_claim_yarn(weaver: Client, to: str, then: list[str]) -> None:
    before = order()
    assert before == ["scarves", "cushions", "towels"]
    weaver.post("/warps/towels/move", {"to": to})
    assert order() == then
    weaver.post(f"/guild/undo/{Change.objects.latest('pk').pk}")
    assert order() == before


def test_warps_off_the_loom_are_passed_over_when_one_moves(weaver: Client) -> None:
    tick(weaver, "cushions", "cut off")
    weaver.post("/warps/scarves/move", {"to": "down"})
    assert order() == ["towels", "cushions", "scarves"]
    entry = current_snapshot().entry("order", "warps")
    assert entry is not None
    for warp, to in (("cushions", "up"), ("scarves", "sideways"), ("scarves", "last")):
        asked = {"to": to, "version": str(entry.version)}
        assert weaver.post(f"/warps/{warp}/move", asked).status_code == 409
    assert order() == ["towels", "cushions", "scarves"]


def test_the_list_finds_by_loom_draft_and_progress_and_says_when_nothing_is_like_that(weaver: Client) -> None:
    tick(weaver, "towels", "wound")
    assert titles("/warps?find=broken", weaver) == ["scarves"]
    assert titles("/warps?find=cart", weaver) == ["towels"]
    assert titles("/warps?loom=attic", weaver) == ["cushions"]
    assert titles("/warps?stage=under+way", weaver) == ["towels"]
    assert titles("/warps?sort=name", weaver) == ["cushions", "scarves", "towels"]
    assert titles("/warps?sort=progress", weaver)[0] == "towels"
    page = weaver.get("/warps?find=zebra").content.decode()
    assert "No warp matches." in page
    assert "Move up" not in weaver.get("/warps?find=towels").content.decode()


def test_what_is_short_or_to_check_can_be_listed_alone(weaver: Client) -> None:
    assert titles("/warps?short=yes", weaver) == ["towels"]  # heddles must move


def test_finished_warps_lie_under_their_year(weaver: Client) -> None:
    tick(weaver, "towels", "cut off")
    tick(weaver, "cushions", "cut off")
    table = Record.objects.get(kind="warps", key="cushions")
    table.fields = table.fields | {"off": "2024-05-03T10:00:00"}
    table.save()
    made = warp_list(current_snapshot(), {})
    assert [line.state.title for line in made.lines] == ["scarves"]
    assert [(year, [line.state.title for line in lines]) for year, lines in made.finished] == [
        (date.today().year, ["towels"]),
        (2024, ["cushions"]),
    ]
    assert "Finished in 2024: 1 warp" in weaver.get("/warps").content.decode()
