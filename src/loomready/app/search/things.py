"""What the search finds: the records of the guild and the pages of the app, with the words they match."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.urls import reverse
from django.utils.translation import get_language, gettext_lazy, ngettext
from django.utils.translation import gettext as _

from loomready.app.i18n.loom_size import shafts_of
from loomready.app.i18n.words import translated
from loomready.app.sharing.roles import Role, needed
from loomready.app.state.snapshot import Snapshot
from loomready.phrases import word
from loomready.yarn.label import label

# The kinds in the order in which equally good ones are shown; what one of each is called, and all of them.
KINDS: dict[str, tuple[Any, Any]] = {
    "warps": (gettext_lazy("warp"), gettext_lazy("Warps")),
    "beside": (gettext_lazy("at the loom"), gettext_lazy("At the loom")),
    "drafts": (gettext_lazy("draft"), gettext_lazy("Drafts")),
    "yarns": (gettext_lazy("yarn"), gettext_lazy("Yarns")),
    "looms": (gettext_lazy("loom"), gettext_lazy("Looms")),
    "reeds": (gettext_lazy("reed"), gettext_lazy("Reeds")),
    "boards": (gettext_lazy("warping board"), gettext_lazy("Warping boards")),
    "people": (gettext_lazy("person"), gettext_lazy("People")),
    "pages": (gettext_lazy("page"), gettext_lazy("Pages")),
    "cones": (gettext_lazy("cone"), gettext_lazy("Cones")),
    "happened": (gettext_lazy("project record"), gettext_lazy("Project records")),
}
# Pages by the names of their addresses. Those of the second list make something: keepers see them.
_PAGES = (
    ("home", gettext_lazy("Home")),
    ("shelf", gettext_lazy("Shelf")),
    ("looms", gettext_lazy("Looms and reeds")),
    ("drafts", gettext_lazy("Drafts")),
    ("warps", gettext_lazy("Warps")),
    ("guild", gettext_lazy("Guild: settings, history, backup, import")),
    ("loomside-jobs", gettext_lazy("At the loom")),
    ("loomside-boards", gettext_lazy("Warping boards")),
    ("loomside-records", gettext_lazy("Project records")),
    ("sharing-share", gettext_lazy("Share on this network")),
    ("loomside-steps", gettext_lazy("Steps received")),
)
# Pages of the event, once there is one.
_OF_EVENT = (
    ("event", gettext_lazy("Event")),
    ("event-people", gettext_lazy("Who helps")),
    ("event-about", gettext_lazy("Days and warps of the event")),
    ("event-stands", gettext_lazy("Stands and classes")),
    ("event-pace", gettext_lazy("Pace")),
    ("event-shop", gettext_lazy("What the shop sells")),
    ("event-order-list", gettext_lazy("Order list")),
    ("event-person-sheets", gettext_lazy("Sheets for each person")),
)
_MAKING = (
    ("warps-new", gettext_lazy("New warp")),
    ("shelf-yarn-new", gettext_lazy("New yarn")),
    ("shelf-cone-new", gettext_lazy("Weigh a new cone")),
    ("looms-new", gettext_lazy("New loom")),
    ("looms-reed-new", gettext_lazy("New reed")),
    ("loomside-board-new", gettext_lazy("New warping board")),
    ("choosing-find", gettext_lazy("Search drafts")),
    ("workshop-make", gettext_lazy("Make a draft")),
    ("workshop-edit-new", gettext_lazy("New draft")),
)


@dataclass(frozen=True, slots=True)
class Thing:
    """``detail``: what tells it from others of its name. ``words``: what else it is found by."""

    kind: str
    name: str
    url: str
    detail: str = ""
    words: str = ""
    color: tuple[int, int, int] | None = None
    folded_name: str = ""
    folded: str = ""

    @property
    def word(self) -> Any:
        """What kind of thing it is."""
        return KINDS[self.kind][0]


def fold(text: str) -> str:
    """A text as it is compared: without capitals and accents.

    >>> fold("Läufer No. 5")
    'laufer no. 5'
    """
    parts = unicodedata.normalize("NFKD", text)
    return "".join(each for each in parts if not unicodedata.combining(each)).casefold()


def things(snapshot: Snapshot, role: Role) -> tuple[Thing, ...]:
    """All that somebody of that role can go to, kind by kind."""
    return _things(snapshot, role, get_language() or "")


@lru_cache(maxsize=6)
def _things(snapshot: Snapshot, role: Role, language: str) -> tuple[Thing, ...]:
    order = list(KINDS)
    found = [
        *_planned(snapshot),
        *_shelf(snapshot),
        *_tools(snapshot),
        *_people(snapshot, role),
        *_pages(snapshot, role),
    ]
    return tuple(_folded(each) for each in sorted(found, key=lambda each: order.index(each.kind)))


def _folded(thing: Thing) -> Thing:
    name = fold(thing.name)
    every = fold("\n".join((thing.name, thing.detail, thing.words, str(thing.word))))
    return Thing(thing.kind, thing.name, thing.url, thing.detail, thing.words, thing.color, name, every)


def _planned(snapshot: Snapshot) -> Iterator[Thing]:
    for order in snapshot.guild.warps:
        loom = snapshot.name("looms", order.loom)
        words = _joined((order.key, snapshot.name("drafts", order.draft), order.notes))
        yield Thing("warps", order.name, reverse("warps-plan", args=[order.key]), loom, words)
        if order.off is None:
            yield Thing("beside", order.name, reverse("loomside-warp", args=[order.key]), loom, words)
    for key, draft in snapshot.drafts.items():
        shafts = ngettext("%d shaft", "%d shafts", draft.shafts) % draft.shafts
        url = reverse("drafts-look", args=[key])
        yield Thing("drafts", snapshot.name("drafts", key), url, shafts, _joined((key, draft.notes)))
    for entry in snapshot.of_kind("happened"):
        name = snapshot.name("warps", entry.key)
        yield Thing("happened", name, reverse("loomside-record", args=[entry.key]), "", entry.key)


def _shelf(snapshot: Snapshot) -> Iterator[Thing]:
    guild = snapshot.guild
    for yarn in guild.yarns:
        url = reverse("shelf-yarn", args=[yarn.key])
        size = label(yarn) or snapshot.show.grist(yarn.grist_m_per_g)
        yield Thing("yarns", yarn.name, url, size, _joined((yarn.key, yarn.fiber, yarn.notes)), yarn.color)
    colors = {yarn.key: yarn.color for yarn in guild.yarns}
    for cone in guild.cones:
        lot = _("lot %(lot)s") % {"lot": cone.lot} if cone.lot else ""
        words = _joined((cone.key, snapshot.name("yarns", cone.yarn), cone.notes))
        url = reverse("shelf-cone", args=[cone.key])
        yield Thing("cones", snapshot.name("cones", cone.key), url, lot, words, colors[cone.yarn])


def _tools(snapshot: Snapshot) -> Iterator[Thing]:
    show = snapshot.show
    for loom in snapshot.guild.looms:
        words = _joined((loom.key, loom.kind, loom.notes))
        yield Thing("looms", loom.name, reverse("looms-loom", args=[loom.key]), shafts_of(loom), words)
    for reed in snapshot.guild.reeds:
        size = f"{show.dents(reed.dents_per_cm)}, {show.width(reed.width_mm)}"
        yield Thing("reeds", reed.name, reverse("looms-reed", args=[reed.key]), size, reed.key)
    for board in snapshot.guild.boards:
        yield Thing("boards", board.name, reverse("loomside-board", args=[board.key]), "", board.key)


def _people(snapshot: Snapshot, role: Role) -> Iterator[Thing]:
    page = "event-person" if role >= Role.KEEPER else "event-own-hours"
    for person in snapshot.guild.people:
        can = ", ".join(translated(word(each)) for each in person.can)
        yield Thing("people", person.name, reverse(page, args=[person.key]), "", _joined((person.key, can)))


def _pages(snapshot: Snapshot, role: Role) -> Iterator[Thing]:
    of_event = () if snapshot.guild.event is None else _OF_EVENT
    for name, said in (*_PAGES, *of_event):
        if role >= needed(name, "GET"):
            yield Thing("pages", str(said), reverse(name))
    for name, said in _MAKING:
        if role >= max(Role.KEEPER, needed(name, "GET")):
            yield Thing("pages", str(said), reverse(name))


def _joined(words: Iterable[str | None]) -> str:
    return "\n".join(filter(None, words))
