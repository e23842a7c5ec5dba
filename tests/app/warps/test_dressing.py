"""Other ways to dress a loom on the pages: what forms keep, and what pages at the loom ask for."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from loomready.app.forms import bands_form
from loomready.app.loomside.jobs_data import page_data, steps_of
from loomready.app.progress.warp_progress import progress_of
from loomready.app.state.snapshot import Planned, current_snapshot
from loomready.warp.result import WarpPlan
from tests.app.asking import form_of
from tests.demo.in_the_app import fill_home

pytestmark = pytest.mark.django_db


def planned(key: str) -> Planned:
    made = current_snapshot().plan_of(key)
    assert made is not None
    return made


def plan(key: str) -> WarpPlan:
    made = planned(key)
    assert made.plan is not None, made.error
    return made.plan


def change(client: Client, key: str, *unticked: str, **fields: str) -> None:
    """Fields of the planning page changed, ticks taken away."""
    address = f"/warps/{key}"
    posted = form_of(client, address) | fields
    answer = client.post(address, {name: text for name, text in posted.items() if name not in unticked})
    assert answer.status_code in (200, 302), answer.status_code


def save_loom(client: Client, key: str, **fields: str) -> int:
    address = f"/looms/loom/{key}"
    return client.post(address, form_of(client, address) | fields).status_code


def table(kind: str, key: str) -> dict[str, Any]:
    entry = current_snapshot().entry(kind, key)
    assert entry is not None
    return dict(entry.fields)


@pytest.fixture
def curtains(client: Client) -> Client:
    fill_home("sectional-curtains")
    return client


def test_a_tick_on_the_planning_page_winds_in_sections_or_in_bouts(curtains: Client) -> None:
    assert plan("curtains").sections is not None
    change(curtains, "curtains", "sectional")
    assert plan("curtains").sections is None
    assert "sectional" not in table("warps", "curtains")
    change(curtains, "curtains", sectional="yes")
    assert plan("curtains").sections is not None


def test_sections_on_a_plain_beam_are_refused_beside_their_field(curtains: Client) -> None:
    change(curtains, "curtains", "sectional")
    assert save_loom(curtains, "barn", section_width="", sections="") == 302
    address = "/warps/curtains"
    answer = curtains.post(address, form_of(curtains, address) | {"sectional": "yes"})
    assert "has no sectional beam" in answer.content.decode()
    assert plan("curtains").sections is None


def test_a_section_is_a_step_at_the_loom_and_beaming_is_no_job(curtains: Client) -> None:
    made = planned("curtains")
    assert made.plan is not None
    jobs = steps_of(made.plan, 685.8, None)
    assert "beaming" not in jobs
    assert [step["last"] for step in jobs["winding"]["steps"]] == [bout.last_end for bout in made.plan.bouts]
    data = page_data(current_snapshot(), made)
    assert data["order"] == ["winding", "threading", "sleying", "tying", "test-weave", "weaving"]
    assert data["words"]["bout_of"] == "section {a} of {n}"
    assert data["words"]["bout_end"].startswith("14.6 turns of the beam")


def test_a_warp_wound_in_sections_goes_on_with_threading(curtains: Client) -> None:
    curtains.post("/beside/curtains/tick", {"job": "winding"})
    at = progress_of(current_snapshot(), planned("curtains"))
    assert at.step == "wound"
    assert at.now is not None
    assert at.now.name == "threading"
    assert "beamed" not in at.steps


def test_what_is_measured_around_a_beam_is_said_once(curtains: Client) -> None:
    curtains.post("/beside/curtains/beam", {"around": "30 in", "version": ""})
    assert table("looms", "barn")["beam_around"] == "30 in"
    assert current_snapshot().guild.loom("barn").beam_around_mm == pytest.approx(762.0)


def test_what_was_measured_at_the_loom_counts_where_the_loom_says_nothing(weaver: Client) -> None:
    weaver.post("/beside/towels/beam", {"around": "24 in"})
    loom = plan("towels").loom
    assert loom.beam_around_mm == pytest.approx(609.6)
    assert "beam_around" not in table("looms", loom.key)


def test_the_guild_says_how_many_spools_its_rack_holds(curtains: Client) -> None:
    page = curtains.get("/guild").content.decode()
    assert "Spool rack holds" in page


@pytest.fixture
def napkins(client: Client) -> Client:
    fill_home("tied-on-napkins")
    return client


def test_a_tied_on_warp_has_a_job_of_knots_and_none_of_threading_or_sleying(napkins: Client) -> None:
    made = planned("napkins")
    data = page_data(current_snapshot(), made)
    assert data["order"] == ["winding", "tying-in", "beaming", "tying", "test-weave", "weaving"]
    knots = data["jobs"]["tying-in"]
    assert knots["units"] == plan("napkins").web.ends
    assert (knots["steps"][0]["old_first"], knots["steps"][0]["old_last"]) == (1, 12)
    assert knots["steps"][0]["runs"] == [(1, [("sand", 12)])]
    assert any("The threading stays" in line for line in knots["ready"])


def test_the_planning_page_ties_a_warp_on_to_another_of_its_loom_or_lets_it_go(napkins: Client) -> None:
    assert form_of(napkins, "/warps/napkins")["tied_to"] == "towels"
    change(napkins, "napkins", tied_to="", tied_waste="")
    assert plan("napkins").tied is None
    assert "threading" in page_data(current_snapshot(), planned("napkins"))["order"]
    change(napkins, "napkins", tied_to="towels", tied_waste="14 in")
    assert plan("napkins").tied is not None


def test_the_old_warp_is_not_removed_from_under_a_tied_on_one(napkins: Client) -> None:
    version = current_snapshot().entries["warps", "towels"].version
    answer = napkins.post("/warps/towels/remove", {"version": str(version), "sure": "yes"})
    assert current_snapshot().plan_of("towels") is not None
    assert "napkins" in answer.content.decode()


def test_a_change_of_the_old_warp_changes_the_one_that_is_tied_on(napkins: Client) -> None:
    before = plan("napkins")
    assert before.tied is not None
    change(napkins, "towels", finished_width="12 in", sure="wound")
    after = plan("napkins")
    assert after.tied is not None
    assert after.tied.alone


@pytest.fixture
def scarf(client: Client) -> Client:
    fill_home("direct-tie-up-scarf")
    return client


def test_a_pick_at_the_loom_says_which_foot_takes_which_treadles(scarf: Client) -> None:
    data = page_data(current_snapshot(), planned("scarf"))
    pick = data["jobs"]["weaving"]["stretches"][0]["repeat"][12]
    assert (list(pick["treadles"]), pick["feet"]) == ([1, 2, 3], "left foot 1 · right foot 2, 3")


def test_a_table_loom_is_woven_by_levers_once_its_treadles_are_taken_away(scarf: Client) -> None:
    address = "/looms/loom/finch"
    posted = form_of(scarf, address) | {"treadles": "0"}
    del posted["direct_tie_up"]
    assert scarf.post(address, posted).status_code == 302
    assert plan("scarf").treadles is None
    scarf.get("/looms")  # the note of what was saved names it, once
    assert "direct tie-up" not in scarf.get("/looms").content.decode()


def test_the_looms_page_names_the_direct_tie_up(scarf: Client) -> None:
    assert "4, direct tie-up" in scarf.get("/looms").content.decode()


@pytest.fixture
def shawls(client: Client) -> Client:
    fill_home("painted-shawls")
    return client


def test_bands_are_typed_in_one_field_and_kept_as_they_are(shawls: Client) -> None:
    before = table("warps", "shawls")["items"]
    change(shawls, "shawls", finished_width="21 in")
    assert table("warps", "shawls")["items"] == before
    change(shawls, "shawls", **{"items-1-painted": "12 in madder #A1583A, 1 1/2 ft; 30"})
    assert table("warps", "shawls")["items"][0]["painted"] == [
        {"length": "12 in", "dye": "madder", "color": "#a1583a"},
        {"length": "1.5 ft"},
        {"length": "30 in"},
    ]
    change(shawls, "shawls", **{"items-1-painted": ""})
    assert "painted" not in table("warps", "shawls")["items"][0]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("12 in indigo, madder", "begins with no length"),
        ("12 in, 0 in indigo", "Band 2"),
        ("90 in indigo", "The bands come to 90 in"),
    ],
)
def test_bands_that_cannot_be_are_told_beside_their_field(shawls: Client, text: str, told: str) -> None:
    before = table("warps", "shawls")
    posted = form_of(shawls, "/warps/shawls") | {"items-1-painted": text}
    answer = shawls.post("/warps/shawls", posted)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert table("warps", "shawls") == before


def test_bands_come_back_from_the_field_as_they_went_in() -> None:
    bands = [{"length": "12 in", "dye": "weld and iron", "color": "#556b2f"}, {"length": "4 cm"}]
    text = bands_form.as_text(bands)
    assert [bands_form.band_of(each, "in") for each in text.split(", ")] == bands


def test_the_planning_page_shows_the_warp_along_its_length(shawls: Client) -> None:
    page = shawls.get("/warps/shawls").content.decode()
    assert "8 bands, the knots at the left" in page
    assert "indigo to about pick 353" in str(
        page_data(current_snapshot(), planned("shawls"))["jobs"]["weaving"]
    )


def test_a_band_on_its_pages_has_a_job_of_winding_and_one_of_weaving(client: Client) -> None:
    fill_home("inkle-band")
    data = page_data(current_snapshot(), planned("strap"))
    assert data["order"] == ["winding", "weaving"]
    assert data["jobs"]["weaving"]["stretches"][0]["repeat"][0]["heddles"] == "open ends down"
    assert data["words"]["no_tie"] == "each end in turn through a heddle or open"
    client.post("/beside/strap/tick", {"job": "winding"})
    at = progress_of(current_snapshot(), planned("strap"))
    assert at.now is not None
    assert (at.step, at.now.name) == ("wound", "weaving")
    page = client.get("/warps/strap?strip=dents").content.decode()
    assert "no reed fits" not in page
