"""Homes of older versions open in today's: made by commits of the past, and by migrations backwards."""

from __future__ import annotations

import io
import os
import random
import re
import shutil
import subprocess
import sys
import tarfile
import tempfile
import time
from http.client import HTTPException
from pathlib import Path

from benchmarks.soak.result import Result
from benchmarks.soak.server import Browser, Server, rows, wait_for

ROOT = Path(__file__).parents[2]
PAGES = (
    "/",
    "/shelf",
    "/shelf/cone/fern-big",
    "/looms",
    "/drafts",
    "/warps",
    "/guild",
    "/beside",
    "/happened",
)
_FIRST = "6acd10a"  # the first commit with a home


def backwards(folder: Path) -> list[Path]:
    """A home of today's demo with some history, taken back to each earlier state of the database."""
    folder.mkdir(parents=True)
    start = folder / "today"
    server = Server(start, "--demo")
    server.ready()
    lived_in(Browser(server.address))
    server.close()
    names = sorted(path.stem for path in (ROOT / "src/loomready/app/migrations").glob("0*.py"))
    made = []
    for name in names[:-1]:
        home = folder / name
        shutil.copytree(start, home)
        command = [sys.executable, "-m", "django", "migrate", "loomready", name, "--verbosity", "0"]
        named = {"LOOMREADY_HOME": str(home), "DJANGO_SETTINGS_MODULE": "loomready.app.settings"}
        subprocess.run(command, env=os.environ | named, check=True, timeout=120)
        made.append(home)
    return made


def lived_in(browser: Browser) -> int:
    """Save some things as somebody would: how many were saved."""
    saved = 0
    for page, name, value in (
        ("/shelf/yarn/wool-rust", "name", "Rust of the soak"),
        ("/looms/loom/porch", "name", "Porch of the soak"),
        ("/shelf/cone/fern-big/weigh", "gross", "210 g"),
    ):
        for _action, form in browser.forms(page):
            if name in form:
                status, _text = browser.post(page, form | {name: value}, page)
                saved += status == 200
    return saved


def made_backup(home: Path) -> bytes:
    """The backup of a demo guild that was lived in, made through its page."""
    server = Server(home, "--demo")
    server.ready()
    browser = Browser(server.address)
    lived_in(browser)
    data = backup_of(browser)
    server.close()
    return data


def backup_of(browser: Browser) -> bytes:
    _status, page = browser.post("/guild/backup", {}, "/guild")
    work = re.search(r'hx-get="(/work/\w+)"|action="(/work/\w+)/cancel"|href="(/work/\w+)/file"', page)
    if work is None:
        raise RuntimeError("no work for a backup")
    path = next(filter(None, work.groups()))
    wait_for(path, browser, 600)
    with browser._opener.open(f"{browser.address}{path}/file", timeout=60) as answer:
        return bytes(answer.read())


def commits(chance: random.Random) -> list[str]:
    """Commits whose homes are tried: the last of each state of the database first, then others at random."""

    def git(*words: str) -> list[str]:
        done = subprocess.run(["git", "-C", str(ROOT), *words], capture_output=True, text=True, check=True)
        return done.stdout.split()

    ranges = git("log", "--first-parent", "--format=%H", f"{_FIRST}~1..HEAD")
    added = git("log", "--diff-filter=A", "--format=%H", "--", "src/loomready/app/migrations/*.py")
    first = [f"{each}~1" for each in added if not each.startswith(_FIRST)]
    rest = [each for each in ranges if each not in first]
    chance.shuffle(rest)
    return [*dict.fromkeys(first), *rest]


def unpacked(commit: str, folder: Path) -> Path:
    done = subprocess.run(
        ["git", "-C", str(ROOT), "archive", commit, "src", "demo"], capture_output=True, check=True
    )
    with tarfile.open(fileobj=io.BytesIO(done.stdout)) as packed:
        packed.extractall(folder, filter="data")
    return folder / "src"


def looked_at(home: Path, name: str, result: Result) -> None:
    """Open a home in today's version: its pages, its records, its backup."""
    before = rows(home, "SELECT kind, key FROM loomready_record ORDER BY kind, key")
    server = Server(home)
    if not server.ready():
        result.faults.append(f"{name}: does not open: {server.close()[-300:]}")
        return
    browser = Browser(server.address)
    pages = list(PAGES)
    pages += [f"/warps/{key}" for kind, key in before if kind == "warps"]
    pages += [f"/drafts/{key}/look?version=1" for kind, key in before if kind == "drafts"]
    for page in pages:
        status, _text = browser.get(page)
        if status != 200:
            result.faults.append(f"{name}: {page} answers {status}")
    if lived_in(browser) != 3:
        result.faults.append(f"{name}: what is saved in it now is refused")
    try:
        if len(backup_of(browser)) < 1000:
            result.faults.append(f"{name}: its backup is empty")
    except (OSError, RuntimeError, HTTPException) as error:
        result.faults.append(f"{name}: no backup: {error}")
    said = server.close()
    if "Traceback" in said:
        result.faults.append(f"{name}: {said[-300:]}")
    after = rows(home, "SELECT kind, key FROM loomready_record ORDER BY kind, key")
    if not set(before) <= set(after):
        result.faults.append(f"{name}: records are lost: {set(before) - set(after)}")


def run(seconds: float, seed: int) -> Result:
    until, chance = time.monotonic() + seconds, random.Random(seed)
    result = Result("homes of older versions")
    tried = back = 0
    refused: list[str] = []
    with tempfile.TemporaryDirectory(prefix="soak-") as folder:
        for home in backwards(Path(folder) / "older"):
            looked_at(home, f"taken back to {home.name}", result)
            back += 1
        for commit in commits(chance):
            if time.monotonic() > until:
                break
            place = Path(folder) / "then"
            shutil.rmtree(place, ignore_errors=True)
            place.mkdir()
            old = Server(place / "home", "--demo", source=unpacked(commit, place))
            if not old.ready():
                refused.append(f"{commit[:10]} ({old.close().strip()[-80:]})")
                continue
            lived_in(Browser(old.address))
            old.close()
            looked_at(place / "home", commit[:10], result)
            tried += 1
    result.figures = {
        "homes taken back by migrations, one for each state of the database": back,
        "homes made by commits of the past": tried,
        "commits that do not run in this environment": ", ".join(refused) or 0,
    }
    return result
