"""Balancing in the browser: where it is not symmetrical, offers used and undone, edges that match in the
plan."""

from __future__ import annotations

import io
import re
import threading
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from django.test import Client
from PIL import Image

from loomready.app.drafts import draft_preview, save_draft
from loomready.app.models import Record
from loomready.app.state.snapshot import current_snapshot
from loomready.app.workshop import balance as workshop_balance
from loomready.app.workshop import balance_picture
from loomready.draft.balance.balance import Balance, balance
from loomready.draft.draft import Draft, lift_plan
from loomready.model.guild import Side
from tests.app.asking import through
from tests.app.workshop.test_convert import asked, bring

pytestmark = pytest.mark.django_db


def leaning() -> Draft:
    """A point twill with one end on a wrong shaft."""
    return lift_plan([1, 2, 3, 4, 3, 3], [[1, 2], [2, 3], [3, 4], [1, 4]], title="Leaning point")


def point() -> Draft:
    return lift_plan([1, 2, 3, 4, 3, 2], [[1, 2], [2, 3], [3, 4], [1, 4]], title="Point")


def on_the_warp(draft: Draft, warp: str = "scarves") -> str:
    """A warp of the demo guild put on the draft."""
    key = bring(draft)
    record = Record.objects.get(kind="warps", key=warp)
    snapshot = current_snapshot()
    table = save_draft.fitted(snapshot, {**record.fields, "draft": key}, key, draft)
    Record.objects.filter(pk=record.pk).update(fields=table, version=record.version + 1)
    return key


def test_it_is_shown_where_the_draft_leans(weaver: Client) -> None:
    page = asked(weaver, f"/drafts/{bring(leaning())}/balance")
    assert (
        "Not symmetrical. It is closest to symmetrical about end 1; ends that don&#x27;t mirror: ends 2, 6."
        in page
    )
    assert page.count('class="leaning"') >= 3
    assert 'class="spoils"' in page
    assert "Change 1 end" in page
    assert "Heddles on each shaft" in page


def test_every_offer_can_be_taken_and_taken_back(weaver: Client) -> None:
    key = bring(leaning())
    offers = balance(leaning()).offers
    version = 1
    for number, offer in enumerate(offers):
        weaver.post(
            f"/drafts/{key}/balance", {"version": str(version), "offer": str(number), "as": "version"}
        )
        after = current_snapshot().drafts[key]
        assert after.threading.tolist() == offer.cloth.threading.tolist()
        assert balance(after).already
        undo = re.search(r'action="(/guild/undo/\d+)"', asked(weaver, f"/drafts/{key}/look"))
        assert undo
        weaver.post(undo.group(1), {"back": "/drafts"})
        assert current_snapshot().drafts[key].threading.tolist() == leaning().threading.tolist()
        version += 2


def test_an_offer_is_told_with_the_heddles_of_the_loom(weaver: Client) -> None:
    key = on_the_warp(leaning())
    page = asked(weaver, f"/drafts/{key}/balance")
    assert re.search(r'<a href="/warps/scarves">scarves</a>: (the heddles are in place|\d+ heddle)', page)


def test_an_offer_that_is_none_changes_nothing(weaver: Client) -> None:
    key = bring(leaning())
    answer = weaver.post(f"/drafts/{key}/balance", {"version": "1", "offer": "9", "as": "version"})
    assert answer.status_code == 422
    assert Record.objects.get(kind="drafts", key=key).version == 1


@pytest.mark.parametrize("about", ["200", "203", "61"])
def test_both_edges_of_the_planned_web_match(weaver: Client, about: str) -> None:
    key = on_the_warp(point())
    address = f"/drafts/{key}/balance"
    page = asked(weaver, address, about=about)
    for start, ends in re.findall(r'name="start" value="(\d+)".*?name="ends" value="(\d+)"', page):
        version = str(Record.objects.get(kind="drafts", key=key).version)
        weaver.post(address, {"version": version, "start": start, "ends": ends, "as": "version"})
        planned = current_snapshot().plan_of("scarves")
        assert planned is not None
        assert planned.plan is not None
        shafts = planned.plan.web.shaft
        shafts = shafts[shafts >= 0]
        assert np.array_equal(shafts, shafts[::-1])
        assert "Both edges match as it is." in asked(weaver, address)


def test_a_web_begun_otherwise_is_refused(weaver: Client) -> None:
    key = bring(point())
    answer = weaver.post(
        f"/drafts/{key}/balance", {"version": "1", "start": "3", "ends": "200", "as": "version"}
    )
    assert answer.status_code == 422
    assert Record.objects.get(kind="drafts", key=key).version == 1


