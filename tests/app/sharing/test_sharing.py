"""Who is the owner, what a token is worth, and what the room hears."""

from __future__ import annotations

import io
import re
import socket
import sqlite3
import zipfile
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client, override_settings

from loomready.app.archive import backup_writer
from loomready.app.models import Code, Device
from loomready.app.server import upgrade
from loomready.app.sharing import change_poll, devices, ip_addresses
from loomready.app.sharing.roles import Role
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput
from tests.app.asking import form_of
from tests.app.devices import fill_history, guess, joined, phone

# Who is the owner


@pytest.mark.parametrize("peer", ["127.0.0.1", "127.8.9.1", "::1", "::ffff:127.0.0.1"])
def test_loopback_is_the_owner(demo: None, peer: str) -> None:
    assert phone(peer).get("/share").status_code == 200


@pytest.mark.parametrize(
    "peer", ["192.0.2.2", "10.0.0.1", "fe80::1", "::ffff:10.0.0.1", "", "localhost", "0.0.0.0"]
)
def test_no_other_peer_is_the_owner(demo: None, peer: str) -> None:
    assert phone(peer).get("/share").headers["Location"] == "/join"


@pytest.mark.parametrize(
    "header", ["X-Forwarded-For", "Forwarded", "X-Real-IP", "Host", "Client-IP", "X-Forwarded-Host"]
)
def test_no_header_makes_an_owner(demo: None, header: str) -> None:
    value = "for=127.0.0.1" if header == "Forwarded" else "127.0.0.1"
    assert phone().get("/share", headers={header: value}).headers["Location"] == "/join"


def test_the_owner_has_a_name_in_the_history_if_wished(weaver: Client) -> None:
    weaver.post("/share/name", {"name": "  Hazel  Loft "})
    fill = form_of(weaver, "/looms/reed/8-dent") | {"width": "31 in"}
    weaver.post("/looms/reed/8-dent", fill)
    assert "· Hazel Loft" in weaver.get("/guild").content.decode()
    weaver.post("/share/name", {"name": ""})
    assert devices.owner().name == "here"


def test_nobody_takes_anothers_name(demo: None, client: Client) -> None:
    client.post("/share/name", {"name": "Hazel"})
    for _each in range(2):
        joined(Role.HELPER, "hazel")
    joined(Role.HELPER, "Here")
    assert [each.name for each in devices.devices()] == ["hazel 2", "hazel 3", "Here 2"]
    answer = client.post("/share/name", {"name": "HAZEL 3"})
    assert answer.status_code == 422
    assert "A device has this name already" in answer.content.decode()
    assert devices.owner().name == "Hazel"


@pytest.mark.parametrize("name", ["x" * 41, "a\x07b", "\u202eevil"])
def test_a_name_is_one_short_line(demo: None, client: Client, name: str) -> None:
    with override_settings(ROOM=["192.0.2.2"]):
        answer = client.post("/share/code", {"role": "helper", "name": name})
    assert answer.status_code == 422
    assert "expected at most 40 letters" in answer.content.decode()
    assert not Code.objects.exists()


# Tokens


def test_the_token_lies_in_a_cookie_that_no_script_and_no_other_page_uses(demo: None) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    cookie = phone().post("/join", {"code": text}).cookies[devices.cookie_name()]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Strict"
    assert cookie["path"] == "/"
    assert len(cookie.value) >= 43  # 256 bits


def test_neither_code_nor_token_is_stored(demo: None, tmp_path: Path) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    client = joined(Role.HELPER)
    token = client.cookies[devices.cookie_name()].value
    held = str(list(Code.objects.values())) + str(list(Device.objects.values()))
    assert token not in held
    assert text not in held
    assert text.replace("-", "") not in held


def test_a_withdrawn_device_is_out_at_once(demo: None, client: Client) -> None:
    device = joined(Role.KEEPER)
    assert device.get("/shelf").status_code == 200
    client.post(f"/share/device/{devices.devices().get().pk}/withdraw")
    assert device.get("/shelf").headers["Location"] == "/join"
    assert device.get("/pulse").headers["Location"] == "/join"
    assert device.post("/shelf/cone/fern-big/weigh", {"gross": "1"}).headers["Location"] == "/join"
    swapped = device.get("/warps/towels", headers={"hx-request": "true"})
    assert swapped.headers["HX-Redirect"] == "/join"
    assert not swapped.content


def test_a_device_may_leave(demo: None) -> None:
    client = joined(Role.HELPER)
    client.post("/leave")
    assert not devices.devices().exists()
    assert client.get("/").headers["Location"] == "/join"


