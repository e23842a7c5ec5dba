"""A home is backed up and restored whole: all but devices and codes is as it was."""

from __future__ import annotations

import hashlib
import io
import json
import random
import re
import sqlite3
import tempfile
import zipfile
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, suppress
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, connections
from django.test import Client

from loomready.app import background
from loomready.app.archive import backup_extras, backup_writer, guild_files, restore
from loomready.app.archive.new_guild import begin_with
from loomready.app.loomside import jobs_data, remove_steps
from loomready.app.models import Change, Device, Fact, Record
from loomready.app.server import guild_id
from loomready.app.server.home_folder import PHOTOS
from loomready.app.state import facts, photo_files, photos, store
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput
from tests.app.asking import form_of, made_by, through
from tests.app.conftest import brought
from tests.app.photos.pictures import jpeg

pytestmark = pytest.mark.django_db(transaction=True)

Rows = dict[str, list[tuple[Any, ...]]]
KEY = "drafts/broken-twill.wif"


def all_rows() -> Rows:
    """Every row of every table that a backup carries."""
    found: Rows = {}
    with connection.cursor() as cursor:
        for model in restore.TABLES:
            columns = ", ".join(field.column for field in model._meta.concrete_fields)
            cursor.execute(f"SELECT {columns} FROM {model._meta.db_table} ORDER BY 1")
            found[model.__name__] = cursor.fetchall()
    return found


def emptied() -> None:
    with connection.constraint_checks_disabled(), connection.cursor() as cursor:
        for model in restore.TABLES:
            cursor.execute(f"DELETE FROM {model._meta.db_table}")
    for file in (Path(settings.HOME) / PHOTOS).glob("*"):
        file.unlink()
    photo_files.small.cache_clear()


def pictures() -> dict[str, bytes]:
    """The pictures in use, by the names of their files."""
    names = [
        fields["picture"] for fields in Record.objects.filter(kind="photos").values_list("fields", flat=True)
    ]
    return {name: photo_files.read(name) or b"" for name in names}


def packed(notes: list[str] | None = None) -> bytes:
    snapshot, database = current_snapshot(), Path(connection.settings_dict["NAME"])
    note: Callable[[str], None] = (notes if notes is not None else []).append
    return backup_writer.pack(snapshot, backup_extras.text_of(snapshot), database, lambda *_: None, note)


def restored(data: bytes) -> None:
    restore.restore(data, "b.zip", who="here", tell=lambda *_: None, settle=lambda: None)


@pytest.fixture
def lived_in(db: None, client: Client, without_packets: None) -> Client:
    """The demo guild after some days: edits, an undo, steps, steps removed, a device."""
    brought("lived in", live_in)
    return client


def live_in() -> None:
    begin_with("demo")
    weaver = Client()
    address = "/shelf/cone/fern-big/weigh"
    weaver.post(address, form_of(weaver, address) | {"gross": "210"})
    text = Record.objects.get(key=KEY).fields["wif"]
    change = store.write("drafts", KEY, {"wif": text + "; once more"}, version=1, who="here")
    assert change is not None
    store.undo(change.pk, who="here")
    Device.objects.create(name="Ada", role="helper", token="x")
    rows = [["winding", "0" * 16, at, at, 1, at, "a" * 16] for at in range(1, 40)]
    facts.take("towels", rows[:20], "here", trusted=True)
    remove_steps.remove(remove_steps.latest(), warp="towels", job="winding")
    facts.take("towels", rows[20:], "Ada", trusted=True)
    Fact.objects.update(device=7)


def test_a_backup_restored_in_an_empty_home_is_the_same_home(lived_in: Client) -> None:
    before, whole = all_rows(), packed()
    lived_in.get("/")  # which tells of the last change, once
    pages = [lived_in.get(page).content for page in ("/guild", "/warps", f"/drafts/{KEY}/look?version=2")]
    emptied()
    answer = lived_in.post("/start", {"begin": "restore", "file": SimpleUploadedFile("b.zip", whole)})
    assert through(lived_in, answer).wsgi_request.path == "/"  # type: ignore[attr-defined]
    assert all_rows() == before
    after = [lived_in.get(page).content for page in ("/guild", "/warps", f"/drafts/{KEY}/look?version=2")]
    assert [len(page) for page in after] == [len(page) for page in pages]


