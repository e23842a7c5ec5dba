"""The home on the disk: one process, no half writes, older homes brought along, newer ones refused."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from loomready.app.server.home_folder import Lock, close_to_others
from loomready.problems import BadInput

LOOMREADY = [sys.executable, "-m", "loomready"]

WRITER = """
import os, signal, sys, random, time
from pathlib import Path
home = Path(sys.argv[1])
os.environ["LOOMREADY_HOME"] = str(home)
from loomready.app.server.home_folder import prepare
prepare(home)
import django
os.environ["DJANGO_SETTINGS_MODULE"] = "loomready.app.settings"
django.setup()
from django.db import connections
from loomready.app.server import upgrade
from loomready.app.archive.new_guild import begin_with
upgrade.bring_up_to_date(home / "guild.sqlite3")
begin_with("empty")
from loomready.app.state import store
from loomready.app.models import Record
reed = {"key": "six", "dents": "6 /in", "width": "1 in"}
store.write("reeds", "six", reed, version=None, who="test")
connections.close_all()
chance, told = random.Random(7), 1
for kill in range(30):
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        version = Record.objects.get(kind="reeds", key="six").version
        for width in range(told + 1, told + 1000):
            store.write("reeds", "six", reed | {"width": f"{width} in"}, version=version, who="test")
            version += 1
            os.write(write, f"{width}\\n".encode())
        os._exit(0)
    os.close(write)
    first = os.read(read, 16)
    time.sleep(chance.uniform(0, 0.02))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    answers = first
    while part := os.read(read, 65536):
        answers += part
    os.close(read)
    answered = int(answers.decode().rsplit("\\n", 2)[-2])
    there = int(Record.objects.get(kind="reeds", key="six").fields["width"].split()[0])
    connections.close_all()
    assert answered <= there <= answered + 1, (answered, there)
    told = there
