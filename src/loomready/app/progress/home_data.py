"""The first page: what is on which loom, what is planned, what is short, and what to do next."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready.app.progress.overview import OnLoom, State, looms
from loomready.app.state.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class Row:
    """A warp and its loom."""

    on: OnLoom
    state: State


@dataclass(frozen=True, slots=True)
class HomeData:
    """``under_way``: warps of which something is done; ``planned``: the others.

    ``first``: what to do first; None: nothing, or something stops every warp.
    """

    under_way: tuple[Row, ...]
    planned: tuple[Row, ...]
    empty: tuple[OnLoom, ...]
    first: Row | None

    @property
    def says(self) -> str:
        """How things stand, in a sentence."""
        under_way, planned, short = len(self.under_way), len(self.planned), self.short
        parts = []
        if under_way:
            parts.append(ngettext("%d warp is under way", "%d warps are under way", under_way) % under_way)
        if planned and under_way:
            parts.append(ngettext("%d is planned", "%d are planned", planned) % planned)
        elif planned:
            parts.append(ngettext("%d warp is planned", "%d warps are planned", planned) % planned)
        if self.empty:
            empty = len(self.empty)
            parts.append(ngettext("%d loom is empty", "%d looms are empty", empty) % empty)
        told = ", ".join(parts)
        if short:
            lacks = ngettext("%d warp can’t go on yet", "%d warps can’t go on yet", short) % short
            return f"{told}. {lacks}."
        return f"{told}." if told else ""

    @property
    def short(self) -> int:
        """How many warps something stops."""
        return sum(bool(row.state.short) for row in (*self.under_way, *self.planned))


def home_data(snapshot: Snapshot) -> HomeData:
    """The page for the guild as it stands. The furthest warp first that nothing stops."""
    every = looms(snapshot)
    rows = [Row(on, state) for on in every for state in on.states]
    under_way = sorted((row for row in rows if row.state.begun), key=lambda row: row.state.steps_left)
    place = {each.order.key: number for number, each in enumerate(snapshot.planned)}
    planned = sorted((row for row in rows if not row.state.begun), key=lambda row: place[row.state.key])
    free = [row for row in (*under_way, *planned) if not row.state.short]
    return HomeData(
        tuple(under_way),
        tuple(planned),
        tuple(on for on in every if not on.states),
        next(iter(free), None),
    )


def first_label(row: Row) -> str:
    """The button for what comes first: "Thread the heddles: scarves"."""
    return _("%(next)s: %(warp)s") % {"next": capfirst(str(row.state.next)), "warp": row.state.title}
