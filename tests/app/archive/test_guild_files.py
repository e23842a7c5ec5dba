"""Drafts, packets and whole guilds carried in and out; work that takes a while."""

from __future__ import annotations

import io
import json
import random
import re
import zipfile
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from loomready.app.archive import backup_extras, backup_writer, guild_files
from loomready.app.models import Change, Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput
from tests.app.asking import brought, form_of, made_by, through, zip_with
from tests.app.conftest import DRAFTS

pytestmark = pytest.mark.django_db


def test_many_drafts_come_in_and_each_that_fails_is_told(weaver: Client) -> None:
    good = (DRAFTS / "broken-twill.wif").read_bytes().replace(b"Broken twill with borders", b"Another name")
    files = [
        SimpleUploadedFile("new one.wif", good),
        SimpleUploadedFile("same.wif", (DRAFTS / "broken-twill.wif").read_bytes()),
        SimpleUploadedFile("letter.wif", b"Dear all, the key is under the mat"),
    ]
    page = weaver.post("/drafts", {"files": files}).content.decode()
    assert "is in the gallery" in page
    assert "already imported" in page
    assert re.search(r"letter\.wif</b>: [^<]+", page)
    assert Record.objects.filter(kind="drafts").count() == 5


def test_a_draft_of_the_same_name_never_takes_the_place_of_another(weaver: Client) -> None:
    other = (DRAFTS / "double-weave.wif").read_bytes().replace(b"Double weave, two blocks", b"Other")
    weaver.post("/drafts", {"files": [SimpleUploadedFile("broken-twill.wif", other)]})
    assert Record.objects.filter(key="drafts/broken-twill-2.wif").exists()
    assert Record.objects.get(key="drafts/broken-twill.wif").version == 1


@pytest.mark.parametrize("what", ["draft.wif", "draft.svg", "draft.png", "cloth.svg", "cloth.png"])
def test_a_draft_goes_out_as_a_download_only(weaver: Client, what: str) -> None:
    response = weaver.get(f"/drafts/drafts/broken-twill.wif/export/{what}")
    assert response["Content-Disposition"].startswith("attachment")
    assert "sandbox" in response["Content-Security-Policy"]
    assert not response["Content-Type"].startswith("text/html")


def test_a_packet_is_a_pdf(weaver: Client) -> None:
    assert made_by(weaver, "/warps/scarves/packet").startswith(b"%PDF")


def test_work_that_is_canceled_leaves_no_file(weaver: Client) -> None:
    work = weaver.post("/guild/backup").headers["Location"]
    assert weaver.post(f"{work}/cancel").headers["Location"] == "/guild"
    assert weaver.get(work).headers["Location"] == "/guild"


def test_a_backup_restores_the_guild_elsewhere(weaver: Client) -> None:
    whole, before = made_by(weaver, "/guild/backup"), current_snapshot()
    names = zipfile.ZipFile(io.BytesIO(whole)).namelist()
    assert {"guild.toml", "guild.sqlite3", "packets/scarves.pdf", "drafts/double-weave.wif"} <= set(names)
    Change.objects.all().delete()
    Record.objects.all().delete()
    weaver.post("/start", {"begin": "empty"})
    response = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", whole)})
    page = through(weaver, response).content.decode()
    assert "differs from" in page  # the guild's own name
    assert not current_snapshot().guild.yarns  # shown first, not done yet
    token = re.search(r'name="token" value="(\w+)"', page)
    assert token is not None
    weaver.post("/guild/bring/confirmed", {"token": token.group(1), "clashes": "theirs"})
    after = current_snapshot()
    assert after.guild == before.guild
    assert after.drafts.keys() == before.drafts.keys()


EVENT = """
[event]
name = "Harvest weekend"
days = ["2026-10-17 10:00-16:00"]
warps = ["towels"]

[[people]]
key = "finch"
hours = ["Tuesdays 6:30 to 9", "not the 12th"]

[pace]
threading = "150 /h"
"""


@pytest.mark.usefixtures("without_packets")
def test_an_event_comes_in_with_a_guild_file_and_goes_out_as_it_was_typed(weaver: Client) -> None:
    before = current_snapshot()
    page = brought(weaver, (guild_files.guild_file(before) + EVENT).encode())
    assert all(name in page.lower() for name in ("event", "finch", "pace"))
    after = current_snapshot()
    assert after.guild.event is not None
    assert (after.guild.event.warps, after.guild.pace.threading) == (("towels",), 150)
    assert 'hours = ["Tuesdays 6:30 to 9", "not the 12th"]' in guild_files.guild_file(after)
    made_by(weaver, "/guild/backup")  # holds all of it, or is refused


