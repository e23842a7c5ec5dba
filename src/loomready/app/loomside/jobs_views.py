"""The At the loom pages: their list, a page for each job of a warp, and the exchange of steps done."""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from loomready.app.changes.saving import entry_or_404, refuse, seen, stale, version_of, who
from loomready.app.i18n.words import translated
from loomready.app.loomside import jobs_data, jobs_file, jobs_miscount, slips_history
from loomready.app.loomside.jobs_progress import overview, warp_at
from loomready.app.loomside.jobs_words import words
from loomready.app.progress.home_data import home_data
from loomready.app.progress.warp_progress import reported
from loomready.app.sharing.auth import member
from loomready.app.state import facts, facts_quota, store
from loomready.app.state.snapshot import Planned, Snapshot, current_snapshot
from loomready.app.views.drafts import download
from loomready.app.warps import planning
from loomready.loomside.log.facts import JOBS, check_sum
from loomready.loomside.steps.doubled_told import some_ends
from loomready.model import dressing_order
from loomready.problems import BadInput

MOST_BYTES = 2 * 1024 * 1024


def _planned(snapshot: Snapshot, key: str) -> Planned:
    planned = snapshot.plan_of(key)
    if planned is None:
        raise Http404
    return planned


@require_GET
def all_jobs(request: HttpRequest) -> HttpResponse:
    snapshot = current_snapshot()
    first = home_data(snapshot).first
    shown = {
        "title": _("At the loom"),
        "warps": overview(snapshot),
        "first": first.state.key if first else "",
        "aside": facts.aside(),
    }
    return render(request, "loomside/jobs.html", shown)


@require_GET
def job(request: HttpRequest, key: str, name: str) -> HttpResponse:
    """One page for all jobs of a warp; the address names the first one to show."""
    snapshot = current_snapshot()
    planned = _planned(snapshot, key)
    if name not in JOBS:
        raise Http404
    try:
        text = jobs_data.page_text(snapshot, planned)
    except BadInput as error:
        return refuse(request, error.line(), f"/warps/{key}", 422)
    block = jobs_file.as_block(text)
    shown = {**_shown(snapshot, planned, name), "data": block, "url": reverse("loomside-facts", args=[key])}
    return render(request, "loomside/job.html", shown)


@require_GET
def saved(request: HttpRequest, key: str, name: str) -> HttpResponse:
    """The same page as one file that works on its own."""
    snapshot = current_snapshot()
    planned = _planned(snapshot, key)
    if name not in JOBS:
        raise Http404
    try:
        text = jobs_data.page_text(snapshot, planned)
    except BadInput as error:
        return refuse(request, error.line(), f"/warps/{key}", 422)
    address = request.build_absolute_uri(reverse("loomside-job", args=[key, name]))
    made = jobs_file.html(text, {**_shown(snapshot, planned, name), "address": address})
    return download(made, f"{key}-at-the-loom.html", "text/html; charset=utf-8")


def _shown(snapshot: Snapshot, planned: Planned, name: str) -> dict[str, Any]:
    plan = planned.plan
    beam = snapshot.entry("beam", planned.order.loom)
    progress = snapshot.entry("progress", planned.order.key)
    return {
        "title": planned.order.name,
        "warp_name": planned.order.name,
        "warp": planned.order.key,
        "job": name,
        "strip": jobs_data.strip(plan) if plan else "",
        "end_1": snapshot.guild.end_1,
        "us": snapshot.guild.units == "us",
        "beam": _measured(snapshot, planned.order.loom),
        "beam_version": beam.version if beam else "",
        "progress_version": progress.version if progress else "",
        "off": planned.order.off is not None,
    }


def _measured(snapshot: Snapshot, loom: str) -> dict[str, str]:
    """The measures of a loom's beam as they were typed, at the loom or with the loom."""
    beam, entry = snapshot.entry("beam", loom), snapshot.entry("looms", loom)
    own = (entry.fields if entry else {}).get("beam_around")
    return (beam.fields if beam else {}) | ({"around": own} if own else {})


