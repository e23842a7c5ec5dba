"""Changes to a warp tried beside what is saved: each planned as a warp is planned, nothing written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from loomready.app.forms import fields, form_check, warp_form
from loomready.app.i18n.words import translated
from loomready.app.state.snapshot import Entry, Snapshot
from loomready.app.warps import planning
from loomready.phrases import phrase

TRIES = 2  # beside what is saved: three plans


@dataclass(frozen=True, slots=True)
class Line:
    """A figure of one plan; ``differs``: it is not that of the saved plan."""

    label: Any
    value: str
    differs: bool


@dataclass(frozen=True, slots=True)
class Tried:
    """One plan of the page. ``number``: 0 for the saved one.

    ``shown``: the fields to change; ``whole``: name and text of every field, to keep it; ``before`` and
    ``after``: its table as saved and as tried; ``sheet``: None where it cannot be planned; errors then stand
    beside the fields
    """

    number: int
    form: fields.Form
    shown: tuple[fields.Field, ...]
    whole: tuple[tuple[str, str], ...]
    before: dict[str, Any]
    after: dict[str, Any]
    sheet: planning.Sheet | None
    lines: tuple[Line, ...] = ()

    @property
    def differs(self) -> bool:
        return self.before != self.after

    @property
    def can_be_kept(self) -> bool:
        """Whether it can be saved: it is another plan, and nothing in it is wrong."""
        return self.differs and self.sheet is not None and not self.form.wrong


def plans(snapshot: Snapshot, key: str, given: Mapping[str, str], tries: int) -> tuple[Tried, ...]:
    """What is saved, then each try with what an address changes in it."""
    saved = _tried(snapshot, key, 0, {})
    made = [_tried(snapshot, key, number, _typed(given, number)) for number in range(1, tries + 1)]
    was = dict(_figures(saved.sheet))
    return tuple(
        replace(
            each,
            lines=tuple(Line(label, value, was.get(label) != value) for label, value in _figures(each.sheet)),
        )
        for each in (saved, *made)
    )


def _typed(given: Mapping[str, str], number: int) -> dict[str, str]:
    start = f"try{number}-"
    return {name.removeprefix(start): text for name, text in given.items() if name.startswith(start)}


def _tried(snapshot: Snapshot, key: str, number: int, typed: Mapping[str, str]) -> Tried:
    before = snapshot.entries["warps", key].fields
    form = warp_form.form_of(snapshot, before)
    posted = {each.name: each.text for each in form} | dict(typed)
    if typed.get("sett", form["sett"].text) != form["sett"].text:
        posted["changed"] = "sett"
    after, sheet = before, None
    if not typed:
        sheet = planning.sheet(snapshot, key, "none")
    else:
        warp_form.take(form, posted)
        after = warp_form.table_of(snapshot, form, before, posted)
        if form_check.check("warps", after, form) and planning.tried(snapshot, key, after, form):
            entry = Entry("warps", key, snapshot.entries["warps", key].version, after)
            there = Snapshot({**snapshot.entries, ("warps", key): entry})
            sheet = planning.sheet(there, key, "none")
            form = warp_form.form_of(there, after)  # another draft has other yarns
    shown = tuple(
        replace(each, name=f"try{number}-{each.name}", steps=False, begins=None) for each in _main(form)
    )
    whole = tuple((each.name, each.text) for each in form if each.kind != "flag" or each.text)
    return Tried(number, form, shown, whole, before, after, sheet)


def _main(form: fields.Form) -> list[fields.Field]:
    """The fields that are tried: the warp's own, without stripes, and length and number of its pieces."""
    groups = warp_form.groups_of(form)
    pieces = [
        replace(each, label=f"{each.of}{str(each.label).lower()}" if each.of else each.label)
        for piece in groups.pieces
        for each in piece
        if each.name.endswith(("-finished_length", "-count"))
    ]
    return [each for each in groups.warp if each.row is None] + pieces


def _figures(sheet: planning.Sheet | None) -> list[tuple[str, str]]:
    """What is compared of a plan, in the words of its page."""
    if sheet is None or sheet.plan is None:
        return []
    made = [(translated(each.label), translated(each.shown)) for each in sheet.figures]
    made.append((translated(phrase("Sley")), sheet.sley))
    for line in sheet.yarns:
        needed = line.needed or line.taken
        enough = phrase("{needed}, enough", needed=needed)
        short = phrase("{needed}, short", needed=needed)
        made.append((line.need.yarn.name, translated(enough if line.need.enough else short)))
    return made
