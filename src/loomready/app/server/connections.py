"""How many connections other devices may hold, how slowly they may send and read, and whose request is next.

A device that opens connections and sends nothing, or a byte now and then, or leaves its answers unread, must
not keep others out: each address has a share of connections and threads, some of both are kept for this
computer, and requests and answers have a deadline.
"""

from __future__ import annotations

import socket
import threading
import time
from collections import Counter
from collections.abc import Callable
from typing import Any

from waitress.adjustments import Adjustments  # type: ignore[import-untyped]
from waitress.server import TcpWSGIServer  # type: ignore[import-untyped]

from loomready.app.server.refusals import Channel
from loomready.app.sharing.ip_addresses import is_loopback

CONNECTIONS = 600  # fifty phones, six to each as browsers open them, and as many again
FOR_OTHERS = 500  # of these, for other devices together: the rest is kept for this computer
FOR_ONE = 60  # for one address: ten phones behind one router
HEADERS_S = 10  # from the first byte of a request until its headers are there
BODY_S = 20  # more for its body, and a second for each SLOWEST bytes of it
UNREAD_S = 30  # without a byte of an answer read; and for all of it, and a second for each SLOWEST bytes
SLOWEST = 8_000  # bytes each second, of a body or of an answer
TINY = 512  # bytes; whoever sends so few at a time, more than SOME_TINY times in a request, is read in turns
SOME_TINY = 3
TURN_S = 0.5  # between two turns, in which all those are read together
ACCEPTED = 64  # connections, at most, before requests are read again
CHECKED_S = 1  # between looks for requests and answers that are late
AHEAD = 4  # requests that a connection may send before the first is answered: browsers send one
THREADS = 32
THREADS_FOR_OTHERS = 24  # of these, for other devices together
THREADS_FOR_ONE = 8  # for one address
FILES_EACH = 2  # open files of a connection: its socket, and the file that answers it
SEND_BUFFER = 128 * 1024  # bytes; with a large one the system would not say for minutes that a phone reads


class TimedChannel(Channel):
    """A connection that records when its request began and how its answer is read.

    Times are those of ``time.monotonic``.
    """

    began: float | None = None
    offered: float | None = None  # since when an answer waits to be read
    taken = 0  # bytes read since then
    taken_at = 0.0
    tiny = 0  # times that a few bytes of this request came
    is_far = False  # of another device

    def __init__(self, server: Any, sock: Any, addr: Any, adj: Any, map: Any = None) -> None:
        super().__init__(server, sock, addr, adj, map)
        self.is_far = not server.near(addr[0])
        server.came(self)

    def del_channel(self, map: Any = None) -> None:
        was_there = self._fileno in self.server.active_channels
        super().del_channel(map)
        if was_there:
            self.server.went(self)

    def readable(self) -> bool:
        if self.tiny > SOME_TINY and not self.server.is_turn:
            return False
        return self.connected and super().readable()

    def writable(self) -> bool:
        return self.connected and bool(super().writable())

    def received(self, data: bytes) -> Any:
        if self.began is None and data:
            self.began = time.monotonic()
        taken = super().received(data)
        self._keep_few()
        if self.request is None:
            self.began = None
        few = self.is_far and self.request is not None and len(data) < TINY
        self.tiny = self.tiny + 1 if few else 0
        return taken

    def _keep_few(self) -> None:
        """Of requests sent ahead, answer some and close: the sender asks again for the rest."""
        with self.requests_lock:
            if len(self.requests) <= AHEAD:
                return
            for each in self.requests[AHEAD:]:
                each.close()
            del self.requests[AHEAD:]
            self.requests[-1].headers["CONNECTION"] = "close"
            self.request = None

    def send(self, data: bytes, do_close: bool = True) -> int:
        sent: int = super().send(data, do_close=do_close)
        if sent:
            self.taken += sent
            self.taken_at = time.monotonic()
        return sent

    def handle_write(self) -> None:
        super().handle_write()
        if not self.total_outbufs_len:
            self.server.start_next()

    def handle_close(self) -> None:
        super().handle_close()
        self.server.start_next()

    def service(self) -> None:
        try:
            super().service()
        finally:
            self.server.served(self)

    def late(self, now: float) -> bool:
        """Whether its request, or the reading of its answer, takes longer than any honest one."""
        return self._sends_late(now) or self._reads_late(now)

    def _sends_late(self, now: float) -> bool:
        began, request = self.began, self.request
        if began is None or request is None:
            return False
        if not request.headers_finished:
            return now - began > HEADERS_S
        return now - began > HEADERS_S + BODY_S + request.body_bytes_received / SLOWEST

    def _reads_late(self, now: float) -> bool:
        if not self.total_outbufs_len:
            self.offered = None
            return False
        if self.offered is None:
            self.offered = self.taken_at = now
            self.taken = 0
        return now - self.taken_at > UNREAD_S or now - self.offered > UNREAD_S + self.taken / SLOWEST


