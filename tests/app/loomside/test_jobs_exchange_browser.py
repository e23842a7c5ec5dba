"""A job's page and a server that is not the one it knew: another guild, an older home, a step refused."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.conf import settings
from playwright.sync_api import Browser, Page, expect

from loomready.app.loomside import remove_steps
from loomready.app.models import Fact
from loomready.app.state import facts
from loomready.loomside.log.facts import Fact as Step
from loomready.problems import BadInput
from tests.app.conftest import fresh
from tests.app.loomside.test_jobs_browser import done_next, done_of, wait_saved

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def phone(demo: None, chromium: Browser, live_server: object) -> Iterator[Page]:
    yield from fresh(chromium, str(live_server), 360)


def begin(phone: Page) -> None:
    phone.goto("/beside/towels/winding")
    phone.wait_for_load_state("networkidle")
    done_next(phone, 3)
    wait_saved(phone)
    assert done_of("towels", "winding")


def test_what_a_page_holds_goes_to_an_older_home_that_was_put_back(phone: Page) -> None:
    begin(phone)
    done = done_of("towels", "winding")
    Fact.objects.all().delete()
    for _ in range(60):
        if Fact.objects.exists():
            break
        phone.wait_for_timeout(200)
    wait_saved(phone)
    assert done_of("towels", "winding") == done


def test_what_a_browser_holds_goes_to_an_older_home_when_the_page_is_opened_again(phone: Page) -> None:
    begin(phone)
    done = done_of("towels", "winding")
    Fact.objects.all().delete()
    with phone.expect_response(lambda answer: answer.request.method == "POST" and "facts" in answer.url):
        phone.reload()
    wait_saved(phone)
    assert done_of("towels", "winding") == done


def test_a_page_of_another_guild_keeps_its_steps_and_says_whose_it_is(
    phone: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    begin(phone)
    before = Fact.objects.count()
    monkeypatch.setattr(settings, "SECRET_KEY", "the secret of another home")
    done_next(phone)
    expect(phone.get_by_text("This page belongs to the guild")).to_be_visible()
    expect(phone.get_by_text("not received")).to_be_visible()
    expect(phone.get_by_text("saved", exact=True)).to_be_hidden()
    assert Fact.objects.count() == before


def test_a_refused_step_stays_on_the_page_and_is_not_called_saved(
    phone: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    begin(phone)
    before = Fact.objects.count()

    def refuse(row: object) -> Step:
        raise BadInput("is not a step for this test")

    monkeypatch.setattr(facts.engine, "read", refuse)
    done_next(phone)
    expect(phone.get_by_text("did not accept 1 of your steps")).to_be_visible()
    expect(phone.get_by_text("not received · 1 saved here")).to_be_visible()
    monkeypatch.undo()
    phone.reload()
    wait_saved(phone)
    assert Fact.objects.count() == before + 1


def test_steps_that_the_owner_removed_leave_an_open_page_and_refused_ones_count_again(phone: Page) -> None:
    plan = "0" * 16
    facts.take("towels", [["weaving", plan, 1, 1, 1, 2**40, "f" * 16]], "here", trusted=True)
    phone.goto("/beside/towels/winding")
    phone.wait_for_load_state("networkidle")
    done_next(phone, 3)
    expect(phone.get_by_text("did not accept 2 of your steps")).to_be_visible()
    assert Fact.objects.count() == 1
    remove_steps.remove(remove_steps.latest(), warp="towels")
    wait_saved(phone)
    assert Fact.objects.count() == 2
    assert done_of("towels", "winding") == [(1, 23)]
