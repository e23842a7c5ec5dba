"""Warping boards: their list, one to draw or type, and the path of a warp over it."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from loomready.app.changes.saving import clash, entry_or_404, refuse, remove, version_of, who
from loomready.app.forms import fields
from loomready.app.forms.fields import Field
from loomready.app.i18n.words import sentence, translated
from loomready.app.loomside import boards, boards_form
from loomready.app.state import store
from loomready.app.state.snapshot import Snapshot, current_snapshot
from loomready.loomside.board.choice import choose, path_over, second_path, second_told
from loomready.loomside.board.winding_path import refuse_blocked
from loomready.model.guild import Board
from loomready.problems import BadInput
from loomready.warp.result import WarpPlan


def boards_page(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    rows = [
        {"board": board, "drawing": boards.drawing(board, None, snapshot.show, board.name)}
        for board in snapshot.guild.boards
    ]
    return render(request, "loomside/boards.html", {"title": _("Warping boards"), "rows": rows})


def _unit(snapshot: Snapshot) -> str:
    return "in" if snapshot.show.us else "cm"


def new(request: HttpRequest) -> HttpResponse:
    """A board to type and draw; ``?layout=`` starts it with one of the common ones."""
    snapshot = current_snapshot()
    kind = request.GET.get("layout", "")
    if request.method == "GET" and kind in boards.LAYOUTS:
        form = boards.layout_form(kind, snapshot.guild.units)
        if request.GET.get("go"):
            fields.take(form, request.GET.dict())
            begun = boards.layout(kind, form)
            if begun is not None:
                return _show(request, snapshot, boards_form.from_layout(begun, snapshot.guild.units), None)
        shown = {
            "title": boards.LAYOUTS[kind],
            "form": form,
            "kind": kind,
            "is_mill": kind == "mill",
        }
        return render(request, "loomside/board_layout.html", shown, status=422 if form.wrong else 200)
    if request.method == "GET":
        return _show(request, snapshot, boards_form.blank(_unit(snapshot)), None)
    return _taken(request, snapshot, "")


def board(request: HttpRequest, key: str) -> HttpResponse:
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "boards", key)
    if request.method == "POST":
        return _taken(request, snapshot, key)
    return _show(request, snapshot, boards_form.from_fields(entry.fields), key)


def _taken(request: HttpRequest, snapshot: Snapshot, key: str) -> HttpResponse:
    """What was posted, saved; or the form again, with what is wrong, more rows or one row less."""
    form = boards_form.from_posted(request.POST.dict(), _unit(snapshot))
    if request.POST.get("drop") or request.POST.get("more"):
        return _show(request, snapshot, form, key or None)
    made = boards_form.table_of(form, key, {each.key for each in snapshot.guild.boards})
    if not form.wrong:
        try:
            store.write("boards", made["key"], made, version=version_of(request), who=who(request))
            return redirect("loomside-boards")
        except store.Conflict as conflict:
            return clash(request, "boards", made["key"], made, conflict)
        except BadInput as error:
            form.error = sentence(error.what)
    return _show(request, snapshot, form, key or None)


def _show(
    request: HttpRequest, snapshot: Snapshot, form: boards_form.BoardForm, key: str | None
) -> HttpResponse:
    entry = snapshot.entry("boards", key) if key else None
    shown = {
        "title": entry.fields.get("name", key) if entry else _("New warping board"),
        "form": form,
        "entry": entry,
        "unit": _unit(snapshot),
        "law": boards_form.law(_unit(snapshot)),
        "layouts": boards.LAYOUTS.items(),
    }
    return render(request, "loomside/board.html", shown, status=422 if form.wrong else 200)


def board_remove(request: HttpRequest, key: str) -> HttpResponse:
    return remove(request, "boards", key, "loomside-boards")


def path(request: HttpRequest, key: str) -> HttpResponse:
    """The path over a board for a length that is typed."""
    snapshot = current_snapshot()
    entry_or_404(snapshot, "boards", key)
    return _path(request, snapshot, _board(snapshot, key), "")


def path_of_warp(request: HttpRequest, key: str) -> HttpResponse:
    """The path of a warp over the board that its sheets show, or the one chosen."""
    snapshot = current_snapshot()
    entry_or_404(snapshot, "warps", key)
    asked = request.GET.get("board", "")
    keys = [each.key for each in snapshot.guild.boards]
    if not keys:
        shown = {"title": _("No board yet"), "warp": key}
        return render(request, "loomside/board_none.html", shown)
    if asked not in keys:
        planned = snapshot.plan_of(key)
        chosen = choose(planned.plan) if planned and planned.plan else None
        asked = chosen[0].key if chosen else keys[0]
    return _path(request, snapshot, _board(snapshot, asked), key)


def _board(snapshot: Snapshot, key: str) -> Board:
    return next(each for each in snapshot.guild.boards if each.key == key)


def _path(request: HttpRequest, snapshot: Snapshot, board: Board, warp: str) -> HttpResponse:
    planned = snapshot.plan_of(warp) if warp else None
    plan = planned.plan if planned else None
    needed_mm = plan.lengths.needed_m * 1000 if plan else None
    unit = "yd" if snapshot.show.us else "m"
    field = Field("length", _("Length to wind"), request.GET.get("length", ""), unit=unit)
    made = None
    try:
        refuse_blocked(board)
        if field.text:
            made = path_over(board, boards.wanted_of(field.text, snapshot.guild.units))
        elif needed_mm:
            made = path_over(board, needed_mm)
    except BadInput as error:
        field = Field(**{**_parts(field), "error": sentence(error.what)})
    shown: dict[str, Any] = {
        "title": _("Warping path for %(warp)s") % {"warp": snapshot.name("warps", warp)}
        if warp
        else board.name,
        "board": board,
        "boards": snapshot.guild.boards,
        "warp": warp,
        "entry": snapshot.entry("warps", warp) if warp else None,
        "field": field,
        "needed": snapshot.show.length(plan.lengths.needed_m) if plan else "",
        "wound": str(snapshot.entries["warps", warp].fields.get("wound_length", "")) if warp else "",
        "made": boards.shown(snapshot, board, made) if made else None,
        **(second_shown(snapshot, plan, board) if plan else {}),
        "drawing": boards.drawing(board, None, snapshot.show, board.name),
    }
    return render(request, "loomside/board_path.html", shown, status=422 if field.error else 200)


def second_shown(snapshot: Snapshot, plan: WarpPlan, board: Board) -> dict[str, str]:
    """The path of a second warp over a board, in the words of the winding sheet, and drawn if it fits."""
    if plan.second is None:
        return {}
    told = translated(second_told(plan, board, plan.second))
    found = second_path(plan, board, plan.second)
    drawn = boards.drawing(board, found, snapshot.show, told) if found is not None and found.enough else ""
    return {"second": told, "second_drawing": drawn}


def _parts(field: Field) -> dict[str, Any]:
    return {name: getattr(field, name) for name in Field.__slots__}


@require_POST
def use(request: HttpRequest, key: str) -> HttpResponse:
    """Write the length of the path into the warp."""
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, "warps", key)
    board = next((each for each in snapshot.guild.boards if each.key == request.POST.get("board")), None)
    try:
        wanted_mm = float(request.POST.get("wanted_mm", ""))
        if board is None or not 0 < wanted_mm < 1e6:
            raise ValueError
        made = path_over(board, wanted_mm)
        if made is None or not made.enough:
            raise ValueError
    except (ValueError, BadInput):
        told = _("The board has changed in the meantime; check the path again.")
        return refuse(request, told, f"/boards-for/{key}")
    table = dict(entry.fields) | {"wound_length": boards.wound_text(made.length_mm / 1000, snapshot.show)}
    try:
        store.write("warps", key, table, version=version_of(request) or 0, who=who(request))
    except store.Conflict as conflict:
        return clash(request, "warps", key, table, conflict)
    except BadInput as error:
        return refuse(request, error.line(), f"/warps/{key}", 422)
    return redirect("warps-plan", key=key)
