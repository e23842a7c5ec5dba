"""How many connections other devices may hold, and how slowly they may send.

A device that opens connections and sends nothing, or a byte now and then, must not keep others out: each
address has a share, some connections are kept for this computer, and a request has a deadline.
"""

from __future__ import annotations

import time
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
SLOWEST = 8_000  # bytes each second, of a body
CHECKED_S = 1  # between looks for requests that are late


class TimedChannel(Channel):
    """A connection that records when its request began. Times are those of ``time.monotonic``."""

    began: float | None = None

    def received(self, data: bytes) -> Any:
        if self.began is None and data:
            self.began = time.monotonic()
        taken = super().received(data)
        if self.request is None:
            self.began = None
        return taken

    def late(self, now: float) -> bool:
        """Whether its request takes longer than any honest one."""
        began, request = self.began, self.request
        if began is None or request is None:
            return False
        if not request.headers_finished:
            return now - began > HEADERS_S
        return now - began > HEADERS_S + BODY_S + request.body_bytes_received / SLOWEST


class Server(TcpWSGIServer):
    """The server with its limits. ``near``: whether an address is this computer's own."""

    channel_class = TimedChannel
    near: Callable[[str], bool] = staticmethod(is_loopback)

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

    def maintenance(self, now: float) -> None:
        super().maintenance(now)
        at = time.monotonic()
        for channel in list(self.active_channels.values()):
            if channel.late(at):
                channel.will_close = True


def serve_on(listening: Any, application: Any, **adjustments: Any) -> Server:
    """The server on a socket that is bound already."""
    adjusted = Adjustments(connection_limit=CONNECTIONS, cleanup_interval=CHECKED_S, **adjustments)
    where = (listening.family, listening.type, listening.proto, listening.getsockname())
    return Server(application, _sock=listening, adj=adjusted, bind_socket=False, sockinfo=where)
