"""The guild: its name and ways, its history, its backups."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from loomready.app import beside, carry, fields, history, incoming, store
from loomready.app.room import open_room
from loomready.app.views.common import entry_or_404, refuse, save, who
from loomready.app.views.drafts import download
from loomready.problems import BadInput

GUILD = ("name", "units", "end_1", "shaft_1", "dressing", "currency", "bobbin")


def guild_page(request: HttpRequest) -> HttpResponse:
    room = open_room()
    entry = entry_or_404(room, "guild", "guild")
    defaults = {"units": "us", "end_1": "right", "shaft_1": "front", "dressing": "back to front"}
    form = fields.make("guild", GUILD, defaults | entry.fields, room.guild.units)
    day = room.entry("day", "next")
    day_form = fields.Form(
        {
            "name": fields.Field("name", _("What is it?"), day.fields["name"] if day else ""),
            "date": fields.Field("date", _("Date"), day.fields["date"] if day else "", "date"),
        }
    )
    if request.method == "POST":
        fields.take(form, request.POST)
        made = fields.table("guild", form, entry.fields)
        if fields.check("guild", made, form):
            answer = save(request, form, "guild", "guild", made, lambda: redirect("guild"))
            if answer is not None:
                return answer
    shown = {
        "title": _("Guild"),
        "form": form,
        "entry": entry,
        "day_form": day_form,
        "day": day,
        "changes": history.latest(),
    }
    return render(request, "app/guild.html", shown, status=422 if form.wrong else 200)


@require_POST
def day(request: HttpRequest) -> HttpResponse:
    room = open_room()
    there = room.entry("day", "next")
    name, date = request.POST.get("name", "").strip(), request.POST.get("date", "")
    try:
        made = beside.day(name, date)
        store.write("day", "next", made, version=there.version if there else None, who=who(request))
    except BadInput as error:
        return refuse(request, error.line(), "guild", 422)
    return redirect("guild")


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
