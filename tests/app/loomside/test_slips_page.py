"""The page of a test weave: picks, questions, cells, slips and mending, and that nothing of it is lost."""

from __future__ import annotations

import re

import numpy as np
import pytest
from django.test import Client

from loomready.app.archive import backup_extras
from loomready.app.models import Change
from loomready.app.state import store
from loomready.app.state import tested as records
from loomready.app.state.snapshot import open_room
from loomready.app.state.tested import KIND, WeaveSeen
from loomready.slips import at_loom
from loomready.slips.found import Slip
from loomready.slips.mending import mend
from tests.slips import webs

PAGE = "/beside/scarves/test-weave"
pytestmark = pytest.mark.django_db


def html(weaver: Client, address: str = PAGE) -> str:
    response = weaver.get(address)
    assert response.status_code == 200, response.content[-800:]
    return response.content.decode()


def version() -> str:
    entry = open_room().entry(KIND, "scarves")
    return str(entry.version) if entry else ""


def post(weaver: Client, **fields: object) -> str:
    """Where the post leads to."""
    response = weaver.post(PAGE, {"version": version(), **fields})
    assert response.status_code == 302, response.content[-800:]
    return str(response["Location"])


def planned() -> at_loom.Planned:
    there = open_room().plan_of("scarves")
    assert there is not None
    assert there.plan is not None
    return at_loom.on_loom(there.plan)


def test_the_page_lists_picks_asks_and_shows_cells(weaver: Client) -> None:
    shown = html(weaver)
    for text in ("Weave these picks", "Find a slip by questions", "compare the cloth", "Ends 1 to 8"):
        assert text in shown


def test_cells_that_differ_are_slips_with_steps_to_tick(weaver: Client) -> None:
    web = planned()
    tested, _ = records.of(open_room(), "scarves")
    assert tested.picks == ()
    shown = html(weaver)
    names = re.findall(r'name="differs" value="(\d+)-5"', shown)
    lifts = at_loom.picks_apart(web)
    if at_loom.own_are_enough(web):
        lifts = at_loom.own_picks(web)
    assert len(names) == len(lifts)
    cells = at_loom.cells_planned(web, lifts)
    other = next(
        shaft for shaft in range(lifts.shape[1]) if lifts[:, shaft].any() and shaft != web.threading[4]
    )
    differs = [f"{pick + 1}-5" for pick in range(len(lifts)) if cells[pick, 4] != lifts[pick, other]]
    where = post(weaver, do="cells", first=1, differs=differs)
    assert where == f"{PAGE}?end=9&saved=1#cells"
    shown = html(weaver)
    assert f"on shaft {other + 1}, planned on shaft {web.threading[4] + 1}" in shown
    assert "Mending" in shown
    action = re.search(r'name="action" value="([^"]*)"', shown)
    assert action is not None
    post(weaver, do="tick", action=action[1].replace("&#x27;", "'"))
    assert 'aria-pressed="true"' in html(weaver)
    post(weaver, do="unseen", first=1)
    assert "Mending" not in html(weaver)


def test_answers_narrow_in_the_address_and_the_slip_is_kept(weaver: Client) -> None:
    response = weaver.get(PAGE, {"words": "gap 7 in from the left"})
    address = response["Location"]
    shown = html(weaver, address)
    assert "empty dent" in shown
    said = re.findall(r'name="said" value="([^"]*)"', shown)
    where = post(weaver, do="keep", said=list(dict.fromkeys(said)))
    assert where == f"{PAGE}#found"
    shown = html(weaver)
    assert "an empty dent before it" in shown
    assert "sley again" in shown
    post(weaver, do="drop", slip=0)
    assert "an empty dent before it" not in html(weaver)


def test_words_that_mean_nothing_are_told_and_the_answers_stay(weaver: Client) -> None:
    response = weaver.get(PAGE, {"words": "help", "said": "at:40-43"}, follow=True)
    shown = response.content.decode()
    assert "is not understood" in shown
    assert 'value="at:40-43"' in shown


@pytest.mark.parametrize("text", ["at:0-9999", "rose:1:x", "looks:nice", "what"])
def test_an_address_that_no_page_leads_to_is_refused(weaver: Client, text: str) -> None:
    assert weaver.get(PAGE, {"said": text}).status_code == 422


def test_an_older_page_saves_nothing(weaver: Client) -> None:
    post(weaver, do="cells", first=1)
    response = weaver.post(PAGE, {"version": "", "do": "cells", "first": 9})
    assert "Somebody changed this" in response.content.decode()
    assert len(records.of(open_room(), "scarves")[0].windows) == 1


@pytest.mark.parametrize("fields", [{"do": "cells", "first": "2"}, {"do": "dance"}, {"do": "keep"}])
def test_posts_that_no_page_sends_are_refused(weaver: Client, fields: dict[str, str]) -> None:
    assert weaver.post(PAGE, {"version": "", **fields}).status_code == 422