def test_undo_goes_on_where_it_was(lived_in: Client) -> None:
    whole = packed()
    emptied()
    restored(whole)
    last = Change.objects.filter(kind="cones", key="fern-big").first()
    assert last is not None
    store.undo(last.pk, who="here")
    assert Record.objects.get(kind="cones", key="fern-big").fields["gross"] == "224 g"


def test_steps_keep_their_device_and_no_new_device_gets_its_number(lived_in: Client) -> None:
    highest = Device.objects.get(name="Ada").pk
    whole = packed()
    emptied()
    Device.objects.all().delete()
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM sqlite_sequence WHERE name = 'loomready_device'")
    restored(whole)
    assert not Device.objects.exists()
    assert Device.objects.create(name="Eve", role="helper", token="y").pk > highest


def test_a_full_home_is_never_written_over(lived_in: Client) -> None:
    whole, before = packed(), all_rows()
    with pytest.raises(BadInput, match="holds a guild already"):
        restored(whole)
    assert all_rows() == before


def test_a_guild_file_alone_or_an_older_zip_begins_a_guild_too(lived_in: Client) -> None:
    whole, guild = packed(), current_snapshot().guild
    emptied()
    older = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole)) as source, zipfile.ZipFile(older, "w") as target:
        for name in source.namelist():
            if name != "guild.sqlite3":
                target.writestr(name, source.read(name))
    restored(older.getvalue())
    assert current_snapshot().guild == guild


def test_what_is_canceled_leaves_the_home_empty(lived_in: Client) -> None:
    whole = packed()
    emptied()

    def stop() -> None:
        raise background.Canceled

    with pytest.raises(background.Canceled):
        restore.restore(whole, "b.zip", who="here", tell=lambda *_: None, settle=stop)
    assert not any(all_rows().values())


def with_database(whole: bytes, *statements: str) -> bytes:
    """The backup with its copy of the database changed."""
    made = io.BytesIO()
    source = zipfile.ZipFile(io.BytesIO(whole))
    with tempfile.TemporaryDirectory() as folder, zipfile.ZipFile(made, "w") as target:
        place = Path(folder) / "changed.sqlite3"
        place.write_bytes(source.read("guild.sqlite3"))
        with closing(sqlite3.connect(place)) as database:
            database.execute("PRAGMA ignore_check_constraints = ON")
            for statement in statements:
                database.execute(statement)
            database.commit()
        for name in source.namelist():
            if name != "guild.sqlite3":
                target.writestr(name, source.read(name))
        target.write(place, "guild.sqlite3")
    return made.getvalue()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE loomready_fact SET first = 'x'",
        "UPDATE loomready_fact SET counter = -1",
        "UPDATE loomready_fact SET who = x'80ff'",
        "UPDATE loomready_record SET fields = '[]'",
        "UPDATE loomready_record SET fields = '{\"wif\": NaN}' WHERE kind = 'drafts'",
        "UPDATE loomready_record SET fields = '{\"wif\": 3}' WHERE kind = 'drafts'",
        "UPDATE loomready_record SET kind = 'cellar' WHERE kind = 'yarns'",
        "UPDATE loomready_record SET position = -4",
        "UPDATE loomready_record SET \"key\" = x'80ff' WHERE \"key\" = 'porch'",
        "UPDATE loomready_record SET saved = 'soon'",
        "UPDATE loomready_change SET before = '3'",
        "UPDATE loomready_change SET undoes_id = 99999",
        "UPDATE loomready_change SET at = 3",
        "UPDATE loomready_drafttext SET packed = 3",
        "UPDATE loomready_removedfact SET name = name || 'x'",
        "DELETE FROM loomready_record WHERE kind = 'yarns'",
        "DROP TABLE loomready_record",
        "DROP TABLE loomready_change",
        "CREATE TRIGGER t AFTER INSERT ON loomready_record BEGIN DELETE FROM loomready_change; END",
        "CREATE VIEW v AS SELECT 1",
        "INSERT INTO django_migrations (app, name, applied) VALUES ('loomready', '9999_later', '2026-01-01')",
    ],
)
def test_an_odd_database_from_elsewhere_is_refused_in_one_line(lived_in: Client, statement: str) -> None:
    whole = with_database(packed(), statement)
    emptied()
    with pytest.raises(BadInput) as caught:
        restored(whole)
    said = caught.value.line()
    assert said.startswith("b.zip: ")
    assert "\n" not in said
    assert "restore-" not in said
    assert not any(all_rows().values())


