"""The planning page says what is so, and a first plan is not a dead end."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from loomready.app.cones import shelf
from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.app.warps import planning
from loomready.report.as_json import warp_as_json
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests.app.asking import form_of

pytestmark = pytest.mark.django_db


def test_a_refused_change_never_stands_beside_a_ready_plan(weaver: Client) -> None:
    assert "Ready to wind" in weaver.get("/warps/scarves").content.decode()
    form = form_of(weaver, "/warps/scarves") | {"finished_width": "wide"}
    page = weaver.post("/warps/scarves", form).content.decode()
    assert "Ready to wind" not in page
    assert "nothing is saved" in page


def test_the_plan_shows_the_width_asked_for_beside_the_one_it_gives(weaver: Client) -> None:
    page = " ".join(weaver.get("/warps/scarves").content.decode().split())
    assert 'Finished width</span> <strong>9.49 in <small class="quiet">(asked for 9.5 in)</small>' in page
    form = form_of(weaver, "/warps/scarves") | {"finished_width": "9.49 in"}
    assert "asked for 9.49" not in weaver.post("/warps/scarves", form).content.decode()


def test_a_first_plan_begins_with_a_draft_the_loom_can_weave(weaver: Client) -> None:
    snapshot = current_snapshot()
    for loom in snapshot.guild.looms:
        form = planning.new_form(snapshot, loom.key)
        order = [snapshot.drafts[key].shafts > loom.shafts for key, _words in form["draft"].choices]
        assert form["loom"].text == loom.key
        assert order == sorted(order)
        assert all(
            words.endswith(f"{snapshot.drafts[key].shafts} shafts") for key, words in form["draft"].choices
        )
        if not all(order):
            assert snapshot.drafts[form["draft"].text].shafts <= loom.shafts


def test_yarn_that_is_far_too_short_still_leads_somewhere(weaver: Client) -> None:
    address = "/shelf/cone/fern-big/weigh"
    weaver.post(address, form_of(weaver, address) | {"gross": "39"})
    page = weaver.get("/warps/towels").content.decode()
    assert "Cottolin, fern green is short" in page
    assert "weigh another cone" in page
    assert '<a href="/warps/towels/colors">choose other yarns</a>' in page
    assert "weigh another cone" not in weaver.get("/warps/scarves").content.decode()


def test_a_plan_that_is_stopped_prints_only_all_the_same(weaver: Client) -> None:
    assert "Print the packet" in weaver.get("/warps/towels").content.decode()
    address = "/shelf/cone/fern-big/weigh"
    weaver.post(address, form_of(weaver, address) | {"gross": "90"})
    page = weaver.get("/warps/towels").content.decode()
    assert '<button class="plain">Print anyway</button>' in page
    assert "Print the packet" not in page


def claim(yarn: str) -> tuple[str, str]:
    """What the towels need of a yarn and what they took of it, as the shelf says it."""
    row = next(row for row in shelf.rows(current_snapshot()) if row.yarn.key == yarn)
    return next((each.length, each.took) for each in row.claims if each.warp == "towels")


def test_a_wound_and_weighed_warp_is_not_counted_on_the_shelf_again(weaver: Client) -> None:
    need = next(need for need in planned("towels").yarns if need.uses and need.weft_m == 0)
    needed, took = claim(need.yarn.key)
    assert took == ""
    weaver.post("/warps/towels/step", {"step": "wound"})
    assert claim(need.yarn.key) == ("", needed)
    for use in need.uses:
        address = f"/shelf/cone/{use.cone}/weigh"
        weaver.post(address, form_of(weaver, address) | {"gross": "60"})
    assert claim(need.yarn.key) == ("", needed)


def planned(key: str) -> WarpPlan:
    made = current_snapshot().plan_of(key)
    assert made is not None
    assert made.plan is not None
    return made.plan


def test_what_a_cut_off_warp_used_is_gone_until_its_cones_are_weighed_again(weaver: Client) -> None:
    needs = planned("towels").yarns
    before = {need.yarn.key: claim(need.yarn.key)[0] for need in needs}
    weaver.post("/warps/towels/step", {"step": "cut off"})
    assert {need.yarn.key: claim(need.yarn.key)[1] for need in needs} == before
    for need in needs:
        for cone in (each for each in current_snapshot().guild.cones if each.yarn == need.yarn.key):
            address = f"/shelf/cone/{cone.key}/weigh"
            weaver.post(address, form_of(weaver, address) | {"gross": f"{cone.tare_g + 1:.0f} g"})
    assert {need.yarn.key: claim(need.yarn.key) for need in needs} == {
        key: ("", length) for key, length in before.items()
    }
    assert not planned("towels").problems


def test_a_slip_is_said_in_the_weavers_words(weaver: Client) -> None:
    form = form_of(weaver, "/warps/scarves") | {"wound": "soon", "items-1-count": "some"}
    page = weaver.post("/warps/scarves", form).content.decode()
    assert "is not a date; expected a date like 2026-10-03" in page
    assert "is not a whole number; expected a whole number from" in page
    assert "quotes" not in page


def test_the_guild_chooses_its_units_by_name(weaver: Client) -> None:
    assert "US: inches, yards, ounces" in weaver.get("/guild").content.decode()


@pytest.mark.parametrize(
    "wound", [(), ("scarves",), ("towels", "cushions"), ("scarves", "cushions", "towels")]
)
def test_the_app_plans_as_the_command_line_does(weaver: Client, wound: tuple[str, ...]) -> None:
    """Each page plans its warp with little of the others: what it knows of them has to be enough."""
    bare = {each.order.key: each.plan for each in current_snapshot().planned}
    for key in wound:
        record = Record.objects.get(kind="warps", key=key)
        store.write("warps", key, record.fields | {"wound": "2026-09-20"}, version=record.version, who="x")
    snapshot = current_snapshot()
    for planned, plan in zip(
        snapshot.planned, plan_guild(snapshot.guild, snapshot.drafts).warps, strict=True
    ):
        assert planned.plan is not None
        assert warp_as_json(planned.plan) == warp_as_json(plan)
        before = bare[planned.order.key]
        assert before is not None
        assert plan.web.ends == before.web.ends  # what is wound keeps its ends, whatever reed is left


def test_a_new_warp_begins_with_another_yarn_for_the_weft_of_the_same_size(weaver: Client) -> None:
    yarns = list(Record.objects.filter(kind="yarns").order_by("position"))
    address = "/warps-new"
    typed = form_of(weaver, address) | {
        "key": "runner",
        "finished_width": "12 in",
        "items-1-finished_length": "40 in",
    }
    assert weaver.post(address, typed).status_code == 302
    made = Record.objects.get(kind="warps", key="runner").fields
    assert not set(made["warp_yarns"]) & set(made["weft_yarns"])
    like = {
        each.key: (each.fields["fiber"], each.fields["count"]) for each in yarns if "count" in each.fields
    }
    assert like[made["weft_yarns"][0]] == like[made["warp_yarns"][0]]


def test_the_plan_tells_what_the_yarn_costs_where_each_has_a_price(weaver: Client) -> None:
    assert re.search(
        r"Cost of the yarn</span> <strong>\d+\.\d\d USD", weaver.get("/warps/scarves").content.decode()
    )
    yarn = Record.objects.get(kind="yarns", key="wool-rust")
    fields = {name: value for name, value in yarn.fields.items() if name != "price"}
    store.write("yarns", yarn.key, fields, version=yarn.version, who="x")
    page = weaver.get("/warps/scarves").content.decode()
    assert "Cost of the yarn" not in page
    assert "; costs " in page


def test_a_row_of_a_piece_holds_its_draft_weft_and_picks_where_there_are_several(weaver: Client) -> None:
    page = weaver.get("/warps/scarves").content.decode()
    row = page[page.index('aria-label="Piece 2"') :]
    row = row[: row.index("<details")]
    assert re.findall(r'name="items-2-([\w-]+)"', row) == [
        *("finished_length", "count", "draft", "weft_yarns-1", "ppi", "hem", "fringe"),
    ]
    sent = form_of(weaver, "/warps/scarves") | {"items-2-ppi": "18 /in"}
    weaver.post("/warps/scarves", sent)
    assert Record.objects.get(kind="warps", key="scarves").fields["items"][1]["ppi"] == "18 /in"


def test_edges_that_do_not_catch_the_weft_are_told_with_a_button_for_floating_selvedges(
    weaver: Client,
) -> None:
    without = {
        name: text for name, text in form_of(weaver, "/warps/scarves").items() if "floating" not in name
    }
    assert "Add floating selvedges" not in weaver.get("/warps/scarves").content.decode()
    weaver.post("/warps/scarves", without)
    page = weaver.get("/warps/scarves").content.decode()
    assert 'name="floating_selvedges" value="yes">Add floating selvedges' in page
    weaver.post("/warps/scarves", form_of(weaver, "/warps/scarves") | {"floating_selvedges": "yes"})
    assert "Add floating selvedges" not in weaver.get("/warps/scarves").content.decode()
