"""Much that comes in: it shows its progress, can be canceled, and then nothing of it is there."""

from __future__ import annotations

import io
import re
import threading
import zipfile
from collections.abc import Iterator

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from loomready.app import background
from loomready.app.archive import guild_files, import_review
from loomready.app.archive.new_guild import begin_with
from loomready.app.models import Change, Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput
from tests.app.asking import made_by, through
from tests.app.conftest import DRAFTS

# The work writes from a thread of its own, which sees only what is truly written.
pytestmark = pytest.mark.django_db(transaction=True)
ONE = (DRAFTS / "broken-twill.wif").read_bytes()


@pytest.fixture
def room(client: Client) -> Client:
    begin_with("demo")
    return client


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Event]:
    """Work that waits for this before each of its steps."""
    go, tell = threading.Event(), background.Job.tell

    def waits(job: background.Job, done: int, of: int) -> None:
        job.done, job.of = done, of
        go.wait(20)
        tell(job, done, of)

    monkeypatch.setattr(background.Job, "tell", waits)
    yield go
    go.set()


def ends() -> None:
    """Wait for all threads of work."""
    for thread in threading.enumerate():
        if thread is not threading.current_thread() and "_run" in thread.name:
            thread.join(20)


def many(count: int) -> list[SimpleUploadedFile]:
    titled = (ONE.replace(b"Title=", b"Title=%d " % n, 1) for n in range(count))
    return [SimpleUploadedFile(f"piece {n}.wif", text) for n, text in enumerate(titled)]


def drafts() -> int:
    return Record.objects.filter(kind="drafts").count()


def test_many_drafts_come_in_as_work_that_tells_how_far_it_is(room: Client, held: threading.Event) -> None:
    before = drafts()
    work = room.post("/drafts", {"files": many(40)}).headers["Location"]
    page = room.get(work).content.decode()
    assert "Importing 40 drafts" in page
    assert '<progress value="0"' in page
    assert drafts() == before
    held.set()
    page = through(room, room.get(work)).content.decode()
    assert page.count("is in the gallery") == 40
    assert drafts() == before + 40
    room.post(f"/guild/undo/{Change.objects.latest('pk').pk}")
    assert drafts() == before


def test_drafts_canceled_on_their_way_are_not_there(room: Client, held: threading.Event) -> None:
    before, changes = drafts(), Change.objects.count()
    work = room.post("/drafts", {"files": many(40)}).headers["Location"]
    assert room.post(f"{work}/cancel").headers["Location"] == "/drafts"
    assert room.get(work).headers["Location"] == "/drafts"
    held.set()
    ends()
    assert (drafts(), Change.objects.count()) == (before, changes)