def test_a_device_with_another_code_changes_its_role(demo: None) -> None:
    client = joined(Role.HELPER, "Wren")
    text, _code = devices.invite(Role.KEEPER, "Wren")
    client.post("/join", {"code": text})
    assert [(each.name, each.role) for each in devices.devices()] == [("Wren", "keeper")]
    assert client.get("/shelf/new-yarn").content.count(b"disabled") == 0


def test_a_made_up_token_is_none(demo: None) -> None:
    client = phone()
    for value in ("", "x", "x" * 43, str(joined(Role.HELPER).cookies[devices.cookie_name()].value)[:-1]):
        client.cookies[devices.cookie_name()] = value
        assert client.get("/").headers["Location"] == "/join"


def test_a_hash_from_the_database_is_no_token(demo: None) -> None:
    joined(Role.HELPER)
    client = phone()
    client.cookies[devices.cookie_name()] = str(devices.devices().get().token)
    assert client.get("/").headers["Location"] == "/join"


def test_another_home_knows_neither_the_token_nor_the_code(demo: None) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    client = joined(Role.HELPER)
    token = client.cookies[devices.cookie_name()].value
    with override_settings(SECRET_KEY="another home's secret, " * 4):
        client.cookies[devices.cookie_name()] = token
        assert client.get("/").headers["Location"] == "/join"
        assert phone().post("/join", {"code": text}).status_code == 422


def test_last_seen_is_told_at_once_and_written_with_the_next_write(demo: None) -> None:
    client = joined(Role.HELPER)
    device = devices.devices().get()
    assert device.seen is not None
    client.get("/pulse")
    assert devices.listed()[0].seen == device.seen  # once a minute is enough
    long_ago = device.seen - timedelta(seconds=61)
    devices.devices().update(seen=long_ago)
    client.get("/pulse")
    assert devices.devices().get().seen == long_ago
    assert devices.listed()[0].seen >= device.seen  # type: ignore[operator]
    Client().post("/beside/towels/facts", "{}", content_type="application/json")
    assert devices.devices().get().seen >= device.seen  # type: ignore[operator]


@pytest.mark.django_db(transaction=True)
def test_a_backup_lets_nobody_in(tmp_path: Path, without_packets: None) -> None:
    """Written to a file of its own: a backup copies what is on the disk."""
    from loomready.app.archive.new_guild import begin_with

    begin_with("demo")
    devices.name_owner("Hazel")
    text, code = devices.invite(Role.HELPER, "Larch")
    client = joined(Role.KEEPER, "Moss")
    device = devices.devices().get()
    guess(3)
    source = Path(settings.DATABASES["default"]["NAME"])
    whole = tmp_path / "whole.sqlite3"
    upgrade.copy_database(source, whole)
    assert device.token is not None
    assert device.token.encode() in whole.read_bytes()
    packed = backup_writer.pack(current_snapshot(), "{}", source, lambda done, of: None)
    with zipfile.ZipFile(io.BytesIO(packed)) as zipped:
        kept = zipped.read("guild.sqlite3")
    for secret in (device.token, code.hash, client.cookies[devices.cookie_name()].value, text):
        assert secret.encode() not in kept
    place = tmp_path / "kept.sqlite3"
    place.write_bytes(kept)
    there = sqlite3.connect(place)
    assert there.execute("SELECT name, role FROM loomready_device").fetchall() == [("Hazel", "owner")]
    assert there.execute("SELECT count(*) FROM loomready_code").fetchone() == (0,)
    assert there.execute("SELECT count(*) FROM loomready_wrongcode").fetchone() == (0,)
    assert there.execute("SELECT count(*) FROM loomready_record").fetchone()[0] > 20
    there.close()


def test_a_copy_of_a_home_that_knows_no_devices_is_left_as_it_is(tmp_path: Path) -> None:
    place = tmp_path / "old.sqlite3"
    with sqlite3.connect(place) as old:
        old.execute("CREATE TABLE loomready_record (kind TEXT)")
        old.execute("INSERT INTO loomready_record VALUES ('guild')")
    old.close()
    devices.forget(place)
    kept = sqlite3.connect(place)
    assert kept.execute("SELECT kind FROM loomready_record").fetchall() == [("guild",)]
    kept.close()


# A page elsewhere


def test_a_foreign_host_is_not_answered(demo: None) -> None:
    with override_settings(ALLOWED_HOSTS=["127.0.0.1", "192.0.2.2"]):
        for host in ("rebound.example", "192.0.2.3", "192.0.2.2.example", "*"):
            assert Client().get("/", headers={"host": host}).status_code == 400
            assert phone().get("/join", headers={"host": host}).status_code == 400
        assert phone().get("/join", headers={"host": "192.0.2.2:8642"}).status_code == 200


