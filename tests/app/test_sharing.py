"""Sharing in the room: who gets in, how, for how long, and what each may do."""

from __future__ import annotations

import io
import re
import socket
import sqlite3
import threading
import zipfile
from collections.abc import Iterator
from datetime import date, timedelta
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import connections
from django.test import Client, override_settings
from django.urls import URLPattern, URLResolver, get_resolver, resolve, reverse
from django.utils import timezone

from loomready.app import carry, store, upgrade
from loomready.app.models import Code, Device, Record, WrongCode
from loomready.app.room import open_room
from loomready.app.sharing import addresses, devices, pulse, qr
from loomready.app.sharing.roles import Role, needed, rule_of
from loomready.problems import BadInput
from tests.app.asking import PAGES, form_of

PHONE = "192.0.2.77"


def phone(address: str = PHONE, **more: Any) -> Client:
    """A browser on another device."""
    return Client(REMOTE_ADDR=address, **more)


def joined(role: Role, name: str = "") -> Client:
    """A device that came in by a code of this role."""
    text, _code = devices.invite(role, name)
    client = phone()
    assert client.post("/join", {"code": text}).status_code == 302
    return client


def patterns(resolver: URLResolver | None = None) -> Iterator[URLPattern]:
    for each in (resolver or get_resolver()).url_patterns:
        if isinstance(each, URLResolver):
            yield from patterns(each)
        else:
            yield each


NAMES = sorted(str(each.name) for each in patterns())
_SAMPLES = {"int": 1, "str": "x", "path": "drafts/x.wif", "slug": "x"}


def address_of(name: str) -> str:
    """An address of this name; what it names need not be there."""
    pattern = next(each for each in patterns() if each.name == name)
    samples = {
        key: _SAMPLES[type(converter).__name__.removesuffix("Converter").lower().replace("string", "str")]
        for key, converter in pattern.pattern.converters.items()
    }
    return reverse(name, kwargs=samples)


# The table of roles


def test_every_address_has_a_name_and_a_rule() -> None:
    assert [each.pattern for each in patterns() if not each.name] == []
    assert [name for name in NAMES if rule_of(name) is None] == []


def test_what_nobody_has_thought_about_is_the_owners() -> None:
    assert rule_of("cellar") is None
    assert needed("cellar", "GET") is needed("cellar", "POST") is Role.OWNER


@pytest.mark.parametrize(
    "name", ["guild-backup", "guild-bring", "guild-bring-confirmed", "sharing-code", "start"]
)
def test_a_whole_guild_and_who_is_let_in_are_the_owners(name: str) -> None:
    assert needed(name, "GET") is needed(name, "POST") is Role.OWNER


@pytest.mark.parametrize("role", [Role.HELPER, Role.KEEPER])
def test_every_address_keeps_to_the_table(demo: None, role: Role) -> None:
    client = joined(role)
    client.raise_request_exception = False  # what is not there, or means nothing, is no refusal
    for name in NAMES:
        if name in ("sharing-leave", "sharing-join"):
            continue
        for method, send in (("GET", client.get), ("POST", client.post)):
            refused = b"a keeper changes this" in (answer := send(address_of(name))).content
            refused |= b"only at the computer on which" in answer.content
            assert refused == (needed(name, method) > role), f"{method} {name}"
            assert not refused or answer.status_code == 403


@pytest.mark.parametrize("method", ["put", "delete", "patch"])
def test_a_method_that_is_not_looking_counts_as_sending(demo: None, method: str) -> None:
    assert getattr(joined(Role.HELPER), method)("/warps/towels").status_code == 403


def test_without_a_token_every_page_leads_to_the_door(demo: None) -> None:
    client = phone()
    for address in (*(address_of(name) for name in NAMES if name != "sharing-join"), "/nowhere"):
        for answer in (client.get(address), client.post(address)):
            assert answer.status_code == 302, address
            assert answer.headers["Location"] == "/join", address
    assert client.get("/join").status_code == 200