@require_http_methods(["GET", "POST"])
def exchange(request: HttpRequest, key: str) -> HttpResponse:
    """Sends what was done elsewhere and receives what was done here. A removed warp still receives.

    A post without steps means that a page was opened: its plan's content is kept from then on.
    """
    after = request.GET.get("after", "0")
    number = int(after) if after.isascii() and after.isdecimal() and len(after) < 16 else 0
    word = ""
    refused: tuple[tuple[int, str], ...] = ()
    if _of_other_guild(request.GET.get("guild")):
        return _other_guild()
    if request.method == "POST":
        try:
            body = json.loads(request.body)
            rows = body["facts"]
            if _of_other_guild(body.get("guild")):
                return _other_guild()
            with slips_history.noted_of(rows, key, who(request)):
                taken = facts.take(key, rows, who(request), by=member(request))
            refused = taken.wrong
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            return JsonResponse({"word": _("That is not a list of steps.")}, status=400)
        except BadInput as error:
            return JsonResponse({"word": translated(error.line())}, status=400)
        except facts_quota.Reached as reached:
            return JsonResponse({"word": _too_many(reached)}, status=429)
        if taken.gone:
            word = _(
                "This warp is no longer planned. Your steps are set aside and count again "
                "when the warp is restored."
            )
    snapshot = current_snapshot()
    planned = snapshot.plan_of(key)
    contents = jobs_data.contents_now(snapshot, planned) if planned else {}
    if request.method == "POST" and planned is not None:
        facts.remember(key, contents)
        _wound_if_reported(snapshot, planned, who(request))
    rows, last = facts.since_as_json(key, number)
    plans = dict(contents.keys()) if planned else None
    told = {"last": last, "held": facts.held(key, last), "refused": refused}
    if number == 0:
        told["removed"] = facts.removed(key)
    text = jobs_file.as_text(told | {"plans": plans, "word": word}, rows)
    return HttpResponse(text, content_type="application/json")


def _wound_if_reported(snapshot: Snapshot, planned: Planned, by_whom: str) -> None:
    """Once every end is reported wound, the warp is wound, from this minute on: its yarn is off the shelf."""
    if planned.order.wound is not None or planned.order.off is not None:
        return
    done, of = reported(snapshot, planned, "winding")
    if 0 < of <= done:
        # Somebody may have changed the warp just now: then the next report does this.
        with suppress(store.Conflict, BadInput):
            planning.tick(snapshot, planned.order.key, dressing_order.JOBS["winding"].step, by_whom)


def _too_many(reached: facts_quota.Reached) -> str:
    return ngettext(
        "This device sent more steps in an hour than is possible by hand. It may send more in %d minute.",
        "This device sent more steps in an hour than is possible by hand. It may send more in %d minutes.",
        reached.minutes,
    ) % (reached.minutes)


def _of_other_guild(guild: object) -> bool:
    """Whether a page belongs to another guild; two homes may follow each other on one port."""
    return guild is not None and guild != jobs_data.guild_id()


def _other_guild() -> JsonResponse:
    name = current_snapshot().guild.name
    word = _("This page belongs to another guild. The guild at this address is %(name)s.") % {"name": name}
    return JsonResponse({"word": word, "guild": name}, status=409)


@require_POST
def hand_in(request: HttpRequest, key: str) -> HttpResponse:
    """Import a file of steps from a saved page, or from a phone without a network."""
    back = f"/beside/{key}"
    file = request.FILES.get("file")
    if file is None:
        return refuse(request, _("First choose the file with the steps done."), back, 422)
    try:
        parcel = _parcel(file.read(MOST_BYTES + 1))
    except BadInput as error:
        return refuse(request, error.line(), back, 422)
    if parcel.home != jobs_data.guild_id() and request.POST.get("other") != "yes":
        told = _(
            "It is from another guild, %(name)s. Nothing was imported; check the box to import it anyway."
        )
        return refuse(request, told % {"name": parcel.guild}, back, 409)
    try:
        with slips_history.noted_of(parcel.rows, parcel.warp, who(request)):
            taken = facts.take(parcel.warp, parcel.rows, who(request), by=member(request))
    except BadInput as error:
        return refuse(request, error.line(), back, 422)
    except facts_quota.Reached as reached:
        return refuse(request, _too_many(reached), back, 429)
    shown = {"title": _("Imported"), "told": _told(parcel, taken, key), "back": back}
    return render(request, "loomside/handed_in.html", shown)


@dataclass(frozen=True, slots=True)
class _Parcel:
    """A file of facts as received; ``whole``: its checksum is right."""

    rows: list[Any]
    warp: str
    home: str
    guild: str
    whole: bool


def _parcel(text: bytes) -> _Parcel:
    """:raises BadInput: no file that a job's page wrote"""
    try:
        if len(text) > MOST_BYTES:
            raise ValueError
        tree: Any = json.loads(text)
        rows, warp = tree["facts"], tree["warp"]
        if not (isinstance(rows, list) and isinstance(warp, str) and 0 < len(warp) <= 1000):
            raise TypeError
        whole = check_sum(rows) == tree["sum"]
        return _Parcel(rows, warp, str(tree["guild"]["id"]), str(tree["guild"]["name"])[:80], whole)
    except (ValueError, KeyError, TypeError, RecursionError):
        raise BadInput(_("this is not a file of steps; expected one saved on an At the loom page")) from None


