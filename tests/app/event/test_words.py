"""Every word of the event's pages comes from the catalog; what is left are names and hours as typed."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from loomready.app.state.snapshot import current_snapshot
from tests.app.event.test_access import PAGES
from tests.app.i18n.test_words import names, unwrapped, wrapped

__all__ = ["wrapped"]  # a fixture


def typed() -> set[str]:
    guild = current_snapshot().guild
    assert guild.event is not None
    said = [
        guild.event.name,
        guild.currency or "",
        *(hours.text for each in guild.people for hours in each.hours),
    ]
    said += [name for each in guild.people for name in (each.key, each.name)]
    said += [each.name for each in (*guild.stands, *guild.classes)]
    said += [each.thing for each in guild.packing]
    said += [each.thing or "" for lesson in guild.classes for each in lesson.materials]
    said += [each.name[:most] for each in guild.warps for most in range(3, 9)]  # as much as a bar holds
    return set(re.findall(r"[^\W\d_]{2,}", " ".join(said))) | {"noon", "min"}


@pytest.mark.usefixtures("quick_plans")
def test_every_word_of_the_events_pages_comes_from_the_catalog(keeper: Client, wrapped: None) -> None:
    ours = names() | typed()
    for address in PAGES:
        page = keeper.get(address).content.decode()
        assert page.count("⟦") > 5, address
        assert (address, unwrapped(page) - ours) == (address, set())