class _Forms(HTMLParser):
    """The addresses to which a page's forms send, but for those in a disabled set of fields."""

    def __init__(self, here: str) -> None:
        super().__init__()
        self.here, self.to, self.sends = here, "", set[str]()
        self.sets: list[bool] = []  # the sets of fields around, and whether each is disabled

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = dict(attrs)
        if tag == "form" and (has.get("method") or "get").lower() == "post":
            self.to = has.get("action") or self.here
        elif tag == "fieldset":
            self.sets.append("disabled" in has)
        elif tag == "button" and self.to and not any(self.sets) and has.get("type", "submit") == "submit":
            self.sends.add(has.get("formaction") or self.to)

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.to = ""
        elif tag == "fieldset":
            self.sets.pop()


_DRAFT = "/drafts/drafts/broken-twill.wif"
MORE_PAGES = (
    *("/drafts-new", "/make", "/make/point-twill", "/beside", "/beside/towels/threading"),
    *(f"{_DRAFT}/{each}" for each in ("tabby", "balance", "turn", "turn/treadles")),
    *(f"/warps/towels/{each}" for each in ("colors", "size")),
)


@pytest.mark.parametrize("role", [Role.HELPER, Role.KEEPER])
def test_no_page_shows_a_button_that_its_reader_may_not_use(demo: None, role: Role) -> None:
    fill_history()
    client, sent = joined(role), set[str]()
    for page in (*PAGES, *MORE_PAGES):
        forms, answer = _Forms(page), client.get(page)
        assert answer.status_code in ((403,) if page == "/share" else (200, 302)), page
        forms.feed(answer.content.decode())
        for address in forms.sends:
            name = str(resolve(address.partition("?")[0]).url_name)
            sent.add(name)
            assert needed(name, "POST") <= role, f"{page} sends to {name}"
    assert {"shelf-weigh", "warps-step"} <= sent
    assert ("warps-plan" in sent) == ("guild-undo" in sent) == (role is Role.KEEPER)


def fill_history() -> None:
    reed = Record.objects.get(kind="reeds", key="8-dent")
    store.write("reeds", "8-dent", reed.fields | {"width": "30 in"}, version=reed.version, who="here")


def test_the_owner_still_has_every_button(weaver: Client) -> None:
    page = weaver.get("/guild").content.decode()
    assert "Download a backup" in page
    assert "Share in the room" in page
    assert "disabled" not in page


def test_a_helper_weighs_and_the_history_says_who(demo: None) -> None:
    client = joined(Role.HELPER, "Wren")
    address = "/shelf/cone/fern-big/weigh"
    assert client.post(address, form_of(client, address) | {"gross": "180"}).status_code == 302
    assert Record.objects.get(kind="cones", key="fern-big").fields["gross"] == "180 g"
    assert "· Wren" in client.get("/guild").content.decode()


def test_a_helper_is_refused_with_a_word_and_nothing_changes(demo: None) -> None:
    client = joined(Role.HELPER)
    before = pulse.beat()
    answer = client.post("/looms/reed/8-dent", {"dents": "9 /in", "width": "20 in", "version": "1"})
    assert answer.status_code == 403
    assert "Only a keeper changes this" in answer.content.decode()
    assert pulse.beat() == before


def test_a_refusal_inside_a_page_takes_the_place_of_its_matter(demo: None) -> None:
    answer = joined(Role.HELPER).post("/warps/towels", {"version": "1"}, headers={"hx-request": "true"})
    assert answer.status_code == 403
    assert answer.headers["HX-Retarget"] == "main"
    assert "<html" not in answer.content.decode()


def test_a_keeper_edits_and_takes_back(demo: None) -> None:
    client = joined(Role.KEEPER, "Moss")
    address = "/looms/reed/8-dent"
    assert client.post(address, form_of(client, address) | {"width": "31 in"}).status_code == 302
    page = client.get("/guild").content.decode()
    assert "· Moss" in page
    number = re.search(r"/guild/undo/(\d+)", page)
    assert number
    client.post(number.group(0))
    assert Record.objects.get(kind="reeds", key="8-dent").fields["width"] != "31 in"


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
    assert "used already" in second.content.decode()
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
    monkeypatch.setattr(addresses, "of_this_machine", lambda: ["192.168.1.20"])
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


def guess(times: int, first: int = 0) -> list[int]:
    """Wrong codes from many devices."""
    return [
        phone(f"192.0.2.{10 + number}")
        .post(
            "/join",
            {
                "code": f"AAAA-{number:04d}".replace("0", "A")
                .replace("1", "C")
                .replace("5", "D")
                .replace("8", "E")
            },
        )
        .status_code
        for number in range(first, first + times)
    ]


