"""Kills under writes, imports, packets, upgrades, restores: what was answered is there, all else is whole."""

from __future__ import annotations

import io
import random
import shutil
import tempfile
import threading
import time
import zipfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from http.client import HTTPException
from pathlib import Path
from typing import Any

from benchmarks.soak.homes import backwards, made_backup
from benchmarks.soak.result import Result
from benchmarks.soak.server import Browser, Server, rows

YARNS = 150  # of an import
FRESH = 25  # deeds in one home
SIZE = 1000  # kills of a whole run
AT_ONCE = 3  # servers that are killed side by side, each with homes of its own


@dataclass(frozen=True, slots=True)
class Start:
    """What is made once for all: homes of older versions, a backup, and how much it holds."""

    older: list[Path]
    backup: bytes
    counts: dict[str, int]


class Kills:
    def __init__(self, folder: Path, start: Start, chance: random.Random) -> None:
        self.folder, self.start, self.chance = folder, start, chance
        self.faults: list[str] = []
        self.kills: Counter[str] = Counter()
        self.ended: Counter[str] = Counter()  # how the work that was cut off ended
        self.answered = 0
        self.number = 0
        self.servers: list[Server] = []  # of the deed under way
        self.home = folder / "home-0"
        self.cones: list[str] = []  # whatever was answered since this home began
        self.steps: list[str] = []
        folder.mkdir()

    def fault(self, says: str) -> None:
        self.faults.append(f"{self.folder.name}, deed {self.number}: {says}")

    def run(self, until: float, size: int) -> None:
        deeds: list[tuple[Callable[[], None], int]] = [
            (self.writes, 5),
            (self.imports, 2),
            (self.packets, 1),
            (self.upgrades, 2),
            (self.restores, 2),
        ]
        while time.monotonic() < until and self.kills.total() < size:
            self.number += 1
            (deed,) = self.chance.choices([each for each, _ in deeds], [weight for _, weight in deeds])
            if self.number % FRESH == 0:
                shutil.rmtree(self.home, ignore_errors=True)
                self.home = self.folder / f"home-{self.number}"
                self.cones.clear()
                self.steps.clear()
            try:
                deed()
            except (OSError, RuntimeError, ValueError, IndexError, HTTPException) as error:
                self.fault(f"{deed.__name__}: {type(error).__name__}: {error}")
            finally:
                for server in self.servers:
                    server.end()
                self.servers.clear()

    def _kill(self, server: Server, under: str) -> None:
        server.kill()
        self.kills[under] += 1

    def _open(self, home: Path, *more: str) -> Server:
        server = Server(home, *more)
        self.servers.append(server)
        if not server.ready():
            raise RuntimeError(f"the home does not open: {server.close()[-300:]}")
        return server

    def _whole(self, home: Path) -> None:
        said = rows(home, "PRAGMA integrity_check")[0][0]
        if said != "ok":
            self.fault(f"the database is damaged: {said}")
        odd = rows(
            home,
            "SELECT kind, key, version FROM loomready_record AS r WHERE version != (SELECT count(*) FROM "
            "loomready_change AS c WHERE c.kind = r.kind AND c.key = r.key)",
        )
        if odd:
            self.fault(f"records and their changes differ: {odd[:3]}")

    def writes(self) -> None:
        server = self._open(self.home, "--demo")
        cones, steps = self.cones, self.steps
        before = len(cones) + len(steps)
        stop = threading.Event()
        threads = [
            threading.Thread(target=self._cones, args=(server.address, f"{self.number}-{each}", cones, stop))
            for each in range(2)
        ]
        threads.append(threading.Thread(target=self._steps, args=(server.address, steps, stop)))
        for each in threads:
            each.start()
        until = time.monotonic() + 30
        while len(cones) + len(steps) < before + 2 and time.monotonic() < until:
            time.sleep(0.01)
        time.sleep(self.chance.uniform(0.0, 1.0))
        self._kill(server, "writes")
        stop.set()
        for each in threads:
            each.join()
        self._whole(self.home)
        lots = {
            row[0] for row in rows(self.home, "SELECT json_extract(fields, '$.lot') FROM loomready_record")
        }
        names = {row[0] for row in rows(self.home, "SELECT name FROM loomready_fact")}
        for lot in cones:
            if lot not in lots:
                self.fault(f"an answered cone is lost: {lot}")
        for name in steps:
            if name not in names:
                self.fault(f"an answered step is lost: {name}")
        self.answered += len(cones) + len(steps) - before

    def _cones(self, address: str, mark: str, done: list[str], stop: threading.Event) -> None:
        browser, number = Browser(address), 0
        while not stop.is_set():
            number += 1
            lot = f"{mark}-{number}"
            try:
                page = "/shelf/new-cone"
                form = next(form for _action, form in browser.forms(page) if "gross" in form)
                form |= {"yarn": "wool-rust", "gross": "100 g", "tare": "20 g", "lot": lot}
                status, text = browser.post(page, form, page)
                if status == 200 and "Not done" not in text:
                    done.append(lot)
            except (OSError, RuntimeError, StopIteration, HTTPException):
                return

    def _steps(self, address: str, done: list[str], stop: threading.Event) -> None:
        browser, at = Browser(address), 0
        hand = f"{self.number:08x}"
        while not stop.is_set():
            at += 1
            row = ["weaving", "0" * 16, at, at, 1, at, hand]
            try:
                status, _text = browser.post_json("/beside/towels/facts", {"facts": [row]})
            except (OSError, RuntimeError, HTTPException):
                return
            if status == 200:
                done.append("towels/" + "/".join(map(str, row)))

    def imports(self) -> None:
        server = self._open(self.home, "--demo")
        browser, mark = Browser(server.address), f"imp{self.number}"
        _status, page = browser.post_file("/guild/bring", many(mark), {}, "/guild")
        token = page.split('name="token" value="')[1].split('"')[0]
        sent = threading.Thread(
            target=quietly, args=(browser.post, "/guild/bring/confirmed", {"token": token, "clashes": "ours"})
        )
        sent.start()
        time.sleep(self.chance.uniform(0.0, 1.5))
        self._kill(server, "imports")
        sent.join()
        self._whole(self.home)
        count = rows(self.home, "SELECT count(*) FROM loomready_record WHERE key LIKE ?", f"{mark}-%")[0][0]
        self.ended["imports whole" if count else "imports not at all"] += 1
        if count not in (0, YARNS):
            self.fault(f"half an import is there: {count} of {YARNS}")

    def packets(self) -> None:
        server = self._open(self.home, "--demo")
        browser = Browser(server.address)
        for warp in ("towels", "scarves"):
            browser.post(f"/warps/{warp}/packet", {}, "/guild")
        time.sleep(self.chance.uniform(0.0, 2.0))
        children = server.children()
        self._kill(server, "packets")
        self._whole(self.home)
        until = time.monotonic() + 30
        while any(Path(f"/proc/{child}").exists() for child in children):
            if time.monotonic() > until:
                self.fault("a process that lays out a packet goes on without its server")
                break
            time.sleep(0.2)

    def upgrades(self) -> None:
        source = self.chance.choice(self.start.older)
        home = self.folder / "upgraded"
        shutil.rmtree(home, ignore_errors=True)
        shutil.copytree(source, home)
        before = rows(home, "SELECT kind, key, fields FROM loomready_record ORDER BY kind, key")
        changes = rows(home, "SELECT count(*) FROM loomready_change")
        for _kill in range(self.chance.randint(1, 3)):
            server = Server(home)
            time.sleep(self.chance.uniform(0.3, 2.0))
            self._kill(server, "upgrades")
        server = self._open(home)
        for page in ("/", "/guild", "/drafts/drafts/broken-twill.wif/look?version=1"):
            status = Browser(server.address).get(page)[0]
            if status != 200:
                self.fault(f"{source.name}: {page} answers {status}")
        server.close()
        self._whole(home)
        if rows(home, "SELECT kind, key, fields FROM loomready_record ORDER BY kind, key") != before:
            self.fault(f"{source.name}: records differ after the upgrade")
        if rows(home, "SELECT count(*) FROM loomready_change") != changes:
            self.fault(f"{source.name}: changes are lost in the upgrade")

    def restores(self) -> None:
        home = self.folder / "restored"
        shutil.rmtree(home, ignore_errors=True)
        server = self._open(home)
        browser = Browser(server.address)
        form = {"begin": "restore"}
        sent = threading.Thread(
            target=quietly, args=(browser.post_file, "/start", self.start.backup, form, "/start")
        )
        sent.start()
        time.sleep(self.chance.uniform(0.0, 4.0))
        self._kill(server, "restores")
        sent.join()
        self._open(home).close()
        self._whole(home)
        found = counted(home)
        self.ended["restores whole" if any(found.values()) else "restores not at all"] += 1
        if any(found.values()) and found != self.start.counts:
            self.fault(f"half a backup was restored: {found} of {self.start.counts}")


