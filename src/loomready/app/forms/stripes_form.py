"""The part of the planning page's form that lays threads in stripes: a row for each stripe, and what to do.

A list of stripes is a key of the warp or of a piece: ``stripes`` of the warp, ``weft_stripes`` of either.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app.forms import fields
from loomready.app.state.snapshot import Snapshot
from loomready.colors import RGB

COUNTED = {"stripes": "ends", "weft_stripes": "picks"}
USUAL = 12  # threads of a new stripe
MOST = 1000  # rows that the guild file holds
HEADS = {
    "stripes": gettext_lazy("Warp stripes, from end 1"),
    "weft_stripes": gettext_lazy("Weft stripes, from pick 1 of each piece"),
    "samples": gettext_lazy("Sample, one part after another"),
}
BEGIN = {
    "stripes": gettext_lazy("Lay the warp in stripes"),
    "weft_stripes": gettext_lazy("Weave the weft in stripes"),
    "samples": gettext_lazy("Sample several wefts"),
}
END = {
    "stripes": gettext_lazy("Use the draft’s warp colors"),
    "weft_stripes": gettext_lazy("Use the draft’s weft colors"),
    "samples": gettext_lazy("Weave one sample"),
}
Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a field stands among the stripes. ``list``: the name of the list, with the prefix of its piece.

    ``opens``, ``closes``: it is the first or the last cell of its row. ``tag``: names the row's buttons; it
    stays with a row that moves, so that the button just used keeps the focus. ``color``: of the row's yarn.
    """

    list: str
    number: int
    of: int
    tag: int
    opens: bool
    closes: bool
    color: RGB | None

    @property
    def head(self) -> Any:
        return HEADS[_key(self.list)]

    @property
    def ends(self) -> Any:
        return END[_key(self.list)]

    @property
    def of_warp(self) -> bool:
        return self.list == "stripes"

    @property
    def of_sample(self) -> bool:
        return self.list == "samples"

    @property
    def is_last(self) -> bool:
        return self.number == self.of

    @property
    def says(self) -> str:
        says = _("Sample %(number)d of %(of)d") if self.of_sample else _("Stripe %(number)d of %(of)d")
        return says % {"number": self.number, "of": self.of}


@dataclass(frozen=True, slots=True)
class Begin:
    """The button that lays threads in stripes."""

    list: str

    @property
    def says(self) -> Any:
        return BEGIN[_key(self.list)]


def _key(name: str) -> str:
    """The guild file's key of a list: its name without a piece's prefix."""
    return name.rpartition("-")[2]


def fields_of(
    snapshot: Snapshot, rows: list[Row], name: str, moved: tuple[int, int] | None = None
) -> fields.Form:
    """The fields of a list of stripes.

    :param moved: (place, tag) of the row that was just moved
    """
    form, counted = fields.Form(), COUNTED[_key(name)]
    of_warp = _key(name) == "stripes"
    yarns = tuple((yarn.key, yarn.name) for yarn in snapshot.guild.yarns)
    yarns += (("", _("empty dents")),) if of_warp else ()
    row_tags, colors = tags(len(rows), moved), {yarn.key: yarn.color for yarn in snapshot.guild.yarns}
    for number, row in enumerate(rows, 1):
        sleyed = of_warp and "dents" not in row
        for part, label, kind in (
            ("yarn", _("Yarn of stripe %d"), "choice"),
            (counted, _("Ends in stripe %d") if counted == "ends" else _("Picks in stripe %d"), "number"),
            *((("sley", _("Ends in each dent of stripe %d, in turn"), "text"),) if sleyed else ()),
        ):
            color = colors.get(row.get("yarn", ""))
            last = part == ("sley" if sleyed else counted)
            place = Place(name, number, len(rows), row_tags[number - 1], part == "yarn", last, color)
            text = fields.as_text(row.get("dents") if part == "ends" and "dents" in row else row.get(part))
            key = f"{name}-{number}-{part}"
            choices = yarns if kind == "choice" else ()
            hint = _("per dent") if part == "sley" else ""
            form.fields[key] = fields.Field(
                key, label % number, text, kind, choices=choices, row=place, placeholder=hint
            )
    return form


