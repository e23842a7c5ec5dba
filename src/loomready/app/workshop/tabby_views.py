"""Add tabby (ground) picks to a draft, or remove them."""

from __future__ import annotations

from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from loomready.app.i18n.words import sentence
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.app.workshop import draft_version
from loomready.colors import RGB, hex_color, parse_color
from loomready.draft.draft import Draft
from loomready.draft.tabby import ground_picks, tabby_of, use_tabby, without_ground
from loomready.problems import BadInput


def tabby(request: HttpRequest, key: str) -> HttpResponse:
    """The draft with its ground weft before it is saved; if it has one already, without it."""
    snapshot = current_snapshot()
    found = draft_version.seen(request, snapshot, key)
    sent = request.POST if request.method == "POST" else request.GET
    has = ground_picks(found.draft) is not None
    away = sent.get("do", "without" if has and "ground" not in sent else "use") == "without"
    yarn = next((each for each in snapshot.guild.yarns if each.key == sent.get("yarn", "")), None)
    color = yarn.color if yarn else _color(sent.get("ground", ""), found.draft)

    def work(draft: Draft) -> Draft:
        return without_ground(draft) if away else use_tabby(draft, color)

    if request.method == "POST":
        ground = yarn.key if yarn and not away else ""
        return draft_version.kept(request, snapshot, found, work, request.path, ground=ground)
    page = {
        "title": _("Add tabby (ground) picks"),
        "seen": found,
        "has": has,
        "away": away,
        "ground": hex_color(color),
        "yarns": snapshot.guild.yarns,
        "yarn": yarn,
        "result": None,
        "error": "",
    }
    picked = {"do": "use", "ground": hex_color(color)} | ({"yarn": yarn.key} if yarn else {})
    try:
        page["result"] = _result(snapshot, found, work(found.draft), away, picked)
    except BadInput as error:
        page["error"] = sentence(error.what)
    part = bool(request.htmx)  # type: ignore[attr-defined]
    return render(request, "workshop/_result.html" if part else "workshop/tabby.html", page)


def _result(
    snapshot: Snapshot, found: draft_version.Seen, made: Draft, away: bool, picked: dict[str, str]
) -> draft_version.Result:
    if away:
        return replace(
            draft_version.result(
                snapshot,
                found.draft,
                made,
                title=_("Remove tabby picks"),
                kin=_("Only the pattern picks. Every second pick is deleted."),
                level="",
                name=_("%s, pattern picks") % found.title,
            ),
            picked={"do": "without"},
        )
    notes = []
    if tabby_of(found.draft.threading, found.draft.shafts).seam:
        notes.append(_("Where the threading repeats, its last end and its first end rise together."))
    if found.draft.picks % 2:
        notes.append(_("The picks are written out twice so that tabby A and B alternate."))
    notes.append(_("The same length now has twice as many picks: check the picks of its warps."))
    return replace(
        draft_version.result(
            snapshot,
            found.draft,
            made,
            title=_("With a ground weft"),
            kin=_("A ground pick after each pick, tabby A and B in turn. The pattern picks do not change."),
            level="done",
            name=_("%s, with tabby") % found.title,
        ),
        notes=tuple(notes),
        picked=picked,
    )


def _color(asked: str, draft: Draft) -> RGB:
    """The ground's color: as asked for, else the warp's most common."""
    try:
        return parse_color(asked)
    except BadInput:
        pass
    colors = draft.warp_colors.tolist()
    return draft.palette[max(sorted(set(colors)), key=colors.count)] if colors else (200, 190, 170)