print("kept", told)
"""


def test_thirty_kills_lose_nothing_that_was_answered(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", WRITER, str(tmp_path / "home")], capture_output=True, text=True, timeout=120
    )
    assert done.stderr == ""
    assert int(done.stdout.split()[1]) > 30
    checked = sqlite3.connect(tmp_path / "home" / "guild.sqlite3").execute("PRAGMA integrity_check")
    assert checked.fetchone() == ("ok",)


def opened(home: Path, *more: str) -> subprocess.Popen[str]:
    command = [*LOOMREADY, "open", "--home", str(home), "--port", "0", "--no-browser", *more]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def closed(process: subprocess.Popen[str]) -> tuple[int, str]:
    process.send_signal(signal.SIGINT)
    _out, said = process.communicate(timeout=20)
    return process.returncode, said


def test_one_line_with_the_address_and_a_clean_end(tmp_path: Path) -> None:
    process = opened(tmp_path / "home", "--demo")
    assert process.stdout is not None
    line = process.stdout.readline()
    assert line.startswith("loomready is open at http://127.0.0.1:")
    code, said = closed(process)
    assert "Traceback" not in said
    assert code in (0, 130)


def test_it_can_be_stopped_where_a_script_started_it_behind_itself(tmp_path: Path) -> None:
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        process = opened(tmp_path / "home", "--empty")
    finally:
        signal.signal(signal.SIGINT, before)
    assert process.stdout is not None
    process.stdout.readline()
    assert closed(process) == (0, "loomready is closed.\n")


def test_a_second_process_in_the_same_home_says_so(tmp_path: Path) -> None:
    first = opened(tmp_path / "home", "--empty")
    assert first.stdout is not None
    address = first.stdout.readline().split()[4]
    second = opened(tmp_path / "home")
    _out, said = second.communicate(timeout=20)
    assert second.returncode == 2
    assert f"is already open at {address}" in said
    closed(first)


def test_the_secret_is_made_in_the_home_for_its_owner_only(tmp_path: Path) -> None:
    process = opened(tmp_path / "home")
    assert process.stdout is not None
    process.stdout.readline()
    closed(process)
    secret = tmp_path / "home" / "secret-key"
    assert len(secret.read_text()) > 50
    assert secret.stat().st_mode & 0o077 == 0


def test_a_newer_home_is_refused_and_left_alone(tmp_path: Path) -> None:
    home = tmp_path / "home"
    first = opened(home, "--empty")
    assert first.stdout is not None
    first.stdout.readline()
    closed(first)
    with sqlite3.connect(home / "guild.sqlite3") as database:
        database.execute(
            "INSERT INTO django_migrations (app, name, applied) "
            "VALUES ('loomready', '9999_later', '2030-01-01')"
        )
    second = opened(home)
    _out, said = second.communicate(timeout=20)
    assert second.returncode == 2
    assert "newer version of loomready" in said


def test_an_older_home_is_backed_up_and_brought_along(tmp_path: Path) -> None:
    home = tmp_path / "home"
    first = opened(home, "--demo")
    assert first.stdout is not None
    first.stdout.readline()
    closed(first)
    backwards = [sys.executable, "-m", "django", "migrate", "loomready", "0001", "--verbosity", "0"]
    environment = {"LOOMREADY_HOME": str(home), "DJANGO_SETTINGS_MODULE": "loomready.app.settings"}
    subprocess.run(backwards, env=os.environ | environment, check=True, timeout=60)
    second = opened(home)
    assert second.stdout is not None
    assert second.stdout.readline().startswith("loomready is open")
    closed(second)
    backup = sqlite3.connect(home / "before-upgrade-0001_begin.sqlite3")
    assert backup.execute("SELECT count(*) FROM loomready_record WHERE kind = 'warps'").fetchone() == (3,)


def test_the_deploy_check_is_clean() -> None:
    environment = os.environ | {"DJANGO_SETTINGS_MODULE": "loomready.app.settings"}
    for name in ("LOOMREADY_HOME", "DJANGO_ALLOW_ASYNC_UNSAFE"):
        environment.pop(name, None)
    command = [sys.executable, "-W", "ignore", "-m", "django", "check", "--deploy", "--fail-level", "WARNING"]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    assert "3 silenced" in done.stdout + done.stderr


@pytest.mark.skipif(os.name != "posix", reason="accounts are kept apart otherwise there")
def test_a_home_that_others_could_read_is_closed_to_them(tmp_path: Path) -> None:
    home = tmp_path / "home"
    (home / "incoming").mkdir(parents=True)
    ours = [home / name for name in ("guild.sqlite3", "guild.sqlite3-wal", "secret-key", "incoming/a.json")]
    for place in (*ours, home / "letter.txt"):
        place.write_text("x")
        place.chmod(0o644)
    home.chmod(0o755)
    assert close_to_others(home) == []
    assert home.stat().st_mode & 0o777 == 0o700
    assert {place.stat().st_mode & 0o777 for place in ours} == {0o600}
    assert (home / "letter.txt").stat().st_mode & 0o777 == 0o644  # not ours


def test_what_cannot_be_closed_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "secret-key").write_text("x")
    (tmp_path / "secret-key").chmod(0o644)
    monkeypatch.setattr(Path, "chmod", lambda *_: (_ for _ in ()).throw(PermissionError()))
    assert "secret-key" in close_to_others(tmp_path)


UPGRADE = """
import os, sys
from pathlib import Path
home = Path(sys.argv[1])
os.environ["LOOMREADY_HOME"] = str(home)
os.environ["DJANGO_SETTINGS_MODULE"] = "loomready.app.settings"
from loomready.app.server.home_folder import prepare
prepare(home)
import django
django.setup()
from loomready.app.server import upgrade
from loomready.app.archive.new_guild import begin_with
upgrade.bring_up_to_date(home / "guild.sqlite3")
begin_with("demo")
from django.test import Client
print([Client(headers={"host": "127.0.0.1"}).get(page).status_code for page in ("/", "/warps", "/guild")])
"""


@pytest.fixture(scope="module")
def todays(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home of today with the demo in it, closed: copied, not used."""
    home = tmp_path_factory.mktemp("todays") / "home"
    subprocess.run([sys.executable, "-c", UPGRADE, str(home)], check=True, capture_output=True)
    return home


