"""The form of a yarn: a count is read by the fiber and says so; an open one has a button for each reading."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client

from loomready.app.models import Record
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import form_of

pytestmark = pytest.mark.django_db

NEW = "/shelf/new-yarn"


def sent(weaver: Client, **typed: Any) -> Any:
    return weaver.post(NEW, form_of(weaver, NEW) | {"name": "Slate"} | typed)


def test_a_bare_count_is_read_by_its_fiber_and_form_and_shelf_say_so(weaver: Client) -> None:
    assert sent(weaver, count="10/2", fiber="cotton").status_code == 302
    assert Record.objects.get(kind="yarns", key="slate").fields["count"] == "10/2"
    assert current_snapshot().guild.yarn("slate").tex == pytest.approx(118.11, abs=0.01)
    page = weaver.get("/shelf/yarn/slate").content.decode()
    assert re.search(r'id="count-understood">read as 10/2 Ne \(4,200 yd/lb\)<', page)
    assert "10/2 (read as 10/2 Ne)" in weaver.get("/shelf").content.decode()


def test_an_open_count_offers_its_readings_and_one_press_saves_the_one_meant(weaver: Client) -> None:
    response = sent(weaver, count="2/8", fiber="wool")
    page = response.content.decode()
    assert response.status_code == 422
    assert "Which one?" in page
    buttons = re.findall(r'<button class="remedy" name="count" value="(.*?)">(.*?)</button>', page)
    assert buttons == [
        ("2/8 worsted", "2/8 worsted (2,240 yd/lb)"),
        ("2/8 Nm", "2/8 Nm (1,984 yd/lb)"),
        ("2/8 Yorkshire skein", "2/8 Yorkshire skein (1,024 yd/lb)"),
    ]
    # A browser sends the field and then the button that was pressed, both under one name.
    assert sent(weaver, count=["2/8", "2/8 Nm"], fiber="wool").status_code == 302
    assert current_snapshot().guild.yarn("slate").count == "2/8 Nm"


def test_enter_saves_what_was_typed_and_presses_no_reading(weaver: Client) -> None:
    page = sent(weaver, count="2/8", fiber="wool").content.decode()
    form = page[page.index("<fieldset") :]
    assert form.index('<button class="first" hidden>') < form.index('class="remedy"')


def test_a_plied_count_is_said_to_be_figured_before_twisting(weaver: Client) -> None:
    sent(weaver, count="8/2 Ne")
    assert "Twisting takes up length" in weaver.get("/shelf/yarn/slate").content.decode()
    assert "Twisting takes up length" not in weaver.get(NEW).content.decode()


def test_a_slip_elsewhere_leaves_the_reading_of_the_count_in_sight(weaver: Client) -> None:
    page = sent(weaver, count="10/2", fiber="perle cotton", price="dear").content.decode()
    assert "read as 10/2 Ne" in page