def _told(parcel: _Parcel, taken: facts.Taken, key: str) -> list[str]:
    told = [ngettext("%d step imported.", "%d steps imported.", taken.kept) % taken.kept]
    if taken.known:
        told.append(ngettext("%d was known already.", "%d were known already.", taken.known) % taken.known)
    if not parcel.whole:
        told.append(_("The file was changed after it was saved: check that its steps are right."))
    if taken.wrong:
        wrong = {"count": len(taken.wrong), "why": taken.wrong[0][1]}
        told.append(_("Not imported: %(count)d steps that can't be read; the first: %(why)s") % wrong)
    if taken.gone:
        told.append(
            _("The warp %(warp)s is not planned here: its steps are set aside.") % {"warp": parcel.warp}
        )
    elif parcel.warp != key:
        told.append(
            _("They belong to the warp %(warp)s.") % {"warp": current_snapshot().name("warps", parcel.warp)}
        )
    return told


@require_POST
def tick(request: HttpRequest, key: str) -> HttpResponse:
    """Mark a finished job as a step of the warp."""
    job = dressing_order.JOBS.get(request.POST.get("job", ""))
    snapshot, back = current_snapshot(), f"/beside/{key}"
    try:
        seen(request, snapshot, "progress", key)
        planning.tick(snapshot, key, job.step if job else "", who(request))
    except BadInput as error:
        return refuse(request, error.line(), back)
    except store.Conflict:
        return stale(request, back)
    return redirect("loomside-jobs")


@require_POST
def beam(request: HttpRequest, key: str) -> HttpResponse:
    """Save the circumference of the bare beam of this warp's loom."""
    snapshot = current_snapshot()
    planned = _planned(snapshot, key)
    back = f"/beside/{key}/beaming"
    fields = {}
    try:
        for name, measure in jobs_data.BEAM.items():
            text = request.POST.get(name, "").strip()
            if text:
                measure.read(text)
                fields[name] = text
        version = version_of(request)
        loom = entry_or_404(snapshot, "looms", planned.order.loom)
        writes: list[store.Write] = [("beam", loom.key, fields, version)]
        if "beam_around" in loom.fields:  # said with the loom: it is said once
            made = {name: value for name, value in loom.fields.items() if name != "beam_around"}
            more = {"beam_around": fields["around"]} if "around" in fields else {}
            writes.append(("looms", loom.key, made | more, loom.version))
        store.write_together(writes, who=who(request))
    except store.Conflict:
        return stale(request, back)
    except BadInput as error:
        return refuse(request, error.line(), back, 422)
    return redirect(back)


def count(request: HttpRequest, key: str) -> HttpResponse:
    """End count is off: what can be done now; a choice changes the plan."""
    snapshot = current_snapshot()
    planned = _planned(snapshot, key)
    entry = entry_or_404(snapshot, "warps", key)
    asked = request.POST if request.method == "POST" else request.GET
    which, ends, chosen = asked.get("which", "over"), asked.get("ends", "").strip(), asked.get("choice", "")
    job = asked.get("job", "")
    job = job if job in dressing_order.JOBS else "threading"
    shown: dict[str, Any] = {
        "title": _("End count is off"),
        "key": key,
        "which": which,
        "ends": ends,
        "job": job,
        "job_name": words()[job],
    }
    try:
        if request.method == "POST":
            difference = jobs_miscount.difference_of(which, ends)
            jobs_miscount.take(snapshot, planned, difference, chosen, version_of(request) or 0, who(request))
            return redirect("loomside-job", key=key, name=job)
        if ends:
            difference = jobs_miscount.difference_of(which, ends)
            shown["choices"] = jobs_miscount.offers(snapshot, planned, difference)
    except BadInput as error:
        shown["error"] = error.line()
    except store.Conflict:
        shown["error"] = _("The plan has changed in the meantime; check the choices again.")
    several = len(planned.order.drafts) > 1
    shown |= {"plan": planned.plan, "version": entry.version, "several": several}
    shown["planned_ends"] = some_ends(planned.plan) if planned.plan else ""
    return render(request, "loomside/job_count.html", shown, status=422 if "error" in shown else 200)


def first_job(request: HttpRequest, key: str) -> HttpResponse:
    """Go to the job that this warp is at."""
    snapshot = current_snapshot()
    return redirect("loomside-job", key=key, name=warp_at(snapshot, _planned(snapshot, key)).now)