@pytest.fixture(scope="module")
def oldest(todays: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same, brought back to the first state of the database."""
    home = tmp_path_factory.mktemp("oldest") / "home"
    shutil.copytree(todays, home)
    command = [sys.executable, "-m", "django", "migrate", "loomready", "0001", "--verbosity", "0"]
    environment = {"LOOMREADY_HOME": str(home), "DJANGO_SETTINGS_MODULE": "loomready.app.settings"}
    subprocess.run(command, env=os.environ | environment, check=True, timeout=60)
    return home


@pytest.mark.parametrize(
    ("newest", "as_it_was"),
    [
        ("0007", "ALTER TABLE loomready_record DROP COLUMN mark"),
        ("0008", "UPDATE loomready_record SET mark = 'mark'"),
    ],
)
def test_a_home_whose_records_have_no_marks_gets_them_when_it_opens(
    todays: Path, tmp_path: Path, newest: str, as_it_was: str
) -> None:
    home = tmp_path / "home"
    shutil.copytree(todays, home)
    with closing(sqlite3.connect(home / "guild.sqlite3")) as database, database:
        database.execute(as_it_was)
        later = f"{newest}_z"
        database.execute("DELETE FROM django_migrations WHERE app = 'loomready' AND name > ?", [later])
        if newest == "0007":
            database.execute("DROP TABLE loomready_drafttext")
    script = [sys.executable, "-c", UPGRADE, str(home)]
    made = subprocess.run(script, check=True, capture_output=True, text=True)
    assert made.stdout.strip() == "[200, 200, 200]"
    with closing(sqlite3.connect(home / "guild.sqlite3")) as database:
        marks = [mark for (mark,) in database.execute("SELECT mark FROM loomready_record")]
    assert len(marks) > 10
    assert len({*marks}) == len(marks)
    assert all(len(mark) == 32 for mark in marks)


STOPPED = UPGRADE.replace(
    "upgrade.bring_up_to_date(home",
    """
recorded = upgrade.Executor.record_migration
def stop(self, migration):
    if migration.name.startswith(sys.argv[2]):
        os._exit(9)
    recorded(self, migration)
upgrade.Executor.record_migration = stop
upgrade.bring_up_to_date(home""",
)


@pytest.mark.parametrize("at", ["0003", "0007", "0008"])
def test_a_home_whose_upgrade_is_killed_before_it_is_recorded_is_upgraded_the_next_time(
    oldest: Path, tmp_path: Path, at: str
) -> None:
    home = tmp_path / "home"
    shutil.copytree(oldest, home)
    killed = subprocess.run([sys.executable, "-c", STOPPED, str(home), at], capture_output=True)
    assert killed.returncode == 9
    made = subprocess.run([sys.executable, "-c", UPGRADE, str(home)], capture_output=True, text=True)
    assert made.stdout.strip() == "[200, 200, 200]", made.stderr


@pytest.mark.parametrize("lost", ["0003_devices", "0004_facts", "0007_removed_facts", "0008_draft_texts"])
def test_a_home_that_an_older_version_left_without_the_record_of_its_upgrade_opens(
    todays: Path, tmp_path: Path, lost: str
) -> None:
    home = tmp_path / "home"
    shutil.copytree(todays, home)
    with closing(sqlite3.connect(home / "guild.sqlite3")) as database, database:
        gone = database.execute("DELETE FROM django_migrations WHERE app = 'loomready' AND name >= ?", [lost])
        assert gone.rowcount
        if lost.startswith("0007"):  # the next one was not begun
            database.execute("DROP TABLE loomready_drafttext")
            database.execute("DELETE FROM loomready_change WHERE kind = 'drafts'")
    made = subprocess.run([sys.executable, "-c", UPGRADE, str(home)], capture_output=True, text=True)
    assert made.stdout.strip() == "[200, 200, 200]", made.stderr


def test_a_home_where_nothing_can_be_written_is_refused_in_a_line(tmp_path: Path) -> None:
    (tmp_path / "open").mkdir()  # stands for a file that this account may not write
    with pytest.raises(BadInput, match="cannot be written"):
        Lock(tmp_path).take()


def test_a_damaged_home_says_what_to_do_when_it_is_opened(tmp_path: Path) -> None:
    (tmp_path / "guild.sqlite3").write_bytes(b"no database " * 1000)
    command = [*LOOMREADY, "open", "--home", str(tmp_path), "--port", "0", "--no-browser"]
    made = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert made.returncode != 0
    assert "is damaged" in made.stderr
    assert "fault in loomready" not in made.stderr