def weighings_on(page: str) -> list[str]:
    """The rows of the table of past weighings."""
    return re.findall(r"<tr>\s*<td>[^<]*</td>\s*<td>[^<]*</td>\s*<td>[^<]*</td>", page)


@pytest.mark.usefixtures("without_packets")
def test_a_backup_restores_progress_date_order_and_weighings(weaver: Client) -> None:
    address = "/shelf/cone/fern-big/weigh"
    for gross in ("220", "210"):
        weaver.post(address, form_of(weaver, address) | {"gross": gross})
    weaver.post("/warps/towels/step", {"step": "threaded"})
    later = (date.today() + timedelta(days=40)).isoformat()
    store.write("day", "next", {"name": "open studio", "date": later}, version=None, who="an older version")
    weaver.post("/warps/towels/move", {"to": "up"})
    pages = ("/", "/warps", address)
    before = [re.findall("<main.*</main>", weaver.get(each).content.decode(), re.S) for each in pages]
    told = weighings_on(weaver.get(address).content.decode())
    assert len(told) == 3
    whole = made_by(weaver, "/guild/backup")
    Change.objects.all().delete()
    Record.objects.all().delete()
    weaver.post("/start", {"begin": "empty"})
    brought(weaver, whole)
    assert "open studio in 40 days" in weaver.get("/").content.decode()
    assert Record.objects.get(kind="progress", key="towels").fields == {"step": "threaded"}
    assert weighings_on(weaver.get(address).content.decode()) == told
    after = [re.findall("<main.*</main>", weaver.get(each).content.decode(), re.S) for each in pages]
    hide = re.compile(r'name="(?:csrfmiddlewaretoken|version)" value="\w+"')
    assert [[hide.sub("", text) for text in page] for page in after] == [
        [hide.sub("", text) for text in page] for page in before
    ]
    assert weighings_on(weaver.get(address).content.decode()) == told
    assert "past weighings" not in brought(weaver, whole)  # all of it already imported


@pytest.mark.parametrize(
    "text",
    [
        "[]",
        "{",
        '{"looms": {"a": {}}}',
        '{"progress": {"towels": {"step": "burnt"}}}',
        '{"day": {"next": {"name": "x", "date": "soon"}}}',
        '{"weighings": {"fern-big": {"made": [{"day": 3}]}}}',
        '{"mistakes": {"fern-big": {"made": [{"day": "", "gross": "much", "tare": "1 g", "right": ""}]}}}',
        "[" * 100_000,
    ],
)
def test_a_backup_whose_progress_means_nothing_is_refused(weaver: Client, text: str) -> None:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as zipped:
        zipped.writestr("guild.toml", weaver.get("/guild/guild.toml").content)
        for path in sorted(DRAFTS.glob("*.wif")):
            zipped.write(path, f"drafts/{path.name}")
        zipped.writestr("app.json", text)
    response = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", made.getvalue())})
    assert response.status_code == 422
    assert "app.json" in response.content.decode()


def test_what_clashes_is_shown_and_ours_can_stay(weaver: Client) -> None:
    text = weaver.get("/guild/guild.toml").content.replace(b'gross = "224 g"', b'gross = "100 g"')
    page = weaver.post("/guild/bring", {"file": SimpleUploadedFile("g.toml", text)}).content.decode()
    assert "<li>cone fern-big</li>" in page
    token = re.search(r'name="token" value="(\w+)"', page)
    assert token is not None
    weaver.post("/guild/bring/confirmed", {"token": token.group(1), "clashes": "ours"})
    assert Record.objects.get(kind="cones", key="fern-big").fields["gross"] == "224 g"


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b" \n", "is empty"),
        (b"PK\x03\x04 and then the stick was full", "not a complete zip"),
    ],
)
def test_half_a_file_is_refused_by_what_it_lacks(weaver: Client, data: bytes, says: str) -> None:
    response = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", data)})
    assert response.status_code == 422
    assert says in response.content.decode()


def test_what_clashes_is_named_as_a_weaver_would(weaver: Client) -> None:
    other = b'[guild]\nname = "Another room"\n'
    page = weaver.post("/guild/bring", {"file": SimpleUploadedFile("g.toml", other)}).content.decode()
    assert "<li>guild</li>" in page


@pytest.mark.parametrize("name", ["../guild.toml", "/guild.toml", "a/../../x.wif"])
def test_a_zip_that_leaves_its_folder_is_refused(weaver: Client, name: str) -> None:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as zipped:
        zipped.writestr(name, "x")
    response = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", made.getvalue())})
    assert response.status_code == 422
    assert "leave its folder" in response.content.decode()


