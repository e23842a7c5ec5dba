"""Project records: the measurements as typed, and the figures of the plan that they belong to.

A record holds all that its figures need, so that later plans can use it after its warp is removed.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from loomready import units
from loomready.app.state.snapshot import Entry, Snapshot
from loomready.guildfile.texts import Identifier
from loomready.guildfile.values import Count, Quantity, Value
from loomready.loomside.learning.finished_warps import RATES, About, ProjectRecord, Worked
from loomready.phrases import Phrase, joined, phrase
from loomready.problems import BadInput
from loomready.units import LENGTH_M, WEIGHT_G, WIDTH_MM
from loomready.warp.result import WarpPlan
from loomready.warp.sett_charts import WEAVES

Fields = dict[str, Any]
KIND = "happened"  # as homes have stored it since the first version

_WIDTH = Quantity(WIDTH_MM, "0 m", "20 m", above=True)
_LENGTH = Quantity(LENGTH_M, "0 m", "1000 m", above=True)
_GAP = Quantity(LENGTH_M, "0 m", "1000 m")
_SHORT = Quantity(LENGTH_M, "0 m", "10 m", above=True)
USED = Quantity(WEIGHT_G, "0 g", "100 kg", above=True)
PEOPLE = Count(1, 20)
_KEY = Identifier()

# Every measurement asked for, in the order of the work.
MEASURED: Mapping[str, Value] = {
    "wound_length": _LENGTH,
    "unwoven": _GAP,
    "waste_left": _GAP,
    "fell_width": _WIDTH,
    "tense_length": _LENGTH,
    "picks_counted": Count(1, 100_000),
    "picks_over": _SHORT,
    "off_width": _WIDTH,
    "off_length": _LENGTH,
    "washed_width": _WIDTH,
    "washed_length": _LENGTH,
}
STEPS = tuple(RATES)


def structure_of(plan: WarpPlan) -> str:
    """The class of a weave: its column in the sett charts, and its layers."""
    kind = str(plan.sett_advice.kind)
    return kind if plan.order.layers == 1 else f"{kind}, {plan.order.layers} layers"


def structure_said(stored: str) -> Phrase:
    """The class of a weave as a person reads it: "twill, 2 layers"."""
    kind, _, layers = stored.partition(", ")
    name = WEAVES.get(kind, kind)
    count = layers.partition(" ")[0]
    if not count.isdecimal():
        return joined("", [name])
    return phrase("{weave}, {layers} layers", weave=name, layers=count)


def context_of(plan: WarpPlan) -> Fields:
    """What the figures need of a plan."""
    order = plan.order
    return {
        "loom": order.loom,
        "structure": structure_of(plan),
        "warp_yarns": list(dict.fromkeys(order.warp_yarns)),
        "weft_yarns": list(dict.fromkeys(yarn for weft in plan.wefts for yarn in weft.yarns)),
        "warp_ends": {
            need.yarn.key: need.warp_ends
            for need in plan.yarns
            if need.warp_ends and need.yarn.key not in (order.second_yarns or ())
        },
        "label": {need.yarn.key: need.yarn.grist_m_per_g for need in plan.yarns},
        "width_in_reed_mm": plan.width_in_reed_mm,
        "warp_length_m": plan.warp_length_m,
        "unwoven_m": plan.lengths.not_cloth_m,
        "fringe_in_waste_m": plan.lengths.fringe_in_waste_m,
        "weft_strands": sum(weft.picks * weft.strands for weft in plan.wefts) / max(1, plan.picks),
        "opens_to": order.opens_to,
        "working_ends": plan.web.ends,
    }


def about(plan: WarpPlan) -> About:
    context = context_of(plan)
    return About(
        context["loom"],
        context["structure"],
        tuple(context["warp_yarns"]),
        tuple(context["weft_yarns"]),
    )


def result_of(key: str, fields: Mapping[str, Any]) -> ProjectRecord:
    """The engine's result of a record.

    :raises BadInput: a text that is no quantity; KeyError, TypeError: no such record
    """
    plan = fields["plan"]
    read: dict[str, Any] = {
        name: value.read(fields[name]) for name, value in MEASURED.items() if name in fields
    }
    picks, over = read.get("picks_counted"), read.get("picks_over")
    return ProjectRecord(
        warp=key,
        loom=plan["loom"],
        structure=plan["structure"],
        warp_yarns=tuple(plan["warp_yarns"]),
        weft_yarns=tuple(plan["weft_yarns"]),
        warp_ends={str(yarn): int(ends) for yarn, ends in plan["warp_ends"].items()},
        label_m_per_g={str(yarn): float(grist) for yarn, grist in plan["label"].items()},
        width_in_reed_mm=float(plan["width_in_reed_mm"]),
        warp_length_m=read.get("wound_length", float(plan["warp_length_m"])),
        weft_strands=float(plan.get("weft_strands", 1.0)),
        fringe_in_waste_m=float(plan.get("fringe_in_waste_m", 0.0)),
        opens_to=int(plan.get("opens_to", 1)),
        working_ends=int(plan["working_ends"]) if "working_ends" in plan else None,
        unwoven_m=read.get("unwoven", float(plan["unwoven_m"])),
        fell_width_mm=read.get("fell_width"),
        tense_length_m=read.get("tense_length"),
        off_width_mm=read.get("off_width"),
        off_length_m=read.get("off_length"),
        washed_width_mm=read.get("washed_width"),
        washed_length_m=read.get("washed_length"),
        waste_m=read.get("waste_left"),
        picks_per_cm=picks / (over * 100) if picks and over else None,
        warp_g=_weights(fields, "warp_used", plan["warp_ends"]),
        weft_g=_weights(fields, "weft_used", plan["weft_yarns"]),
        worked=tuple(_worked(fields)),
    )


def _weights(fields: Mapping[str, Any], name: str, yarns: Any) -> dict[str, float]:
    used = fields.get(name, {})
    return {yarn: USED.read(used[yarn]) for yarn in yarns if yarn in used}


def _worked(fields: Mapping[str, Any]) -> list[Worked]:
    made = []
    for step in STEPS:
        if step in fields.get("hours", {}):
            people = PEOPLE.read(fields.get("people", {}).get(step, 1))
            made.append(Worked(step, hours_of(fields["hours"][step]), people))
    return made


def hours_of(text: Any) -> float:
    """Hours as they are written, "3.5" or "3:30".

    :raises BadInput: no such time
    """
    said = str(text).strip()
    whole, colon, minutes = said.partition(":")
    try:
        if colon:
            if not (whole.isdecimal() and minutes.isdecimal() and int(minutes) < 60):
                raise ValueError
            hours = int(whole) + int(minutes) / 60
        else:
            hours = units.read(f"{said} %", units.SHARE) * 100
        if not 0 < hours <= 1000:
            raise ValueError
    except (ValueError, BadInput):
        raise BadInput(
            phrase('"{text}" is not a time; expected hours like 3.5 or 3:30', text=said[:20])
        ) from None
    return hours


def results(snapshot: Snapshot) -> list[ProjectRecord]:
    """All project records, including those of removed warps."""
    return [result_of(entry.key, entry.fields) for entry in records(snapshot)]


def records(snapshot: Snapshot) -> list[Entry]:
    """All records except those that an earlier version read from a damaged file."""
    return [entry for entry in snapshot.of_kind(KIND) if _is_sound(entry)]


def _is_sound(entry: Entry) -> bool:
    try:
        _KEY.read(entry.key)
        checked(entry.key, entry.fields)
    except (BadInput, KeyError, TypeError, ValueError, AttributeError, OverflowError):
        return False
    return True


def entry_of(snapshot: Snapshot, key: str) -> Entry | None:
    entry = snapshot.entry(KIND, key)
    return entry if entry is not None and _is_sound(entry) else None


def checked(key: str, fields: Any) -> Fields:
    """A record that came from elsewhere, with nothing in it but what belongs there.

    :raises BadInput, KeyError, TypeError, ValueError: it is not valid
    """
    plan = fields["plan"]
    kept: Fields = {
        "plan": {
            "loom": _line(plan["loom"]),
            "structure": _line(plan["structure"]),
            "warp_yarns": [_line(each) for each in plan["warp_yarns"]],
            "weft_yarns": [_line(each) for each in plan["weft_yarns"]],
            "warp_ends": {
                _line(yarn): int(_figure(ends, 1, 1e6)) for yarn, ends in plan["warp_ends"].items()
            },
            "label": {_line(yarn): _figure(grist, 1e-4, 1e6) for yarn, grist in plan["label"].items()},
            "width_in_reed_mm": _figure(plan["width_in_reed_mm"], 0.1, 1e6),
            "warp_length_m": _figure(plan["warp_length_m"], 1e-3, 1e5),
            "unwoven_m": _figure(plan["unwoven_m"], 0, 1000),
        }
    }
    if "weft_strands" in plan:  # records of earlier versions have none
        kept["plan"]["weft_strands"] = _figure(plan["weft_strands"], 1, 100)
    if "fringe_in_waste_m" in plan:
        kept["plan"]["fringe_in_waste_m"] = _figure(plan["fringe_in_waste_m"], 0, 1000)
    for name, most in (("opens_to", 2), ("working_ends", 1e6)):  # nor these
        if name in plan:
            kept["plan"][name] = int(_figure(plan[name], 1, most))
    kept |= {name: fields[name] for name in MEASURED if name in fields}
    for name in ("warp_used", "weft_used", "hours"):
        if name in fields:
            kept[name] = {_line(each): _line(text) for each, text in fields[name].items()}
            for text in kept[name].values():
                hours_of(text) if name == "hours" else USED.read(text)
    if "people" in fields:
        kept["people"] = {_line(each): PEOPLE.read(count) for each, count in fields["people"].items()}
    made = result_of(_line(key), kept)
    if not set(made.weft_yarns) <= set(made.label_m_per_g):
        raise BadInput(phrase("holds a weft yarn without a grist"))
    return kept


def _figure(value: Any, low: float, high: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise BadInput(
            phrase("holds a figure of a plan that is none; expected {low:g} to {high:g}", low=low, high=high)
        )
    return float(value)


def _line(text: Any) -> str:
    if not isinstance(text, str) or not text.isprintable() or not 0 < len(text) <= 100:
        raise BadInput(phrase("holds what is not a short line of text; expected at most 100 characters"))
    return text
