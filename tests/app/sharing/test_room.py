"""The room as it is: a real process on this machine's network, its owner, and others on their devices."""

from __future__ import annotations

import http.client
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, expect

from loomready.app.server.connections import FOR_ONE
from loomready.app.sharing import ip_addresses
from tests.app.access import violations
from tests.app.conftest import DRAFTS, PATIENCE_MS


@dataclass
class Room:
    """Where the guild answers: for whoever sits at this machine, and for everybody else."""

    here: str
    network: str
    browser: Browser

    def page(self, address: str, width: int, scheme: str = "light") -> Page:
        context = self.browser.new_context(
            base_url=address,
            viewport={"width": width, "height": 800},
            color_scheme="dark" if scheme == "dark" else "light",
        )
        context.set_default_timeout(PATIENCE_MS)
        return context.new_page()

    def owner(self) -> Page:
        page = self.page(self.here, 1440)
        page.goto("/guild")
        page.get_by_role("link", name="Share on this network").click()
        return page

    def code(self, owner: Page, role: str, name: str) -> str:
        owner.goto("/share")
        owner.get_by_label(role).check()
        owner.get_by_label("Whose device is it?").fill(name)
        owner.get_by_role("button", name="Make a code").click()
        expect(owner.get_by_role("heading", name=f"A code for {name}")).to_be_visible()
        return owner.locator(".code").inner_text()

    def phone(self, code: str, width: int = 360) -> Page:
        """A device that types the code."""
        page = self.page(self.network, width)
        page.goto("/shelf")
        expect(page.get_by_role("heading", name="Join this guild")).to_be_visible()
        page.get_by_label("Code").fill(code)
        page.get_by_role("button", name="Join").click()
        expect(page.get_by_role("heading", name="Tin Roof Loom Room")).to_be_visible()
        return page


@pytest.fixture(scope="module")
def opened(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Room]:
    if not ip_addresses.of_this_machine():
        pytest.fail("this test needs a machine in a network: another device's way in is not loopback")
    process = start(tmp_path_factory.mktemp("room") / "home", "0", "--demo")
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        found = re.fullmatch(
            r"loomready is open at (http://[\d.]+:\d+/) for the room, here at (http://127\.0\.0\.1:\d+/)"
            r"  \(Ctrl-C closes it\)\n",
            line,
        )
        assert found, line
        assert "//127." not in found.group(1)
        yield Room(found.group(2), found.group(1), chromium)
    finally:
        close(process)


@pytest.fixture
def room(opened: Room) -> Iterator[Room]:
    before = list(opened.browser.contexts)
    yield opened
    for each in set(opened.browser.contexts) - set(before):
        each.close()


def start(home: Path, port: str, *more: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "loomready", "open", "--home", str(home), "--port", port]
    return subprocess.Popen([*command, "--no-browser", "--share", *more], stdout=subprocess.PIPE, text=True)


def close(process: subprocess.Popen[str]) -> None:
    process.send_signal(signal.SIGINT)
    process.wait(timeout=20)


def test_a_helper_joins_by_the_network_weighs_and_is_named(room: Room) -> None:
    owner = room.owner()
    expect(owner.get_by_text(room.network, exact=True)).to_be_visible()
    phone = room.phone(room.code(owner, "Helper", "Wren"))
    expect(owner.get_by_role("button", name="Disconnect Wren")).to_be_visible()  # on its own
    shelf = room.page(room.here, 1440)
    shelf.goto("/shelf")

    phone.get_by_role("link", name="Shelf").click()
    phone.locator("#cottolin-green summary").click()
    phone.get_by_role("link", name="Weigh fern-big").click()
    phone.get_by_label("On the scale").fill("187")
    phone.get_by_role("button", name="Save weight").click()
    expect(phone.get_by_role("heading", name="Shelf")).to_be_visible()
    expect(shelf.locator("li", has_text="fern-big")).to_contain_text(
        "5.3 oz net",  # 187 g less 38 g; the page fetched itself again
    )

    phone.get_by_role("link", name="Warps").click()
    expect(phone.get_by_role("link", name="New warp")).to_have_count(0)
    phone.get_by_role("link", name="towels", exact=True).click()
    expect(phone.get_by_text("You can view this as a helper")).to_be_visible()
    expect(phone.get_by_role("textbox", name="Finished width")).to_be_disabled()
    phone.get_by_role("button", name="wound").click()
    expect(phone.locator(".tick.is-now")).to_have_text("wound")
    owner.goto("/guild")
    expect(owner.locator(".history li", has_text="cone fern-big")).to_contain_text("Wren")
    expect(owner.locator(".history li", has_text="progress of warp towels")).to_contain_text("Wren")