def test_a_database_that_does_not_know_what_brought_it_up_to_date_is_restored_where_its_tables_are_whole(
    lived_in: Client,
) -> None:
    before = all_rows()
    whole = with_database(packed(), "DELETE FROM django_migrations")
    emptied()
    restored(whole)
    assert all_rows() == before


NAMED = (
    "(SELECT json_extract(after, '$.wif.kept') FROM loomready_change WHERE key = 'drafts/broken-twill.wif'"
)


@pytest.mark.parametrize(
    "statement",
    [
        f"UPDATE loomready_drafttext SET packed = x'00' WHERE name = {NAMED} ORDER BY id LIMIT 1 OFFSET 1)",
        f"UPDATE loomready_drafttext SET packed = x'789c030000000001' WHERE name = {NAMED} LIMIT 1 OFFSET 1)",
        "UPDATE loomready_drafttext SET base_id = name",
        f"DELETE FROM loomready_drafttext WHERE name = {NAMED} ORDER BY id LIMIT 1 OFFSET 1)",
    ],
)
def test_a_damaged_version_of_a_draft_is_named_and_nothing_comes_in(lived_in: Client, statement: str) -> None:
    whole = packed()
    emptied()
    with pytest.raises(BadInput) as refused:
        restored(with_database(whole, statement))
    said = refused.value.line()
    assert "damaged version of a draft (drafts/" in said or "contradict each other" in said
    assert "\n" not in said
    assert not Record.objects.exists()
    assert not Change.objects.exists()


def test_a_backup_with_a_damaged_version_can_still_be_imported_without_its_history(lived_in: Client) -> None:
    guild = current_snapshot().guild
    bad = with_database(packed(), "UPDATE loomready_drafttext SET packed = x'00'")
    emptied()
    store.load([("guild", "guild", {"name": "Our guild", "units": "us"})], who="first start")
    things = guild_files.unpack(bad, "b.zip")
    store.load(things, who="here")
    assert current_snapshot().guild == guild


