"""Making a draft: the families a loom can weave, a form of their parameters, and the result."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from urllib.parse import urlencode

import numpy as np
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from loomready.app.drafts import draft_preview
from loomready.app.forms import fields
from loomready.app.i18n.words import sentence, translated
from loomready.app.state.snapshot import Snapshot
from loomready.draft.draft import Draft
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import (
    MOST_SHAFTS,
    ColorOrder,
    Parameter,
    Profile,
    Switch,
    Treadled,
    WholeNumber,
    WordChoice,
)
from loomready.draft.families.registry import FAMILIES
from loomready.draft.wif import writer
from loomready.problems import BadInput

_TRIED: tuple[dict[str, str], ...] = (
    {},
    {"profile": "ABA"},
    {"profile": "AB"},
    {"profile": "A"},
    {"shafts": "8"},
    {"shafts": "6"},
    {"shafts": "5"},
    {"shafts": "4"},
    {"shafts": "3"},
    {"shafts": "2"},
)

LABELS = {
    "profile profile": _("Profile of the threading"),
    "treadling blocks": _("Profile of the treadling"),
    "tieup tie-up": _("Tie-up"),
    "tabby switch": _("Ground picks"),
    "ends count": _("Ends of a unit"),
    "ties choice": _("Tie-downs"),
    "most count": _("Most ends on a shaft"),
    "pairs count": _("Pairs in a block"),
    "twill count": _("Shafts of the twill"),
    "warp color order": _("Colors of the warp"),
    "weft color order": _("Colors of the weft"),
    "advance count": _("Advance"),
    "counter count": _("Counter"),
    "draw choice": _("Draw"),
    "draws count": _("Draws"),
    "face choice": _("Face"),
    "lean choice": _("Lean"),
    "picks count": _("Picks"),
    "repeats count": _("Repeats"),
    "run count": _("Run"),
    "shafts count": _("Shafts"),
    "treadling choice": _("Treadling"),
    "turned switch": _("Turned"),
}
CHOICES = {
    "point": _("point"),
    "straight": _("straight"),
    "weft": _("weft"),
    "warp": _("warp"),
    "alternate": _("alternate"),
    "pairs": _("pairs"),
    "as-drawn-in": _("as drawn in"),
    "rising": _("rising"),
    "falling": _("falling"),
}


@dataclass(frozen=True, slots=True)
class FamilyCard:
    """A family as the page of all families shows it, made with ``options`` that its loom can weave."""

    family: Family
    picture: draft_preview.Picture
    shafts: int
    query: str


@dataclass(frozen=True, slots=True)
class FamilyGroup:
    name: str
    cards: tuple[FamilyCard, ...]


@dataclass(frozen=True, slots=True)
class Made:
    """The result of the parameters: a draft with its pictures and figures, or the form with the error."""

    form: fields.Form
    draft: Draft | None = None
    cloth: draft_preview.Picture | None = None
    diagram: draft_preview.Picture | None = None
    figures: tuple[draft_preview.Figure, ...] = ()
    too_many: str = ""
    query: str = ""


def shafts_chosen(snapshot: Snapshot, asked: str) -> int | None:
    """The number of shafts to make drafts for: those asked for; else those of the looms, if all have as many.

    None: any loom.
    """
    if asked:
        return at_hand(asked)
    counts = {loom.draft_shafts for loom in snapshot.guild.looms}
    return min(counts.pop(), MOST_SHAFTS) if len(counts) == 1 else None


def at_hand(asked: str) -> int | None:
    """The number of shafts that an address names; None: any loom."""
    if asked.isascii() and asked.isdigit() and len(asked) < 4 and int(asked):
        return min(int(asked), MOST_SHAFTS)
    return None


def looms(snapshot: Snapshot) -> tuple[tuple[int, str], ...]:
    """The guild's looms by shafts, each number of shafts once."""
    named: dict[int, list[str]] = {}
    for loom in snapshot.guild.looms:
        named.setdefault(loom.draft_shafts, []).append(loom.name)
    for usual in (4, 8):
        named.setdefault(usual, [])
    return tuple((shafts, ", ".join(named[shafts])) for shafts in sorted(named))


def groups(snapshot: Snapshot, shafts: int | None) -> tuple[FamilyGroup, ...]:
    """The families that so many shafts can weave, in their groups, and a picture of each."""
    found: dict[str, list[FamilyCard]] = {}
    for family in FAMILIES.values():
        options = first_options(family, shafts)
        if options is None:
            continue
        draft = made(family, tuple(sorted(options.items())))
        query = urlencode(options | ({"loom": str(shafts)} if shafts else {}))
        card = FamilyCard(
            family, draft_preview.cloth(draft, snapshot.guild.end_1, ends=48, picks=32), draft.shafts, query
        )
        found.setdefault(family.group, []).append(card)
    return tuple(FamilyGroup(sentence(name), tuple(cards)) for name, cards in found.items())


@lru_cache(maxsize=512)
def first_options(family: Family, shafts: int | None) -> dict[str, str] | None:
    """Options to start with on a loom of that many shafts; None: the family needs more."""
    if shafts is None:
        return {}
    if shafts < family.least:
        return None
    own = {parameter.name: parameter for parameter in family.own}
    filled = [tried | {"shafts": str(shafts)} for tried in _TRIED if "shafts" not in tried]
    for options in (*filled, *_TRIED):
        if not set(options) <= set(own):
            continue
        try:
            if family.make(options).shafts <= shafts:
                return dict(options)
        except BadInput:
            continue
    return None