@pytest.mark.parametrize("origin", ["http://elsewhere.example", "http://127.0.0.1:9999", "null"])
def test_a_foreign_origin_cannot_send(demo: None, origin: str) -> None:
    client = Client(enforce_csrf_checks=True)
    page = client.get("/share").content.decode()
    token = re.search(r'csrfmiddlewaretoken" value="([^"]+)', page)
    assert token
    answer = client.post(
        "/share/name", {"name": "x", "csrfmiddlewaretoken": token.group(1)}, headers={"origin": origin}
    )
    assert answer.status_code == 403
    assert devices.owner().name == "here"


def test_a_form_without_its_token_cannot_join(demo: None) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    assert phone(enforce_csrf_checks=True).post("/join", {"code": text}).status_code == 403
    assert not devices.devices().exists()


# This machine's addresses


def test_only_addresses_that_another_device_reaches_are_offered() -> None:
    for text in ip_addresses.of_this_machine():
        assert ip_addresses.is_in_a_network(text)
    for text in ("127.0.0.1", "0.0.0.0", "169.254.3.4", "224.0.0.1", "nonsense", ""):
        assert not ip_addresses.is_in_a_network(text)
    assert ip_addresses.is_in_a_network("192.168.1.20")


def test_every_address_that_is_offered_is_this_machines() -> None:
    for text in ip_addresses.of_this_machine():
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as own:
            own.bind((text, 0))  # fails for an address of another machine


def test_every_network_is_shown_and_one_is_chosen(
    demo: None, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ip_addresses, "of_this_machine", lambda: ["192.168.1.20", "10.8.0.3"])
    with override_settings(ROOM=["192.168.1.20"], ALLOWED_HOSTS=["testserver", "192.168.1.20"]):
        page = client.get("/share", headers={"host": "testserver"}).content.decode()
        assert '<p class="address big">http://192.168.1.20:80/</p>' in page
        assert "http://10.8.0.3:80/" in page
        other = client.get("/share", {"at": "http://10.8.0.3:80/"}).content.decode()
        assert '<p class="address big">http://10.8.0.3:80/</p>' in other
        evil = client.get("/share", {"at": "http://elsewhere.example/"}).content.decode()
        assert "elsewhere" not in evil
        assert phone().get("/join", headers={"host": "10.8.0.3"}).status_code == 200  # the machine moved


def test_without_a_network_there_is_nothing_to_share(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from loomready.app.server import serve

    monkeypatch.setattr(serve, "of_this_machine", list)
    with pytest.raises(BadInput, match="not on a network"):
        serve.open_guild(tmp_path / "home", 0, browser=False, begin=None, share=True)
    assert not (tmp_path / "home").exists()


def test_without_sharing_the_page_says_how(weaver: Client) -> None:
    assert "loomready open --share" in weaver.get("/share").content.decode()


# The pulse


def test_the_pulse_is_silent_until_something_changes(demo: None) -> None:
    client = joined(Role.HELPER)
    first = client.get("/pulse")
    mark = first.headers["ETag"]
    quiet = client.get("/pulse", headers={"if-none-match": mark})
    assert quiet.status_code == 304
    assert not quiet.content
    fill_history()
    loud = client.get("/pulse", headers={"if-none-match": mark})
    assert loud.status_code == 200
    assert loud.json()["pulse"] != first.json()["pulse"]


def test_the_pulse_turns_at_midnight(demo: None, monkeypatch: pytest.MonkeyPatch) -> None:
    before = change_poll.beat()

    class Tomorrow(date):
        @classmethod
        def today(cls) -> Any:
            return date.today() + timedelta(days=1)

    monkeypatch.setattr(change_poll, "date", Tomorrow)
    assert change_poll.beat() != before


def test_a_pulse_costs_few_questions_to_the_database(demo: None, django_assert_max_num_queries: Any) -> None:
    client = joined(Role.HELPER)
    mark = client.get("/pulse").headers["ETag"]
    with django_assert_max_num_queries(4):
        client.get("/pulse", headers={"if-none-match": mark})


def test_a_page_knows_the_beat_it_was_made_at(demo: None) -> None:
    client = joined(Role.KEEPER)
    page = client.get("/looms/reed/8-dent")
    assert f'<meta name="pulse" content="{change_poll.beat()}"' in page.content.decode()
    form = form_of(client, "/looms/reed/8-dent") | {"width": "33 in"}
    before = change_poll.beat()
    answer = client.post("/looms/reed/8-dent", form)
    assert answer.headers[change_poll.HEADER] == change_poll.beat() != before


def test_pages_of_an_unshared_guild_ask_for_no_pulse(weaver: Client) -> None:
    assert 'name="pulse"' not in weaver.get("/").content.decode()
    with override_settings(ROOM=["192.0.2.2"]):
        assert 'name="pulse"' in weaver.get("/").content.decode()
