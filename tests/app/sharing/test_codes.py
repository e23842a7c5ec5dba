"""Codes: short, for one device, soon over; and how many wrong ones close the door."""

from __future__ import annotations

import re
import threading
from datetime import timedelta

import pytest
from django.db import connections
from django.test import Client, override_settings
from django.utils import timezone

from loomready.app.models import Code, WrongCode
from loomready.app.sharing import devices, ip_addresses, qr
from loomready.app.sharing.roles import Role
from loomready.problems import BadInput
from tests.app.devices import guess, joined, phone

# Codes


def test_a_code_is_short_and_can_be_read_aloud(db: None) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    assert re.fullmatch(r"[A-Z2-9]{4}-[A-Z2-9]{4}", text)
    assert not set("0O1IL5S8BZ") & set(devices.ALPHABET)
    assert len(devices.ALPHABET) ** devices.LENGTH > 2**37


def test_a_code_lets_one_device_in(demo: None) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    assert phone().post("/join", {"code": text}).status_code == 302
    second = phone().post("/join", {"code": text})
    assert second.status_code == 422
    assert "already used" in second.content.decode()
    assert devices.devices().count() == 1


def test_a_code_may_be_typed_as_one_hears_it(demo: None) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    heard = f" {text.lower().replace('-', ' ')} "
    assert phone().post("/join", {"code": heard}).status_code == 302


def test_a_code_runs_out(demo: None) -> None:
    text, code = devices.invite(Role.HELPER, "")
    assert timedelta(minutes=9) < code.until - timezone.now() <= timedelta(minutes=10)
    Code.objects.filter(pk=code.pk).update(until=timezone.now() - timedelta(seconds=1))
    assert phone().post("/join", {"code": text}).status_code == 422
    assert not devices.devices().exists()


def test_a_code_can_be_withdrawn(demo: None, client: Client) -> None:
    text, code = devices.invite(Role.KEEPER, "")
    client.post(f"/share/code/{code.pk}/withdraw")
    assert phone().post("/join", {"code": text}).status_code == 422


def test_a_code_brings_its_name_or_leaves_it_to_the_one_who_joins(demo: None) -> None:
    for given, typed, wanted in (
        ("Loft tablet", "Rogue", "Loft tablet"),
        ("", "Wren", "Wren"),
        ("", "", "guest"),
    ):
        text, _code = devices.invite(Role.HELPER, given)
        phone().post("/join", {"code": text, "name": typed})
        assert devices.devices().last().name == wanted  # type: ignore[union-attr]


def test_a_code_in_the_address_does_nothing(demo: None) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    client = phone()
    assert client.get("/join", {"code": text}).status_code == 200
    assert client.post(f"/join?code={text}").status_code == 422
    assert not devices.devices().exists()


def test_the_page_shows_a_code_once_and_its_picture_holds_the_fragment(demo: None, client: Client) -> None:
    with override_settings(ROOM=["192.0.2.2"]):
        page = client.post("/share/code", {"role": "keeper", "name": "Wren"}).content.decode()
        found = re.search(r'id="the-code">([\w-]+)<', page)
        assert found
        assert "<svg" in page
        assert found.group(1) not in client.get("/share").content.decode()
        assert not re.search(rf'(href|action|src)="[^"]*{found.group(1)}', page)
        assert phone().post("/join", {"code": found.group(1)}).status_code == 302
    assert devices.devices().get().role == "keeper"


def test_what_is_scanned_is_the_door_with_the_code_behind_the_hash(
    demo: None, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ip_addresses, "of_this_machine", lambda: ["192.168.1.20"])
    with override_settings(ROOM=["192.168.1.20"], ALLOWED_HOSTS=["testserver"]):
        wall = client.get("/share").content.decode()
        ticket = client.post("/share/code", {"role": "helper"}).content.decode()
    found = re.search(r'id="the-code">([\w-]+)<', ticket)
    assert found
    assert qr.svg("http://192.168.1.20:80/") in wall
    assert qr.svg(f"http://192.168.1.20:80/join#{found.group(1)}") in ticket


@pytest.mark.parametrize("role", ["owner", "nobody", ""])
def test_no_code_makes_an_owner(demo: None, client: Client, role: str) -> None:
    assert client.post("/share/code", {"role": role}).status_code == 422
    assert not Code.objects.exists()