class Server(TcpWSGIServer):
    """The server with its limits. ``near``: whether an address is this computer's own."""

    channel_class = TimedChannel
    near: Callable[[str], bool] = staticmethod(is_loopback)

    def __init__(self, *args: Any, **options: Any) -> None:
        self._turns = threading.Lock()
        self._waiting: list[TimedChannel] = []  # each has a request to answer
        self._threads: Counter[str] = Counter()  # by address, of other devices
        self._held: Counter[str] = Counter()  # connections, likewise
        self._none_waits = False
        # Each look at all connections takes a millisecond or two: hundreds that send a byte now and then must
        # not make the server look at every byte.
        self.is_turn = True
        self._next_turn = 0.0
        super().__init__(*args, **options)

    def readable(self) -> bool:
        """Asked first of all, before each look at the connections."""
        now = time.monotonic()
        self.is_turn = now >= self._next_turn
        if self.is_turn:
            self._next_turn = now + TURN_S
        return bool(super().readable())

    def set_socket_options(self, conn: socket.socket) -> None:
        super().set_socket_options(conn)
        conn.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, SEND_BUFFER)

    def handle_accept(self) -> None:
        """Take all who wait to connect, so that one look at the connections serves for many."""
        for _each in range(ACCEPTED):
            self._none_waits = False
            super().handle_accept()
            if self._none_waits:
                return

    def accept(self) -> tuple[socket.socket, Any] | None:
        """A connection, unless its address or all others together have theirs; those are closed at once."""
        taken: tuple[socket.socket, Any] | None = super().accept()
        if taken is None:
            self._none_waits = True
        elif not self._welcome(taken[1][0]):
            taken[0].close()
            return None
        return taken

    def _welcome(self, address: str) -> bool:
        if self.near(address):
            return True
        return self._held.total() < FOR_OTHERS and self._held[address] < FOR_ONE

    def came(self, channel: TimedChannel) -> None:
        if channel.is_far:
            self._held[channel.addr[0]] += 1

    def went(self, channel: TimedChannel) -> None:
        address = channel.addr[0]
        if channel.is_far:
            self._held[address] -= 1
            if self._held[address] <= 0:
                del self._held[address]

    def add_task(self, channel: TimedChannel) -> None:
        with self._turns:
            self._waiting.append(channel)
        self.start_next()

    def start_next(self) -> None:
        """Give a thread to every request that may have one now."""
        if not self._waiting:
            return
        with self._turns:
            for channel in list(self._waiting):
                if self._may_start(channel):
                    self._waiting.remove(channel)
                    if channel.is_far:
                        self._threads[channel.addr[0]] += 1
                    self.task_dispatcher.add_task(channel)

    def _may_start(self, channel: TimedChannel) -> bool:
        # A connection whose last answer is still unread would pile up open files, or hold its thread.
        if channel.total_outbufs_len:
            return False
        if not channel.is_far:
            return True
        theirs = self._threads[channel.addr[0]]
        return theirs < THREADS_FOR_ONE and self._threads.total() < THREADS_FOR_OTHERS

    def served(self, channel: TimedChannel) -> None:
        """A thread is free again."""
        if channel.is_far:
            with self._turns:
                self._threads[channel.addr[0]] -= 1
                self._threads += Counter()  # forgets addresses without a thread
        self.start_next()

    def maintenance(self, now: float) -> None:
        super().maintenance(now)
        at = time.monotonic()
        for channel in list(self.active_channels.values()):
            if channel.late(at) or channel.will_close:
                # Not left to the loop: it would wait until the other side reads again.
                channel.handle_close()


def serve_on(listening: Any, application: Any, **adjustments: Any) -> Server:
    """The server on a socket that is bound already."""
    adjusted = Adjustments(
        **{"threads": THREADS, **adjustments}, connection_limit=CONNECTIONS, cleanup_interval=CHECKED_S
    )
    where = (listening.family, listening.type, listening.proto, listening.getsockname())
    return Server(application, _sock=listening, adj=adjusted, bind_socket=False, sockinfo=where)
