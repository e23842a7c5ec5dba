"""Two hundred addresses send bodies a byte at a time: the owner's page still answers.

The addresses are all of this computer (127.9.1.1 and so on); the server is told that they are other devices.
"""

from __future__ import annotations

import random
import socket
import statistics
import tempfile
import threading
import time
from pathlib import Path

from benchmarks.soak.result import Result
from benchmarks.soak.server import Browser, Server

ADDRESSES, EACH = 200, 3
EVERY_S = 0.05  # between two bytes of a connection
MOST_S = 60.0  # of the run: half without the crowd, half with it
MOST_P95_S, MOST_TIMES = (
    0.5,
    6.0,
)  # of the owner's page beside the crowd: this, or so much of the same without it
OTHERS = (
    "from loomready.app.sharing import addresses; addresses.is_loopback = lambda text: text == '127.0.0.1'; "
    "from loomready.cli import main; main()"
)


class Crowd:
    def __init__(self, port: int) -> None:
        self.port, self.stop = port, threading.Event()
        self.sent = 0
        self.head = (
            f"POST /join HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Length: 15000\r\n"
            "Content-Type: application/x-www-form-urlencoded\r\n\r\n"
        ).encode()

    def run(self) -> None:
        chance = random.Random(1)
        wires = [self._opened(number) for number in range(ADDRESSES * EACH)]
        due = [time.monotonic() + chance.random() * EVERY_S for _wire in wires]
        while not self.stop.is_set():
            now = time.monotonic()
            for number, wire in enumerate(wires):
                if due[number] > now:
                    continue
                due[number] = now + EVERY_S
                try:
                    if wire is None:
                        wires[number] = self._opened(number)
                    else:
                        self.sent += wire.send(b"a")
                except BlockingIOError:
                    continue
                except OSError:
                    wires[number] = None
            time.sleep(0.005)
        for wire in wires:
            if wire is not None:
                wire.close()

    def _opened(self, number: int) -> socket.socket | None:
        wire = socket.socket()
        wire.settimeout(2)
        try:
            wire.bind((f"127.9.1.{number % ADDRESSES + 1}", 0))
            wire.connect(("127.0.0.1", self.port))
            wire.sendall(self.head)
        except OSError:
            wire.close()
            return None
        wire.setblocking(False)
        return wire


def run(seconds: float, seed: int) -> Result:
    result, half = Result("bodies that trickle"), min(seconds, MOST_S) / 2
    with tempfile.TemporaryDirectory(prefix="soak-") as folder:
        server = Server(Path(folder) / "home", "--demo", script=OTHERS)
        if not server.ready():
            result.faults.append("the server does not open")
            return result
        browser = Browser(server.address)
        browser.get("/")
        alone = _looks(browser, half)
        crowd = Crowd(int(server.address.rsplit(":", 1)[1]))
        thread = threading.Thread(target=crowd.run)
        thread.start()
        time.sleep(2)
        sent = crowd.sent
        beside = _looks(browser, half)
        sent = crowd.sent - sent
        crowd.stop.set()
        thread.join()
        server.close()
    if beside > max(MOST_P95_S, MOST_TIMES * alone):
        result.faults.append(f"the owner's page takes {beside:.2f} s, {alone:.2f} s without the crowd")
    result.figures = {
        "connections tried": f"{ADDRESSES} addresses, {EACH} each, {sent / half:,.0f} bytes a second in all",
        "home page, 95 % within": f"{alone:.3f} s alone, {beside:.3f} s beside them",
    }
    return result


def _looks(browser: Browser, seconds: float) -> float:
    took, until = [], time.monotonic() + seconds
    while time.monotonic() < until:
        begin = time.perf_counter()
        browser.get("/")
        took.append(time.perf_counter() - begin)
        time.sleep(0.2)
    return statistics.quantiles(took, n=20)[-1]
