"""A draft in the version that a page showed: what is done there applies to that version.

Each change of a record makes its next version, so that version n is what the n-th change left.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from loomready.app.changes import change_guard as wound
from loomready.app.changes import versions
from loomready.app.changes.saving import entry_or_404, in_progress, refuse, version_of, who
from loomready.app.drafts import draft_preview, save_draft
from loomready.app.i18n.words import sentence
from loomready.app.progress import overview
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Snapshot, parsed
from loomready.draft.draft import Draft
from loomready.problems import BadInput

Work = Callable[[Draft], Draft]
Warps = Callable[[Draft], dict[str, dict[str, Any]]]


@dataclass(frozen=True, slots=True)
class Seen:
    """A draft's record as it is now, and the draft of the version that is worked on.

    wound  names of warps on it that are wound already: the warp on the loom does not follow a new version
    """

    entry: Entry
    version: int
    draft: Draft
    wound: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        return self.draft.title or self.entry.key.removeprefix("drafts/").removesuffix(".wif")


@dataclass(frozen=True, slots=True)
class Result:
    """The result of a conversion, as its page shows it before and after.

    kin     how the cloth changed, in words
    picked  the choices that make it again, as a form holds them
    """

    title: str
    kin: str
    level: draft_preview.Level
    lines: tuple[draft_preview.FigureChange, ...]
    before: draft_preview.Picture
    after: draft_preview.Picture
    diagram: draft_preview.Picture | None
    name: str
    notes: tuple[str, ...] = ()
    picked: dict[str, Any] = field(default_factory=dict)


def seen(request: HttpRequest, snapshot: Snapshot, key: str) -> Seen:
    """The draft of the version that a form names; without one, as it is now.

    A version that never was is not a page.
    """
    entry = entry_or_404(snapshot, "drafts", key)
    number = version_of(request) if request.method == "POST" else None
    if number is None or number == entry.version:
        on_it = (order for order in snapshot.guild.warps if key in order.drafts)
        begun = tuple(order.name for order in on_it if overview.is_wound(snapshot, order.key))
        return Seen(entry, entry.version, parsed(entry.fields["wif"]).draft, begun)
    before = versions.one(key, number)
    if before is None:
        raise Http404
    return Seen(entry, number, parsed(before.wif).draft)


def result(
    snapshot: Snapshot,
    draft: Draft,
    made: Draft,
    *,
    title: str,
    kin: str,
    level: draft_preview.Level,
    name: str,
) -> Result:
    guild = snapshot.guild
    return Result(
        title=title,
        kin=kin,
        level=level,
        lines=draft_preview.compared(draft, made),
        before=draft_preview.cloth(draft, guild.end_1),
        after=draft_preview.cloth(made, guild.end_1),
        diagram=draft_preview.diagram(made, guild.end_1, guild.shaft_1),
        name=name,
    )


def kept(
    request: HttpRequest,
    snapshot: Snapshot,
    found: Seen,
    work: Work,
    back: str,
    warps: Warps | None = None,
    ground: str = "",
) -> HttpResponse:
    """Save a result as the draft's next version or as another draft, and show it.

    ``warps``: tables of warps that change with the next version; ``ground``: the yarn of an added weft color.
    """
    key = found.entry.key
    try:
        made = work(found.draft)
    except BadInput as error:
        return refuse(request, error.line(), back, 422)
    if request.POST.get("as") == "other":
        try:
            other = save_draft.another(snapshot, made, request.POST.get("name", ""), who(request))
        except BadInput as error:
            return refuse(request, sentence(error.what), back, 422)
        return redirect("drafts-look", key=other)
    over = request.POST.get("over", "")
    number = int(over) if over.isdecimal() and len(over) < 10 else found.version
    try:
        titled = replace(made, title=found.draft.title)
        changed, sure = warps(made) if warps else None, bool(request.POST.get("sure"))
        save_draft.version(snapshot, key, titled, number, who(request), changed, ground, sure=sure)
    except wound.InProgress as found_out:
        return in_progress(request, found_out.touched, back)
    except store.Conflict as conflict:
        return _meanwhile(request, snapshot, found, made, conflict, back)
    except BadInput as error:
        return refuse(request, error.line(), back, 422)
    return redirect("drafts-look", key=key)


def _meanwhile(
    request: HttpRequest, snapshot: Snapshot, found: Seen, made: Draft, conflict: store.Conflict, back: str
) -> HttpResponse:
    """Both versions as cloth, for the second of two who changed the same draft."""
    current = conflict.current
    if current is None or current.kind != "drafts":
        return refuse(request, _("Somebody changed it in the meantime; check it again."), back)
    theirs = parsed(current.fields["wif"]).draft
    page = {
        "title": _("Two versions"),
        "seen": found,
        "theirs": draft_preview.cloth(theirs, snapshot.guild.end_1),
        "mine": draft_preview.cloth(made, snapshot.guild.end_1),
        "lines": draft_preview.compared(theirs, made),
        "over": current.version,
        "name": request.POST.get("name") or found.title,
        "posted": [
            (name, value)
            for name, value in request.POST.dict().items()
            if name not in ("csrfmiddlewaretoken", "as", "name", "over")
        ],
        "path": request.path,
    }
    return render(request, "workshop/two_versions.html", page, status=409)
