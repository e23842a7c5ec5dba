"""Conversions of a draft: to a lift plan, to a tie-up, face down, turned, to fewer shafts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready.app.drafts import draft_preview
from loomready.app.state.snapshot import Snapshot
from loomready.app.workshop import draft_version
from loomready.draft.draft import Draft
from loomready.draft.shedding.fewest_treadles import (
    MOST_TREADLES,
    SHEDS,
    Shed,
    Tieup,
    on_treadles,
    working_shafts,
)
from loomready.draft.shedding.treadle_order import footwork
from loomready.draft.shedding.turned import (
    FaceDown,
    face_down,
    merged,
    other_face,
    same_cloth,
    turned,
    turned_cloth,
    uneven_sheds,
)
from loomready.draft.structure.analysis import Structure
from loomready.model.guild import Loom

WAYS = ("lift-plan", "face-down", "turned", "fewer-shafts")
_SHED_OF = {"counterbalance": "sinking", "countermarche": "countermarche"}
_NAMED = 12


@dataclass(frozen=True, slots=True)
class Wish:
    """The treadles of the loom, how many are pressed in one pick, and what they do."""

    treadles: int
    feet: int
    shed: Shed

    @property
    def query(self) -> dict[str, Any]:
        return {"treadles": self.treadles, "feet": self.feet, "shed": self.shed}


@dataclass(frozen=True, slots=True)
class Conversion:
    """A conversion of the draft, with its result in a line."""

    name: str
    title: str
    says: str
    level: draft_preview.Level = ""
    changes: bool = True


@dataclass(frozen=True, slots=True)
class Treadled:
    """The result of the search for treadles, as its page shows it.

    rows   each working shaft, from the top of the tie-up down, and what each treadle does to it
    order  for each pick of the repeat the treadles pressed
    """

    says: str
    level: draft_preview.Level
    proof: str
    feet: tuple[str, ...]
    treadles: tuple[int, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    order: tuple[tuple[int, str], ...]
    picks: int
    result: draft_version.Result | None


def loom_of(snapshot: Snapshot, warp: str, loom: str) -> Loom | None:
    """The chosen loom: a warp's, or one by name."""
    key = next((order.loom for order in snapshot.guild.warps if order.key == warp), loom)
    return next((each for each in snapshot.guild.looms if each.key == key), None)


def wish(asked: dict[str, str], loom: Loom | None) -> Wish:
    """The wish in the request, with the loom's values as defaults."""
    usual = loom.free_treadles if loom and loom.free_treadles else 10
    shed: Shed = "rising"
    given = asked.get("shed", _SHED_OF.get(loom.kind, "rising") if loom else "rising")
    for each in SHEDS:
        if each == given:
            shed = each
    return Wish(_whole(asked, "treadles", usual, MOST_TREADLES), _whole(asked, "feet", 2, 3), shed)


def _whole(asked: dict[str, str], name: str, usual: int, most: int) -> int:
    text = asked.get(name, "").strip()
    if not (text.isascii() and text.isdigit() and len(text) < 6):
        return usual
    return min(most, max(1, int(text)))


def ways(draft: Draft, loom: Loom | None) -> tuple[Conversion, ...]:
    """All conversions that need no search, each with its answer."""
    down = face_down(draft)
    fewer = merged(draft)
    across = Structure(draft).picks.count
    used = int(working_shafts(draft).sum())
    uneven = uneven_sheds(draft)
    lifts = draft.treadles is None
    return (
        Conversion(
            "lift-plan",
            _("Convert to lift plan"),
            _("This draft already has a lift plan.")
            if lifts
            else _("Each pick lists the shafts that rise: for looms with levers, or before a new tie-up."),
            changes=not lifts,
        ),
        Conversion(
            "face-down",
            _("Face down"),
            _weighed(down),
            "done" if down.lighter else "",
        ),
        Conversion(
            "turned",
            _("Turned draft (warp and weft change places)"),
            _fits(across, loom),
            "warn" if loom and across > loom.draft_shafts else "",
        ),
        Conversion(
            "fewer-shafts",
            _("On fewer shafts"),
            _("It needs all its %d shafts: no two lift alike.") % used
            if fewer.shafts == draft.shafts
            else _("%(after)d shafts do, not %(before)d: those that lift alike become one.")
            % {"after": fewer.shafts, "before": draft.shafts},
            "done" if fewer.shafts < draft.shafts else "",
            changes=fewer.shafts < draft.shafts,
        ),
        Conversion(
            "",
            _("On a counterbalance loom"),
            _("Every shed is balanced: half the shafts rise.")
            if not uneven
            else ngettext(
                "Unbalanced shed in pick %(picks)s: a counterbalance loom works best with half "
                "the shafts up.",
                "Unbalanced sheds in picks %(picks)s: a counterbalance loom works best with half "
                "the shafts up.",
                len(uneven),
            )
            % {"picks": _some([each.pick for each in uneven])},
            "done" if not uneven else "warn" if loom and loom.kind == "counterbalance" else "",
            changes=False,
        ),
    )


def _weighed(down: FaceDown) -> str:
    shafts = {"after": down.after, "before": down.before}
    if down.lighter:
        return _("Lighter: %(after)d shafts to lift over all picks, not %(before)d.") % shafts
    if down.after == down.before:
        return _("No lighter: %(after)d shafts to lift over all picks either way.") % shafts
    return _("Heavier: %(after)d shafts to lift over all picks, not %(before)d.") % shafts


def _fits(shafts: int, loom: Loom | None) -> str:
    needs = ngettext("It needs %d shaft, ", "It needs %d shafts, ", shafts) % shafts + _(
        "one for each different pick."
    )
    if loom and shafts > loom.draft_shafts:
        needs += " " + _("%(loom)s has %(shafts)d.") % {"loom": loom.name, "shafts": loom.draft_shafts}
    return needs


