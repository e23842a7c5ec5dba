"""Making a draft from a family: all families, one family with its parameters, and the draft kept."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from loomready.app.changes.saving import who
from loomready.app.drafts import draft_preview, save_draft
from loomready.app.i18n.words import sentence
from loomready.app.state.snapshot import current_snapshot
from loomready.app.workshop import from_family
from loomready.draft.families.registry import FAMILIES
from loomready.problems import BadInput

_MOST_TYPED = 400
_CHOSEN = "loomready-make-loom"  # the cookie with the shafts that drafts were made for last
_ANY = "any"
_A_YEAR = 365 * 24 * 3600  # seconds


@require_GET
def families(request: HttpRequest) -> HttpResponse:
    """Every family that a loom can weave, each with its cloth."""
    snapshot = current_snapshot()
    asked = request.GET.get("loom", "")
    shafts = from_family.shafts_chosen(snapshot, asked or request.COOKIES.get(_CHOSEN, ""))
    page = {
        "title": _("Make a draft"),
        "groups": from_family.groups(snapshot, shafts),
        "looms": from_family.looms(snapshot),
        "shafts": shafts,
        "here": "drafts",
    }
    response = render(request, "workshop/make.html", page)
    if asked:  # the next time the page opens for this loom
        response.set_cookie(_CHOSEN, str(shafts or _ANY), max_age=_A_YEAR, httponly=True, samesite="Lax")
    return response


def family(request: HttpRequest, name: str) -> HttpResponse:
    """One family: its parameters, and their draft as they change; POST saves it."""
    chosen = FAMILIES.get(name)
    if chosen is None:
        raise Http404
    snapshot = current_snapshot()
    sent = request.POST if request.method == "POST" else request.GET
    asked = {key: value[:_MOST_TYPED] for key, value in sent.dict().items()}
    answer = from_family.answer(snapshot, chosen, asked)
    title = asked.get("name", "")
    wrong_name = ""
    part = bool(request.htmx)  # type: ignore[attr-defined]
    if request.method == "POST" and answer.draft is not None:
        try:
            key = save_draft.another(snapshot, answer.draft, title, who(request))
            return redirect("drafts-look", key=key)
        except BadInput as error:
            wrong_name = sentence(error.what)
    page = {
        "title": chosen.title,
        "family": chosen,
        "made": answer,
        "form": answer.form,
        "boards": from_family.boards(chosen),
        "counts": from_family.counts(chosen),
        "examples": {} if part else from_family.examples(chosen, asked, answer.draft),
        "here": "drafts",
        "loom": asked.get("loom", ""),
        "shafts": from_family.at_hand(asked.get("loom", "")),
        "name": title or (answer.draft.title if answer.draft else ""),
        "wrong_name": wrong_name,
        "options": [
            (key, "yes" if field.kind == "flag" and field.text else field.text)
            for key, field in answer.form.fields.items()
            if field.text
        ],
    }
    wrong = (answer.form.wrong or wrong_name) and not part
    template = "workshop/_made.html" if part else "workshop/make_one.html"
    response = render(request, template, page | {"part": part}, status=422 if wrong else 200)
    if part and answer.draft is not None:
        response["HX-Replace-Url"] = f"{request.path}?{answer.query}"
    return response


@require_GET
def picture(request: HttpRequest, name: str) -> HttpResponse:
    """A picture that the server holds for a page; its address is made from its content."""
    png = draft_preview.held(name)
    if png is None:
        raise Http404
    response = HttpResponse(png, "image/png")
    response["Cache-Control"] = "private, max-age=604800, immutable"
    return response