@lru_cache(maxsize=256)
def made(family: Family, options: tuple[tuple[str, str], ...]) -> Draft:
    """:raises BadInput: as :meth:`Family.make`; the place is the parameter's name"""
    return family.make(dict(options))


def form_of(family: Family, asked: Mapping[str, str]) -> fields.Form:
    """The family's parameters as fields, with the values asked for or the defaults."""
    form = fields.Form()
    for parameter in family.parameters:
        # A box that is not checked is not sent: only a form that was shown can say no that way.
        unsaid = "no" if isinstance(parameter, Switch) and "shown" in asked else parameter.default or ""
        form.fields[parameter.name] = _field(parameter, asked.get(parameter.name, unsaid))
    return form


def _field(parameter: Parameter, text: str) -> fields.Field:
    label = LABELS[f"{parameter.name} {parameter.kind}"]
    meaning = _sentence(parameter.meaning)
    if isinstance(parameter, Switch):
        return fields.Field(parameter.name, label, text if text == "yes" else "", "flag", help=meaning)
    if isinstance(parameter, WordChoice):
        choices = tuple((each, str(CHOICES[each])) for each in parameter.choices)
        return fields.Field(parameter.name, label, text, "choice", help=meaning, choices=choices)
    unsaid = "" if parameter.default is not None else f" {_('Empty')}: {translated(parameter.unsaid)}."
    says = _sentence(parameter.expected) if isinstance(parameter, Profile | Treadled) else meaning
    kind = "number" if isinstance(parameter, WholeNumber) else "text"
    return fields.Field(parameter.name, label, text, kind, help=f"{says}{unsaid}")


def _sentence(text: str) -> str:
    return f"{sentence(text)}."


def examples(family: Family, asked: Mapping[str, str], draft: Draft | None) -> dict[str, str]:
    """For each field what the family uses where it is left empty, as it would be typed; "" if unknown."""
    known = {parameter.name for parameter in family.parameters}
    given = tuple(sorted((name, text) for name, text in asked.items() if name in known and text.strip()))
    return {
        parameter.name: parameter.default or _used(family, parameter, given, draft)
        for parameter in family.parameters
        if draft is not None
    }


@lru_cache(maxsize=512)
def _used(family: Family, parameter: Parameter, given: tuple[tuple[str, str], ...], draft: Draft) -> str:
    """The first value that makes the same draft as no value, else the first that makes one."""
    defaults = {each.name: each.default for each in family.own if each.default is not None}
    rest = defaults | {name: text for name, text in given if name != parameter.name}
    first = ""
    for text in _candidates(parameter, rest, draft):
        try:
            other = family.make(rest | {parameter.name: text})
        except BadInput:
            continue
        first = first or text
        try:
            if writer.dumps(other) == writer.dumps(family.make(rest)):
                return text
        except BadInput:
            break  # it is needed
    return first


def _candidates(parameter: Parameter, rest: Mapping[str, str], draft: Draft) -> Iterator[str]:
    if isinstance(parameter, WholeNumber):
        yield from map(str, range(parameter.lowest, min(parameter.highest, MOST_SHAFTS) + 1))
    elif isinstance(parameter, Profile | Treadled):
        yield rest["profile"]
        yield "AB"
    elif isinstance(parameter, ColorOrder):
        yield rest["warp"]
    else:
        yield from sorted(_ratios(draft))


def _ratios(draft: Draft) -> set[str]:
    """The lifts of a twill as ratios, each begun with a run of shafts that are up."""
    found = set()
    for lifts in draft.lifts[: 2 * draft.shafts]:
        if lifts.all() or not lifts.any():
            continue
        turned = np.roll(lifts, -int(np.flatnonzero(lifts & ~np.roll(lifts, 1))[0]))
        edges = np.flatnonzero(np.diff(turned.astype(np.int8), prepend=0, append=2))
        found.add("/".join(map(str, np.diff(edges).tolist())))
    return found


def boards(family: Family) -> dict[str, str]:
    """The parameters with a board of blocks to tap: "one" block per unit, or "several"."""
    return {
        parameter.name: "several" if getattr(parameter, "together", False) else "one"
        for parameter in family.own
        if isinstance(parameter, Profile | Treadled)
    }


def answer(snapshot: Snapshot, family: Family, asked: Mapping[str, str]) -> Made:
    """The draft asked for, with everything its page shows."""
    form = form_of(family, asked)
    options = {
        name: ("yes" if field.text else "no") if field.kind == "flag" else field.text.strip()
        for name, field in form.fields.items()
        if field.text.strip() or field.kind == "flag"
    }
    query = urlencode(options | ({"loom": asked["loom"]} if asked.get("loom") else {}))
    try:
        draft = made(family, tuple(sorted(options.items())))
    except BadInput as error:
        form.blame(error)
        return Made(form, query=query)
    guild = snapshot.guild
    limit = at_hand(asked.get("loom", ""))
    too_many = ""
    if limit is not None and draft.shafts > limit:
        too_many = gettext("It needs %(needs)d shafts; the loom you chose has %(has)d.") % {
            "needs": draft.shafts,
            "has": limit,
        }
    return Made(
        form,
        draft,
        draft_preview.cloth(draft, guild.end_1, ends=96, picks=40, cell=8),
        draft_preview.diagram(draft, guild.end_1, guild.shaft_1),
        draft_preview.figures(draft),
        too_many,
        query,
    )


def counts(family: Family) -> dict[str, WholeNumber]:
    """The parameters that are whole numbers, for the limits of their fields."""
    return {
        parameter.name: parameter for parameter in family.parameters if isinstance(parameter, WholeNumber)
    }
