"""Project record is told once, and the next plan of the kind is better for it."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from playwright.sync_api import Browser, expect

from loomready.app.archive import backup_extras
from loomready.app.loomside import project_record, project_record_offers, project_record_prefill
from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput
from tests.app.conftest import fresh

TOLD = {
    "wound_length": "6.1 yd",
    "unwoven": "20 in",
    "waste_left": "28 in",
    "fell_width": "11 3/4 in",
    "tense_length": "4.4",
    "picks_counted": "61",
    "picks_over": "3 in",
    "off_width": "11.5",
    "off_length": "4.25 yd",
    "washed_width": "9.7 in",
    "washed_length": "3.8 yd",
    "warp_used-1": "23.5 g",
    "weft_used-1": "48 g",
    "hours-1": "2:30",
    "people-1": "2",
    "hours-6": "9.5",
}
pytestmark = pytest.mark.django_db


def another(client: Client) -> None:
    """A second warp of the same draft, yarns and loom."""
    table = Record.objects.get(kind="warps", key="scarves").fields
    Record.objects.create(
        kind="warps", key="more scarves", fields=table | {"key": "more scarves"}, position=99
    )


def offered(key: str) -> dict[str, project_record_offers.LearnedFigure]:
    return {offer.name: offer for offer in project_record_offers.of_warp(current_snapshot(), key)}


def test_what_was_measured_is_kept_as_it_was_typed_with_the_plan_it_belongs_to(weaver: Client) -> None:
    assert weaver.post("/records/scarves", TOLD).status_code == 302
    fields = Record.objects.get(kind="happened", key="scarves").fields
    assert fields["fell_width"] == "11.75 in"
    assert fields["tense_length"] == "4.4 yd"
    assert fields["hours"] == {"winding": "2:30", "weaving": "9.5"}
    assert fields["people"] == {"winding": 2}
    assert fields["plan"]["loom"] == "porch"
    assert fields["warp_used"] == {"wool-indigo": "23.5 g"}
    text = weaver.get("/records/scarves").content.decode()
    assert "take-up" in text
    assert 'value="11.75 in"' in text
    assert "project record of warp scarves" in weaver.get("/guild").content.decode()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"fell_width": "wide"}, "is not a quantity"),
        ({"off_length": "-3 yd"}, "is too little"),
        ({"picks_over": ""}, "picks are counted over a length"),
        ({"hours-1": "long"}, "expected hours like 3.5 or 3:30"),
        ({"hours-1": "2:75"}, "expected hours like 3.5 or 3:30"),
        ({"people-1": "none"}, "is not a whole number"),
        ({"weft_used-1": "3 yd"}, "is not a unit of weight"),
    ],
)
def test_a_slip_is_told_beside_its_field(weaver: Client, wrong: dict[str, str], said: str) -> None:
    answer = weaver.post("/records/scarves", TOLD | wrong)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Record.objects.filter(kind="happened").exists()


def test_the_next_warp_of_the_kind_is_offered_what_was_learned(weaver: Client) -> None:
    another(weaver)
    assert offered("more scarves") == {}
    weaver.post("/records/scarves", TOLD)
    offers = offered("more scarves")
    assert {"take_up", "draw_in", "shrink_length", "shrink_width", "waste", "grist wool-indigo"} <= set(
        offers
    )
    assert offers["take_up"].warps == ("scarves",)
    assert offered("scarves") == {}  # nothing is offered to the warp that it comes from
    assert "take_up" not in offered("cushions")  # another yarn, another structure

    measured = 1 - 9.7 / 11.75  # far above the 12 % that the plan said
    learned = float(offers["shrink_width"].value.split()[0]) / 100
    assert 0.08 < learned < measured


def test_an_offer_taken_is_written_into_the_plan_and_can_be_taken_back(weaver: Client) -> None:
    another(weaver)
    weaver.post("/records/scarves", TOLD)
    offer = offered("more scarves")["draw_in"]
    page = weaver.get("/warps/more scarves").content.decode()
    assert f"{offer.label} <b>{offer.value}</b>" in page
    sent = {"offer": "draw_in", "value": offer.value, "version": "1"}
    assert weaver.post("/records/more scarves/learned", sent).status_code == 302
    assert Record.objects.get(kind="warps", key="more scarves").fields["draw_in"] == offer.value
    assert "draw_in" not in offered("more scarves")
    undo = re.search(r"/guild/undo/\d+", weaver.get("/guild").content.decode())
    assert undo
    weaver.post(undo.group())
    assert "draw_in" in offered("more scarves")


def test_loom_waste_and_grist_are_written_where_they_belong(weaver: Client) -> None:
    another(weaver)
    weaver.post("/records/scarves", TOLD)
    offers = offered("more scarves")
    for name, kind, key in (("waste", "looms", "porch"), ("grist wool-indigo", "yarns", "wool-indigo")):
        sent = {"offer": name, "value": offers[name].value, "version": "1"}
        assert weaver.post("/records/more scarves/learned", sent).status_code == 302
        fields = Record.objects.get(kind=kind, key=key).fields
        assert all(fields.get(name) == value for name, value in offers[name].change.items())
    yarn = Record.objects.get(kind="yarns", key="wool-indigo").fields
    assert "count" not in yarn
    assert yarn["grist"].endswith("yd/lb")
    assert current_snapshot().plan_of("more scarves") is not None


def test_an_offer_that_has_changed_meanwhile_is_not_taken(weaver: Client) -> None:
    another(weaver)
    weaver.post("/records/scarves", TOLD)
    sent = {"offer": "draw_in", "value": "1 %", "version": "1"}
    assert weaver.post("/records/more scarves/learned", sent).status_code == 409
    assert "draw_in" not in Record.objects.get(kind="warps", key="more scarves").fields


def test_a_warp_that_is_gone_goes_on_teaching(weaver: Client) -> None:
    another(weaver)
    weaver.post("/records/scarves", TOLD)
    before = offered("more scarves")
    version = Record.objects.get(kind="warps", key="scarves").version
    assert weaver.post("/warps/scarves/remove", {"version": str(version)}).status_code == 302
    assert offered("more scarves")["take_up"] == before["take_up"]
    text = weaver.get("/records/scarves").content.decode()
    assert "the warp was removed" in text
    assert "scarves" in weaver.get("/records").content.decode()


def test_a_wound_warp_is_offered_nothing(weaver: Client) -> None:
    another(weaver)
    weaver.post("/records/scarves", TOLD)
    record = Record.objects.get(kind="warps", key="more scarves")
    record.fields |= {"wound": "2026-09-20"}
    record.save()
    assert offered("more scarves") == {}


def test_a_misread_tape_is_shown_and_not_learned_from(weaver: Client) -> None:
    another(weaver)
    weaver.post("/records/scarves", TOLD | {"fell_width": "117 in"})
    text = weaver.get("/records/scarves").content.decode()
    assert "too far off to use" in text
    assert "draw_in" not in offered("more scarves")


def test_two_who_tell_of_one_warp_see_both_versions(weaver: Client) -> None:
    weaver.post("/records/scarves", TOLD)
    answer = weaver.post("/records/scarves", TOLD | {"fell_width": "12 in"})
    assert answer.status_code == 409
    assert "Two versions" in answer.content.decode()


def test_a_backup_carries_the_project_record_and_takes_it_in_again(weaver: Client) -> None:
    weaver.post("/records/scarves", TOLD)
    text = backup_extras.text_of(current_snapshot())
    things = [thing for thing in backup_extras.things_in(text.encode()) if thing[0] == project_record.KIND]
    assert things == [("happened", "scarves", Record.objects.get(kind="happened", key="scarves").fields)]


@pytest.mark.parametrize(
    "broken",
    [
        ("11.75 in", "eleven"),
        ('"width_in_reed_mm":', '"width_in_reed_mm":-'),
        ('"structure":"twill"', '"structure":3'),
        ('"winding":"2:30"', '"winding":"2:90"'),
    ],
)
def test_a_backup_with_what_means_nothing_is_refused(weaver: Client, broken: tuple[str, str]) -> None:
    weaver.post("/records/scarves", TOLD)
    text = backup_extras.text_of(current_snapshot())
    assert broken[0] in text
    with pytest.raises(BadInput):
        backup_extras.things_in(text.replace(*broken).encode())


def weigh(cone: str, gross: str, day: str) -> None:
    entry = current_snapshot().entry("cones", cone)
    assert entry is not None
    fields = entry.fields | {"gross": gross, "weighed": day}
    store.write("cones", cone, fields, version=entry.version, who="test")


def wind(warp: str, day: str) -> None:
    entry = current_snapshot().entry("warps", warp)
    assert entry is not None
    store.write("warps", warp, entry.fields | {"wound": day}, version=entry.version, who="test")


def standing(client: Client, name: str, query: str = "", warp: str = "towels") -> str:
    """What stands in a field of the form."""
    text = client.get(f"/records/{warp}{query}").content.decode()
    found = re.search(rf'name="{name}" value="([^"]*)"', text)
    assert found is not None
    return found[1]


def test_what_the_cones_lost_since_winding_stands_in_the_form(weaver: Client) -> None:
    fields = current_snapshot().entries["cones", "fern-big"].fields
    assert standing(weaver, "warp_used-1") == ""
    weigh("fern-big", "180.5 g", "2026-10-03")
    assert standing(weaver, "warp_used-1") == "", "no day is told on which the warp was wound"
    wind("towels", "2026-10-01")
    lost = float(fields["gross"].split()[0]) - 180.5
    assert standing(weaver, "warp_used-1") == f"{lost:g}"
    assert "Check that all of it went into this warp" in weaver.get("/records/towels").content.decode()
    assert not Record.objects.filter(kind="happened").exists(), "nothing is kept before it is saved"


def test_a_yarn_of_warp_and_weft_is_told_apart_by_a_weighing_between(weaver: Client) -> None:
    plan = {"warp_ends": {"cotton-gold": 300}, "weft_yarns": ["cotton-gold"]}
    gross = float(current_snapshot().entries["cones", "cotton-gold-1"].fields["gross"].split()[0])
    wind("cushions", "2026-10-01")
    weigh("cotton-gold-1", f"{gross - 60} g", "2026-10-02")
    assert project_record_prefill.lost_by_cones(current_snapshot(), "cushions", plan) == {}
    weigh("cotton-gold-1", f"{gross - 100} g", "2026-10-20")
    lost = project_record_prefill.lost_by_cones(current_snapshot(), "cushions", plan)
    assert {side: told.grams for (side, _yarn), told in lost.items()} == {"warp_used": 60, "weft_used": 40}


def test_a_yarn_that_another_warp_took_from_too_tells_nothing(weaver: Client) -> None:
    table = Record.objects.get(kind="warps", key="towels").fields
    Record.objects.create(
        kind="warps", key="more", fields=table | {"key": "more", "wound": "2026-10-02"}, position=99
    )
    wind("towels", "2026-10-01")
    weigh("fern-big", "180 g", "2026-10-03")
    assert standing(weaver, "warp_used-1") == ""


def test_counted_time_stands_in_the_form_where_none_is_told_yet(weaver: Client) -> None:
    assert standing(weaver, "hours-1", "?winding=1:05&tying=0:20") == "1:05"
    assert standing(weaver, "hours-5", "?winding=1:05&tying=0:20") == "0:20"
    assert standing(weaver, "hours-1", "?winding=soon") == ""
    weaver.post("/records/towels", {"hours-1": "2:30"})
    assert standing(weaver, "hours-1", "?winding=1:05") == "2:30"


def test_a_warp_that_nobody_knows_has_no_page(weaver: Client) -> None:
    assert weaver.get("/records/nobody").status_code == 404


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("width", [360, 1440])
def test_a_weaver_measures_a_warp_and_the_next_plan_uses_it(
    demo: None, chromium: Browser, live_server: object, width: int
) -> None:
    pages = fresh(chromium, str(live_server), width)
    page = next(pages)
    page.goto("/warps/scarves")
    page.get_by_role("link", name="Project record").click()
    page.get_by_label("Width at the fell").fill("11 1/2")
    page.get_by_label("Width after the wet finish").fill("9.5")
    page.get_by_label("Threading, hours").fill("3:15")
    page.get_by_role("button", name="Save record").click()
    expect(page.get_by_role("row", name=re.compile("^draw-in"))).to_be_visible()
    expect(page.get_by_role("row", name=re.compile("^Threading, ends an hour"))).to_be_visible()
    page.goto("/warps-new")
    page.get_by_label("Name").fill("more scarves")
    page.get_by_label("Loom").select_option(value="porch")
    page.get_by_label("Draft").select_option(value="drafts/broken-twill.wif")
    page.get_by_label("Finished width").fill("9")
    page.get_by_label("Finished length").fill("60 in")
    page.get_by_role("button", name="Plan the warp").click()
    taught = page.get_by_role("region", name="Results from other warps")
    expect(taught.get_by_role("link", name="scarves").first).to_be_visible()
    taught.get_by_role("button", name=re.compile("^Use draw-in")).click()
    expect(page.get_by_role("heading", name="more scarves")).to_be_visible()
    expect(page.get_by_role("button", name=re.compile("^Use draw-in"))).to_have_count(0)
    expect(page.get_by_role("button", name=re.compile("^Undo: warp more scarves: draw-in"))).to_be_visible()
    next(pages, None)
