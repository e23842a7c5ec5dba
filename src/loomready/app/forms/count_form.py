"""The count in a yarn's form: how it is read, and a button for each reading if there are several."""

from __future__ import annotations

from django.utils.translation import gettext as _

from loomready.app.forms.fields import Form
from loomready.app.i18n.words import translated
from loomready.problems import AmbiguousCount, BadInput
from loomready.units import Shown
from loomready.yarn.counts import parse_count
from loomready.yarn.label import BEFORE_TWISTING


def tell(form: Form, show: Shown) -> str:
    """Show beside the count how it was read, or its possible readings.

    Returns anything else to know about the count as a sentence, or "".
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
        return translated(BEFORE_TWISTING) if count.before_twisting else ""
    return ""
