"""The count in the form of a yarn: how it is read, and a button for each reading where it is open."""

from __future__ import annotations

from django.utils.translation import gettext as _

from loomready.app.forms.fields import Form
from loomready.app.i18n.words import said
from loomready.problems import AmbiguousCount, BadInput
from loomready.units import Shown
from loomready.yarn.counts import parse_count
from loomready.yarn.label import BEFORE_TWISTING


def tell(form: Form, show: Shown) -> str:
    """Say beside the count what was made of it, or offer what it may mean.

    Gives what else there is to know about the count as a sentence, or "".
    """
    try:
        count = parse_count(form["count"].text, form["fiber"].text)
    except AmbiguousCount as error:
        offers = tuple(
            (each.write, f"{each.write} ({show.grist(1000.0 / each.tex)})") for each in error.readings
        )
        form.change("count", error=_("This count can mean different yarns. Which one?"), offers=offers)
    except BadInput:
        pass
    else:
        if count.read_as:
            form.change("count", understood=f"{count.read_as} ({show.grist(1000.0 / count.tex)})")
        return said(BEFORE_TWISTING) if count.before_twisting else ""
    return ""