def test_a_number_of_ends_that_is_none_is_said_beside_its_field(weaver: Client) -> None:
    answer = weaver.get(f"/drafts/{bring(point())}/balance", {"about": "many"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'value="many"' in page
    assert re.search(r'id="about-error">.*Expected a whole number of ends', page)


def test_a_web_of_thousands_of_ends_is_asked_for_its_repeat(weaver: Client) -> None:
    key = bring(lift_plan([1, 2, 3] * 1700, [[1], [2], [3]]))
    answer = weaver.get(f"/drafts/{key}/balance")
    assert answer.status_code == 422
    assert "5100 ends are too many for this page" in answer.content.decode()


@pytest.mark.parametrize("end_1", ["left", "right"])
def test_a_wide_repeat_is_drawn_from_afar_and_near_where_it_matters(end_1: Side) -> None:
    rng = np.random.default_rng(5)
    half = rng.integers(1, 41, 2000)
    threading = [*half, *half[-2:0:-1]]
    lifts = [sorted({int(shaft) for shaft in rng.integers(1, 41, 12)}) for _ in range(30)]
    wide = lift_plan([int(shaft) for shaft in threading], lifts, shafts=40)
    marked = (100, *range(3000, 3800))
    picture = balance_picture.leaning(wide, 4000, marked, end_1, "it is not symmetrical")
    assert len(picture) < 12_000
    captions = re.findall(r"Ends (\d+) to (\d+)<", picture)
    assert ("1984", "2015") in captions  # about the mirror line
    assert any(int(first) <= 100 <= int(last) for first, last in captions)
    assert [int(first) for first, _ in captions] == sorted(
        (int(first) for first, _ in captions), reverse=end_1 == "right"
    )
    afar = picture[: picture.index("</svg>")]
    assert afar.count("spoils") == 2
    at = [float(x) for x in re.findall(r'class="spoils" x="([\d.-]+)"', afar)]
    assert (at == sorted(at)) is (end_1 == "left")
    # A square for each end of a window, and its cloth.
    near = picture.split("<figure>")[1]
    assert near.count("h6v6h-6z") == 32
    name = re.findall(r"picture-(\w+)\.png", near)[0]
    with Image.open(io.BytesIO(draft_preview.held(name) or b"")) as cloth:
        assert cloth.size == (32 * 8, 24 * 8)


def test_a_small_repeat_is_drawn_end_for_end() -> None:
    small = lift_plan([1, 2, 3, 4, 3, 3], [[1, 2], [2, 3], [3, 4], [1, 4]])
    picture = balance_picture.leaning(small, 8, (6,), "right", "it is not symmetrical")
    assert picture.count("h6v6h-6z") == small.ends
    assert 'class="spoils" x="0"' in picture  # end 6 of 6, end 1 at the right
    assert "figure" not in picture


def test_a_draft_that_many_ask_for_at_once_is_looked_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    runs: list[Draft] = []

    def slow(draft: Draft) -> Balance:
        runs.append(draft)
        return balance(draft)

    monkeypatch.setattr(workshop_balance, "balance", slow)
    draft = leaning()
    with ThreadPoolExecutor(8) as pool:
        made = list(pool.map(lambda _number: workshop_balance.taken(draft, 0), range(16)))
    assert len(runs) == 1
    assert len({tuple(each.threading.tolist()) for each in made}) == 1


def long_draft() -> Draft:
    lifts = [[pick % 8 + 1, (pick + 3) % 8 + 1] for pick in range(40)]
    return lift_plan([end % 8 + 1 for end in range(901)], lifts, title="Long")


def test_a_long_draft_is_balanced_beside_the_page_and_once_for_all(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    runs: list[Draft] = []

    def counted(draft: Draft) -> Balance:
        runs.append(draft)
        return balance(draft)

    monkeypatch.setattr(workshop_balance, "balance", counted)
    key = bring(long_draft())
    address = f"/drafts/{key}/balance"
    answers = [weaver.get(address) for _time in range(3)]
    assert {answer.headers["Location"].split("/")[1] for answer in answers} == {"work"}
    assert len({answer.headers["Location"] for answer in answers}) == 1
    page = through(weaver, answers[0])
    assert page.wsgi_request.path == address  # type: ignore[attr-defined]
    assert "Not symmetrical" in page.content.decode()
    assert weaver.get(address).status_code == 200
    assert len(runs) == 1


def test_work_on_a_long_draft_that_was_canceled_can_begin_again(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    go_on = threading.Event()

    def waiting(draft: Draft) -> Balance:
        go_on.wait(20)
        return balance(draft)

    monkeypatch.setattr(workshop_balance, "balance", waiting)
    key = bring(long_draft())
    first = weaver.get(f"/drafts/{key}/balance").headers["Location"]
    assert weaver.post(f"{first}/cancel").headers["Location"] == f"/drafts/{key}/look"
    again = weaver.get(f"/drafts/{key}/balance")
    assert again.headers["Location"] != first
    go_on.set()
    assert "Not symmetrical" in through(weaver, again).content.decode()