def test_two_who_change_the_same_thing_are_shown_both(room: Room) -> None:
    owner = room.owner()
    keeper = room.phone(room.code(owner, "Keeper", "Moss"))
    owner.goto("/looms/reed/8-dent")
    keeper.goto("/looms/reed/8-dent")
    bystander = room.page(room.here, 360)
    bystander.goto("/shelf/cone/fern-small/weigh")
    bystander.get_by_label("On the scale").fill("99")
    keeper.get_by_label("Width").fill("31 in")
    owner.get_by_label("Width").fill("32 in")
    keeper.get_by_role("button", name="Save reed").click()
    expect(keeper.get_by_role("heading", name="Looms")).to_be_visible()
    # What is being typed stays; a word says that something changed.
    expect(owner.get_by_text("Somebody changed something in the meantime.")).to_be_visible()
    expect(owner.get_by_label("Width")).to_have_value("32 in")
    expect(bystander.get_by_text("Somebody changed something in the meantime.")).to_be_hidden()
    owner.get_by_role("button", name="Save reed").click()
    expect(owner.get_by_role("heading", name="Two versions")).to_be_visible()
    expect(owner.get_by_role("row", name="Width")).to_contain_text("31 in")
    expect(owner.get_by_role("row", name="Width")).to_contain_text("32 in")
    owner.get_by_role("button", name="Save mine over theirs").click()
    keeper.goto("/guild")
    history = keeper.locator(".history li")
    expect(history.filter(has_text="31 in → 32 in")).to_contain_text("here")
    expect(history.filter(has_text="→ 31 in")).to_contain_text("Moss")


def test_a_scanned_code_fills_the_form_and_leaves_the_address(room: Room) -> None:
    owner = room.owner()
    code = room.code(owner, "Helper", "Larch")
    phone = room.page(room.network, 360)
    asked: list[str] = []
    phone.on("request", lambda request: asked.append(request.url))
    phone.goto(f"/join#{code}")
    expect(phone.get_by_label("Code")).to_have_value(code)
    assert phone.url == f"{room.network}join"
    phone.get_by_role("button", name="Join").click()
    expect(phone.get_by_text("Larch · helper")).to_be_visible()
    assert all(code not in url.partition("#")[0] for url in asked)


def test_a_withdrawn_device_is_out_without_touching_it(room: Room) -> None:
    owner = room.owner()
    phone = room.phone(room.code(owner, "Keeper", "Rue"))
    phone.goto("/shelf")
    owner.get_by_role("button", name="Disconnect Rue").click()
    expect(owner.get_by_role("button", name="Disconnect Rue")).to_have_count(0)
    expect(phone.get_by_role("heading", name="Join this guild")).to_be_visible()
    phone.goto("/warps")
    expect(phone.get_by_role("heading", name="Join this guild")).to_be_visible()


def test_the_pages_of_sharing_are_for_everyone(room: Room) -> None:
    found = []
    owner = room.owner()
    helper = room.phone(room.code(owner, "Helper", "Teasel"))
    pages = [("owner, with a code", owner), ("helper", helper)]
    for path, address, width, scheme in (
        ("/share", room.here, 360, "light"),
        ("/share", room.here, 1440, "dark"),
        ("/join", room.network, 360, "dark"),
    ):
        page = room.page(address, width, scheme)
        page.goto(path)
        pages.append((f"{path} {width} {scheme}", page))
    for path in ("/warps/towels", "/guild"):
        page = helper.context.new_page()
        page.goto(path)
        pages.append((f"{path} for a helper", page))
    for name, page in pages:
        found += [f"{name}: {line}" for line in violations(page)]
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            found.append(f"{name}: wider than the screen")
    assert found == []


def test_the_server_believes_the_socket_and_no_header(room: Room) -> None:
    network = room.network.removeprefix("http://").rstrip("/")
    for header in ("X-Forwarded-For", "X-Real-IP", "Forwarded", "X-Forwarded-Host", "Remote-Addr"):
        value = "for=127.0.0.1" if header == "Forwarded" else "127.0.0.1"
        assert asked(network, "/share", {header: value}) == (302, "/join")
    for host in ("127.0.0.1", f"127.0.0.1:{network.rpartition(':')[2]}"):
        assert asked(network, "/share", {"Host": host}) == (302, "/join")
    for host in ("rebound.example", "192.0.2.255"):
        assert asked(network, "/join", {"Host": host})[0] == 400
        assert asked(room.here.removeprefix("http://").rstrip("/"), "/share", {"Host": host})[0] == 400


