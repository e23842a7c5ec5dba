"""The planning page's width fitted to whole stripes."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from loomready.app.forms import fields
from loomready.app.state.snapshot import Entry, Snapshot
from loomready.app.warps.planning import changed_table
from loomready.choose.stripes.whole_stripes import fitted, fitted_stripes
from loomready.problems import BadInput
from loomready.warp.shelf import Shelf

FITS = {"width", "stripes"}


def fit(snapshot: Snapshot, key: str, table: dict[str, Any], form: fields.Form, what: str) -> dict[str, Any]:
    """The warp's table with whole stripes at the edge; where that cannot be, the form says so.

    :param what: "width": the nearest width at which a stripe ends; "stripes": stripes that end with the web
    """
    there = Snapshot({**snapshot.entries, ("warps", key): Entry("warps", key, 0, table)})
    try:
        planned = there.plan_of(key)
    except BadInput:
        return table  # said beside its field when the table is checked
    if planned is None or planned.plan is None:
        return table
    if what == "stripes":
        made = fitted_stripes(planned.order, planned.plan.web.heddle_ends)
        if made is None:
            form.error = _("The web has fewer ends than stripes. Remove some stripes first.")
            return table
        return changed_table(snapshot, planned.order, table, {"stripes": made})
    found = fitted(planned.plan, there.guild, there.drafts, Shelf(there.guild))
    if found is None:
        form.error = _(
            "No width near this one ends with a whole stripe: the draft’s repeats do not meet the stripes. "
            "Fit the stripes to the width instead."
        )
        return table
    return changed_table(snapshot, planned.order, table, {"finished_width_mm": found.order.finished_width_mm})
