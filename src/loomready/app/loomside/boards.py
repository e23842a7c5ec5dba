"""Warping boards on screen: the path for a warp, and layouts to start with."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from loomready.app.forms import quantity_input
from loomready.app.forms.fields import Field, Form
from loomready.app.i18n.words import sentence
from loomready.app.state.snapshot import Snapshot
from loomready.loomside.board import layouts
from loomready.loomside.board.drawing import board_svg
from loomready.loomside.board.ties import choke_ties, marks
from loomready.loomside.board.winding_path import BoardPath, wanted_length_mm
from loomready.model.guild import Board
from loomready.problems import BadInput
from loomready.units import LENGTH_M, WIDTH_MM, Shown, factor, read

DIGITS = 4  # of a wound length: a tenth of a millimeter

LAYOUTS: Mapping[str, Any] = {
    "frame": gettext_lazy("A frame: two uprights and a rail"),
    "long": gettext_lazy("Two groups of pegs on a long table"),
    "mill": gettext_lazy("A warping mill, unrolled"),
}
# The measures of each layout: name, label, initial values in US and metric units.
ASKED: Mapping[str, tuple[tuple[str, Any, str, str], ...]] = {
    "frame": (
        ("width", gettext_lazy("Width between the uprights"), "36 in", "90 cm"),
        ("height", gettext_lazy("Height"), "40 in", "100 cm"),
        ("rows", gettext_lazy("Pegs on each upright"), "5", "5"),
    ),
    "long": (
        ("width", gettext_lazy("Length of the table"), "90 in", "220 cm"),
        ("rows", gettext_lazy("Pegs at each end"), "4", "4"),
    ),
    "mill": (
        ("width", gettext_lazy("Around the posts, by tape"), "72 in", "180 cm"),
        ("height", gettext_lazy("Height from cross to last peg"), "40 in", "100 cm"),
        ("turns", gettext_lazy("Most turns"), "6", "6"),
        ("posts", gettext_lazy("Posts"), "4", "4"),
    ),
}


def layout_form(kind: str, system: str) -> Form:
    form = Form()
    for name, label, us, metric in ASKED[kind]:
        text = us if system == "us" else metric
        form.fields[name] = Field(
            name,
            label,
            text,
            kind="number" if text.isdecimal() else "text",
            unit="" if text.isdecimal() else ("in" if system == "us" else "cm"),
        )
    return form


def layout(kind: str, form: Form) -> Board | None:
    """The board of a layout; None if something in the form is wrong."""
    said: dict[str, Any] = {}
    for each in list(form):
        try:
            if each.unit:
                said[each.name] = read(quantity_input.plain(each.text, WIDTH_MM, each.unit), WIDTH_MM)
            elif each.text.isascii() and each.text.isdecimal() and len(each.text) < 4:
                said[each.name] = int(each.text)
            else:
                raise BadInput(_("Is not a whole number; expected how many"))
        except BadInput as error:
            form.blame(error.at(each.name))
    if form.wrong:
        return None
    name = str(LAYOUTS[kind]).split(":")[0].split(",")[0]
    try:
        if kind == "frame":
            return layouts.frame("new", name, said["width"], said["height"], said["rows"])
        if kind == "long":
            return layouts.long_board("new", name, said["width"], said["rows"])
        return layouts.mill("new", name, said["width"], said["height"], said["turns"], said["posts"])
    except BadInput as error:
        form.blame(error)
        return None


@dataclass(frozen=True, slots=True)
class PathShown:
    """A path as the page shows it."""

    path: BoardPath
    drawing: SafeString
    length: str
    inches: str
    wanted: str
    over: str
    word: str
    ties: str
    wound: str


def shown(snapshot: Snapshot, board: Board, path: BoardPath) -> PathShown:
    show = snapshot.show
    length_m = path.length_mm / 1000
    ties = choke_ties(length_m, show.us)
    label = _("%(board)s: the path %(pegs)s") % {"board": board.name, "pegs": ", ".join(path.pegs)}
    word = ""
    if not path.enough:
        word = sentence(path.shortfall(show))
    return PathShown(
        path=path,
        drawing=drawing(board, path, show, label),
        length=show.length(length_m),
        inches=show.piece(length_m),
        wanted=show.length(path.wanted_mm / 1000),
        over=show.piece(abs(path.excess_mm) / 1000),
        word=word,
        ties=ngettext("%d choke tie", "%d choke ties", ties) % ties,
        wound=wound_text(length_m, show),
    )


def drawing(board: Board, path: BoardPath | None, show: Shown, label: str) -> SafeString:
    """The board as SVG; names in it are escaped."""
    if path is None:
        return mark_safe(board_svg(board, label=label))
    ties = marks(board, path.pegs, show.us)
    return mark_safe(board_svg(board, path.pegs, ties, label))


def wound_text(length_m: float, show: Shown) -> str:
    """A path's length as the warp's field holds it, rounded up by less than a tenth of a millimeter."""
    unit, name = ("yd", "yard") if show.us else ("m", "m")
    scaled = math.ceil(length_m / factor(LENGTH_M.inside, name) * 10**DIGITS - 1e-6)
    return f"{scaled / 10**DIGITS:.{DIGITS}f}".rstrip("0").rstrip(".") + f" {unit}"


def wanted_of(text: str, system: str) -> float:
    """A typed length in mm.

    :raises BadInput: it is none
    """
    plain = quantity_input.plain(text, LENGTH_M, "yd" if system == "us" else "m")
    return wanted_length_mm(read(plain, LENGTH_M) * 1000)
