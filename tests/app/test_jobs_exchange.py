"""What pages at the loom and the server tell each other: whose steps, which are refused, what is held."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client

from loomready.app import store
from loomready.app.loomside import facts, jobs
from loomready.app.models import Fact
from loomready.app.room import open_room
from loomready.loomside.facts import MOST_COUNTER
from tests.app.test_jobs import HAND, OTHER, data_of, post

pytestmark = pytest.mark.django_db
PLAN = "0123456789abcdef"
OTHER_GUILD = "f" * 16


def send(weaver: Client, warp: str, rows: Any, guild: str) -> Any:
    body = json.dumps({"guild": guild, "facts": rows})
    return weaver.post(f"/beside/{warp}/facts", body, content_type="application/json")


def row(counter: int, first: int = 1, hand: str = HAND) -> list[Any]:
    return ["winding", PLAN, first, first, 1, counter, hand]


def test_steps_of_another_guilds_page_are_not_taken_and_the_answer_says_whose_address_it_is(
    weaver: Client,
) -> None:
    answer = send(weaver, "towels", [row(1)], OTHER_GUILD)
    assert answer.status_code == 409
    assert answer.json()["guild"] == open_room().guild.name
    assert Fact.objects.count() == 0
    assert weaver.get(f"/beside/towels/facts?guild={OTHER_GUILD}").status_code == 409
    assert send(weaver, "towels", [row(1)], jobs.guild_id()).status_code == 200
    assert Fact.objects.count() == 1


def test_steps_that_cannot_be_read_are_named_in_the_answer(weaver: Client) -> None:
    told = post(weaver, "towels", [row(1), ["winding", PLAN, 0, "x", 1, 1, HAND], row(2, 2)])
    assert [place for place, _why in told["refused"]] == [1]
    assert "no step" in told["refused"][0][1]
    assert Fact.objects.count() == 2


def test_a_counter_far_ahead_is_refused_so_that_later_steps_still_count(weaver: Client) -> None:
    told = post(weaver, "towels", [row(MOST_COUNTER, 1, OTHER), row(1, 2)])
    assert [place for place, _why in told["refused"]] == [0]
    assert "far ahead" in told["refused"][0][1]
    assert post(weaver, "towels", [row(2, 3)])["refused"] == []
    assert facts.highest_counter("towels") == 2


def test_a_phone_that_was_away_for_a_whole_warp_is_not_far_ahead(weaver: Client) -> None:
    rows = [row(counter, counter) for counter in range(30_000, 30_010)]
    assert post(weaver, "towels", rows)["refused"] == []


def test_the_answer_tells_what_the_server_holds(weaver: Client) -> None:
    told = post(weaver, "towels", [row(1, 4), row(2, 6)])
    assert told["held"] == [2, 3, 10, 10]
    Fact.objects.filter(first=6).delete()
    again = weaver.get(f"/beside/towels/facts?after={told['last']}").json()
    assert again["held"] == [1, 1, 4, 4]


def test_steps_for_a_warp_that_never_was_here_are_refused(weaver: Client) -> None:
    answer = send(weaver, "nowhere", [row(1)], jobs.guild_id())
    assert answer.status_code == 400
    assert 'no warp "nowhere"' in answer.json()["word"]
    assert Fact.objects.count() == 0


def test_a_backup_brings_back_steps_of_a_warp_that_is_gone(weaver: Client) -> None:
    store.load([("facts", "gone", {"made": [row(1)]})], who="test")
    assert facts.aside() == [("gone", 1)]
    assert data_of(weaver, "/beside/towels/winding")["facts"] == []
