"""Prefills a project record: the time a device counted, and what the cones lost since the warp was wound.
Nothing is saved before you press save."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from loomready import units
from loomready.app.cones import shelf, weighing_mistakes
from loomready.app.forms.fields import Form
from loomready.app.loomside.project_record import STEPS, hours_of
from loomready.app.state.snapshot import Snapshot
from loomready.model.guild import WarpOrder
from loomready.problems import BadInput


def fill(
    form: Form, snapshot: Snapshot, key: str, plan: Mapping[str, Any], counted: Mapping[str, str]
) -> None:
    """Fill empty fields with the suggestions. ``counted``: hours by the first word of their step."""
    for number, step in enumerate(STEPS, 1):
        text, name = counted.get(step.split()[0], ""), f"hours-{number}"
        try:
            if text:
                hours_of(text)
                _offer(form, name, text, _("The At the loom page counted %(time)s.") % {"time": text})
        except BadInput:
            continue  # the address may contain anything
    lost = lost_by_cones(snapshot, key, plan)
    for side, yarns in (("warp_used", plan["warp_ends"]), ("weft_used", plan["weft_yarns"])):
        for number, yarn in enumerate(yarns, 1):
            told = lost.get((side, yarn))
            if told is not None:
                says = _("Weighed: %(cones)s. Check that all of it went into this warp.")
                text = f"{told.grams:.4f}".rstrip("0").rstrip(".")
                _offer(form, f"{side}-{number}", text, says % {"cones": "; ".join(told.cones)})


def _offer(form: Form, name: str, text: str, says: str) -> None:
    form.change(name, text=form[name].text or text, help=says)


@dataclass(slots=True)
class Lost:
    """Grams that cones of one yarn lost, and which cones."""

    grams: float = 0.0
    cones: list[str] = field(default_factory=list)


def lost_by_cones(snapshot: Snapshot, key: str, plan: Mapping[str, Any]) -> dict[tuple[str, str], Lost]:
    """What each yarn lost as ``warp_used`` and as ``weft_used``, by the weighings before and after winding.

    Yarns that another warp may have taken from since are left out. For a yarn that is both warp and weft, a
    weighing between winding and weaving separates the two.
    """
    order = next((each for each in snapshot.guild.warps if each.key == key), None)
    found: dict[tuple[str, str], Lost] = {}
    if order is None or order.wound is None:
        return found
    warp, weft = set(plan["warp_ends"]), set(plan["weft_yarns"])
    for cone in snapshot.guild.cones:
        if cone.yarn not in warp | weft:
            continue
        before, after = _around(weighing_mistakes.counted(cone.key), order.wound)
        if before is None or not after or _taken_by_others(snapshot, order, cone.yarn, before):
            continue
        for side, one, two in _sides(cone.yarn in warp, cone.yarn in weft, before, after):
            grams = units.read(one.gross, units.WEIGHT_G) - units.read(two.gross, units.WEIGHT_G)
            if grams > 0 and one.tare == two.tare:
                told = found.setdefault((side, cone.yarn), Lost())
                told.grams += grams
                told.cones.append(f"{snapshot.name('cones', cone.key)} {one.gross} → {two.gross}")
    return found


def _around(made: list[shelf.Weighing], wound: date) -> tuple[shelf.Weighing | None, list[shelf.Weighing]]:
    """The last weighing before the warp was wound, and those after, in order."""
    dated = [each for each in reversed(made) if each.day[:1].isdigit()]
    before = [each for each in dated if each.day < wound.isoformat()]
    return (before[-1] if before else None), [each for each in dated if each.day >= wound.isoformat()]


def _sides(
    warp: bool, weft: bool, before: shelf.Weighing, after: list[shelf.Weighing]
) -> Iterator[tuple[str, shelf.Weighing, shelf.Weighing]]:
    if warp and weft:
        if len(after) > 1:
            yield "warp_used", before, after[0]
            yield "weft_used", after[0], after[-1]
    else:
        yield ("warp_used" if warp else "weft_used"), before, after[-1]


def _taken_by_others(snapshot: Snapshot, order: WarpOrder, yarn: str, before: shelf.Weighing) -> bool:
    """Whether another wound warp may have taken yarn since: its warp when wound, its weft at any time."""
    for each in snapshot.guild.warps:
        if each.key == order.key or each.wound is None:
            continue
        if yarn in each.all_weft_yarns:
            return True
        if yarn in each.warp_yarns and each.wound.isoformat() >= before.day:
            return True
    return False