def test_what_is_canceled_while_it_is_written_is_taken_back_whole(
    room: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, changes = drafts(), Change.objects.count()
    tell = background.Job.tell

    def canceled_late(job: background.Job, done: int, of: int) -> None:
        if done == of - 5:  # most are written by now
            assert job.cancel()
        tell(job, done, of)

    monkeypatch.setattr(background.Job, "tell", canceled_late)
    room.post("/drafts", {"files": many(30)})
    ends()
    assert (drafts(), Change.objects.count()) == (before, changes)


def test_canceling_what_is_settled_comes_too_late_and_says_so(room: Client) -> None:
    work = room.post("/drafts", {"files": many(15)}).headers["Location"]
    ends()
    assert room.post(f"{work}/cancel").headers["Location"] == work
    assert through(room, room.get(work)).content.decode().count("is in the gallery") == 15


def test_of_more_files_than_come_in_at_once_each_is_named(room: Client) -> None:
    before = drafts()
    page = through(room, room.post("/drafts", {"files": many(203)})).content.decode()
    assert "3 files were not imported" in page
    assert "piece 200.wif, piece 201.wif, piece 202.wif" in page
    assert drafts() == before + 200


def test_far_too_many_files_get_a_clear_word(room: Client) -> None:
    files = [SimpleUploadedFile(f"{n}.wif", b"x") for n in range(1001)]
    response = room.post("/drafts", {"files": files})
    assert response.status_code == 400
    assert "ore than 1000 files at a time" in response.content.decode()


def large_guild() -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as zipped:
        zipped.writestr("guild.toml", '[guild]\nname = "Elsewhere"\n')
        for n in range(200):
            zipped.writestr(f"drafts/piece-{n}.wif", ONE.replace(b"Title=", b"Title=%d " % n, 1))
    return made.getvalue()


def compared(client: Client) -> str:
    data = {"file": SimpleUploadedFile("b.zip", large_guild())}
    response = client.post("/guild/bring", data)
    assert response.status_code == 302
    page = through(client, response)
    assert "200 are new" in page.content.decode()
    return str(page.wsgi_request.path).rsplit("/", 1)[1]  # type: ignore[attr-defined]


def test_a_large_guild_is_compared_first_and_then_written(room: Client) -> None:
    before = drafts()
    token = compared(room)
    assert drafts() == before
    answer = room.post("/guild/bring/confirmed", {"token": token, "clashes": "ours"})
    page = through(room, answer)
    assert page.wsgi_request.path == "/guild"  # type: ignore[attr-defined]
    assert drafts() == before + 200
    assert current_snapshot().guild.name == "Tin Roof Loom Room"
    assert room.get(f"/guild/bring/{token}").status_code == 422


def test_a_guild_canceled_on_its_way_in_changes_nothing_and_can_be_confirmed_again(
    room: Client, held: threading.Event
) -> None:
    held.set()
    token = compared(room)
    before, changes = drafts(), Change.objects.count()
    held.clear()
    work = room.post("/guild/bring/confirmed", {"token": token, "clashes": "theirs"}).headers["Location"]
    assert room.post(f"{work}/cancel").headers["Location"] == f"/guild/bring/{token}"
    held.set()
    ends()
    assert (drafts(), Change.objects.count()) == (before, changes)
    assert current_snapshot().guild.name == "Tin Roof Loom Room"
    through(room, room.post("/guild/bring/confirmed", {"token": token, "clashes": "theirs"}))
    assert current_snapshot().guild.name == "Elsewhere"


def test_a_draft_that_somebody_else_brought_meanwhile_stays(room: Client) -> None:
    text = Record.objects.filter(kind="drafts").first()
    assert text is not None
    with pytest.raises(BadInput, match="in the meantime"):
        store.load([("drafts", text.key, {"wif": "x"})], who="x", all_new=True)
    assert Record.objects.get(pk=text.pk).version == 1


@pytest.mark.parametrize("late", [False, True])
def test_a_packet_canceled_while_it_is_laid_out_is_dropped(
    room: Client, monkeypatch: pytest.MonkeyPatch, late: bool
) -> None:
    laying, go = threading.Event(), threading.Event()

    def slow(*_: object, **__: object) -> bytes:
        laying.set()
        go.wait(20)
        return b"%PDF"

    monkeypatch.setattr("loomready.app.printing.apart", slow)
    work = room.post("/warps/scarves/packet").headers["Location"]
    assert laying.wait(20)
    assert "If you cancel" in room.get(work).content.decode()
    if late:
        go.set()
        ends()
        assert 'id="ready"' in room.get(work).content.decode()
        return
    assert room.post(f"{work}/cancel").headers["Location"] == "/warps/scarves"
    go.set()
    ends()
    assert room.get(f"{work}/file").status_code == 404
    assert room.get(work).headers["Location"] == "/warps/scarves"


def test_work_that_fails_says_why(room: Client) -> None:
    response = room.post("/guild/bring", {"file": SimpleUploadedFile("b.toml", b"=" + b"x" * 400_000)})
    page = through(room, response).content.decode()
    assert "b.toml" in page
    assert "expected" in page
    assert len(made_by(room, "/warps/scarves/packet")) > 1000


def test_an_import_is_told_in_a_sentence_with_what_clashes_and_the_rest_folded(
    room: Client, without_packets: None
) -> None:
    file = room.get("/guild/guild.toml").content.decode()
    store.remove("warps", "scarves", version=Record.objects.get(kind="warps", key="scarves").version, who="x")
    yarn = Record.objects.get(kind="yarns", key="wool-rust")
    store.write("yarns", yarn.key, yarn.fields | {"fiber": "silk"}, version=yarn.version, who="x")
    guild = current_snapshot().guild
    snapshot, things = current_snapshot(), guild_files.unpack(file.encode(), "")
    compared = import_review.compare(snapshot, things)
    assert compared.counts[:3] == (
        f"{len(guild.yarns)} yarns",
        f"{len(guild.cones)} cones",
        f"{len(guild.looms)} looms",
    )
    assert compared.new == (("warp", ("scarves",)),)
    assert compared.clashes == ("yarn Worsted wool, rust",)
    token = import_review.keep(things, "guild.toml")
    page = re.sub(r"\s+", " ", room.get(f"/guild/bring/{token}").content.decode())
    assert f"{len(guild.yarns)} yarns, {len(guild.cones)} cones" in page
    assert "<b>1 clashes with yours.</b>" in page
    assert "1 is new," in page
    assert page.index("What is new") < page.index("scarves")
