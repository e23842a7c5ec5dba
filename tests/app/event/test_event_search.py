"""People and the pages of an event are found by the search, once there is an event."""

from __future__ import annotations

import re

from django.test import Client

from tests.app.asking import form_of


def links(client: Client, words: str) -> list[str]:
    page = client.get("/search", {"q": words}).content.decode()
    return re.findall(r'href="([^"]+)"', page[page.index("<main") :])


def test_people_are_found_by_name_and_by_what_they_can(keeper: Client) -> None:
    assert links(keeper, "clov")[0] == "/event/people/clover"
    assert {"/event/people/alder", "/event/people/bracken"} <= set(links(keeper, "demonstrating"))


def test_pages_of_an_event_are_found_while_there_is_one(keeper: Client) -> None:
    assert links(keeper, "pace")[0] == "/event/pace"
    assert "/event/order-list" in links(keeper, "order")
    assert keeper.post("/event/about/remove", form_of(keeper, "/event/about")).status_code == 302
    assert "/event/pace" not in links(keeper, "pace")
