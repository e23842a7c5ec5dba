"""The guild: its name and ways, its history, its backups."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from loomready.app import beside, carry, fields, history, incoming, store
from loomready.app.room import Entry, Room, open_room
from loomready.app.views.common import entry_or_404, refuse, save, version_of, who
from loomready.app.views.drafts import download
from loomready.problems import BadInput

GUILD = ("name", "units", "end_1", "shaft_1", "dressing", "currency", "bobbin")


def guild_page(request: HttpRequest) -> HttpResponse:
    room = open_room()
    entry = entry_or_404(room, "guild", "guild")
    form = _guild_form(room, entry)
    if request.method == "POST":
        fields.take(form, request.POST)
        made = fields.table("guild", form, entry.fields)
        if fields.check("guild", made, form):
            answer = save(request, form, "guild", "guild", made, lambda: redirect("guild"))
            if answer is not None:
                return answer
    return _show(request, form, _day_form(room), guild_version=version_of(request))


def day(request: HttpRequest) -> HttpResponse:
    """Save the next date; asked for as a page, it is the guild's."""
    if request.method != "POST":
        return redirect("guild")
    room = open_room()
    form = _day_form(room)
    made: dict[str, str] = {}
    posted = {name.removeprefix("day-"): text for name, text in request.POST.dict().items()}
    form.change("day-name", text=posted.get("name", "").strip())
    form.change("day-date", text=posted.get("date", "").strip())
    try:
        made = beside.day(form["day-name"].text, form["day-date"].text)
    except BadInput as error:
        error.where = f"day-{error.where}"
        form.blame(error)
    answer = save(request, form, "day", "next", made, lambda: redirect("guild"))
    if answer is not None:
        return answer
    guild = _guild_form(room, entry_or_404(room, "guild", "guild"))
    return _show(request, guild, form, day_version=version_of(request))


def _guild_form(room: Room, entry: Entry) -> fields.Form:
    defaults = {"units": "us", "end_1": "right", "shaft_1": "front", "dressing": "back to front"}
    return fields.make("guild", GUILD, defaults | entry.fields, room.guild.units)


def _day_form(room: Room) -> fields.Form:
    there = room.entry("day", "next")
    held = there.fields if there else {"name": "", "date": ""}
    return fields.Form(
        {
            "day-name": fields.Field("day-name", _("What is it?"), held["name"]),
            "day-date": fields.Field("day-date", _("Date"), held["date"], "date"),
        }
    )


def _show(
    request: HttpRequest,
    form: fields.Form,
    day_form: fields.Form,
    *,
    guild_version: int | None = None,
    day_version: int | None = None,
) -> HttpResponse:
    """The guild's page; a version is the one that stands in the fields of a form shown again."""
    room = open_room()
    there = room.entry("day", "next")
    wrong = form if form.wrong else day_form
    if day_version is None and there is not None and not day_form.wrong:
        day_version = there.version
    shown = {
        "title": _("Guild"),
        "form": form,
        "wrong_form": wrong,
        "guild_version": guild_version or entry_or_404(room, "guild", "guild").version,
        "day_form": day_form,
        "day_version": day_version,
        "changes": history.latest(),
    }
    return render(request, "app/guild.html", shown, status=422 if wrong.wrong else 200)


@require_POST
def undo(request: HttpRequest, number: int) -> HttpResponse:
    back = request.POST.get("back", "")
    try:
        store.undo(number, who=who(request))
    except BadInput as error:
        return refuse(request, error.line(), "guild")
    return redirect(back if back.startswith("/") and not back.startswith("//") else "guild")


@require_GET
def guild_file(request: HttpRequest) -> HttpResponse:
    return download(carry.guild_file(open_room()).encode(), "guild.toml", "application/octet-stream")


@require_POST
def bring(request: HttpRequest) -> HttpResponse:
    """First what a file would change; nothing is written before that is confirmed."""
    file = request.FILES.get("file")
    if file is None:
        return refuse(request, _("Choose a backup (zip) or a guild file (toml) first."), "guild", 422)
    try:
        things = carry.unpack(file.read(carry.MAX_UNPACKED), file.name or "file")
    except BadInput as error:
        return refuse(request, error.line(), "guild", 422)
    shown = {
        "title": _("Bring in"),
        "name": file.name,
        "token": incoming.keep(things),
        "compared": incoming.compare(open_room(), things),
    }
    return render(request, "app/bring.html", shown)


@require_POST
def bring_confirmed(request: HttpRequest) -> HttpResponse:
    try:
        things = incoming.fetch(request.POST.get("token", ""))
        chosen = incoming.choose(open_room(), things, theirs=request.POST.get("clashes") == "theirs")
        store.load(chosen, who=who(request))
    except BadInput as error:
        return refuse(request, error.line(), "guild", 422)
    return redirect("guild")