@pytest.mark.parametrize(
    "name",
    [
        "a\nb.wif",
        "drafts//z.wif",
        "./k.wif",
        "drafts/./k.wif",
        ".wif",
        "drafts/.wif",
        "C:/x.wif",
        f"drafts/{'x' * 300}.wif",
        "a\u202eb.wif",
    ],
)
def test_a_draft_with_a_name_no_page_can_have_is_refused_with_one_line(weaver: Client, name: str) -> None:
    response = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", zip_with(name))})
    assert response.status_code == 422
    assert "is not a name for a draft" in response.content.decode()
    assert weaver.get("/drafts").status_code == 200


@pytest.mark.parametrize("name", ["drafts/tücher weiß.wif", "drafts/a/b.WIF"])
def test_a_draft_with_an_unusual_name_comes_in(weaver: Client, name: str) -> None:
    brought(weaver, zip_with(name), "ours")
    assert name in current_snapshot().drafts
    assert weaver.get("/drafts").status_code == 200
    assert weaver.get(f"/drafts/{name}/look").status_code == 200


@pytest.mark.parametrize("method", [zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_zip_with_wrong_bytes_never_breaks_the_page(weaver: Client, method: int) -> None:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", method) as zipped:
        zipped.writestr("guild.toml", '[guild]\nname = "Elsewhere"\n' + "# a long remark\n" * 200)
        zipped.write(DRAFTS / "broken-twill.wif", "drafts/broken-twill.wif")
    whole, chance = made.getvalue(), random.Random(7)
    said = []
    for _ in range(60):
        data = bytearray(whole)
        for _ in range(chance.randint(1, 3)):
            data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
        try:
            guild_files.unpack(bytes(data), "b.zip")
        except BadInput as error:
            said.append(error.line())
    assert len(said) > 20
    assert not any("\n" in line for line in said)
    begin = whole.index(b"guild.toml") + 12
    broken = whole[:begin] + b"\xff" * 30 + whole[begin + 30 :]
    response = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", broken)})
    assert response.status_code == 422


def test_a_zip_with_a_file_without_a_name_is_refused() -> None:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as target:
        target.writestr("x", "x")
    data = bytearray(made.getvalue())
    place = data.index(b"PK\x01\x02")  # where the file is listed
    data[place + 28 : place + 32] = b"\0\0\1\0"  # its name has no letters, what follows has one
    with pytest.raises(BadInput, match="is a broken zip"):
        guild_files.unpack(bytes(data), "b.zip")


def zipped(files: dict[str, str]) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as out:
        for name, text in files.items():
            out.writestr(name, text)
    return made.getvalue()


def test_two_hundred_thousand_steps_come_back_from_a_backup(weaver: Client) -> None:
    rows = [["winding", "0" * 16, at % 900 + 1, at % 900 + 1, 1, at + 1, "a" * 16] for at in range(200_000)]
    kept = json.dumps({"facts": {"towels": {"made": rows}}})
    assert len(kept) > 8 * 1024 * 1024  # more than a draft may have
    whole = zipped({"guild.toml": guild_files.guild_file(current_snapshot()), backup_extras.FILE: kept})
    things = guild_files.unpack(whole, "b.zip")
    assert [len(fields["made"]) for kind, _, fields in things if kind == "facts"] == [200_000]


def test_a_backup_of_more_than_two_thousand_files_comes_back(weaver: Client) -> None:
    snapshot = current_snapshot()
    text = snapshot.entries["drafts", "drafts/broken-twill.wif"].fields["wif"]
    names = {f"drafts/more-{n}.wif": text for n in range(2500)}
    whole = zipped({"guild.toml": guild_files.guild_file(snapshot)} | names)
    assert len([kind for kind, _, _ in guild_files.unpack(whole, "b.zip") if kind == "drafts"]) == 2500


@pytest.mark.usefixtures("without_packets")
def test_a_backup_that_would_lose_a_record_is_never_handed_out(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = guild_files.guild_file(current_snapshot())
    monkeypatch.setattr(
        guild_files, "guild_file", lambda snapshot: re.sub(r'gross = "224 g"', 'gross = "225 g"', whole)
    )
    snapshot = current_snapshot()
    with pytest.raises(BadInput, match="would not hold cones fern-big as it is here"):
        backup_writer.pack(
            snapshot,
            backup_extras.text_of(snapshot),
            Path(settings.DATABASES["default"]["NAME"]),
            lambda *_: None,
        )
