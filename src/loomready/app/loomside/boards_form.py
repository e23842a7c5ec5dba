"""The form of a warping board: its pegs in rows, and the board that they make."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from django.utils.translation import gettext as _

from loomready import guildfile
from loomready.app.forms import quantity_input
from loomready.app.forms.fields import Field, slug
from loomready.app.i18n.words import sentence
from loomready.model.guild import MAX_PEGS, Board
from loomready.problems import BadInput
from loomready.units import WIDTH_MM, factor, near, read

Fields = dict[str, Any]
MORE = 3  # empty rows below the others


@dataclass(frozen=True, slots=True)
class Row:
    """A peg as it is typed. ``x_mm``, ``y_mm``: its place, as far as the texts give one."""

    number: int
    name: str = ""
    x: str = ""
    y: str = ""
    error: str = ""
    x_mm: str = ""
    y_mm: str = ""


@dataclass(slots=True)
class BoardForm:
    """``picks``: start and cross, as choices among the pegs."""

    name: Field
    rows: list[Row]
    start: str = ""
    cross: tuple[str, str] = ("", "")
    mill: bool = False
    error: str = ""
    wrong_picks: dict[str, str] = field(default_factory=dict)

    @property
    def wrong(self) -> bool:
        return bool(self.error or self.name.error or self.wrong_picks) or any(row.error for row in self.rows)

    @property
    def picks(self) -> list[Field]:
        names = tuple((row.name, row.name) for row in self.rows if row.name)
        asked = (
            ("start", _("Start"), self.start),
            ("cross-1", _("First peg of the cross"), self.cross[0]),
            ("cross-2", _("Second peg of the cross"), self.cross[1]),
        )
        return [
            Field(
                name,
                label,
                text,
                kind="choice",
                choices=(("", "—"), *names),
                error=self.wrong_picks.get(name, ""),
            )
            for name, label, text in asked
        ]


def blank(unit: str) -> BoardForm:
    return BoardForm(_name(""), _padded([]))


def from_fields(fields: Mapping[str, Any]) -> BoardForm:
    """The form of a board's table."""
    rows = [
        Row(number, str(peg["name"]), str(peg.get("x", "")), str(peg.get("y", "")))
        for number, peg in enumerate(fields.get("pegs", ()), 1)
    ]
    one, two = fields.get("cross", ("", ""))
    name = str(fields.get("name", fields.get("key", "")))
    start, mill = str(fields.get("start", "")), fields.get("mill") is True
    return BoardForm(_name(name), _padded(rows), start, (str(one), str(two)), mill)


def step_mm(unit: str) -> float:
    """How far a peg moves at a time: a quarter of an inch, or half a centimeter."""
    return 25.4 / 4 if unit == "in" else 5.0


def law(unit: str) -> dict[str, Any]:
    """What the page's script needs to read, move and count pegs as the server does."""
    units = quantity_input.names(WIDTH_MM)
    sizes = {name: factor(WIDTH_MM.inside, WIDTH_MM.units[meant]) for name, meant in units.items()}
    return {"unit": unit, "units": sizes, "step_mm": step_mm(unit), "most": MAX_PEGS}


def from_layout(board: Board, system: str) -> BoardForm:
    """The form with the board of a layout."""
    unit = "in" if system == "us" else "cm"
    step = step_mm(unit)
    pegs = [
        {"name": peg.name}
        | {
            axis: near(round(mm / step) * step, WIDTH_MM, unit, 2).replace(",", "")
            for axis, mm in (("x", peg.x_mm), ("y", peg.y_mm))
        }
        for peg in board.pegs
    ]
    told = {"name": board.name, "pegs": pegs, "start": board.start, "cross": board.cross, "mill": board.mill}
    return from_fields(told)


def from_posted(posted: Mapping[str, str], unit: str) -> BoardForm:
    """What was typed; a row without a name and a place is left out."""
    numbers = sorted(
        {int(match[1]) for name in posted if (match := re.fullmatch(r"peg-(\d{1,3})-name", name))}
    )
    rows: list[Row] = []
    for number in numbers[: MAX_PEGS + MORE]:
        name, x, y = (posted.get(f"peg-{number}-{part}", "").strip() for part in ("name", "x", "y"))
        if (name or x or y) and posted.get("drop") != str(number):
            rows.append(Row(len(rows) + 1, name, _place(x, unit), _place(y, unit)))
    form = BoardForm(_name(posted.get("name", "").strip()), _padded(rows))
    form.start = posted.get("start", "")
    form.cross = (posted.get("cross-1", ""), posted.get("cross-2", ""))
    form.mill = posted.get("mill") == "yes"
    return form


def _place(text: str, unit: str) -> str:
    try:
        return quantity_input.plain(text, WIDTH_MM, unit) if text else ""
    except BadInput:
        return text


def _name(text: str) -> Field:
    return Field("name", _("Name"), text, needed=True)


def _padded(rows: list[Row]) -> list[Row]:
    """With empty rows below, and the place of each peg in mm for the drawing."""
    made = []
    for row in rows:
        try:
            x, y = (read(text, WIDTH_MM) if text else 0.0 for text in (row.x, row.y))
            made.append(replace(row, x_mm=f"{x:.3f}", y_mm=f"{y:.3f}"))
        except BadInput:
            made.append(row)
    return made + [Row(len(made) + each) for each in range(1, min(MORE, MAX_PEGS - len(made)) + 1)]


def table_of(form: BoardForm, key: str, taken: set[str]) -> Fields:
    """The board's table; refusals go beside their fields."""
    if not form.name.text:
        form.name = replace(form.name, error=_("Is missing; expected a name for this board"))
    pegs = []
    for row in form.rows:
        if row.name or row.x or row.y:
            peg = {"name": row.name} | {axis: text for axis, text in (("x", row.x), ("y", row.y)) if text}
            pegs.append(peg)
    for pick, name in (("start", form.start), ("cross-1", form.cross[0]), ("cross-2", form.cross[1])):
        if not name:
            form.wrong_picks[pick] = _("Is missing; expected a peg")
    made = {
        "key": key or slug(form.name.text, taken),
        "name": form.name.text,
        "pegs": pegs,
        "start": form.start,
        "cross": list(form.cross),
    } | ({"mill": True} if form.mill else {})
    if not form.wrong:
        _check(form, made)
    return made


def _check(form: BoardForm, made: Fields) -> None:
    try:
        guildfile.from_fields("boards", made)
    except BadInput as error:
        said = sentence(error.what)
        match error.path:
            case ("pegs", int(number), *_):
                form.rows[number - 1] = replace(form.rows[number - 1], error=said)
            case ("start" | "cross", *_):
                form.wrong_picks["-".join(map(str, error.path))] = said
            case _:
                form.error = f"{error.where}: {said}" if error.where else said
