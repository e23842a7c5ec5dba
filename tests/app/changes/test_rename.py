"""Names: what is called otherwise keeps its key, and everything that refers to it follows."""

from __future__ import annotations

import json
import re
from urllib.parse import unquote

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import resolve

from loomready import guildfile
from loomready.app.changes import versions
from loomready.app.models import Change, Fact, Record
from loomready.app.state.snapshot import current_snapshot, parsed
from tests.app.asking import PAGES, brought, form_of, made_by

pytestmark = pytest.mark.django_db

NAME = "Anna & Beth"


def renamed(weaver: Client, address: str, name: str = NAME) -> HttpResponse:
    """What a browser gets that opens the form, types the name and saves."""
    return weaver.post(address, form_of(weaver, address) | {"name": name})  # type: ignore[return-value]


def main_of(weaver: Client, address: str) -> str:
    page = weaver.get(address, follow=True).content.decode()
    return page[page.index("<main") : page.index("</main")]


def undo_latest(weaver: Client) -> None:
    weaver.post(f"/guild/undo/{Change.objects.latest('pk').pk}", {"sure": "yes"})


@pytest.mark.parametrize(
    ("form", "pages"),
    [
        (
            "/warps/scarves/name",
            ("/", "/warps", "/warps/scarves", "/beside", "/shelf", "/warps/scarves/size"),
        ),
        ("/shelf/yarn/wool-rust", ("/shelf", "/warps/scarves", "/shelf/yarn/wool-rust")),
        ("/looms/loom/porch", ("/", "/looms", "/warps/scarves")),
        ("/looms/reed/8-dent", ("/looms", "/looms/reed/8-dent")),
        ("/shelf/cone/fern-big", ("/shelf", "/shelf/cone/fern-big/weigh", "/shelf/cone/fern-big/ledger")),
        ("/drafts/drafts/broken-twill.wif/name", ("/drafts", "/drafts/drafts/broken-twill.wif/look")),
    ],
)
def test_a_new_name_is_on_every_page_and_undo_brings_the_old_one_back(
    weaver: Client, form: str, pages: tuple[str, ...]
) -> None:
    assert renamed(weaver, form).status_code == 302
    assert [page for page in pages if "Anna &amp; Beth" not in main_of(weaver, page)] == []
    undo_latest(weaver)
    history = re.compile(r'<ul class="history">.*?</ul>', re.S)
    told = [history.sub("", main_of(weaver, page)) for page in pages]
    assert [page for page in told if "Anna &amp; Beth" in page] == []


def test_cones_without_a_name_follow_their_yarn(weaver: Client) -> None:
    assert "Worsted wool, rust #1" in main_of(weaver, "/shelf")
    renamed(weaver, "/shelf/yarn/wool-rust", "Wool, brick red")
    shelf = main_of(weaver, "/shelf")
    assert "Wool, brick red #1" in shelf
    assert "wool-rust-1</a>" not in shelf


def test_records_and_reports_from_the_loom_stay_with_a_renamed_warp(weaver: Client) -> None:
    Fact.objects.create(
        name="scarves/winding/x/1/4/1/1/h",
        warp="scarves",
        job="winding",
        plan="x",
        first=1,
        last=4,
        done=True,
        counter=1,
        hand="h",
        who="Ida",
    )
    weaver.post("/records/scarves", form_of(weaver, "/records/scarves") | {"fell_width": "10 in"})
    renamed(weaver, "/warps/scarves/name")
    assert Fact.objects.filter(warp="scarves").count() == 1
    assert "Anna &amp; Beth" in main_of(weaver, "/records")
    assert weaver.get("/warps/scarves").status_code == 200  # what somebody has bookmarked
    assert "Anna &amp; Beth" in main_of(weaver, "/steps")


def test_a_plan_open_at_the_loom_is_the_same_plan_after_a_rename(weaver: Client) -> None:
    def data() -> dict[str, str]:
        page = weaver.get("/beside/scarves/winding").content.decode()
        found = re.search(r'<script[^>]*type="application/json"[^>]*>(.*?)</script>', page, re.S)
        assert found is not None
        return {name: job["plan"] for name, job in json.loads(found.group(1))["jobs"].items()}

    before = data()
    renamed(weaver, "/warps/scarves/name")
    renamed(weaver, "/shelf/yarn/wool-rust", "Wool, brick red")
    renamed(weaver, "/drafts/drafts/broken-twill.wif/name")
    assert data() == before


def test_a_renamed_draft_is_the_same_cloth_to_a_wound_warp(weaver: Client) -> None:
    snapshot = current_snapshot()
    draft = next(order.draft for order in snapshot.guild.warps if order.key == "scarves")
    weaver.post("/warps/scarves/step", {"step": "wound", "version": ""})
    assert renamed(weaver, f"/drafts/{draft}/name").status_code == 302
    now = current_snapshot()
    assert now.drafts[draft].title == NAME
    assert versions.wound_from(now, "scarves") is None
    assert (
        parsed(now.entries["drafts", draft].fields["wif"]).draft.lifts.tolist()
        == snapshot.drafts[draft].lifts.tolist()
    )


@pytest.mark.parametrize(
    ("kind", "address"),
    [
        ("warps", "/warps/scarves/name"),
        ("drafts", "/drafts/drafts/broken-twill.wif/name"),
        ("reeds", "/looms/reed/8-dent"),
    ],
)
def test_a_stale_form_of_a_name_is_a_conflict(weaver: Client, kind: str, address: str) -> None:
    old = form_of(weaver, address)
    renamed(weaver, address, "First")
    assert weaver.post(address, old | {"name": "Second"}).status_code == 409
    assert "First" in current_snapshot().names(kind).values()
    assert "Second" not in current_snapshot().names(kind).values()


