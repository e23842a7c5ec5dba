"""Connections of other devices: shares, a reserve for this computer, deadlines to send and to read."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from io import BytesIO
from typing import Any

import pytest

from loomready.app.server import connections
from loomready.app.server.connections import Server, serve_on

LARGE = 6_000_000  # bytes: more than the system takes for a device that reads nothing
unread_files: list[BytesIO] = []


def answer_of(wire: socket.socket) -> bytes:
    """The whole answer, whose last word is "here"; what arrived until the other side closed."""
    told = b""
    while not told.endswith(b"here") and (part := wire.recv(4096)):
        told += part
    return told


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
    monkeypatch.setattr(connections, "UNREAD_S", 0.6)
    monkeypatch.setattr(connections, "SLOWEST", 200_000)
    monkeypatch.setattr(connections, "CHECKED_S", 0.1)
    monkeypatch.setattr(connections, "THREADS_FOR_OTHERS", 2, raising=False)
    monkeypatch.setattr(connections, "THREADS_FOR_ONE", 1, raising=False)
    with running() as made:
        yield made


@contextmanager
def running() -> Iterator[Server]:
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    made = serve_on(
        listening,
        answer,
        threads=3,
        channel_timeout=30,
        asyncore_loop_timeout=0.1,
        outbuf_high_watermark=100_000,
    )
    made.near = lambda address: address == "127.0.0.1"

    def run() -> None:
        with suppress(OSError):  # its socket is closed under it at the end
            made.run()

    threading.Thread(target=run, daemon=True).start()
    yield made
    made.close()


def answer(environ: dict[str, Any], start: Any) -> Iterable[bytes]:
    path = environ["PATH_INFO"]
    length = 4 if path == "/" else LARGE
    start("200 OK", [("Content-Type", "text/plain"), ("Content-Length", str(length))])
    if path == "/file":
        unread_files.append(BytesIO(bytes(LARGE)))
        return environ["wsgi.file_wrapper"](unread_files[-1])  # type: ignore[no-any-return]
    return [b"here"] if path == "/" else (bytes(50_000) for _ in range(LARGE // 50_000))


def asks_and_reads_nothing(server: Server, source: str, path: str, times: int = 1) -> socket.socket:
    wire = socket.socket()
    wire.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 32_768)
    wire.settimeout(5)
    wire.bind((source, 0))
    wire.connect(("127.0.0.1", server.socket.getsockname()[1]))
    wire.sendall(f"GET {path} HTTP/1.1\r\nHost: here\r\n\r\n".encode() * times)
    return wire


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


def reads_of_bytes(server: Server, source: str, monkeypatch: pytest.MonkeyPatch) -> int:
    """How often the server reads a body of 20 bytes that come one by one."""
    reads = []
    received = connections.TimedChannel.received
    monkeypatch.setattr(
        connections.TimedChannel,
        "received",
        lambda self, data: (reads.append(data), received(self, data))[1],
    )
    with connected(server, source) as wire:
        wire.sendall(b"POST / HTTP/1.1\r\nHost: here\r\nContent-Length: 20\r\n\r\n")
        for _byte in range(20):
            wire.sendall(b"x")
            time.sleep(0.02)
        assert answer_of(wire).endswith(b"here")
    return len(reads)


def test_bytes_that_another_device_sends_one_by_one_are_read_together(
    roomy: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert reads_of_bytes(roomy, "127.0.0.2", monkeypatch) <= connections.SOME_TINY + 6
    assert roomy._held == {} or roomy._held["127.0.0.2"] == 1


def test_a_body_in_many_pieces_is_not_held_up(roomy: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "TURN_S", 60)  # whoever had to wait for a turn would be late
    with connected(roomy, "127.0.0.2") as wire:
        wire.sendall(b"POST / HTTP/1.1\r\nHost: here\r\nContent-Length: 20000\r\n\r\n")
        for _piece in range(20):
            wire.sendall(b"x" * 1000)
            time.sleep(0.01)
        assert answer_of(wire).endswith(b"here")


def test_a_connection_that_ends_makes_room_for_another(server: Server) -> None:
    for _time in range(12):
        assert asked(server, "127.0.0.2") == b"here"
        time.sleep(0.05)


def test_a_connection_that_is_kept_between_requests_is_not_late(server: Server) -> None:
    with connected(server, "127.0.0.2") as wire:
        for _ in range(2):
            wire.sendall(b"GET / HTTP/1.1\r\nHost: here\r\n\r\n")
            assert answer_of(wire).endswith(b"here")
            time.sleep(0.9)


@pytest.mark.parametrize("path", ["/large", "/file"])
@pytest.mark.parametrize("times", [1, 20])
def test_others_are_served_while_one_address_leaves_its_answers_unread(
    server: Server, monkeypatch: pytest.MonkeyPatch, path: str, times: int
) -> None:
    monkeypatch.setattr(connections, "UNREAD_S", 60)
    with ExitStack() as held:
        for _ in range(4):
            held.enter_context(asks_and_reads_nothing(server, "127.0.0.2", path, times))
        time.sleep(0.3)
        assert asked(server) == b"here"
        assert asked(server, "127.0.0.3") == b"here"
        assert len(server.active_channels) >= 4


def test_this_computer_is_served_while_every_other_device_leaves_its_answers_unread(
    server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "UNREAD_S", 60)
    with ExitStack() as held:
        for n in range(6):
            held.enter_context(asks_and_reads_nothing(server, f"127.0.1.{n + 1}", "/large"))
        time.sleep(0.3)
        assert asked(server) == b"here"


@pytest.mark.parametrize("path", ["/large", "/file"])
def test_an_answer_that_nobody_reads_is_given_up_and_its_address_is_served_again(
    server: Server, path: str
) -> None:
    with asks_and_reads_nothing(server, "127.0.0.2", path, 4):
        time.sleep(0.3)
        assert server.active_channels
        until = time.monotonic() + 4
        while server.active_channels and time.monotonic() < until:
            time.sleep(0.1)
        assert not server.active_channels
        assert asked(server, "127.0.0.2") == b"here"


def test_an_answer_read_a_few_bytes_at_a_time_is_given_up(server: Server) -> None:
    with asks_and_reads_nothing(server, "127.0.0.2", "/large") as wire:
        began = time.monotonic()
        with suppress(OSError):
            while wire.recv(2_000) and time.monotonic() - began < 5:
                time.sleep(0.1)
                if not server.active_channels:
                    break
        assert not server.active_channels
        assert time.monotonic() - began < 4


def test_an_answer_is_given_up_below_a_least_speed_and_not_above_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "UNREAD_S", 30)
    monkeypatch.setattr(connections, "SLOWEST", 8_000)
    for speed, given_up in ((7_000, True), (20_000, False)):
        reading = connections.TimedChannel.__new__(connections.TimedChannel)
        reading.total_outbufs_len = 1  # something is left at all times
        found = []
        for second in range(600):
            found.append(reading.late(second))
            reading.taken += speed
            reading.taken_at = second
        assert any(found) == given_up


def test_a_slow_reader_gets_the_whole_answer(server: Server) -> None:
    with asks_and_reads_nothing(server, "127.0.0.2", "/large") as wire:
        began, got = time.monotonic(), 0
        while got < LARGE:
            told = wire.recv(65_536)
            assert told
            got += len(told)
            time.sleep(0.02)
        assert time.monotonic() - began > 2 * connections.UNREAD_S


def test_of_requests_sent_ahead_a_few_are_answered(server: Server) -> None:
    with connected(server, "127.0.0.2") as wire:
        wire.sendall(b"GET / HTTP/1.1\r\nHost: here\r\n\r\n" * 20)
        told = b"".join(iter(lambda: wire.recv(4096), b""))
    assert told.count(b"here") == connections.AHEAD
    assert told.count(b"Connection: close") == 1


def test_requests_sent_ahead_open_their_files_one_after_the_other(
    server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "UNREAD_S", 60)  # a busy machine does not end the connection
    unread_files.clear()
    server.adj.outbuf_high_watermark = 100 * LARGE
    with asks_and_reads_nothing(server, "127.0.0.2", "/file", 3) as wire:
        time.sleep(0.3)
        assert len(unread_files) == 1
        got = 0
        while got < 3 * LARGE:
            told = wire.recv(65_536)
            assert told
            got += len(told)
        assert len(unread_files) == 3
    time.sleep(0.3)
    assert all(each.closed for each in unread_files)
