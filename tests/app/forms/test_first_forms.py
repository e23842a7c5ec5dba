"""The first yarn, cone and loom: all errors at once, each with buttons that mend it; prices; own units."""

from __future__ import annotations

import html
import re

import pytest
from django.test import Client

from loomready.app.archive.new_guild import begin_with
from loomready.app.models import Record
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import form_of

pytestmark = pytest.mark.django_db


def errors(page: str) -> list[str]:
    return re.findall(r'<p class="error" id="([\w-]+)-error">', page)


def buttons(page: str, name: str) -> list[str]:
    return [html.unescape(each) for each in re.findall(rf'class="remedy" name="{name}" value="(.*?)"', page)]


def test_a_yarn_shows_every_error_at_once_with_buttons(weaver: Client) -> None:
    typed = {"name": "", "fiber": "cotton", "count": "8/2 foo", "price": "dear", "wraps": "x"}
    page = weaver.post("/shelf/new-yarn", typed).content.decode()
    assert set(errors(page)) == {"name", "count", "price", "wraps"}
    assert buttons(page, "name") == ["Cotton 8/2"]
    assert buttons(page, "count") == ["8/2 Ne", "8/2 worsted", "8/2 Nm", "8/2 lea"]


def test_a_button_mends_and_saves_at_once(weaver: Client) -> None:
    typed = {"name": ["", "Cotton 8/2"], "fiber": "cotton", "count": "8/2"}  # as a browser sends the button
    assert weaver.post("/shelf/new-yarn", typed).status_code == 302
    assert current_snapshot().guild.yarn("cotton-8-2").name == "Cotton 8/2"


def test_a_yarn_without_a_size_says_so_beside_the_missing_name(weaver: Client) -> None:
    assert set(errors(weaver.post("/shelf/new-yarn", {"fiber": "cotton"}).content.decode())) == {
        "name",
        "count",
    }


def test_a_wrong_count_is_not_called_missing_too(weaver: Client) -> None:
    typed = {"name": "Q", "grist": "much", "price": "dear"}
    assert set(errors(weaver.post("/shelf/new-yarn", typed).content.decode())) == {"grist", "price"}


def test_a_name_that_is_taken_gets_the_next_number(weaver: Client) -> None:
    page = weaver.post(
        "/looms/new", {"name": "Porch loom", "heddles": "90 90 60", "shafts": "4"}
    ).content.decode()
    assert set(errors(page)) == {"name", "heddles", "weaving_width", "waste"}
    assert buttons(page, "name") == ["Porch loom 2"]
    assert buttons(page, "heddles") == ["90 90 60 60", "90"]


def test_heddles_are_not_blamed_for_missing_shafts(weaver: Client) -> None:
    page = weaver.post("/looms/new", {"name": "New", "heddles": "90 90", "shafts": ""}).content.decode()
    assert "heddles" not in errors(page)
    assert buttons(page, "shafts") == ["4", "8"]


def test_a_cone_shows_every_error_at_once_and_has_no_yarn_chosen(weaver: Client) -> None:
    assert form_of(weaver, "/shelf/new-cone")["yarn"] == ""
    typed = {"yarn": "", "gross": "", "tare": "", "scale_step": "2 stone", "flaws": "none"}
    page = weaver.post("/shelf/new-cone", typed).content.decode()
    assert set(errors(page)) == {"yarn", "gross", "tare", "scale_step", "flaws"}
    assert buttons(page, "tare") == ["0 g"]
    assert buttons(page, "scale_step") == ["2 g", "2 oz", "2 lb"]
    assert buttons(page, "flaws") == ["none seen"]


def test_a_cone_that_weighs_less_than_its_tare_is_told_beside_other_errors(weaver: Client) -> None:
    typed = {"yarn": "wool-rust", "gross": "20", "tare": "38", "flaws": "none"}
    assert set(errors(weaver.post("/shelf/new-cone", typed).content.decode())) == {"tare", "flaws"}


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("$14/lb", "14 /lb"),
        ("14", "14 /lb"),
        ("$1.10 an oz", None),
        ("1.10 per oz", "1.10 /oz"),
        ("12,50 €/kg", "12.5 /kg"),
        ("9 /100 g", "9 /100g"),
        ("4 for 50 g", "0.08 /g"),
        ("0.09 /g", "0.09 /g"),
        ("3 / furlong", None),
    ],
)
def test_a_price_is_by_the_pound_ounce_kilogram_or_100_grams(
    weaver: Client, typed: str, kept: str | None
) -> None:
    sent = form_of(weaver, "/shelf/new-yarn") | {"name": "Slate", "count": "8/2 Ne", "price": typed}
    assert weaver.post("/shelf/new-yarn", sent).status_code == (302 if kept else 422)
    found = Record.objects.filter(kind="yarns", key="slate").first()
    assert (found.fields["price"] if found else None) == kept


def test_a_guild_begins_in_the_units_chosen(db: None, client: Client) -> None:
    for languages, likely in (
        ("en-US,en", "us"),
        ("de-CH,de;q=0.9", "metric"),
        ("en-GB", "metric"),
        ("", "us"),
    ):
        headers = {"Accept-Language": languages} if languages else {}
        page = client.get("/start", headers=headers).content.decode()
        assert re.findall(r'name="units" value="(\w+)" checked', page) == [likely]
    client.post("/start", {"begin": "empty", "units": "metric"})
    assert Record.objects.get(kind="guild").fields["units"] == "metric"
    page = client.post("/looms/new", {"name": "", "shafts": "4"}).content.decode()
    assert "like &quot;50 cm&quot;" in page
    assert "like &quot;20 in&quot;" not in page
    new = client.get("/shelf/new-yarn").content.decode()
    assert re.search(r'id="grist"[^>]*>\s*<span class="unit" aria-hidden="true">m/kg', new)


def test_the_demo_begins_in_the_units_chosen(db: None) -> None:
    begin_with("demo", "metric")
    assert current_snapshot().guild.units == "metric"


def test_units_that_are_none_are_not_taken(db: None) -> None:
    begin_with("empty", "cubits")
    assert Record.objects.get(kind="guild").fields["units"] == "us"