def test_what_was_seen_is_in_the_backup(weaver: Client) -> None:
    post(weaver, do="cells", first=1, differs=["1-3"])
    entry = open_room().entry(KIND, "scarves")
    assert entry is not None
    assert records.checked("scarves", entry.fields) == entry.fields
    assert "tested" in backup_extras.text_of(open_room())


def test_a_warp_that_is_not_there_has_no_page(weaver: Client) -> None:
    assert weaver.get("/beside/nothing/test-weave").status_code == 404


def shown_by(web: at_loom.Planned, there: np.ndarray, lifts: np.ndarray, first: int) -> list[str]:
    """The cells of a window that differ between the plan and what stands on the loom."""
    cells = at_loom.cells_planned(web, lifts)
    real = np.pad(lifts, ((0, 0), (0, 1)))[:, there]
    ends = range(first - 1, min(first + 7, len(there), cells.shape[1]))
    return [
        f"{pick + 1}-{end + 1}"
        for pick in range(len(lifts))
        for end in ends
        if cells[pick, end] != real[pick, end]
    ]


@pytest.mark.parametrize("seed", range(6))
def test_secret_slips_are_found_by_comparing_two_windows(weaver: Client, seed: int) -> None:
    web, random = planned(), np.random.default_rng(seed)
    there, told = webs.with_slips(web.threading[8:-16], 1, random)
    ((kind, end, was, found),) = told
    there = np.concatenate([web.threading[:8], there, web.threading[-16:]])
    post(weaver, do="picks", which="test")
    tested, _ = records.of(open_room(), "scarves")
    lifts = at_loom.lifts_of(tested.picks, web.lifts.shape[1])
    first = end + 8 - (end + 7) % 8
    for start in (first, first + 8):
        post(weaver, do="cells", first=start, differs=shown_by(web, there, lifts, start))
    tested, _ = records.of(open_room(), "scarves")
    (slip,) = at_loom.outcome(web, lifts, tested.windows).slips
    assert (slip.kind, slip.end, slip.planned, slip.found) == (kind, end + 8, was, found)


def test_after_mending_the_comparison_begins_again(weaver: Client) -> None:
    post(weaver, do="keep", said=["at:40-40", "looks:gap"])
    action = re.search(r'name="action" value="([^"]*)"', html(weaver))
    assert action is not None
    assert "Compare the mended warp" not in html(weaver)
    post(weaver, do="tick", action=action[1])
    assert "Compare the mended warp" in html(weaver)
    post(weaver, do="again")
    shown = html(weaver)
    assert "an empty dent before it" not in shown
    assert "steps of mending done 1 → 0" in shown


def test_cells_that_no_slip_explains_are_told(weaver: Client) -> None:
    post(weaver, do="cells", first=9, differs=["1-11"])
    assert "1 cell differs, which no slip explains" in html(weaver)


@pytest.mark.parametrize("warp", ["scarves", "towels", "cushions", "nothing"])
def test_every_warp_of_the_guild_has_a_page(weaver: Client, warp: str) -> None:
    there = open_room().plan_of(warp)
    response = weaver.get(f"/beside/{warp}/test-weave", {"end": "99999"})
    assert response.status_code == (200 if there else 404)


def as_planned_now(web: at_loom.Planned) -> list[int]:
    return (web.threading + 1).tolist()


def test_slips_that_are_left_become_the_plan_and_one_undo_takes_that_back(weaver: Client) -> None:
    before = as_planned_now(planned())
    kept = Slip("crossed", 40, None, before[39], before[40], 99.0)
    mended = Slip("wrong shaft", 100, None, before[99], before[99] % 4 + 1, 99.0)
    web = planned()
    picks = at_loom.shafts_of(at_loom.own_picks(web))
    step = mend([kept, mended], 258, 4, web.loom)[0].actions[1].do
    store.write(
        KIND, "scarves", WeaveSeen(picks, (), (kept, mended), (step,)).fields(), version=None, who="me"
    )
    page = f"{PAGE}/plan"
    shown = html(weaver, page)
    assert "Change the plan" in shown
    version = re.search(r'name="version" value="(\d+)"', shown)
    assert version is not None
    assert weaver.post(page, {"version": version[1]}).status_code == 302
    after = as_planned_now(planned())
    assert after[39:41] == [before[40], before[39]]
    assert after[:39] + after[41:] == before[:39] + before[41:]
    assert "crossed: on shafts" not in html(weaver)
    last = Change.objects.order_by("-pk").first()
    assert last is not None
    weaver.post(f"/guild/undo/{last.pk}")
    assert as_planned_now(planned()) == before


def test_without_slips_there_is_nothing_to_plan(weaver: Client) -> None:
    assert "Change the plan" not in html(weaver, f"{PAGE}/plan")
    assert weaver.post(f"{PAGE}/plan", {"version": "1"}).status_code == 422
