"""A new draft from a few counts."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app.drafts import save_draft
from loomready.app.forms.fields import Field, Form, take
from loomready.app.state.snapshot import current_snapshot
from loomready.app.workshop.editor_limits import MAX_CROSSINGS
from loomready.draft.edit.blank import blank
from loomready.model.guild import MAX_ENDS, MAX_PICKS, MAX_SHAFTS, MAX_TREADLES
from loomready.problems import BadInput

_COUNTS = {"ends": MAX_ENDS, "picks": MAX_PICKS, "shafts": MAX_SHAFTS, "treadles": MAX_TREADLES}


def form() -> Form:
    made = Form()
    for field in (
        Field("title", gettext_lazy("Title"), text=_("New draft"), needed=True),
        Field("ends", gettext_lazy("Ends"), text="40", kind="number", needed=True),
        Field("picks", gettext_lazy("Picks"), text="40", kind="number", needed=True),
        Field("shafts", gettext_lazy("Shafts"), text="4", kind="number", needed=True),
        Field(
            "treadles",
            gettext_lazy("Treadles"),
            text="6",
            kind="number",
            help=_("Leave empty for a loom with levers: the draft gets a lift plan."),
        ),
        Field(
            "begin",
            gettext_lazy("Start with"),
            text="straight",
            kind="choice",
            choices=(("straight", _("a straight draw")), ("empty", _("an empty sheet"))),
        ),
    ):
        made.fields[field.name] = field
    return made


def make(form: Form, posted: Mapping[str, str], who: str) -> str | None:
    """The key of the new draft; None where something is wrong, with the error beside its field."""
    take(form, posted)
    counts = {name: _count(form, name, most) for name, most in _COUNTS.items()}
    title = " ".join(form["title"].text.split())[:100]
    if not title:
        form.change("title", error=_("Give it a title."))
    ends, picks, shafts, treadles = counts.values()
    if form.wrong or ends is None or picks is None or shafts is None:
        return None
    if ends * picks > MAX_CROSSINGS:
        form.change("picks", error=_("That is too large to edit here."))
        return None
    draft = blank(ends, picks, shafts, treadles, straight=form["begin"].text != "empty")
    try:
        return save_draft.another(current_snapshot(), draft, title, who)
    except BadInput as error:
        form.blame(error)
        return None


def _count(form: Form, name: str, most: int) -> int | None:
    text = form[name].text
    if not text and not form[name].needed:
        return None
    number = int(text) if text.isdecimal() and len(text) < 7 else 0
    if not 1 <= number <= most:
        form.change(name, error=_("Expected a whole number from 1 to %(most)d.") % {"most": most})
        return None
    return number
