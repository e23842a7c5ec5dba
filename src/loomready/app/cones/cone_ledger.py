"""The ledger page of a cone: weighings and takings in order, and why they may disagree."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Literal

from django.utils import formats
from django.utils.translation import gettext as _

from loomready import units
from loomready.app.cones import weighing_mistakes
from loomready.app.cones.shelf import UNDATED, Weighing
from loomready.app.media.ledger_picture import picture
from loomready.app.state.snapshot import Snapshot
from loomready.guildfile.texts import day_of_text
from loomready.model.guild import Cone, Guild, WarpOrder, Yarn
from loomready.problems import BadInput
from loomready.units import Shown
from loomready.warp.plan import plan_once, weft_of_picks
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf
from loomready.warp.yarn_taken import weft_parts
from loomready.yarn.ledger import Disagreement, Entry, Taken, Weighed, ledger, when


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the table. ``warp``: the key of the warp that took; "" for a weighing."""

    day: str
    says: str
    warp: str
    expected: str
    sure: str
    upper: str
    disagrees: str


@dataclass(frozen=True, slots=True)
class Ledger:
    """``wrong``: weighings marked as mistakes, which are not among the rows."""

    yarn: Yarn
    cone: Cone
    rows: tuple[Row, ...]
    picture: str
    wrong: int


@dataclass(frozen=True, slots=True)
class Taking:
    """Meters that a warp took of a cone. ``part``: "warp" or "weft"."""

    cone: str
    part: Literal["warp", "weft"]
    at: date
    meters: float


def of_cone(snapshot: Snapshot, key: str) -> Ledger:
    """The ledger of the cone of that key, which is there."""
    cone = next(each for each in snapshot.guild.cones if each.key == key)
    yarn = snapshot.guild.yarn(cone.yarn)
    events: list[Weighed | Taken] = [*_weighed(cone), *_taken(snapshot, key)]
    entries = ledger(events, yarn)
    return Ledger(
        yarn=yarn,
        cone=cone,
        rows=tuple(_row(entry, snapshot.show) for entry in entries),
        picture=picture(entries, snapshot.show, lambda at: _named(at, snapshot.show)),
        wrong=sum(each.mistake for each in weighing_mistakes.listed(key)),
    )


def _weighed(cone: Cone) -> list[Weighed]:
    """The weighings of a cone that count, the first first; what its record holds now is one of them."""
    made = [Weighed(cone.weighed, cone)]
    for each in weighing_mistakes.counted(cone.key):
        past = _as_cone(cone, each)
        if (past.weighed, past.gross_g, past.tare_g) != (cone.weighed, cone.gross_g, cone.tare_g):
            made.append(Weighed(past.weighed, past))
    return made[::-1]


def _as_cone(cone: Cone, made: Weighing) -> Cone:
    return replace(
        cone,
        gross_g=units.read(made.gross, units.WEIGHT_G),
        tare_g=units.read(made.tare, units.WEIGHT_G),
        weighed=None if made.day == UNDATED else day_of_text(made.day),
    )


def _taken(snapshot: Snapshot, key: str) -> Iterator[Taken]:
    """What wound warps took of a cone: their warp yarn once wound, their weft as it was woven.

    A warp took from the cones that it names. Else it took what its plan gave it on the day it was wound: each
    is planned again on the weighings of that day, less what earlier wound warps had taken since.
    """
    history = {cone.key: _weighed(cone) for cone in snapshot.guild.cones}
    taken: list[Taking] = []
    for order in sorted((each for each in snapshot.guild.warps if each.wound), key=_winding):
        then = {name: _as_of(events, _wound(order)) for name, events in history.items()}
        guild = replace(snapshot.guild, cones=tuple(each.cone for each in then.values()))
        for each in _takings(order, guild, snapshot, _left(then, taken)):
            taken.append(each)
            if each.cone == key and each.meters > 0:
                yield Taken(each.at, order.key, each.part, each.meters)


def _wound(order: WarpOrder) -> date:
    return order.wound or date.max


def _winding(order: WarpOrder) -> Any:
    return when(Taken(_wound(order), order.key, "warp", 0.0))


def _day(at: date) -> date:
    return at.date() if isinstance(at, datetime) else at


def _named(at: date | None, show: Shown) -> str:
    return UNDATED if at is None else formats.date_format(_day(at), "M j, Y" if show.us else "j M Y")


