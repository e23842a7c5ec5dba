"""A home that cannot be written: its pages open, nothing in it changes, and a sentence says what to do."""

from __future__ import annotations

import re
import shutil
import sqlite3
import subprocess
import urllib.error
import urllib.parse
import urllib.request
from contextlib import closing
from pathlib import Path

import pytest

from loomready.app.server import read_only
from tests.app.server.test_home_folder import closed, opened
from tests.app.server.test_server import asked

HINT = "nothing can be saved, because the guild's folder can't be written"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home that was in use."""
    home = tmp_path_factory.mktemp("looking") / "home"
    process = opened(home, "--demo")
    assert process.stdout is not None
    process.stdout.readline()
    closed(process)
    return home


@pytest.fixture
def closed_home(made: Path, tmp_path: Path) -> Path:
    """A home whose lock cannot be written. A folder in its place stands for a disk that refuses writes: tests
    may run as an account that may write everything."""
    home = tmp_path / "home"
    shutil.copytree(made, home)
    (home / "open").unlink()
    (home / "open").mkdir()
    return home


def contents(home: Path) -> dict[str, bytes]:
    return {str(place): place.read_bytes() for place in home.rglob("*") if place.is_file()}


def address(process: subprocess.Popen[str]) -> int:
    assert process.stdout is not None
    line = process.stdout.readline()
    assert line.startswith("loomready is open"), process.communicate(timeout=20)
    return int(line.split()[4].rsplit(":", 1)[1].rstrip("/"))


def test_every_page_of_a_home_that_cannot_be_written_opens_and_says_what_to_do(closed_home: Path) -> None:
    before = contents(closed_home)
    process = opened(closed_home)
    port = address(process)
    for page in ("/", "/shelf", "/warps/towels", "/beside/towels/winding", "/guild", "/drafts"):
        head, body = asked(port, f"GET {page}")
        assert " 200 " in head
        assert "nothing can be saved" in body
    _code, said = closed(process)
    assert HINT in said
    assert str(closed_home) in said
    assert contents(closed_home) == before


def test_what_cannot_be_saved_is_refused_with_the_same_sentence(closed_home: Path) -> None:
    process = opened(closed_home)
    port = address(process)
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    page = opener.open(f"http://127.0.0.1:{port}/shelf/yarn/wool-rust").read().decode()
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)
    version = re.search(r'name="version" value="(\d+)"', page)
    assert token
    assert version
    form = {"csrfmiddlewaretoken": token[1], "version": version[1], "name": "Other", "fiber": "wool"}
    body = urllib.parse.urlencode(form | {"count": "8/2 Ne", "tolerance": "5 %"}).encode()
    request = urllib.request.Request(f"http://127.0.0.1:{port}/shelf/yarn/wool-rust", body)
    request.add_header("Referer", f"http://127.0.0.1:{port}/")
    with pytest.raises(urllib.error.HTTPError) as refused:
        opener.open(request)
    assert refused.value.code == 507
    assert "Close loomready, check that the disk" in refused.value.read().decode()
    _code, said = closed(process)
    assert "Traceback" not in said
    assert "Insufficient Storage: /shelf/yarn/wool-rust: You can look" in said


def test_what_was_saved_last_is_shown_even_where_the_program_was_killed(made: Path, tmp_path: Path) -> None:
    home = tmp_path / "home"
    shutil.copytree(made, home)
    with closing(sqlite3.connect(home / "guild.sqlite3")) as database:
        database.execute("PRAGMA journal_mode=WAL")
        changed = "UPDATE loomready_record SET fields = json_set(fields, '$.name', 'Last of all')"
        database.execute(f"{changed} WHERE key = 'porch'")
        database.commit()
        killed = tmp_path / "killed"
        shutil.copytree(home, killed)  # while its log is not yet in it, as a kill leaves it
    assert (killed / "guild.sqlite3-wal").stat().st_size > 0
    (killed / "open").unlink()
    (killed / "open").mkdir()
    with (
        read_only.copy_of(killed) as copy,
        closing(sqlite3.connect(Path(copy) / "guild.sqlite3")) as database,
    ):
        found = database.execute(
            "SELECT json_extract(fields, '$.name') FROM loomready_record WHERE key = 'porch'"
        )
        assert found.fetchone() == ("Last of all",)


def test_an_older_home_that_cannot_be_written_is_shown_too(closed_home: Path) -> None:
    with closing(sqlite3.connect(closed_home / "guild.sqlite3")) as database, database:
        database.execute("ALTER TABLE loomready_record DROP COLUMN mark")
        database.execute("DELETE FROM django_migrations WHERE app = 'loomready' AND name > '0009'")
    before = contents(closed_home)
    process = opened(closed_home)
    assert " 200 " in asked(address(process), "GET /warps")[0]
    closed(process)
    assert contents(closed_home) == before


def test_a_home_that_can_be_written_is_not_only_shown(made: Path, tmp_path: Path) -> None:
    assert not read_only.is_needed(made)
    assert not read_only.is_needed(tmp_path / "none")