def test_a_zip_whose_database_is_cut_short_is_refused(lived_in: Client) -> None:
    whole = packed()
    emptied()
    with zipfile.ZipFile(io.BytesIO(whole)) as source:
        data = source.read("guild.sqlite3")
    for wrong in (b"", b"hello" * 1000, data[: len(data) // 2], data[:5000] + b"\xff" * 3000 + data[8000:]):
        made = io.BytesIO()
        with zipfile.ZipFile(made, "w") as target:
            target.writestr("guild.sqlite3", wrong)
        with pytest.raises(BadInput):
            restored(made.getvalue())
    with pytest.raises(BadInput):
        restored(whole[: len(whole) // 2])
    assert not any(all_rows().values())


@pytest.mark.parametrize("method", [zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_zip_with_wrong_bytes_is_refused(lived_in: Client, method: int) -> None:
    with zipfile.ZipFile(io.BytesIO(packed())) as source:
        data = source.read("guild.sqlite3")
    emptied()
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", method) as target:
        target.writestr("guild.sqlite3", data)
    whole, chance = made.getvalue(), random.Random(3)
    for _time in range(25):
        broken = bytearray(whole)
        for _byte in range(chance.randint(1, 3)):
            broken[chance.randrange(len(broken) // (1 + _time % 2 * 300))] ^= 1 << chance.randrange(8)
        said = ""
        try:
            restored(bytes(broken))
        except BadInput as error:
            said = error.line()
        assert "\n" not in said
        emptied()


def test_of_two_restored_at_once_one_is_and_the_other_is_told(lived_in: Client) -> None:
    before, whole = all_rows(), packed()
    emptied()
    said: list[str] = []

    def again(_number: int) -> None:
        try:
            restored(whole)
        except BadInput as error:
            said.append(error.line())
        finally:
            connections.close_all()

    with ThreadPoolExecutor(3) as pool:
        list(pool.map(again, range(3)))
    assert len(said) == 2
    assert all("holds a guild already" in line for line in said)
    assert all_rows() == before


def test_a_home_with_rows_that_mean_nothing_can_still_be_backed_up_and_restored(lived_in: Client) -> None:
    Record.objects.create(kind="progress", key="a/b", fields={"step": "x"}, position=1)
    snapshot = current_snapshot()
    assert backup_extras.kept(snapshot).left_out == ("progress a/b",)
    before, whole = all_rows(), packed()
    emptied()
    restored(whole)
    assert all_rows() == before


def test_a_guild_too_large_for_its_file_can_still_be_backed_up_and_restored(
    lived_in: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("loomready.guildfile.toml.MAX_BYTES", 1000)
    notes: list[str] = []
    before, whole = all_rows(), packed(notes)
    assert len(notes) == 1
    assert "can be restored in an empty home" in notes[0]
    emptied()
    restored(whole)
    assert all_rows() == before


def test_the_work_page_says_what_a_backup_leaves_to_the_database(lived_in: Client) -> None:
    Record.objects.create(kind="progress", key="a/b", fields={"step": "x"}, position=1)
    work = lived_in.post("/guild/backup").headers["Location"]
    through(lived_in, lived_in.get(work))
    assert "only a restored backup has it: progress a/b." in lived_in.get(work).content.decode()
    assert json.loads(zipfile.ZipFile(io.BytesIO(made_by(lived_in, "/guild/backup"))).read("app.json"))


def without(data: bytes, *names: str, **instead: bytes) -> bytes:
    """The zip without these files, or with others in their place."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(made, "w") as target:
        for name in source.namelist():
            if name not in names:
                target.writestr(name, instead.get(name.replace("-", "_"), source.read(name)))
    return made.getvalue()


@pytest.fixture
def another_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Callable[[], None]:
    """Goes on in an empty home with a secret of its own."""

    def go() -> None:
        emptied()
        monkeypatch.setattr(settings, "HOME", tmp_path)
        monkeypatch.setattr(settings, "SECRET_KEY", "another secret " * 5)

    return go


def test_an_open_page_hands_in_its_steps_at_the_restored_home(
    lived_in: Client, another_home: Callable[[], None]
) -> None:
    whole, page = packed(), jobs_data.guild_id()
    another_home()
    assert jobs_data.guild_id() != page
    restored(whole)
    body = {"guild": page, "facts": [["winding", "1" * 16, 50, 50, 1, 60, "c" * 16]]}
    answer = lived_in.post("/beside/towels/facts", json.dumps(body), content_type="application/json")
    assert answer.status_code == 200
    assert Fact.objects.filter(hand="c" * 16).count() == 1


def test_a_second_copy_takes_no_steps_of_the_first_and_gives_it_none(
    lived_in: Client, another_home: Callable[[], None]
) -> None:
    whole, page = packed(), jobs_data.guild_id()
    another_home()
    posted = {"begin": "restore", "second": "on", "file": SimpleUploadedFile("b.zip", whole)}
    through(lived_in, lived_in.post("/start", posted))
    assert jobs_data.guild_id() != page
    body = {"guild": page, "facts": [["winding", "1" * 16, 50, 50, 1, 60, "c" * 16]]}
    answer = lived_in.post("/beside/towels/facts", json.dumps(body), content_type="application/json")
    assert answer.status_code == 409
    assert not Fact.objects.filter(hand="c" * 16).exists()
    assert Record.objects.filter(kind="warps", key="towels").exists()


def test_a_new_guild_never_begins_with_the_id_of_a_restore_that_was_killed(
    lived_in: Client, another_home: Callable[[], None]
) -> None:
    another_home()
    own = jobs_data.guild_id()
    (settings.HOME / "guild-id").write_text("1" * 16)  # what a kill between id and rows leaves
    assert jobs_data.guild_id() != own
    lived_in.post("/start", {"begin": "demo"})
    assert Record.objects.filter(kind="guild").exists()
    assert jobs_data.guild_id() == own


def test_no_secret_is_in_a_backup(lived_in: Client) -> None:
    assert not any(
        settings.SECRET_KEY.encode() in zipfile.ZipFile(io.BytesIO(packed())).read(name)
        for name in zipfile.ZipFile(io.BytesIO(packed())).namelist()
    )


def test_a_backup_without_an_id_leaves_the_home_its_own(
    lived_in: Client, another_home: Callable[[], None]
) -> None:
    older = without(packed(), "guild-id")
    another_home()
    own = jobs_data.guild_id()
    restored(older)
    assert jobs_data.guild_id() == own


def test_what_fails_leaves_the_home_its_own_id(lived_in: Client, another_home: Callable[[], None]) -> None:
    whole = packed()
    another_home()
    own = jobs_data.guild_id()
    with pytest.raises(BadInput, match="no id of a guild"):
        restored(without(whole, guild_id=b"../../etc"))
    with suppress(KeyError), guild_id.taken_over("1" * 16) as take:
        take()
        assert jobs_data.guild_id() == "1" * 16
        raise KeyError
    assert jobs_data.guild_id() == own
    assert not Record.objects.exists()


@pytest.mark.parametrize("name", ["my #1 guild", "what? guild", "50%41 guild", "a b", "Gürtel"])
def test_a_folder_may_have_any_name(
    lived_in: Client,
    another_home: Callable[[], None],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
) -> None:
    whole, before = packed(), all_rows()
    another_home()
    monkeypatch.setattr(settings, "HOME", tmp_path / name)
    (tmp_path / name).mkdir()
    restored(whole)
    assert all_rows() == before


def made_odd(data: bytes, tmp_path: Path, statement: str, *values: object) -> bytes:
    """The backup with a change in its database that loomready would not make."""
    place = tmp_path / "odd.sqlite3"
    place.write_bytes(zipfile.ZipFile(io.BytesIO(data)).read("guild.sqlite3"))
    with closing(sqlite3.connect(place)) as database, database:
        assert database.execute(statement, values).rowcount
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(made, "w") as target:
        target.write(place, "guild.sqlite3")
        for name in source.namelist():
            if name != "guild.sqlite3":
                target.writestr(name, source.read(name))
    return made.getvalue()


INSERT = (
    "INSERT INTO loomready_record (kind, key, position, version, fields, saved, mark) "
    "VALUES (?, ?, 900, 1, ?, '2026-11-27 19:20:01', 'm')"
)
LEFT_OUT = [
    ("day", "next", "{}"),
    ("day", "next", '{"name": 5, "date": "x"}'),
    ("day", "next", '{"name": "fair", "date": "x"}'),
    ("order", "warps", "{}"),
    ("order", "warps", '{"keys": [[1]]}'),
    ("mistakes", "fern-big", '{"made": [{"day": "x"}]}'),
    ("weighings", "fern-big", '{"made": 7}'),
    ("tested", "scarves", '{"picks": 5}'),
]
REFUSED = [
    ("guild", "zz", '{"name": "Two"}'),
    ("yarns", "other", '{"key": "wool-moss", "name": "Moss"}'),
]


@pytest.mark.parametrize(("kind", "key", "fields"), LEFT_OUT)
def test_a_small_record_that_no_page_can_show_is_left_out_and_named(
    lived_in: Client, tmp_path: Path, kind: str, key: str, fields: str
) -> None:
    Record.objects.filter(kind=kind, key=key).delete()
    odd = made_odd(packed(), tmp_path, INSERT, kind, key, fields)
    emptied()
    notes: list[str] = []
    restore.restore(odd, "a.zip", who="here", tell=lambda *_: None, settle=lambda: None, note=notes.append)
    assert len(notes) == 1
    assert f"{kind} {key}" in notes[0]
    assert not Record.objects.filter(kind=kind, key=key).exists()
    assert Record.objects.filter(kind="warps").exists()
    for address in ("/", "/guild", "/shelf", "/warps", "/beside"):
        assert lived_in.get(address).status_code == 200


@pytest.mark.parametrize(("kind", "key", "fields"), REFUSED)
def test_a_record_that_no_page_can_show_is_named_and_nothing_comes_in(
    lived_in: Client, tmp_path: Path, kind: str, key: str, fields: str
) -> None:
    Record.objects.filter(kind=kind, key=key).delete()
    odd = made_odd(packed(), tmp_path, INSERT, kind, key, fields)
    emptied()
    with pytest.raises(BadInput, match=f"no page can show: {kind} {key}"):
        restored(odd)
    assert not any(all_rows().values())


@pytest.mark.parametrize("table", ["record", "change", "fact"])
def test_a_number_near_the_highest_of_the_database_is_refused(
    lived_in: Client, tmp_path: Path, table: str
) -> None:
    highest = f"(SELECT max(id) FROM loomready_{table})"
    odd = made_odd(packed(), tmp_path, f"UPDATE loomready_{table} SET id = {2**63 - 1} WHERE id = {highest}")
    emptied()
    with pytest.raises(BadInput, match="does not write"):
        restored(odd)
    assert not any(all_rows().values())


def test_photographs_come_back_from_a_backup_and_come_in_with_an_import(
    weaver: Client, without_packets: None
) -> None:
    picture = photo_files.reduced(jpeg())
    photos.add(current_snapshot(), "warps", "scarves", [picture], "Hem", date(2026, 10, 3), "here")
    whole, rows, kept = packed(), all_rows(), pictures()
    assert kept == {photo_files.name_of(picture): picture}
    emptied()
    restored(whole)
    assert all_rows() == rows
    assert pictures() == kept
    emptied()
    begin_with("demo")
    answer = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", whole)})
    token = re.search(r'name="token" value="(\w+)"', through(weaver, answer).content.decode())
    assert token is not None
    through(weaver, weaver.post("/guild/bring/confirmed", {"token": token[1]}))
    assert pictures() == kept
    assert photos.of_thing(current_snapshot(), "warps", "scarves")[0].caption == "Hem"


@pytest.mark.parametrize("odd", [b"no picture", jpeg(1700, 20)])
def test_a_picture_that_loomready_does_not_write_is_refused(lived_in: Client, odd: bytes) -> None:
    whole = io.BytesIO(packed())
    with zipfile.ZipFile(whole, "a") as zipped:
        zipped.writestr(f"photos/{hashlib.sha256(odd).hexdigest()}.jpg", odd)
    emptied()
    with pytest.raises(BadInput, match="holds a photograph that loomready does not write"):
        restored(whole.getvalue())
    assert not Record.objects.exists()
    assert not pictures()


def test_a_picture_that_is_missing_in_the_home_is_told_with_the_backup(lived_in: Client) -> None:
    photos.add(
        current_snapshot(), "warps", "scarves", [photo_files.reduced(jpeg())], "", date(2026, 10, 3), "x"
    )
    for file in (Path(settings.HOME) / PHOTOS).glob("*"):
        file.unlink()
    notes: list[str] = []
    packed(notes)
    assert notes == ["The file of 1 photograph is missing in the home; the backup does not have it."]
