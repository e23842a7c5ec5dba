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
from loomready.app.sharing.addresses import is_loopback

CONNECTIONS = 600  # fifty phones, six to each as browsers open them, and as many again
FOR_OTHERS = 500  # of these, for other devices together: the rest is kept for this computer
FOR_ONE = 60  # for one address: ten phones behind one router
HEADERS_S = 10  # from the first byte of a request until its headers are there
BODY_S = 20  # more for its body, and a second for each SLOWEST bytes of it
UNREAD_S = 30  # without a byte of an answer read; and for all of it, and a second for each SLOWEST bytes
SLOWEST = 8_000  # bytes each second, of a body or of an answer
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

    def readable(self) -> bool:
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
        super().__init__(*args, **options)

    def set_socket_options(self, conn: socket.socket) -> None:
        super().set_socket_options(conn)
        conn.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, SEND_BUFFER)

    def handle_accept(self) -> None:
        before = set(self.active_channels)
        super().handle_accept()
        for fileno in set(self.active_channels) - before:
            channel = self.active_channels[fileno]
            if not self._welcome(channel):
                channel.handle_close()

    def _welcome(self, channel: TimedChannel) -> bool:
        address = channel.addr[0]
        if self.near(address):
            return True
        others = [each.addr[0] for each in self.active_channels.values() if not self.near(each.addr[0])]
        return len(others) <= FOR_OTHERS and others.count(address) <= FOR_ONE

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
                    if not self.near(channel.addr[0]):
                        self._threads[channel.addr[0]] += 1
                    self.task_dispatcher.add_task(channel)

    def _may_start(self, channel: TimedChannel) -> bool:
        # A connection whose last answer is still unread would pile up open files, or hold its thread.
        if channel.total_outbufs_len:
            return False
        if self.near(channel.addr[0]):
            return True
        theirs = self._threads[channel.addr[0]]
        return theirs < THREADS_FOR_ONE and self._threads.total() < THREADS_FOR_OTHERS

    def served(self, channel: TimedChannel) -> None:
        """A thread is free again."""
        if not self.near(channel.addr[0]):
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
