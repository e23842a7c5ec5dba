"""Kills under writes, imports, packets, upgrades, restores: what was answered is there, all else is whole."""

from __future__ import annotations

import io
import random
import shutil
import tempfile
import threading
import time
import zipfile
from collections.abc import Callable
from http.client import HTTPException
from pathlib import Path
from typing import Any

from benchmarks.soak.homes import backwards, made_backup
from benchmarks.soak.result import Result
from benchmarks.soak.server import Browser, Server, rows

YARNS = 150  # of an import
FRESH = 25  # kills in one home


class Kills:
    def __init__(self, folder: Path, chance: random.Random) -> None:
        self.folder, self.chance = folder, chance
        self.result = Result("kills")
        self.kills: dict[str, int] = {}
        self.answered = 0
        self.number = 0
        self.home = folder / "home-0"
        self.older = backwards(folder / "older")
        self.backup = made_backup(folder / "source")
        self.counts = counted(folder / "source")

    def fault(self, says: str) -> None:
        self.result.faults.append(f"kill {self.number}: {says}")

    def run(self, seconds: float) -> Result:
        until = time.monotonic() + seconds
        deeds: list[tuple[Callable[[], None], int]] = [
            (self.writes, 5),
            (self.imports, 2),
            (self.packets, 1),
            (self.upgrades, 2),
            (self.restores, 2),
        ]
        while time.monotonic() < until:
            self.number += 1
            (deed,) = self.chance.choices([each for each, _ in deeds], [weight for _, weight in deeds])
            if self.number % FRESH == 0:
                shutil.rmtree(self.home, ignore_errors=True)
                self.home = self.folder / f"home-{self.number}"
            try:
                deed()
            except (OSError, RuntimeError, ValueError, HTTPException) as error:
                self.fault(f"{deed.__name__}: {type(error).__name__}: {error}")
            self.kills[deed.__name__] = self.kills.get(deed.__name__, 0) + 1
        self.result.figures = {
            "kills": sum(self.kills.values()),
            "under": ", ".join(f"{name} {count}" for name, count in sorted(self.kills.items())),
            "writes answered before a kill": self.answered,
        }
        return self.result

    def _open(self, home: Path, *more: str) -> Server:
        server = Server(home, *more)
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
        cones: list[str] = []
        steps: list[str] = []
        stop = threading.Event()
        threads = [
            threading.Thread(target=self._cones, args=(server.address, f"{self.number}-{each}", cones, stop))
            for each in range(2)
        ]
        threads.append(threading.Thread(target=self._steps, args=(server.address, steps, stop)))
        for each in threads:
            each.start()
        until = time.monotonic() + 30
        while not (cones and steps) and time.monotonic() < until:
            time.sleep(0.01)
        time.sleep(self.chance.uniform(0.0, 1.5))
        server.kill()
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
        self.answered += len(cones) + len(steps)

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
        server.kill()
        sent.join()
        self._whole(self.home)
        count = rows(self.home, "SELECT count(*) FROM loomready_record WHERE key LIKE ?", f"{mark}-%")[0][0]
        if count not in (0, YARNS):
            self.fault(f"half an import is there: {count} of {YARNS}")

    def packets(self) -> None:
        server = self._open(self.home, "--demo")
        browser = Browser(server.address)
        for warp in ("towels", "scarves"):
            browser.post(f"/warps/{warp}/packet", {}, "/guild")
        time.sleep(self.chance.uniform(0.0, 2.0))
        children = server.children()
        server.kill()
        self._whole(self.home)
        until = time.monotonic() + 30
        while any(Path(f"/proc/{child}").exists() for child in children):
            if time.monotonic() > until:
                self.fault("a process that lays out a packet goes on without its server")
                break
            time.sleep(0.2)

    def upgrades(self) -> None:
        source = self.chance.choice(self.older)
        home = self.folder / "upgraded"
        shutil.rmtree(home, ignore_errors=True)
        shutil.copytree(source, home)
        before = rows(home, "SELECT kind, key, fields FROM loomready_record ORDER BY kind, key")
        changes = rows(home, "SELECT count(*) FROM loomready_change")
        for _kill in range(self.chance.randint(1, 3)):
            server = Server(home)
            time.sleep(self.chance.uniform(0.3, 2.5))
            server.kill()
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
            target=quietly, args=(browser.post_file, "/start", self.backup, form, "/start")
        )
        sent.start()
        time.sleep(self.chance.uniform(0.0, 5.0))
        server.kill()
        sent.join()
        self._open(home).close()
        self._whole(home)
        found = counted(home)
        if any(found.values()) and found != self.counts:
            self.fault(f"half a backup was restored: {found} of {self.counts}")


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
    with tempfile.TemporaryDirectory(prefix="soak-") as folder:
        return Kills(Path(folder), random.Random(seed)).run(seconds)