@pytest.mark.parametrize(
    ("name", "word"), [("", "Is missing"), ("TOWELS", "already used"), ("x" * 201, "too long")]
)
def test_a_name_that_cannot_be_is_refused_beside_it_and_stays_typed(
    weaver: Client, name: str, word: str
) -> None:
    answer = renamed(weaver, "/warps/scarves/name", name)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert re.search(f'id="name-error">.*{word}', page, re.S)
    assert f'value="{name}"' in page


def test_a_name_given_back_is_no_name_in_the_guild_file(weaver: Client) -> None:
    renamed(weaver, "/warps/scarves/name")
    assert 'name = "Anna & Beth"' in weaver.get("/guild/guild.toml").content.decode()
    renamed(weaver, "/warps/scarves/name", "scarves")
    assert "name" not in Record.objects.get(kind="warps", key="scarves").fields


def test_a_guild_file_with_names_reads_back_the_same(weaver: Client) -> None:
    for address in ("/warps/scarves/name", "/looms/reed/8-dent", "/shelf/cone/fern-big"):
        renamed(weaver, address)
    guild = current_snapshot().guild
    assert guildfile.decode(guildfile.encode(guild)) == guild


def test_the_history_tells_a_rename_in_one_line_with_both_names(weaver: Client) -> None:
    renamed(weaver, "/warps/scarves/name")
    assert "warp Anna &amp; Beth: name scarves → Anna &amp; Beth" in main_of(weaver, "/guild")


def test_the_history_tells_what_changed_by_names(weaver: Client) -> None:
    renamed(weaver, "/looms/loom/porch", "The loom at the window")
    entry = current_snapshot().entries["warps", "scarves"]
    other = next(key for key in current_snapshot().names("looms") if key != entry.fields["loom"])
    Change.objects.create(
        kind="warps",
        key="scarves",
        position=1,
        who="Ida",
        before={"loom": "porch", "warp_yarns": ["wool-rust"]},
        after={"loom": other, "warp_yarns": ["wool-undyed"]},
    )
    told = main_of(weaver, "/guild")
    assert "loom The loom at the window → " in told
    assert "warp yarns Worsted wool, rust → Worsted wool, undyed" in told


def test_every_link_and_form_leads_to_what_it_names_once_everything_is_renamed(weaver: Client) -> None:
    snapshot = current_snapshot()
    known = {key for _kind, key in snapshot.entries}
    forms = [f"/warps/{key}/name" for key in snapshot.names("warps")]
    forms += [f"/looms/loom/{key}" for key in snapshot.names("looms")]
    forms += [f"/looms/reed/{key}" for key in snapshot.names("reeds")]
    forms += [f"/drafts/{key}/name" for key in snapshot.names("drafts")]
    forms += ["/shelf/yarn/wool-rust", "/shelf/cone/fern-big", "/shelf/cone/wool-rust-1"]
    for number, form in enumerate(forms):
        assert renamed(weaver, form, f"Name {number}").status_code == 302
    wrong = []
    for page in (*PAGES, "/beside", "/records", "/search?q=name"):
        answer = weaver.get(page)
        assert answer.status_code == 200
        for address in re.findall(r'(?:href|action|src|hx-post|hx-get)="(/[^"?#]*)', answer.content.decode()):
            key = resolve(unquote(address)).kwargs.get("key") if not address.startswith("/static") else None
            if key is not None and key not in known:
                wrong.append((page, address))
    assert wrong == []


def test_the_history_tells_a_renamed_draft_by_its_new_name(weaver: Client) -> None:
    address = "/drafts/drafts/broken-twill.wif/name"
    renamed(weaver, address)
    assert "draft Anna &amp; Beth: name → Anna &amp; Beth" in main_of(weaver, "/guild")
    weaver.post(address, form_of(weaver, address) | {"name": "Twill", "notes": "n"})
    assert "draft Twill: name → Twill, notes" in main_of(weaver, "/guild")


def test_the_record_of_a_removed_warp_keeps_its_name(weaver: Client) -> None:
    weaver.post("/records/scarves", form_of(weaver, "/records/scarves") | {"fell_width": "10 in"})
    renamed(weaver, "/warps/scarves/name")
    version = Record.objects.get(kind="warps", key="scarves").version
    weaver.post("/warps/scarves/remove", {"version": version, "sure": "yes"})
    assert "Anna &amp; Beth" in main_of(weaver, "/records")


def test_a_backup_keeps_names_and_notes(weaver: Client, without_packets: None) -> None:
    for address in ("/warps/scarves/name", "/shelf/cone/fern-big", "/drafts/drafts/broken-twill.wif/name"):
        weaver.post(address, form_of(weaver, address) | {"name": NAME, "notes": "two\nlines"})
    before = current_snapshot()
    whole = made_by(weaver, "/guild/backup")
    Change.objects.all().delete()
    Record.objects.all().delete()
    weaver.post("/start", {"begin": "empty"})
    brought(weaver, whole)
    after = current_snapshot()
    assert {kind: after.names(kind) for kind in ("warps", "cones", "drafts")} == {
        kind: before.names(kind) for kind in ("warps", "cones", "drafts")
    }
    assert after.guild.warps == before.guild.warps
    assert after.drafts["drafts/broken-twill.wif"].notes == "two\nlines"
