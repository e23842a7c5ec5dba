"""A second warp in the warp's form: a box to tick for each yarn of the warp."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from loomready.app.forms.fields import WORDS, Field, Form
from loomready.app.state.snapshot import Snapshot

NAME = "second_yarns"


def shown(snapshot: Snapshot, form: Form, table: Mapping[str, Any]) -> None:
    """A box for each yarn in place of the list of them; its own choices say what silence means."""
    chosen, names = table.get(NAME, ()), {yarn.key: yarn.name for yarn in snapshot.guild.yarns}
    boxes = {
        f"{NAME}-{number}": Field(
            f"{NAME}-{number}",
            _("Second warp: %s") % names.get(key, key),
            "yes" if key in chosen else "",
            "flag",
        )
        for number, key in enumerate(dict.fromkeys(_yarns(table)), 1)
    }
    if len(boxes) < 2 and not chosen:  # one yarn is one warp
        boxes = {}
    there = list(form.fields.items())
    form.fields = {
        key: each for name, field in there for key, each in (boxes if name == NAME else {name: field}).items()
    }
    if not chosen:  # the rest is shown once a yarn is ticked
        for name in [each for each in form.fields if each.startswith("second_") and each not in boxes]:
            del form.fields[name]
        return
    for name, silence in (("second_kind", WORDS["supplementary"]), ("second_tension", _("as usual for it"))):
        form.change(name, choices=(("", str(silence)), *_not_usual(name, form[name].choices)))
    form.change("second_take_up", help=_("empty: usual for it; pile 300 %, seersucker 25 %, or as the first"))
    form.change("second_cut", help=_("laid straight; with the length of the sample it was drawn out of"))


def _not_usual(name: str, choices: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
    """Choices without the one that silence stands for."""
    return tuple(each for each in choices if name != "second_kind" or each[0] != "supplementary")


def taken(form: Form, before: Mapping[str, Any], made: dict[str, Any]) -> None:
    """Put the ticked yarns into the warp's table; without any, nothing of a second warp stays."""
    was, now = _yarns(before), _yarns(made)
    follows = dict(zip(was, now, strict=True)) if len(was) == len(now) else {}
    ticked = [
        follows.get(key, key)
        for number, key in enumerate(dict.fromkeys(was), 1)
        if f"{NAME}-{number}" in form.fields and form[f"{NAME}-{number}"].text
    ]
    made[NAME] = [key for key in dict.fromkeys(ticked) if key in now]
    if not made[NAME]:
        for name in [each for each in made if each.startswith("second_")]:
            del made[name]


def _yarns(table: Mapping[str, Any]) -> list[str]:
    """The yarns of a warp's table: of each stripe, or of each color of its draft."""
    if "stripes" in table:
        return [row["yarn"] for row in table["stripes"] if "yarn" in row]
    return list(table.get("warp_yarns", ()))
