"""Phones at the loom and people who edit, all at once: no errors, and the memory stays."""

from __future__ import annotations

import json
import random
import statistics
import sys
import tempfile
import threading
import time
from http.client import HTTPException
from pathlib import Path

from benchmarks.soak.result import Result
from benchmarks.soak.server import Browser, Server, rows

PHONES, WRITERS = 50, 5
PAUSE_S = 3.0  # of a phone between two exchanges, as the page has it; and the longest after unanswered ones
LONGEST_PAUSE_S = 60.0
LOOK_AT = ("/", "/shelf", "/warps/towels", "/beside/towels/winding", "/drafts", "/guild", "/steps")
PARTS = 6  # of the run, in which the memory is compared
FLAT_SHARE = 0.05  # that the last part may hold more than the one in the middle


class Crowd:
    def __init__(self, address: str, seed: int) -> None:
        self.address, self.seed = address, seed
        self.stop = threading.Event()
        self.errors: list[str] = []
        self.took: list[float] = []
        self.steps = self.saved = self.conflicts = self.unanswered = 0
        self.guard = threading.Lock()

    def phone(self, number: int) -> None:
        chance, browser = random.Random(self.seed * 1000 + number), Browser(self.address)
        hand, at, last, pause = f"{self.seed % 2**20:05x}{number:03x}", 0, 0, PAUSE_S
        unsent: list[list[str | int]] = []  # not yet answered: sent again, as the page does
        while not self.stop.wait(pause * chance.uniform(0.5, 1.5)):
            at += 1
            unsent.append(["weaving", "0" * 16, at, at, 1, at, hand])
            told = self._ask(browser, "POST", f"/beside/towels/facts?after={last}", {"facts": unsent})
            pause = PAUSE_S if told else min(LONGEST_PAUSE_S, 2 * pause)
            if told:
                last = json.loads(told)["last"]
                with self.guard:
                    self.steps += len(unsent)
                unsent = []
            if chance.random() < 0.1:
                self._ask(browser, "GET", chance.choice(LOOK_AT), None)

    def writer(self, number: int) -> None:
        chance, browser = random.Random(self.seed * 2000 + number), Browser(self.address)
        yarns = ("wool-rust", "wool-indigo", "wool-undyed")
        while not self.stop.wait(chance.uniform(0.5, 2.0)):
            page = f"/shelf/yarn/{chance.choice(yarns)}"
            try:
                form = next(
                    form for _action, form in browser.forms(page) if "name" in form and "version" in form
                )
                status, text = browser.post(page, form | {"name": f"Yarn {chance.randrange(10**6)}"}, page)
            except TimeoutError:
                self._late()
                continue
            except (OSError, RuntimeError, StopIteration, HTTPException) as error:
                self._wrong(f"{page}: {type(error).__name__} {error}")
                continue
            with self.guard:
                self.saved += status == 200
                self.conflicts += status == 409
            if status not in (200, 409):
                self._wrong(f"{page}: {status} {text[-200:]}")

    def _ask(self, browser: Browser, method: str, path: str, body: object) -> str:
        begin = time.perf_counter()
        try:
            status, text = browser.get(path) if method == "GET" else browser.post_json(path, body)
        except TimeoutError:
            self._late()
            return ""
        except (OSError, RuntimeError, HTTPException) as error:
            self._wrong(f"{method} {path}: {type(error).__name__} {error}")
            return ""
        with self.guard:
            self.took.append(time.perf_counter() - begin)
        if status != 200:
            self._wrong(f"{method} {path}: {status} {text[:200]}")
        return text if status == 200 else ""

    def _late(self) -> None:
        with self.guard:
            self.unanswered += 1

    def _wrong(self, says: str) -> None:
        if not self.stop.is_set():
            with self.guard:
                self.errors.append(says)


def run(seconds: float, seed: int) -> Result:
    result = Result("a crowd")
    with tempfile.TemporaryDirectory(prefix="soak-") as folder:
        home = Path(folder) / "home"
        server = Server(home, "--demo")
        if not server.ready():
            result.faults.append("the server does not open")
            return result
        crowd = Crowd(server.address, seed)
        threads = [threading.Thread(target=crowd.phone, args=(each,)) for each in range(PHONES)]
        threads += [threading.Thread(target=crowd.writer, args=(each,)) for each in range(WRITERS)]
        for each in threads:
            each.start()
        memory: list[float] = []
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            time.sleep(2)
            memory.append(server.megabytes())
            if len(memory) % 150 == 0:
                told = f"{crowd.steps} steps, {crowd.saved} changes, {len(crowd.errors)} errors"
                print(
                    f"crowd: {memory[-1]:.0f} MB after {told}", *crowd.errors[:1], file=sys.stderr, flush=True
                )
        crowd.stop.set()
        for each in threads:
            each.join()
        said = server.close()
        there = rows(home, "SELECT count(*) FROM loomready_fact")[0][0]
    size = len(memory) // PARTS
    parts = [statistics.median(memory[at * size : (at + 1) * size]) for at in range(PARTS)]
    middle, last = parts[PARTS // 2 - 1], parts[-1]
    if last > middle * (1 + FLAT_SHARE):
        result.faults.append(f"memory grows: {middle:.0f} MB, then {last:.0f} MB")
    result.faults += crowd.errors
    if there < crowd.steps:
        result.faults.append(f"answered steps are lost: {there} of {crowd.steps}")
    if "Traceback" in said:
        result.faults.append(said[-500:])
    quantiles = statistics.quantiles(crowd.took, n=20)
    result.figures = {
        "phones and writers": f"{PHONES} and {WRITERS} for {seconds:.0f} s",
        "steps exchanged": crowd.steps,
        "changes saved, conflicts said": f"{crowd.saved}, {crowd.conflicts}",
        "not answered within a minute, asked again": crowd.unanswered,
        "answers: half within, 95 % within": f"{quantiles[9]:.2f} s, {quantiles[-1]:.2f} s",
        f"memory, median of each of {PARTS} parts": ", ".join(f"{each:.0f} MB" for each in parts),
        "memory, most": f"{max(memory):.0f} MB",
    }
    return result