def quietly(work: Callable[..., Any], *values: Any) -> None:
    """The server may be killed at any moment."""
    try:
        work(*values)
    except (OSError, RuntimeError, HTTPException):
        return


def counted(home: Path) -> dict[str, int]:
    tables = ("record", "change", "fact", "drafttext", "removedfact", "jobplan")
    return {name: rows(home, f"SELECT count(*) FROM loomready_{name}")[0][0] for name in tables}


def many(mark: str) -> bytes:
    """A guild file with many yarns."""
    yarns = [f'[[yarns]]\nkey = "{mark}-{n}"\ncount = "{n % 30 + 2}/2 Ne"\n' for n in range(YARNS)]
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as zipped:
        zipped.writestr("guild.toml", '[guild]\nname = "Elsewhere"\n' + "".join(yarns))
    return made.getvalue()


def run(seconds: float, seed: int) -> Result:
    result = Result("kills")
    with tempfile.TemporaryDirectory(prefix="soak-") as named:
        folder = Path(named)
        older, backup = backwards(folder / "older"), made_backup(folder / "source")
        start = Start(older, backup, counted(folder / "source"))
        until = time.monotonic() + seconds
        killers = [
            Kills(folder / f"killer-{each}", start, random.Random(f"{seed} {each}"))
            for each in range(AT_ONCE)
        ]
        threads = [threading.Thread(target=each.run, args=(until, -(-SIZE // AT_ONCE))) for each in killers]
        for each in threads:
            each.start()
        for each in threads:
            each.join()
    kills = sum((each.kills for each in killers), Counter[str]())
    ended = sum((each.ended for each in killers), Counter[str]())
    result.faults = [fault for each in killers for fault in each.faults]
    result.figures = {
        "kills": kills.total(),
        "under": ", ".join(f"{name} {count}" for name, count in sorted(kills.items())),
        "afterwards": ", ".join(f"{name} {count}" for name, count in sorted(ended.items())),
        "writes answered before a kill, all there": sum(each.answered for each in killers),
    }
    return result