def test_an_unknown_role_in_the_table_of_devices_may_do_nothing(demo: None) -> None:
    client = joined(Role.HELPER)
    devices.devices().update(role="owner")
    assert client.get("/share").status_code == 403
    assert client.get("/").status_code == 403


# Guessing


def test_twenty_wrong_codes_of_all_together_close_the_door(demo: None, client: Client) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    assert set(guess(20)) == {422}
    shut = phone("192.0.2.200").post("/join", {"code": text})
    assert shut.status_code == 429
    assert "Nobody can join for 10 minutes" in shut.content.decode()
    assert not devices.devices().exists()
    assert "Nobody can join for 10 minutes" in phone().get("/join").content.decode()
    with override_settings(ROOM=["192.0.2.2"]):
        assert "20 wrong codes were entered" in client.get("/share").content.decode()


def test_nineteen_wrong_codes_leave_it_open(demo: None) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    guess(19)
    assert phone().post("/join", {"code": text}).status_code == 302


def test_the_owner_may_open_it_again(demo: None, client: Client) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    guess(20)
    client.post("/share/open-again")
    assert phone().post("/join", {"code": text}).status_code == 302


def test_it_opens_by_itself_ten_minutes_after_the_last(demo: None) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    guess(20)
    for each in WrongCode.objects.all():
        WrongCode.objects.filter(pk=each.pk).update(at=each.at - timedelta(minutes=9, seconds=50))
    assert phone().post("/join", {"code": text}).status_code == 429
    for each in WrongCode.objects.all():
        WrongCode.objects.filter(pk=each.pk).update(at=each.at - timedelta(seconds=11))
    assert phone().post("/join", {"code": text}).status_code == 302


def test_while_it_is_closed_a_guess_does_not_make_it_longer(demo: None) -> None:
    guess(20)
    until = devices.closed_until()
    assert set(guess(5, first=50)) == {429}
    assert devices.closed_until() == until


def test_wrong_codes_over_a_long_time_do_not_close_it(demo: None) -> None:
    guess(15)
    for each in WrongCode.objects.all():
        WrongCode.objects.filter(pk=each.pk).update(at=each.at - timedelta(minutes=11))
    guess(15, first=30)
    assert devices.closed_until() is None


@pytest.mark.parametrize("typed", ["", "KMQ", "KMQX-47930", "0OOO-1111", "ключи-ключ", "K" * 5000])
def test_what_cannot_be_a_code_is_a_slip_and_no_guess(demo: None, typed: str) -> None:
    answer = phone().post("/join", {"code": typed})
    assert answer.status_code == 422
    assert "A code has 8 letters and numbers" in answer.content.decode()
    assert not WrongCode.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_many_at_once_share_neither_a_code_nor_the_guesses() -> None:
    text, _code = devices.invite(Role.HELPER, "")
    got: list[str] = []

    def try_it(code: str) -> None:
        try:
            devices.join(code, "")
            got.append("in")
        except devices.Closed:
            got.append("closed")
        except BadInput:
            got.append("wrong")
        finally:
            connections.close_all()

    threads = [threading.Thread(target=try_it, args=(text,)) for _each in range(8)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert sorted(got) == ["in"] + ["wrong"] * 7
    got.clear()
    threads = [threading.Thread(target=try_it, args=("KMQX-4793",)) for _each in range(24)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert got.count("wrong") == devices.MOST_WRONG - 7
    assert WrongCode.objects.count() == devices.MOST_WRONG


def test_who_takes_the_long_way_to_this_machine_is_told_the_short_one(demo: None) -> None:
    own = ip_addresses.of_this_machine()
    assert own, "this test needs a machine in a network"
    assert "http://127.0.0.1:80/" in phone(own[0]).get("/join").content.decode()
    assert "http://127.0.0.1" not in phone().get("/join").content.decode()


def test_what_was_typed_stays_in_the_form(demo: None) -> None:
    page = phone().post("/join", {"code": "KMQ", "name": "Wren"}).content.decode()
    assert 'value="KMQ"' in page
    assert 'value="Wren"' in page
    assert 'aria-describedby="code-help code-error"' in page
