"""Making a draft in the browser: families by the loom's shafts, typed parameters, and the draft kept."""

from __future__ import annotations

import re

import numpy as np
import pytest
from django.test import Client

from loomready.app.state.snapshot import current_snapshot
from loomready.draft.families.registry import FAMILIES, make

pytestmark = pytest.mark.django_db
HX = {"HX-Request": "true"}


def test_a_loom_of_two_shafts_is_offered_plain_weave_and_no_twill(weaver: Client) -> None:
    page = weaver.get("/make?loom=2").content.decode()
    assert "/make/plain-weave?" in page
    assert "/make/log-cabin?" in page
    assert "twill?" not in page
    assert "/make/rosepath?" not in page
    assert "/make/straight-twill?" in weaver.get("/make?loom=3").content.decode()


def test_every_family_has_a_card_with_its_cloth(weaver: Client) -> None:
    page = weaver.get("/make").content.decode()
    for family in FAMILIES.values():
        assert f'href="/make/{family.name}"' in page
    for name in set(re.findall(r"/workshop/picture-(\w+)\.png", page)):
        answer = weaver.get(f"/workshop/picture-{name}.png")
        assert answer.content.startswith(b"\x89PNG")


@pytest.mark.parametrize("shafts", [3, 4, 8])
def test_a_loom_sees_only_what_its_shafts_can_weave(weaver: Client, shafts: int) -> None:
    page = weaver.get(f"/make?loom={shafts}").content.decode()
    links = re.findall(r'href="/make/([\w-]+)\?([^"]*)"', page)
    assert len(links) >= 10
    for name, query in links:
        snapshot = weaver.get(f"/make/{name}?{query.replace('&amp;', '&')}")
        assert snapshot.status_code == 200
        assert "shafts; the loom" not in snapshot.content.decode()


@pytest.mark.parametrize(
    ("name", "filled", "examples"),
    [
        ("straight-twill", {"shafts": "8"}, {"tieup": "3/2/1/2"}),
        ("satin", {"shafts": "8"}, {"counter": "3"}),
        ("overshot", {"shafts": "8", "profile": "ABCDCB"}, {"treadling": "ABCDCB"}),
    ],
)
def test_on_a_loom_of_eight_the_shafts_are_filled_in_and_each_free_field_has_an_example(
    weaver: Client, name: str, filled: dict[str, str], examples: dict[str, str]
) -> None:
    query = re.search(rf'href="/make/{name}\?([^"]*)"', weaver.get("/make?loom=8").content.decode())
    assert query is not None
    page = weaver.get(f"/make/{name}?{query[1].replace('&amp;', '&')}").content.decode()
    assert "for a loom with 8 shafts" in page
    fields = {name: tag for tag, name in re.findall(r'(<input[^>]*? name="(\w+)"[^>]*>)', page)}
    for field, value in filled.items():
        assert f'value="{value}"' in fields[field]
    for field, example in examples.items():
        assert 'value=""' in fields[field]
        assert f'placeholder="{example}"' in fields[field]
        asked = filled | {field: example}
        assert np.array_equal(make(name, asked).lifts, make(name, filled).lifts)  # what it uses unsaid


def test_the_page_opens_for_the_loom_that_was_chosen_last(weaver: Client) -> None:
    weaver.get("/make?loom=3")
    assert "/make/overshot" not in weaver.get("/make").content.decode()
    weaver.get("/make?loom=any")
    assert "/make/overshot" in weaver.get("/make").content.decode()
    assert weaver.get("/make/satin?loom=nonsense").status_code == 200


def test_three_shafts_see_no_overshot(weaver: Client) -> None:
    assert "/make/overshot" not in weaver.get("/make?loom=3").content.decode()
    assert "/make/overshot" in weaver.get("/make?loom=4").content.decode()


@pytest.mark.parametrize(
    ("address", "field", "says"),
    [
        ("/make/satin?shafts=8&counter=4", "counter", "4 is not a satin counter on 8 shafts"),
        ("/make/huck-lace?profile=ABCBA&shafts=4", "profile", "3 blocks need 5 shafts"),
        ("/make/straight-twill?tieup=2/x", "tieup", "is not possible; expected shafts up and down"),
        ("/make/point-twill?repeats=0", "repeats", "expected a whole number from 1"),
    ],
)
def test_an_impossible_parameter_has_a_word_beside_its_field(
    weaver: Client, address: str, field: str, says: str
) -> None:
    for headers in ({}, HX):
        answer = weaver.get(address, headers=headers)
        page = answer.content.decode()
        assert re.search(rf'id="{field}-error".*?{says}', page)
        assert "Save draft" not in page
    assert weaver.get(address).status_code == 422


def test_a_word_of_refusal_goes_when_the_field_is_right_again(weaver: Client) -> None:
    page = weaver.get("/make/satin?shafts=8&counter=3", headers=HX).content.decode()
    assert re.search(r'id="counter-error" hx-swap-oob="true" hidden', page)


def test_a_draft_is_kept_under_its_name(weaver: Client) -> None:
    options = {"profile": "ABBA", "treadling": "", "shafts": "", "repeats": "2", "shown": "yes"}
    answer = weaver.post("/make/huck-lace", {**options, "name": "Window lace"})
    assert answer.headers["Location"] == "/drafts/drafts/window-lace.wif/look"
    kept = current_snapshot().drafts["drafts/window-lace.wif"]
    made = make("huck-lace", {"profile": "ABBA", "repeats": "2"})
    assert kept.threading.tolist() == made.threading.tolist()
    assert kept.lifts.tolist() == made.lifts.tolist()
    assert kept.title == "Window lace"


def test_two_drafts_of_one_name_stand_side_by_side(weaver: Client) -> None:
    for _ in range(2):
        answer = weaver.post("/make/rosepath", {"name": "Rose path"})
    assert answer.headers["Location"] == "/drafts/drafts/rose-path-2.wif/look"


def test_a_draft_without_a_name_is_not_kept(weaver: Client) -> None:
    before = len(current_snapshot().drafts)
    answer = weaver.post("/make/rosepath", {"name": "  "})
    assert answer.status_code == 422
    assert "A name is missing" in answer.content.decode()
    assert len(current_snapshot().drafts) == before


def test_a_box_that_is_not_ticked_says_no(weaver: Client) -> None:
    shown = weaver.get("/make/overshot?shown=yes&profile=ABCDCB", headers=HX).content.decode()
    unasked = weaver.get("/make/overshot?profile=ABCDCB", headers=HX).content.decode()
    assert "22 × 24" in shown
    assert "22 × 48" in unasked


def test_an_unknown_family_is_not_there(weaver: Client) -> None:
    assert weaver.get("/make/no-such-weave").status_code == 404
    assert weaver.get("/workshop/picture-00000000000000000000.png").status_code == 404


def test_a_form_of_any_size_is_answered(weaver: Client) -> None:
    answer = weaver.get("/make/huck-lace", {"profile": "AB" * 300})
    assert answer.status_code == 422
