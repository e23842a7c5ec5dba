"""What pages at the loom and the server tell each other: whose steps, which are refused, what is held."""

from __future__ import annotations

import json
import random
from typing import Any

import pytest
from django.test import Client

from loomready.app.archive import backup_extras, import_review
from loomready.app.loomside import jobs_data
from loomready.app.models import Fact as Kept
from loomready.app.sharing.devices import Member
from loomready.app.sharing.roles import Role
from loomready.app.state import facts, store
from loomready.app.state.facts_quota import HOUR, MOST_AN_HOUR, Quota, Reached
from loomready.app.state.snapshot import current_snapshot
from loomready.loomside.log import facts as engine
from loomready.loomside.log.facts import MOST_COUNTER, Fact
from tests.app.devices import joined
from tests.app.loomside.test_jobs import HAND, OTHER, data_of, post

pytestmark = pytest.mark.django_db
PLAN, OTHER_PLAN = "0123456789abcdef", "fedcba9876543210"
OTHER_GUILD = "f" * 16


def send(weaver: Client, warp: str, rows: Any, guild: str) -> Any:
    body = json.dumps({"guild": guild, "facts": rows})
    return weaver.post(f"/beside/{warp}/facts", body, content_type="application/json")


def row(counter: int, first: int = 1, hand: str = HAND) -> list[Any]:
    return ["winding", PLAN, first, first, 1, counter, hand]


def test_facts_that_later_ones_replace_are_left_out_and_what_is_done_stays_the_same() -> None:
    chance, units = random.Random(7), 9
    same = {OTHER_PLAN: [(1, 4, 0), (6, 9, -1)]}
    for number in range(12):
        warp = f"warp-{number}"
        made = {
            Fact(
                "weaving",
                chance.choice([PLAN, OTHER_PLAN]),
                first := chance.randint(1, units),
                min(units, first + chance.choice([0, 0, 2])),
                chance.random() < 0.6,
                chance.randint(1, 5),
                chance.choice(["aaaaaaaa", "aaaaaaaa0", "bbbbbbbb"]),
            )
            for _ in range(60)
        }
        Kept.objects.bulk_create(facts.kept(warp, f"{warp}/{each.name}", each, "", None) for each in made)
        lasting = facts.of_job(warp, "weaving")
        assert len(lasting) == len({(each.plan, each.first, each.last) for each in made}) < len(made)
        for plan in (PLAN, OTHER_PLAN):
            now, all_of_them = (engine.state(each, units, plan, same) for each in (lasting, made))
            assert now.tolist() == all_of_them.tolist()