def _knows(weighing: Weighed, taking: date) -> bool:
    """Whether a weighing already includes a taking at that moment."""
    return when(weighing) > when(Taken(taking, "", "warp", 0.0))


def _as_of(events: list[Weighed], moment: date) -> Weighed:
    """The last weighing before that moment; where every one is later, the first."""
    return ([each for each in events if not _knows(each, moment)] or events[:1])[-1]


def _left(then: dict[str, Weighed], taken: list[Taking]) -> dict[str, float]:
    """Meters taken of each cone since its weighing."""
    spoken: dict[str, float] = {}
    for each in taken:
        if each.cone in then and not _knows(then[each.cone], each.at):
            spoken[each.cone] = spoken.get(each.cone, 0.0) + each.meters
    return spoken


def _takings(order: WarpOrder, guild: Guild, snapshot: Snapshot, spoken: dict[str, float]) -> list[Taking]:
    in_its_reed = replace(order, reed=order.set_reed, sley=order.set_sley)
    planned = replace(in_its_reed, wound=None, off=None, woven_picks=None, woven_at=None)
    try:
        plan, _left_over = plan_once(planned, guild, snapshot.drafts, Shelf(guild, spoken))
    except BadInput:  # its plan gives the reason
        return []
    wound, yarn_of = _wound(order), {cone.key: cone.yarn for cone in guild.cones}
    uses = [use for need in plan.yarns for use in need.uses]
    if order.wound_from:
        made = [
            Taking(each.cone, "warp", wound, each.ends * plan.length_of(yarn_of.get(each.cone, "")))
            for each in order.wound_from
        ]
    else:
        made = [Taking(use.cone, "warp", wound, use.warp_m) for use in uses]
    return made + list(_weft(plan, order, guild, snapshot))


def _weft(plan: WarpPlan, order: WarpOrder, guild: Guild, snapshot: Snapshot) -> Iterator[Taking]:
    """The weft that a warp took: from the cones recorded, and where none are, as planned."""
    woven_m = weft_of_picks(order, snapshot.drafts, plan.width_in_reed_mm, order.woven_picks or 0)
    for need in plan.yarns:
        parts = weft_parts(order, need.yarn, guild, need.weft_m, woven_m.get(need.yarn.key, 0.0))
        for row, moment in parts.named:
            yield Taking(row.cone, "weft", moment, row.length_m)
        for use in need.uses if need.weft_m else ():
            share = use.weft_m / need.weft_m
            if parts.counted_m and order.woven_at is not None:
                yield Taking(use.cone, "weft", order.woven_at, share * parts.counted_m)
            if parts.rest_m and order.off is not None:
                yield Taking(use.cone, "weft", order.off, share * parts.rest_m)


def _row(entry: Entry, show: Shown) -> Row:
    event = entry.event
    if isinstance(event, Weighed):
        says = _("weighed: %(net)s of yarn") % {"net": show.weight(event.cone.net_g)}
    else:
        part = _("of warp") if event.part == "warp" else _("of weft")
        says = f"{show.yarn_needed(event.meters)} {part}"
    return Row(
        day=UNDATED if event.at is None else _day(event.at).isoformat(),
        says=says,
        warp=event.warp if isinstance(event, Taken) else "",
        expected=show.yarn(entry.expected_m),
        sure=show.yarn_there(entry.sure_m),
        upper=show.yarn(entry.upper_m),
        disagrees=_disagrees(entry.disagrees, show) if entry.disagrees else "",
    )


def _disagrees(found: Disagreement, show: Shown) -> str:
    words: dict[str, Any] = {"meters": show.yarn(abs(found.meters)), "band": show.yarn(found.band_m)}
    if found.meters < 0:
        return (
            _(
                "The scale shows %(meters)s less than the last weighing, less what was taken since. Scale, "
                "empty cone and count can explain %(band)s. Is a warp not marked as wound, is it another "
                "cone, or is the weight of the empty cone wrong?"
            )
            % words
        )
    return (
        _(
            "The scale shows %(meters)s more than the last weighing, less what was taken since. Scale, "
            "empty cone and count can explain %(band)s. Is it another cone, is the weight of the empty "
            "cone wrong, or did a warp take less than planned?"
        )
        % words
    )
