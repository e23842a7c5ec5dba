"""What is reported at the loom is the warp's progress on every page, and fixes what was done."""

from __future__ import annotations

import pytest
from django.test import Client

from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.model import dressing_order
from loomready.model.guild import Dressing
from tests.app.asking import form_of
from tests.app.loomside.test_jobs import HAND, data_of, plan_of, post

pytestmark = pytest.mark.django_db
TOWELS = "/warps/towels"


def report(weaver: Client, job: str, last: int, counter: int = 1, done: int = 1, warp: str = "towels") -> int:
    """Report the first units of a job done; how many it has."""
    held = data_of(weaver, f"/beside/{warp}/{job}")["jobs"][job]
    post(weaver, warp, [[job, held["plan"], 1, last or held["units"], done, counter, HAND]])
    units: int = held["units"]
    return units


def dress(way: Dressing) -> None:
    entry = current_snapshot().entry("guild", "guild")
    assert entry is not None
    store.write("guild", "guild", entry.fields | {"dressing": way}, version=entry.version, who="test")


@pytest.mark.parametrize("address", ["/", TOWELS, "/looms", "/warps"])
def test_every_page_tells_how_much_is_wound(weaver: Client, address: str) -> None:
    ends = report(weaver, "winding", 86)
    page = weaver.get(address).content.decode()
    assert f"winding, 86 of {ends} ends" in page


def test_a_job_reported_whole_is_done_and_the_next_one_is_named(weaver: Client) -> None:
    report(weaver, "winding", 0)
    home = weaver.get("/").content.decode()
    assert "beam the warp: towels" in home
    # Every end is wound: the warp is marked as wound automatically, so that its yarn is off the shelf.
    assert "wound" in Record.objects.get(kind="warps", key="towels").fields
    assert "Mark it here too" not in weaver.get(TOWELS).content.decode()
    report(weaver, "beaming", 0)
    assert "Mark it here too" in weaver.get(TOWELS).content.decode()


def test_a_ticked_step_counts_at_the_loom_too(weaver: Client) -> None:
    weaver.post(f"{TOWELS}/step", {"step": "beamed"})
    answer = weaver.get("/beside/towels")
    assert answer.headers["Location"] == "/beside/towels/threading"


def test_what_is_undone_at_the_loom_is_no_progress(weaver: Client) -> None:
    report(weaver, "winding", 86)
    report(weaver, "winding", 86, counter=2, done=0)
    page = weaver.get("/").content.decode()
    assert "winding, 86" not in page
    form = form_of(weaver, TOWELS) | {"finished_width": "12 in"}
    assert weaver.post(TOWELS, form).status_code == 302


def test_a_warp_of_which_some_ends_are_wound_is_changed_on_purpose_only(weaver: Client) -> None:
    ends = report(weaver, "winding", 86)
    before = dict(Record.objects.get(kind="warps", key="towels").fields)
    answer = weaver.post(TOWELS, form_of(weaver, TOWELS) | {"finished_width": "12 in"})
    assert answer.status_code == 422
    assert f"This warp is in progress: winding, 86 of {ends} ends." in answer.content.decode()
    assert Record.objects.get(kind="warps", key="towels").fields == before


@pytest.mark.parametrize("way", ["back to front", "front to back"])
@pytest.mark.parametrize("step", dressing_order.STEPS)
def test_a_warp_on_a_loom_is_put_on_another_on_purpose_only(weaver: Client, way: Dressing, step: str) -> None:
    dress(way)
    loom = next(each.key for each in current_snapshot().guild.looms if each.key != plan_of("towels").loom.key)
    form = form_of(weaver, TOWELS) | {"loom": loom}
    if step != "planned":
        weaver.post(f"{TOWELS}/step", {"step": step})
    form["version"] = str(Record.objects.get(kind="warps", key="towels").version)
    page = weaver.post(TOWELS, form).content.decode()
    on_loom = {"beaming", "threading"} & set(dressing_order.begun_at(step, way))
    assert ('<th scope="row">Loom</th>' in page) == bool(on_loom)


def test_a_warp_that_is_cut_off_is_on_no_loom_any_more(weaver: Client) -> None:
    there = f'<a href="{TOWELS}">'
    assert there in weaver.get("/").content.decode()
    weaver.post(f"{TOWELS}/step", {"step": "cut off"})
    assert there not in weaver.get("/").content.decode()
    assert there not in weaver.get("/looms").content.decode()
    assert there in weaver.get("/warps").content.decode()


def test_a_threaded_warp_is_told_of_no_heddles_to_move_and_an_off_warp_has_nothing_to_do(
    weaver: Client,
) -> None:
    def ticked(step: str) -> None:
        entry = current_snapshot().entry("progress", "towels")
        weaver.post(f"{TOWELS}/step", {"step": step, "version": entry.version if entry else ""})

    assert "heddles must move" in weaver.get(TOWELS).content.decode()
    ticked("threaded")
    assert "heddles must move" not in weaver.get(TOWELS).content.decode()
    assert "heddles must move" not in weaver.get("/").content.decode()
    ticked("cut off")
    assert "off the loom" in weaver.get("/beside/towels/weaving").content.decode()
    assert "/beside/towels" not in weaver.get("/beside").content.decode()