@pytest.mark.parametrize(
    ("head", "body"),
    [
        ("Content-Length: 5000000", b""),
        ("Content-Length: 5000000\r\nCookie: a=b; device-=x; (", b""),
        ("Transfer-Encoding: chunked", b"5000\r\n" + b"a" * 0x5000 + b"\r\n" + b"5000\r\n"),
    ],
    ids=["announced", "odd cookie", "chunked"],
)
def test_a_stranger_is_turned_away_before_a_long_body_is_taken(room: Room, head: str, body: bytes) -> None:
    where = urlsplit(room.network)
    with socket.create_connection((where.hostname, where.port), timeout=10) as wire:
        wire.sendall(f"POST /join HTTP/1.1\r\nHost: {where.netloc}\r\n{head}\r\n\r\n".encode() + body)
        assert b" 413 " in wire.recv(100)


def test_a_device_that_joined_brings_in_long_files(room: Room) -> None:
    keeper = room.phone(room.code(room.owner(), "Keeper", "Reed"))
    long = (DRAFTS / "broken-twill.wif").read_bytes() + b"; woven in the shade of an old tree\r\n" * 1000
    keeper.goto("/drafts")
    keeper.get_by_label("WIF files").set_input_files(
        {"name": "long.wif", "mimeType": "text/plain", "buffer": long}
    )
    keeper.get_by_role("button", name="Import").click()
    expect(keeper.get_by_text("long.wif: already imported")).to_be_visible()  # it was read to its end


def test_a_device_that_keeps_all_its_connections_leaves_nobody_else_waiting(room: Room) -> None:
    network = room.network.removeprefix("http://").rstrip("/")
    kept = []
    try:
        for _each in range(FOR_ONE):
            connection = http.client.HTTPConnection(network, timeout=20)
            connection.request("GET", "/shelf")
            answer = connection.getresponse()
            answer.read()
            assert answer.status == 302
            kept.append(connection)
        with pytest.raises((OSError, http.client.HTTPException)):
            asked(network, "/join", {})
        assert asked(room.here.removeprefix("http://").rstrip("/"), "/share", {})[0] == 200
    finally:
        for each in kept:
            each.close()
    for _look in range(50):
        try:
            assert asked(network, "/join", {})[0] == 200
            break
        except (OSError, http.client.HTTPException):
            time.sleep(0.1)
    else:
        raise AssertionError("the connections that were closed are not free again")


def test_without_sharing_the_network_gets_no_answer(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "loomready", "open", "--home", str(tmp_path / "home"), "--port", "0"]
    process = subprocess.Popen([*command, "--no-browser"], stdout=subprocess.PIPE, text=True)
    try:
        assert process.stdout is not None
        (here,) = re.findall(r"http://([\d.:]+)/", process.stdout.readline())
        port = here.rpartition(":")[2]
        assert asked(here, "/share", {}) == (302, "/start")
        for address in ip_addresses.of_this_machine():
            with pytest.raises(ConnectionRefusedError):
                asked(f"{address}:{port}", "/share", {})
    finally:
        close(process)


def asked(server: str, path: str, headers: dict[str, str]) -> tuple[int, str]:
    """Status of the answer, and where it leads."""
    connection = http.client.HTTPConnection(server, timeout=20)
    try:
        connection.request("GET", path, headers=headers)
        answer = connection.getresponse()
        return answer.status, answer.headers.get("Location", "")
    finally:
        connection.close()


def test_a_device_stays_in_when_the_guild_is_opened_again(chromium: Browser, tmp_path: Path) -> None:
    home, state, port = tmp_path / "home", None, "0"
    for _turn in range(2):
        process = start(home, port, *([] if state else ["--demo"]))
        try:
            assert process.stdout is not None
            network, here = re.findall(r"http://[\d.:]+/", process.stdout.readline())
            room = Room(here, network, chromium)
            if state is None:
                port = network.rstrip("/").rpartition(":")[2]
                phone = room.phone(room.code(room.owner(), "Helper", "Wren"))
                state = phone.context.storage_state()
            else:
                context = chromium.new_context(base_url=network, storage_state=state)
                page = context.new_page()
                page.goto("/shelf")
                expect(page.get_by_role("heading", name="Shelf")).to_be_visible()
                context.close()
        finally:
            close(process)