def _some(numbers: list[int]) -> str:
    more = len(numbers) - _NAMED
    said = ", ".join(map(str, numbers[:_NAMED]))
    return _("%(picks)s and %(more)d more") % {"picks": said, "more": more} if more > 0 else said


def work_of(way: str) -> Callable[[Draft], Draft]:
    return {
        "lift-plan": Draft.as_lift_plan,
        "face-down": lambda draft: face_down(draft).draft,
        "turned": turned,
        "fewer-shafts": merged,
    }[way]


def result(snapshot: Snapshot, found: draft_version.Seen, way: str) -> draft_version.Result:
    """:raises BadInput: it cannot be converted that way"""
    draft = found.draft
    made = work_of(way)(draft)
    titles = {each.name: each.title for each in ways(draft, None)}
    names = {
        "lift-plan": _("%s, lift plan"),
        "face-down": _("%s, face down"),
        "turned": _("%s, turned"),
        "fewer-shafts": _("%s, fewer shafts"),
    }
    kin, level = _kin(draft, made)
    return draft_version.result(
        snapshot, draft, made, title=titles[way], kin=kin, level=level, name=names[way] % found.title
    )


def _kin(draft: Draft, made: Draft) -> tuple[str, draft_preview.Level]:
    """How the cloth changed: always found by comparing the cloths."""
    if same_cloth(draft, made):
        return _("The same cloth, thread for thread."), "done"
    if other_face(draft, made):
        return _("The other face of the same cloth, thread for thread: turn it over off the loom."), "done"
    if turned_cloth(draft, made):
        return _("The same cloth turned by 90 degrees: each end becomes a pick, each pick an end."), "done"
    return _("Another cloth."), "warn"


def treadled(snapshot: Snapshot, found: draft_version.Seen, made: Tieup, asked: Wish) -> Treadled:
    """The result in words, with the draft on its treadles if there are enough of them."""
    enough = made.treadles <= asked.treadles
    woven = on_treadles(found.draft, made)
    shown_result = None
    if enough:
        kin, level = _kin(found.draft, woven)
        treadles = ngettext("On %d treadle", "On %d treadles", made.treadles) % made.treadles
        shown_result = replace(
            draft_version.result(
                snapshot,
                found.draft,
                woven,
                title=treadles,
                kin=kin,
                level=level,
                name=f"{found.title}, {treadles.lower()}",
            ),
            picked=asked.query,
        )
    says, level = _answer(made, asked.treadles)
    used = np.flatnonzero(working_shafts(found.draft))
    front = snapshot.guild.shaft_1 == "front"
    return Treadled(
        says=says,
        level=level,
        proof=_proof(made),
        feet=tuple(_feet(made)),
        treadles=tuple(range(1, made.treadles + 1)),
        rows=tuple(
            (int(shaft) + 1, tuple(_signs(made, int(shaft))))
            for shaft in (used[::-1] if front else used).tolist()
        ),
        order=tuple(
            (pick + 1, " ".join(str(each + 1) for each in np.flatnonzero(row).tolist()) or "–")
            for pick, row in enumerate(made.treadling[:200])
        ),
        picks=len(made.treadling),
        result=shown_result,
    )


def _signs(made: Tieup, shaft: int) -> list[str]:
    """What each treadle does to a shaft: o rises, x sinks, nothing where it is not tied."""
    if made.sinks is not None:
        both = zip(made.tieup[shaft].tolist(), made.sinks[shaft].tolist(), strict=True)
        return ["o" if up else "x" if down else "" for up, down in both]
    tied = "x" if made.shed == "sinking" else "o"
    return [tied if each else "" for each in made.tieup[shaft].tolist()]


def _answer(made: Tieup, within: int) -> tuple[str, draft_preview.Level]:
    treadles = ngettext("%d treadle", "%d treadles", made.treadles) % made.treadles
    there = ngettext("%d treadle", "%d treadles", within) % within
    if made.treadles <= within:
        return _("It can be woven with %s.") % treadles, "done"
    if made.at_least > within:
        least = treadles if made.proved_least else _("at least %d") % made.at_least
        return _("Not possible with %(there)s: it needs %(least)s.") % {
            "there": there,
            "least": least,
        }, "stop"
    return (
        _("No tie-up with %(there)s was found. Fewer than %(least)d are not possible; %(found)s are enough.")
        % {"there": there, "least": made.at_least, "found": treadles},
        "warn",
    )


def _proof(made: Tieup) -> str:
    own = ngettext(
        "With one treadle per lift it needs %d.", "With one treadle per lift it needs %d.", made.own
    )
    proof = (
        _("Proved: no tie-up with fewer treadles weaves this cloth on this shed.")
        if made.proved_least
        else _("Not proved to be the fewest; it is proved that fewer than %d are not enough.") % made.at_least
    )
    return f"{proof} {own % made.own}"


def _feet(made: Tieup) -> list[str]:
    work = footwork(made.treadling)
    said = []
    if made.most_pressed > 1:
        said.append(_("Up to %d treadles per pick.") % made.most_pressed)
    if work.out_of_reach:
        said.append(
            ngettext(
                "In %d pick a foot has to press treadles that are not neighbors, one after the other.",
                "In %d picks a foot has to press treadles that are not neighbors, one after the other.",
                work.out_of_reach,
            )
            % work.out_of_reach
        )
    said.append(
        _("Feet alternate in %(turns)d of %(steps)d steps.") % {"turns": work.turns, "steps": work.steps}
    )
    return said