def test_what_many_phones_report_alike_is_counted_once(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked_at: list[int] = []
    real = engine.state

    def counted(rows: list[Fact], *asked: Any) -> Any:
        looked_at.append(len(rows))
        return real(rows, *asked)

    monkeypatch.setattr(engine, "state", counted)
    post(weaver, "towels", [row(at, at, f"{hand:08x}") for hand in range(30) for at in range(1, 11)])
    weaver.get("/")
    assert set(looked_at) == {10}


def test_steps_of_another_guilds_page_are_not_taken_and_the_answer_says_whose_address_it_is(
    weaver: Client,
) -> None:
    answer = send(weaver, "towels", [row(1)], OTHER_GUILD)
    assert answer.status_code == 409
    assert answer.json()["guild"] == current_snapshot().guild.name
    assert Kept.objects.count() == 0
    assert weaver.get(f"/beside/towels/facts?guild={OTHER_GUILD}").status_code == 409
    assert send(weaver, "towels", [row(1)], jobs_data.guild_id()).status_code == 200
    assert Kept.objects.count() == 1


def test_steps_that_cannot_be_read_are_named_in_the_answer(weaver: Client) -> None:
    told = post(weaver, "towels", [row(1), ["winding", PLAN, 0, "x", 1, 1, HAND], row(2, 2)])
    assert [place for place, _why in told["refused"]] == [1]
    assert "is not a step" in told["refused"][0][1]
    assert Kept.objects.count() == 2


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
    Kept.objects.filter(first=6).delete()
    again = weaver.get(f"/beside/towels/facts?after={told['last']}").json()
    assert again["held"] == [1, 1, 4, 4]


def test_steps_for_a_warp_that_never_was_here_are_refused(weaver: Client) -> None:
    answer = send(weaver, "nowhere", [row(1)], jobs_data.guild_id())
    assert answer.status_code == 400
    assert 'no warp "nowhere"' in answer.json()["word"]
    assert Kept.objects.count() == 0


def test_a_backup_brings_back_steps_of_a_warp_that_is_gone(weaver: Client) -> None:
    store.load([("facts", "gone", {"made": [row(1)]})], who="test")
    assert facts.aside() == [("gone", 1)]
    assert data_of(weaver, "/beside/towels/winding")["facts"] == []


def test_a_device_is_told_when_it_sends_more_steps_than_hands_can_do(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(facts, "quota", Quota(most=3))
    helper = joined(Role.HELPER, "Ada's phone")
    rows = [row(counter, counter) for counter in range(1, 6)]
    assert send(helper, "towels", rows[:3], jobs_data.guild_id()).status_code == 200
    answer = send(helper, "towels", rows, jobs_data.guild_id())
    assert answer.status_code == 429
    assert "more steps in an hour than is possible by hand" in answer.json()["word"]
    assert Kept.objects.count() == 3
    assert send(helper, "towels", rows[:3], jobs_data.guild_id()).status_code == 200  # those are not new
    assert send(weaver, "towels", rows, jobs_data.guild_id()).status_code == 200


def test_an_hour_later_a_device_may_send_again() -> None:
    now = [100.0]
    quota, device = Quota(clock=lambda: now[0]), Member("phone", Role.HELPER, 7)
    quota.spend(device, MOST_AN_HOUR)
    with pytest.raises(Reached) as caught:
        quota.spend(device, 1)
    assert caught.value.minutes == 60
    quota.spend(Member("another", Role.HELPER, 8), MOST_AN_HOUR)
    now[0] += HOUR
    quota.spend(device, MOST_AN_HOUR)


def test_the_owner_removes_a_devices_steps_and_puts_them_back(weaver: Client) -> None:
    helper = joined(Role.HELPER, "Ada's phone")
    post(weaver, "towels", [row(1, 1)])
    send(helper, "towels", [row(2, 2, OTHER), row(3, 3, OTHER)], jobs_data.guild_id())
    theirs = Kept.objects.exclude(device=None).first()
    assert theirs is not None
    before = weaver.get("/beside/towels/facts").json()
    which = {"who": "Ada's phone", "device": theirs.device, "until": before["last"]}
    assert helper.post("/steps/remove", which).status_code == 403
    assert "Ada&#x27;s phone" in weaver.get("/steps").content.decode()
    assert weaver.post("/steps/remove", which).status_code == 302
    told = weaver.get("/beside/towels/facts").json()
    assert told["facts"] == [row(1, 1)]
    assert len(told["removed"]) == 2
    # The phone still holds them and sends them again: they stay removed.
    again = post(helper, "towels", [row(2, 2, OTHER)])
    assert again["refused"] == []
    assert again["facts"] == [row(1, 1)]
    assert len(data_of(weaver, "/beside/towels/winding")["removed"]) == 2
    assert weaver.post("/steps/remove", which).status_code == 409
    assert weaver.post("/steps/back", {"batch": "1"}).status_code == 302
    back = weaver.get("/beside/towels/facts").json()
    assert sorted(back["facts"]) == sorted(before["facts"])
    assert back["held"] == before["held"]
    assert back["removed"] == []
    assert weaver.post("/steps/back", {"batch": "1"}).status_code == 409


def test_the_steps_of_one_job_of_a_warp_are_removed_alone(weaver: Client) -> None:
    post(weaver, "towels", [row(1), ["weaving", PLAN, 1, 4, 1, 2, HAND]])
    post(weaver, "scarves", [row(1)])
    last = str(Kept.objects.order_by("-pk")[0].pk)
    post(weaver, "towels", [row(3, 9)])  # came after the page was made
    which = {"warp": "towels", "job": "winding", "who": "here", "device": "", "until": last}
    weaver.post("/steps/remove", which)
    kept = sorted(Kept.objects.values_list("warp", "job", "first"))
    assert kept == [("scarves", "winding", 1), ("towels", "weaving", 1), ("towels", "winding", 9)]


def test_a_home_that_holds_a_counter_at_its_end_is_mended_by_removing_it(weaver: Client) -> None:
    facts.take("towels", [row(MOST_COUNTER)], "here", trusted=True)
    assert post(weaver, "towels", [row(MOST_COUNTER + 1, 2)])["refused"]
    last = Kept.objects.order_by("-pk")[0].pk
    weaver.post("/steps/remove", {"who": "here", "device": "", "until": last})
    assert post(weaver, "towels", [row(1, 2)])["refused"] == []


def test_removed_steps_do_not_come_back_with_a_backup_made_before(weaver: Client) -> None:
    post(weaver, "towels", [row(1)])
    things = backup_extras.things_in(backup_extras.text_of(current_snapshot()).encode())
    weaver.post("/steps/remove", {"who": "here", "device": "", "until": Kept.objects.order_by("-pk")[0].pk})
    assert import_review.compare(current_snapshot(), things).new == ()
    store.load(things, who="test")
    assert Kept.objects.count() == 0