def tags(count: int, moved: tuple[int, int] | None) -> list[int]:
    """What names the buttons of each row: its place, but for a row that was just moved the place it had."""
    made = list(range(1, count + 1))
    if moved is not None and 1 <= moved[0] <= count and 1 <= moved[1] <= count:
        made.remove(moved[1])
        made.insert(moved[0] - 1, moved[1])
    return made


def shown(
    snapshot: Snapshot, rows: list[Row], name: str, posted: Mapping[str, str] | None = None
) -> fields.Form:
    """The fields of a list of stripes after what was just asked of it."""
    return fields_of(snapshot, rows, name, moved(posted or {}, name, len(rows)))


def taken(form: fields.Form, posted: Mapping[str, str], name: str, yarns: list[str]) -> list[Row]:
    """The stripes that the form and its buttons say; none where threads are not laid in stripes.

    :param yarns: those that are there where no stripes are yet
    """
    what, _place, _tag = asked(posted, name)
    if what == "end":
        return []
    rows = rows_of(form, name)
    return done(rows, posted, name) if rows else first_rows(yarns, name) if what == "begin" else []


def rows_of(form: fields.Form, name: str) -> list[Row]:
    """The stripes as the form says them; what is no whole number is left for the codec to refuse."""
    counted = COUNTED[_key(name)]
    rows: list[Row] = []
    while f"{name}-{len(rows) + 1}-yarn" in form.fields:
        number = len(rows) + 1
        count = _whole(form[f"{name}-{number}-{counted}"].text)
        yarn = form[f"{name}-{number}-yarn"].text
        row: Row = {"yarn": yarn, counted: count} if yarn or counted == "picks" else {"dents": count}
        sley = form.fields.get(f"{name}-{number}-sley")
        if sley is not None and sley.text:
            row["sley"] = [_whole(word) for word in re.split(r"[\s,;–-]+", sley.text) if word]
        rows.append(row)
    return rows


def _whole(text: str) -> Any:
    """A whole number; anything else is left for the codec to refuse."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else text


def asked(posted: Mapping[str, str], name: str) -> tuple[str, int, int]:
    """What a button asks of this list, the row from 1 (0: all), and the row's tag; "" if nothing."""
    of, _sep, rest = posted.get("stripe", "").partition(":")
    what, place, tag = (*rest.split(":"), "", "")[:3]
    if of != name:
        return "", 0, 0
    return what, int(place) if place.isdecimal() else 0, int(tag) if tag.isdecimal() else 0


def done(rows: list[Row], posted: Mapping[str, str], name: str) -> list[Row]:
    """The stripes with what a button asks done; as they are where it cannot be done."""
    what, place, _tag = asked(posted, name)
    made = _DONE[what](list(rows), place) if what in _DONE and rows and 0 <= place <= len(rows) else rows
    return made if 0 < len(made) <= MOST else rows


def moved(posted: Mapping[str, str], name: str, count: int) -> tuple[int, int] | None:
    """(place, tag) of the row that a button moved."""
    what, place, tag = asked(posted, name)
    if what not in ("up", "down"):
        return None
    return max(1, min(count, place + (-1 if what == "up" else 1))), tag


def _up(rows: list[Row], place: int) -> list[Row]:
    if place > 1:
        rows[place - 2], rows[place - 1] = rows[place - 1], rows[place - 2]
    return rows


def _down(rows: list[Row], place: int) -> list[Row]:
    return _up(rows, place + 1) if 0 < place < len(rows) else rows


def _copy(rows: list[Row], place: int) -> list[Row]:
    return [*rows[:place], dict(rows[place - 1]), *rows[place:]]


def _remove(rows: list[Row], place: int) -> list[Row]:
    return rows[: place - 1] + rows[place:] if place else rows


_DONE: dict[str, Callable[[list[Row], int], list[Row]]] = {
    "up": _up,
    "down": _down,
    "copy": _copy,
    "remove": _remove,
    "add": lambda rows, _place: _copy(rows, len(rows)),
    "double": lambda rows, _place: rows + [dict(row) for row in rows],
    "mirror": lambda rows, _place: rows + [dict(row) for row in rows[-2::-1]],
}


def first_rows(yarns: list[str], name: str) -> list[Row]:
    """Stripes to begin with: one of each yarn that is there already."""
    return [{"yarn": key, COUNTED[_key(name)]: USUAL} for key in dict.fromkeys(yarns)]
