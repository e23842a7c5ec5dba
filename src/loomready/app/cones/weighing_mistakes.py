"""Weighings marked as mistakes: they stay visible and are not counted.

A record of kind "mistakes" lists a cone's wrong weighings by their values, with the right figure if it is
known. The mark and its effect on the cone are one change, undone together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from loomready.app.cones import shelf
from loomready.app.cones.shelf import UNDATED, Weighing
from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Snapshot
from loomready.problems import BadInput

KIND = "mistakes"
Sign = tuple[str, str, str]  # day, gross and tare, as texts


@dataclass(frozen=True, slots=True)
class Listed:
    """A weighing that was ever kept. ``right``: the corrected weight, where ``mistake`` is set."""

    weighing: Weighing
    mistake: bool
    right: str


def sign(weighing: Weighing) -> Sign:
    return weighing.day, weighing.gross, weighing.tare


def sign_of(fields: Mapping[str, Any]) -> Sign:
    """The weighing that a cone's record holds."""
    return fields.get("weighed", UNDATED), fields["gross"], fields["tare"]


def listed(key: str) -> list[Listed]:
    """Every weighing of a cone once, mistakes among them, the last first.

    What the cone's record holds now counts, whatever was marked before.
    """
    record = Record.objects.filter(kind="cones", key=key).first()
    now = None if record is None else sign_of(record.fields)
    marked = {(each["day"], each["gross"], each["tare"]): each["right"] for each in _marks(key)}
    found: list[Listed] = []
    for each in _once(shelf.kept(key)):
        wrong = sign(each) in marked and sign(each) != now
        right = marked[sign(each)] if wrong else ""
        found.append(Listed(each, wrong, right))
        if right:
            found.append(Listed(Weighing(each.day, right, each.tare, each.who), False, ""))
    said = [sign(each.weighing) for each in found]
    return [each for place, each in enumerate(found) if sign(each.weighing) not in said[:place]]


def counted(key: str) -> list[Weighing]:
    """The weighings that count, the last first."""
    return [each.weighing for each in listed(key) if not each.mistake]


def mark(snapshot: Snapshot, cone: Entry, wrong: Sign, right: str, *, who: str) -> None:
    """Mark a weighing as a mistake; ``right`` "" removes it without a correction.

    If it is the current one, the right figure counts instead, or else the last good weighing.

    :raises BadInput: no such weighing, or none is left; :raises store.Conflict: changed in the meantime
    """
    rows = listed(cone.key)
    if wrong not in [sign(each.weighing) for each in rows if not each.mistake]:
        raise BadInput(_("There is no such weighing; look at the list again"))
    marks = snapshot.entry(KIND, cone.key)
    day, gross, tare = wrong
    # A figure that is now given as the right one is no longer a mistake.
    again = (day, right, tare)
    kept = [each for each in _marks(cone.key) if (each["day"], each["gross"], each["tare"]) != again]
    made = {"day": day, "gross": gross, "tare": tare, "right": right}
    writes: list[store.Write] = [
        (KIND, cone.key, {"made": [*kept, made]}, None if marks is None else marks.version)
    ]
    if wrong == sign_of(cone.fields):
        writes.append(("cones", cone.key, _ruling(cone, rows, wrong, right), cone.version))
    store.write_together(writes, who=who)


def _ruling(cone: Entry, rows: list[Listed], wrong: Sign, right: str) -> dict[str, Any]:
    """The cone's record with the weighing that counts once ``wrong`` does not."""
    if right:
        return cone.fields | {"gross": right}
    good = [each.weighing for each in rows if not each.mistake and sign(each.weighing) != wrong]
    if not good:
        raise BadInput(_("It is the only weighing of this cone; type the right figure instead"))
    made = cone.fields | {"gross": good[0].gross, "tare": good[0].tare, "weighed": good[0].day}
    if good[0].day == UNDATED:
        del made["weighed"]
    return made


def _marks(key: str) -> list[dict[str, str]]:
    record = Record.objects.filter(kind=KIND, key=key).first()
    return [] if record is None else list(record.fields["made"])


def _once(made: list[Weighing]) -> list[Weighing]:
    """Each weighing where it was first made: a cone's record can return to an older one."""
    first = {sign(each): each for each in made}
    order: dict[Sign, None] = dict.fromkeys(sign(each) for each in reversed(made))
    return [first[each] for each in reversed(order)]
