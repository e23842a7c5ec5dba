"""A guild as large as they come, invented: 60 yarns on 150 cones, 80 drafts, 40 warps on the demo's looms."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from loomready.app.drafts.save_draft import text_of
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.draft.families.registry import FAMILIES, make
from loomready.problems import BadInput

YARNS, CONES, DRAFTS, WARPS = 60, 150, 80, 40
_SIZES = (
    ("wool", "2/16 worsted"),
    ("cotton", "5/2 Ne"),
    ("cotton", "8/2 Ne"),
    ("linen", "16/2 lea"),
    ("silk", "20/2 spun silk"),
)
_COLORS = ("ash", "brick", "cream", "dusk", "elder", "fog", "gorse", "heath", "ivy", "jade", "kelp", "loam")
_OPTIONS: tuple[dict[str, str], ...] = ({"shafts": "4"}, {"shafts": "6"}, {"shafts": "8"}, {})


def fill() -> None:
    """Make the demo guild large; every new warp is a warp of the demo under another name."""
    there = current_snapshot().guild
    things: list[tuple[str, str, dict[str, Any]]] = []
    for number in range(YARNS - len(there.yarns)):
        fiber, count = _SIZES[number % len(_SIZES)]
        color = _COLORS[number % len(_COLORS)]
        key, tint = f"big-{number}", f"#{(number * 97 + 60) % 256:02x}{(number * 53 + 90) % 256:02x}8a"
        name = f"{fiber.title()} {count.split()[0]}, {color} {number + 1}"
        things.append(
            ("yarns", key, {"key": key, "name": name, "fiber": fiber, "count": count, "color": tint})
        )
    yarns = [each.key for each in there.yarns] + [key for _kind, key, _fields in things]
    for number in range(CONES - len(there.cones)):
        key, yarn = f"cone-{number}", yarns[number % len(yarns)]
        gross = f"{300 + number * 7} g"
        fields = {"key": key, "yarn": yarn, "gross": gross, "tare": "38 g", "weighed": "2026-03-14"}
        things.append(("cones", key, fields | {"lot": f"{700 + number % 4}"}))
    things += _drafts(DRAFTS - len(current_snapshot().drafts))
    demo = [dict(entry.fields) for entry in current_snapshot().of_kind("warps")]
    for number in range(WARPS - len(there.warps)):
        key = f"{demo[number % len(demo)]['key']} {number + 2}"
        things.append(("warps", key, demo[number % len(demo)] | {"key": key}))
    store.load(things, who="the tests", all_new=True)


def _drafts(count: int) -> list[tuple[str, str, dict[str, Any]]]:
    made: list[tuple[str, str, dict[str, Any]]] = []
    for number in range(count):
        name = list(FAMILIES)[number % len(FAMILIES)]
        options = _OPTIONS[number // len(FAMILIES)]
        known = {each.name for each in FAMILIES[name].parameters}
        try:
            draft = make(name, {key: value for key, value in options.items() if key in known})
        except BadInput:  # this family needs other shafts
            draft = make(name)
        named = replace(draft, title=f"{draft.title}, no. {number + 1}")
        made.append(("drafts", f"drafts/big-{number}.wif", {"wif": text_of(named)}))
    return made
