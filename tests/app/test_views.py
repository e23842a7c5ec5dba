"""Pages and forms: what is typed is kept, what is wrong is said, what is right is planned at once."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from loomready.app.models import Change, Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import PAGES, form_of

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("address", PAGES)
def test_every_page_answers(weaver: Client, address: str) -> None:
    response = weaver.get(address)
    assert response.status_code == 200
    policy = response["Content-Security-Policy"]
    assert "unsafe-inline" not in policy
    assert not re.search(r"<style|\sstyle=|<script>|\son\w+=", response.content.decode())


@pytest.mark.parametrize("address", [*PAGES, "/warps/cushions", "/beside/scarves/winding"])
def test_no_page_shows_the_key_of_a_yarn_or_of_a_cone_that_has_a_name(weaver: Client, address: str) -> None:
    guild = current_snapshot().guild
    keys = {each.key for each in guild.yarns}
    keys |= {each.key for each in guild.cones if guild.name_of_cone(each.key) != each.key}
    page = re.sub(r"<script.*?</script>", " ", weaver.get(address).content.decode(), flags=re.S)
    words = set(re.findall(r"[\w-]+", re.sub(r"<[^>]+>", " ", page)))
    assert words & keys == set()


@pytest.mark.parametrize("address", PAGES)
def test_a_page_comes_in_under_300_kb(weaver: Client, address: str) -> None:
    response = weaver.get(address, headers={"accept-encoding": "gzip"})
    assert len(response.content) < 120_000  # with styles and scripts it stays below 300 kB


def test_an_empty_home_asks_how_to_begin(db: None, client: Client) -> None:
    assert client.get("/shelf").headers["Location"] == "/start"
    client.post("/start", {"begin": "empty"})
    home = client.get("/").content.decode()
    assert "Your first warp, step by step" in home
    assert "inches and yards" in home
    client.post("/guild", form_of(client, "/guild") | {"units": "metric"})
    assert "centimeters and meters" in client.get("/").content.decode()


def test_each_stage_of_the_walk_leads_to_the_next_until_there_is_a_warp(weaver: Client) -> None:
    for kind in ("warps", "order", "progress"):
        Record.objects.filter(kind=kind).delete()
    Record.objects.filter(kind__in=("reeds", "drafts")).delete()
    for address in ("/shelf", "/looms", "/drafts"):
        page = weaver.get(address).content.decode()
        assert "3 of 6 done." in page
        assert '<a href="/looms/new-reed">Add a reed</a>' in page
    begin_with_reed = {"key": "ten", "dents": "10 /in", "width": "30 in"}
    assert weaver.post("/looms/new-reed", begin_with_reed, follow=True).status_code == 200
    assert "Import a draft" in weaver.get("/looms").content.decode()
    assert "onward" not in weaver.get("/drafts").content.decode()


def test_a_guild_with_warps_is_led_nowhere(weaver: Client) -> None:
    assert "onward" not in weaver.get("/shelf").content.decode()


def test_a_weighing_changes_every_plan_that_counts_on_the_cone(weaver: Client) -> None:
    assert "Stop." not in weaver.get("/warps/towels").content.decode()
    weaver.post("/shelf/cone/fern-big/weigh", form_of(weaver, "/shelf/cone/fern-big/weigh") | {"gross": "90"})
    assert Record.objects.get(kind="cones", key="fern-big").fields["gross"] == "90 g"
    assert "Cottolin, fern green is short" in weaver.get("/warps/towels").content.decode()


def test_every_weighing_is_kept_with_its_date(weaver: Client) -> None:
    address = "/shelf/cone/fern-big/weigh"
    for gross in ("220", "210"):
        weaver.post(address, form_of(weaver, address) | {"gross": gross})
    page = weaver.get(address).content.decode()
    assert [gross in page for gross in ("210 g", "220 g", "224 g")] == [True] * 3
    assert "Sep 3, 2026" in page


def test_a_bad_form_keeps_what_was_typed_and_says_what_is_expected(weaver: Client) -> None:
    form = form_of(weaver, "/shelf/cone/fern-big/weigh") | {"gross": "heavy", "tare": "41 g"}
    response = weaver.post("/shelf/cone/fern-big/weigh", form)
    page = response.content.decode()
    assert response.status_code == 422
    assert 'value="heavy"' in page
    assert 'value="41 g"' in page
    assert re.search(r'id="gross-error">.*is not a quantity; expected', page)
    assert Record.objects.get(kind="cones", key="fern-big").version == 1


def test_less_on_the_scale_than_the_empty_cone_is_said_beside_what_was_typed(weaver: Client) -> None:
    form = form_of(weaver, "/shelf/cone/fern-big/weigh") | {"gross": "30"}
    page = weaver.post("/shelf/cone/fern-big/weigh", form).content.decode()
    assert re.search(r'id="gross-error">.*less than the empty cone, 37 g', page)


def test_an_empty_cone_typed_too_heavy_is_said_beside_it(weaver: Client) -> None:
    form = form_of(weaver, "/shelf/cone/fern-big/weigh") | {"gross": "200", "tare": "380"}
    page = weaver.post("/shelf/cone/fern-big/weigh", form).content.decode()
    assert re.search(r'id="tare-error">.*more than the weight on the scale', page)
    assert "more than gross" not in page


@pytest.mark.parametrize("address", ["/shelf/cone/fern-big/weigh", "/shelf/cone/fern-big"])
def test_a_cone_that_grew_is_asked_about_and_then_believed(weaver: Client, address: str) -> None:
    form = form_of(weaver, address) | {"gross": "422"}
    response = weaver.post(address, form)
    page = response.content.decode()
    assert response.status_code == 422
    assert "heavier than before" in page
    assert 'value="422"' in page
    assert Record.objects.get(kind="cones", key="fern-big").fields["gross"] == "224 g"
    assert weaver.post(address, form | {"sure": "heavier"}).status_code == 302
    assert Record.objects.get(kind="cones", key="fern-big").fields["gross"] == "422 g"


def test_what_scale_and_tare_explain_is_not_asked_about(weaver: Client) -> None:
    address = "/shelf/cone/fern-big/weigh"
    assert weaver.post(address, form_of(weaver, address) | {"gross": "227"}).status_code == 302


def test_either_system_may_be_typed(weaver: Client) -> None:
    form = form_of(weaver, "/warps/scarves")
    weaver.post("/warps/scarves", form | {"finished_width": "30cm"})
    assert Record.objects.get(kind="warps", key="scarves").fields["finished_width"] == "30 cm"
    width = current_snapshot().guild.warps[0].finished_width_mm
    assert width == pytest.approx(300)


def test_saving_what_is_there_changes_nothing(weaver: Client) -> None:
    for order in current_snapshot().guild.warps:
        before = Record.objects.get(kind="warps", key=order.key).fields
        weaver.post(f"/warps/{order.key}", form_of(weaver, f"/warps/{order.key}"))
        assert Record.objects.get(kind="warps", key=order.key).fields == before


def test_a_step_button_makes_it_an_inch_wider(weaver: Client) -> None:
    weaver.post("/warps/towels", form_of(weaver, "/warps/towels") | {"step": "finished_width:up"})
    assert Record.objects.get(kind="warps", key="towels").fields["finished_width"] == "18 in"


def test_the_second_editor_is_shown_both_versions(weaver: Client) -> None:
    form = form_of(weaver, "/warps/towels")
    weaver.post("/warps/towels", form | {"finished_width": "18 in"})
    response = weaver.post("/warps/towels", form | {"finished_width": "12 in"})
    page = response.content.decode()
    assert response.status_code == 409
    assert "<td>18 in</td><td>12 in</td>" in re.sub(r">\s+<", "><", page)
    assert Record.objects.get(kind="warps", key="towels").fields["finished_width"] == "18 in"


@pytest.mark.parametrize(
    ("address", "name", "good"),
    [("/warps/towels", "finished_width", "12 in"), ("/shelf/cone/fern-big", "gross", "201 g")],
)
def test_a_slip_corrected_does_not_hide_what_another_saved(
    weaver: Client, address: str, name: str, good: str
) -> None:
    form = form_of(weaver, address)
    weaver.post(address, form | {name: "199 g" if name == "gross" else "18 in"})
    again = weaver.post(address, form | {name: "oops"}).content.decode()
    version = re.search(r'name="version" value="(\d+)"', again)
    assert version is not None
    assert version.group(1) == form["version"]
    assert weaver.post(address, form | {name: good, "version": version.group(1)}).status_code == 409


def test_a_remedy_does_what_it_says(weaver: Client) -> None:
    weaver.post(
        "/shelf/cone/fern-big/weigh", form_of(weaver, "/shelf/cone/fern-big/weigh") | {"gross": "150"}
    )
    planned = current_snapshot().plan_of("towels")
    assert planned is not None
    assert planned.plan is not None
    short = next(problem for problem in planned.plan.problems if problem.code == "yarn-short")
    says = short.remedies[0].says
    assert says in weaver.get("/warps/towels").content.decode()
    version = Record.objects.get(kind="warps", key="towels").version
    weaver.post("/warps/towels/remedy", {"code": "yarn-short", "says": says, "version": version})
    after = current_snapshot().plan_of("towels")
    assert after is not None
    assert after.plan is not None
    assert "yarn-short" not in {problem.code for problem in after.plan.problems}


def test_a_wound_warp_does_not_take_its_yarn_off_a_later_weighing(weaver: Client) -> None:
    weaver.post("/warps/towels/step", {"step": "wound"})
    form = form_of(weaver, "/shelf/cone/fern-big/weigh")
    weaver.post("/shelf/cone/fern-big/weigh", form | {"gross": "60"})
    assert "is short" not in weaver.get("/warps/towels").content.decode()


def test_a_warp_moved_forward_takes_from_the_shelf_first(weaver: Client) -> None:
    before = [order.key for order in current_snapshot().guild.warps]
    weaver.post(f"/warps/{before[1]}/move", {"to": "up"})
    assert [each.order.key for each in current_snapshot().planned] == [before[1], before[0], *before[2:]]
    weaver.post(f"/guild/undo/{Change.objects.latest('pk').pk}")
    assert [each.order.key for each in current_snapshot().planned] == before


@pytest.mark.parametrize(
    ("kind", "fields", "address"),
    [
        ("yarns", {"key": "new", "name": "New wool", "count": "8/2 cotton"}, "/shelf/yarn/new"),
        ("reeds", {"key": "new", "dents": "14 /in", "width": "30 in"}, "/looms/reed/new"),
        ("cones", {"key": "new", "yarn": "wool-rust", "gross": "90 g", "tare": "30 g"}, "/shelf/cone/new"),
    ],
)
def test_what_is_called_new_can_be_opened(
    weaver: Client, kind: str, fields: dict[str, str], address: str
) -> None:
    store.write(kind, "new", fields, version=None, who="one")
    page = weaver.get(address).content.decode()
    assert 'name="version" value="1"' in page
    assert fields.get("name", fields.get("dents", fields.get("gross", ""))) in page


def test_a_failure_of_our_own_is_a_page_of_ours(demo: None, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("loomready.app.cones.shelf.rows", fails)
    response = Client(raise_request_exception=False).get("/shelf")
    page = response.content.decode()
    assert response.status_code == 500
    assert "An error in loomready" in page
    assert "app.css" in page
    assert "Content-Security-Policy" in response.headers
    assert "ZeroDivisionError" not in page


@pytest.mark.parametrize("kind", ["application/x-www-form-urlencoded", "multipart"])
def test_a_form_that_is_too_much_gets_a_page_of_ours(weaver: Client, kind: str) -> None:
    if kind == "multipart":
        response = weaver.post("/guild", {f"x{n}": "1" for n in range(2100)})
    else:
        response = weaver.post("/guild", "x=1&" * 2100, content_type=kind)
    assert response.status_code == 400
    assert "Nothing was changed" in response.content.decode()
    assert "app.css" in response.content.decode()


def test_a_page_elsewhere_cannot_talk_to_this_server(demo: None) -> None:
    strict = Client(enforce_csrf_checks=True)
    assert strict.post("/warps/towels/remove", {"version": "1"}).status_code == 403
    assert strict.get("/", headers={"host": "evil.example"}).status_code == 400
