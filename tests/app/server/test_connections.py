"""Connections of other devices: a share for each, a reserve for this computer, a deadline for requests."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress

import pytest

from loomready.app.server import connections
from loomready.app.server.connections import Server, serve_on


@pytest.fixture
def roomy() -> Iterator[Server]:
    """A server with its real limits, for which every address but 127.0.0.1 is another device."""
    with running() as made:
        yield made


@pytest.fixture
def server(monkeypatch: pytest.MonkeyPatch) -> Iterator[Server]:
    """The same with limits that a test reaches soon."""
    monkeypatch.setattr(connections, "FOR_ONE", 4)
    monkeypatch.setattr(connections, "FOR_OTHERS", 6)
    monkeypatch.setattr(connections, "HEADERS_S", 0.6)
    monkeypatch.setattr(connections, "BODY_S", 0.4)
    monkeypatch.setattr(connections, "CHECKED_S", 0.1)
    with running() as made:
        yield made


@contextmanager
def running() -> Iterator[Server]:
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    made = serve_on(listening, answer, threads=2, channel_timeout=30, asyncore_loop_timeout=0.1)
    made.near = lambda address: address == "127.0.0.1"

    def run() -> None:
        with suppress(OSError):  # its socket is closed under it at the end
            made.run()

    threading.Thread(target=run, daemon=True).start()
    yield made
    made.close()


def answer(environ: dict[str, object], start: object) -> list[bytes]:
    start("200 OK", [("Content-Type", "text/plain"), ("Content-Length", "4")])  # type: ignore[operator]
    return [b"here"]


def connected(server: Server, source: str) -> socket.socket:
    return socket.create_connection(
        ("127.0.0.1", server.socket.getsockname()[1]), timeout=5, source_address=(source, 0)
    )


def asked(server: Server, source: str = "127.0.0.1") -> bytes:
    with connected(server, source) as wire:
        try:
            wire.sendall(b"GET / HTTP/1.0\r\nHost: here\r\n\r\n")
            return b"".join(iter(lambda: wire.recv(4096), b""))[-4:]
        except OSError:
            return b""


def test_one_address_holds_no_more_than_its_share_and_others_are_served(server: Server) -> None:
    with ExitStack() as held:
        for _ in range(4):
            held.enter_context(connected(server, "127.0.0.2"))
        time.sleep(0.3)
        assert asked(server, "127.0.0.2") == b""
        assert asked(server, "127.0.0.3") == b"here"
    time.sleep(0.3)
    assert asked(server, "127.0.0.2") == b"here"


def test_fifty_devices_keep_six_connections_each_and_one_more_device_is_served(roomy: Server) -> None:
    with ExitStack() as held:
        for device in range(50):
            for _ in range(6):
                held.enter_context(connected(roomy, f"127.0.2.{device + 1}"))
        assert asked(roomy, "127.0.3.1") == b"here"
        assert asked(roomy) == b"here"
        assert len(roomy.active_channels) >= 300


def test_this_computer_is_served_when_others_hold_all_of_theirs(server: Server) -> None:
    with ExitStack() as held:
        for n in range(6):
            held.enter_context(connected(server, f"127.0.1.{n + 1}"))
        time.sleep(0.3)
        assert asked(server, "127.0.1.9") == b""
        assert asked(server) == b"here"


@pytest.mark.parametrize("begun", [b"G", b"POST / HTTP/1.1\r\nHost: here\r\nContent-Length: 99\r\n\r\n"])
def test_a_request_that_trickles_is_cut_off(server: Server, begun: bytes) -> None:
    with connected(server, "127.0.0.2") as wire:
        began = time.monotonic()
        wire.sendall(begun)
        try:
            while time.monotonic() - began < 5:
                time.sleep(0.1)
                wire.sendall(b"x")
        except OSError:
            pass
        assert time.monotonic() - began < 4


def test_a_connection_that_is_kept_between_requests_is_not_late(server: Server) -> None:
    with connected(server, "127.0.0.2") as wire:
        for _ in range(2):
            wire.sendall(b"GET / HTTP/1.1\r\nHost: here\r\n\r\n")
            told = wire.recv(4096)
            while not told.endswith(b"here"):
                told += wire.recv(4096)
            time.sleep(0.9)
