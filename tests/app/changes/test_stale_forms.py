"""Every form of the app, sent from a page that is no longer true: a conflict with a word, never silent."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db.models import F
from django.test import Client
from django.urls import resolve

from loomready.app.loomside import project_record
from loomready.app.models import Change, Record
from loomready.app.state import store
from loomready.app.state.snapshot import Snapshot, current_snapshot
from tests.app.asking import PAGES
from tests.app.conftest import DRAFTS
from tests.app.devices import fill_history

pytestmark = pytest.mark.django_db
MORE = (
    "/beside/towels/winding",
    "/beside/towels/count?which=over&ends=2",
    "/warps/towels",
    "/warps/cushions",
)
# Forms that change no record that a page shows, by the names of their addresses.
NO_VERSION = {
    # They make something new: a name that is taken is refused.
    *(
        "warps-new",
        "shelf-yarn-new",
        "shelf-cone-new",
        "looms-new",
        "looms-reed-new",
        "drafts",
        "loomside-board-new",
        "photos-add",
    ),
    *("workshop-edit-new", "workshop-make-one", "workshop-draft-new"),
    # They name what they undo, mark or import, each once.
    *("guild-undo", "guild-bring", "loomside-hand-in", "loomside-steps-remove", "loomside-steps-back"),
    # They change nothing of the guild.
    *("warps-print", "guild-backup", "workshop-turn-cancel", "choosing-find", "choosing-find-stop"),
    *(
        "sharing-code",
        "sharing-name",
        "sharing-leave",
        "sharing-join",
        "sharing-withdraw",
        "sharing-open-again",
    ),
}

# What still needs a thing is said before anything else; then nothing was removed either.
CONFLICT = re.compile("Somebody|in the meantime|has changed|Two versions|still needed|first, or remove")


@dataclass
class Form:
    """A form as a browser would send it; ``buttons``: the ways to send it."""

    page: str
    action: str
    fields: dict[str, str] = field(default_factory=dict)
    buttons: list[dict[str, str]] = field(default_factory=list)

    @property
    def name(self) -> str:
        return resolve(re.sub(r"[?#].*", "", self.action)).url_name or ""


class Forms(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.page = page
        self.found: list[Form] = []
        self.open: Form | None = None
        self.select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        name = given.get("name", "")
        if tag == "form" and given.get("method") == "post":
            self.open = Form(self.page, given.get("action") or self.page)
            self.found.append(self.open)
        if self.open is None:
            return
        if tag == "input" and name:
            if given.get("type") not in ("radio", "checkbox") or "checked" in given:
                self.open.fields[name] = given.get("value", "")
        elif tag == "button" and given.get("type") != "button":
            self.open.buttons.append({name: given.get("value", "")} if name else {})
        elif tag == "select":
            self.select = name
        elif tag == "option" and self.select and ("selected" in given or self.select not in self.open.fields):
            self.open.fields[self.select] = given.get("value", "")
        elif tag == "textarea" and name:
            self.open.fields[name] = ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.open = None
        elif tag == "select":
            self.select = ""


def all_forms(weaver: Client) -> list[Form]:
    """Each form of every page, the same of one action once."""
    found: dict[tuple[str, str], Form] = {}
    for page in (*PAGES, *MORE):
        answer = weaver.get(page, follow=True)
        parser = Forms(page)
        parser.feed(answer.content.decode())
        for form in parser.found:
            found.setdefault((form.action, str(sorted(form.fields))), form)
    return list(found.values())


def test_every_form_carries_what_it_was_made_from(weaver: Client) -> None:
    fill_history()
    bare = {form.name for form in all_forms(weaver) if "version" not in form.fields}
    assert bare - NO_VERSION == set()


def changed_since() -> None:
    """Somebody changes every record, and makes those that were not there yet."""
    Record.objects.update(version=F("version") + 1)
    made: list[tuple[str, str, dict[str, Any]]] = []
    made += [("order", "warps", {"keys": [order.key for order in current_snapshot().guild.warps]})]
    made += [("progress", order.key, {"step": "planned"}) for order in current_snapshot().guild.warps]
    made += [("beam", loom.key, {"around": "30 in"}) for loom in current_snapshot().guild.looms]
    made += [("day", "next", {"name": "Open studio", "date": "2027-01-02"})]
    for planned in current_snapshot().planned:
        if planned.plan is not None:
            made.append(("happened", planned.order.key, {"plan": project_record.context_of(planned.plan)}))
    for kind, key, fields in made:
        if not Record.objects.filter(kind=kind, key=key).exists():
            store.write(kind, key, fields, version=None, who="somebody")


def test_no_form_of_a_stale_page_changes_anything_silently(weaver: Client) -> None:
    fill_history()
    forms = [form for form in all_forms(weaver) if form.name not in NO_VERSION]
    assert len(forms) > 20
    changed_since()
    before = Change.objects.count()
    silent = []
    for form in forms:
        sent: dict[str, Any] = form.fields | (form.buttons[0] if form.buttons else {})
        if form.name == "drafts-version":
            sent["file"] = SimpleUploadedFile("new.wif", (DRAFTS / "advancing-waves.wif").read_bytes())
        if form.name == "loomside-tick":
            sent["job"] = "winding"  # the page's script says which
        for name, text in {
            "gross": "190 g",
            "around": "25 in",
            "day-name": "Sale",
            "day-date": "2027-03-01",
        }.items():
            if name in sent and not sent[name]:
                sent[name] = text
        answer = weaver.post(form.action, sent)
        said = answer.content.decode()
        known = CONFLICT.search(said) is not None
        if Change.objects.count() != before or answer.status_code not in (409, 422) or not known:
            silent.append((form.page, form.action, answer.status_code, Change.objects.count() - before))
            before = Change.objects.count()
    assert not silent, "\n".join(map(str, silent))


def test_the_guild_page_never_shows_old_texts_with_a_newer_version(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls: list[int] = []

    def then_somebody_saves() -> Snapshot:
        snapshot = current_snapshot()
        calls.append(1)
        if len(calls) == 1:
            guild = snapshot.entries["guild", "guild"]
            fields = guild.fields | {"name": "Another name"}
            store.write("guild", "guild", fields, version=guild.version, who="somebody")
        return snapshot

    monkeypatch.setattr("loomready.app.views.guild.current_snapshot", then_somebody_saves)
    parser = Forms("/guild")
    parser.feed(weaver.get("/guild").content.decode())
    monkeypatch.undo()
    form = next(each for each in parser.found if each.action == "/guild")
    assert form.fields["name"] != "Another name"
    assert weaver.post("/guild", form.fields | {"bobbin": "9 g"}).status_code == 409
    assert current_snapshot().guild.name == "Another name"