def test_twenty_wrong_codes_of_all_together_close_the_door(demo: None, client: Client) -> None:
    text, _code = devices.invite(Role.HELPER, "")
    assert set(guess(20)) == {422}
    shut = phone("192.0.2.200").post("/join", {"code": text})
    assert shut.status_code == 429
    assert "Nobody can join for 10 minutes" in shut.content.decode()
    assert not devices.devices().exists()
    assert "Nobody can join for 10 minutes" in phone().get("/join").content.decode()
    with override_settings(ROOM=["192.0.2.2"]):
        assert "20 wrong codes came in" in client.get("/share").content.decode()


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
    assert "A code has 8 letters and figures" in answer.content.decode()
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
    own = addresses.of_this_machine()
    assert own, "this test needs a machine in a network"
    assert "http://127.0.0.1:80/" in phone(own[0]).get("/join").content.decode()
    assert "http://127.0.0.1" not in phone().get("/join").content.decode()


def test_what_was_typed_stays_in_the_form(demo: None) -> None:
    page = phone().post("/join", {"code": "KMQ", "name": "Wren"}).content.decode()
    assert 'value="KMQ"' in page
    assert 'value="Wren"' in page
    assert 'aria-describedby="code-help code-error"' in page


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


def test_last_seen_is_written_once_a_minute(demo: None, django_assert_num_queries: Any) -> None:
    client = joined(Role.HELPER)
    device = devices.devices().get()
    assert device.seen is not None
    client.get("/pulse")
    assert devices.devices().get().seen == device.seen
    devices.devices().update(seen=device.seen - timedelta(seconds=61))
    client.get("/pulse")
    assert devices.devices().get().seen > device.seen - timedelta(seconds=1)  # type: ignore[operator]


@pytest.mark.django_db(transaction=True)
def test_a_backup_lets_nobody_in(tmp_path: Path) -> None:
    """Written to a file of its own: a backup copies what is on the disk."""
    from loomready.app.beginnings import begin_with

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
    packed = carry.pack(open_room(), "{}", source, lambda done, of: None)
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
    for text in addresses.of_this_machine():
        assert addresses.is_in_a_network(text)
    for text in ("127.0.0.1", "0.0.0.0", "169.254.3.4", "224.0.0.1", "nonsense", ""):
        assert not addresses.is_in_a_network(text)
    assert addresses.is_in_a_network("192.168.1.20")


def test_every_address_that_is_offered_is_this_machines() -> None:
    for text in addresses.of_this_machine():
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as own:
            own.bind((text, 0))  # fails for an address of another machine


def test_every_network_is_shown_and_one_is_chosen(
    demo: None, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(addresses, "of_this_machine", lambda: ["192.168.1.20", "10.8.0.3"])
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
    from loomready.app import serve

    monkeypatch.setattr(serve, "of_this_machine", list)
    with pytest.raises(BadInput, match="in no network"):
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
    before = pulse.beat()

    class Tomorrow(date):
        @classmethod
        def today(cls) -> Any:
            return date.today() + timedelta(days=1)

    monkeypatch.setattr(pulse, "date", Tomorrow)
    assert pulse.beat() != before


def test_a_pulse_costs_few_questions_to_the_database(demo: None, django_assert_max_num_queries: Any) -> None:
    client = joined(Role.HELPER)
    mark = client.get("/pulse").headers["ETag"]
    with django_assert_max_num_queries(4):
        client.get("/pulse", headers={"if-none-match": mark})


def test_a_page_knows_the_beat_it_was_made_at(demo: None) -> None:
    client = joined(Role.KEEPER)
    page = client.get("/looms/reed/8-dent")
    assert f'<meta name="pulse" content="{pulse.beat()}"' in page.content.decode()
    form = form_of(client, "/looms/reed/8-dent") | {"width": "33 in"}
    before = pulse.beat()
    answer = client.post("/looms/reed/8-dent", form)
    assert answer.headers[pulse.HEADER] == pulse.beat() != before


def test_pages_of_an_unshared_guild_ask_for_no_pulse(weaver: Client) -> None:
    assert 'name="pulse"' not in weaver.get("/").content.decode()
    with override_settings(ROOM=["192.0.2.2"]):
        assert 'name="pulse"' in weaver.get("/").content.decode()
