"""A small invented guild as a file, for tests: change what matters."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

from loomready import guildfile
from loomready.draft.draft import lift_plan
from loomready.draft.wif.writer import save
from loomready.problems import BadInput

TEXT = """\
[guild]
name = "Mill Loft Weavers"
units = "metric"
currency = "EUR"

[[yarns]]
key = "rust"
name = "Rust cotton"
fiber = "cotton"
count = "10/2 Ne"
color = "#9c4a2f"

[[yarns]]
key = "bone"
grist = "7 m/g"

[[yarns]]
key = "moss"
measured = { length = "20 yd", weight = "3.1 g", scale_step = "0.1 g" }

[[yarns]]
key = "heather"
wraps = "18 /in"
woollen = true

[[cones]]
yarn = "rust"
lot = "7"
gross = "455 g"
tare = "32 g"

[[cones]]
key = "bone big"
yarn = "bone"
gross = "2 lb"
tare = "1.5 oz"
weighed = 2026-04-11

[[looms]]
key = "north"
kind = "jack"
shafts = 4
treadles = 6
weaving_width = "36 in"
heddles = [150, 150, 120, 120]
waste = "75 cm"

[[reeds]]
key = "forty"
dents = "40 /10cm"
width = "1 m"

[[warps]]
key = "napkins"
loom = "north"
draft = "drafts/napkin.wif"
warp_yarns = ["rust", "bone"]
weft_yarns = ["bone"]
finished_width = "45 cm"
items = [
  { finished_length = "45 cm", hem = "3 cm", count = 6 },
  { finished_length = "20 cm", draft = "drafts/other.wif", weft_yarns = ["moss"], ppi = "7 /cm" },
]
firmness = "75 %"
ppi = "8 /cm"
"""


def tree(**changes: Any) -> dict[str, Any]:
    """The guild's tree. ``cones_1_gross="3 g"`` changes a key of the first cone; None takes it out.

    Two underscores stand for a dot: ``warps_1_items__2__hem``.
    """
    made = copy.deepcopy(guildfile.parse(TEXT))
    for path, value in changes.items():
        section, number, key = path.split("_", 2)
        table = made[section][int(number) - 1]
        *inner, last = key.split("__")
        for step in inner:
            table = table[int(step) - 1] if step.isdigit() else table[step]
        if value is None:
            del table[last]
        else:
            table[last] = value
    return made


def refusal(read: Any, *given: Any) -> str:
    """The one line with which something is refused."""
    try:
        found = read(*given)
    except BadInput as error:
        line = error.line()
        assert line.isprintable(), line
        return line
    raise AssertionError(f"was taken: {found!r}")


def put(folder: Path, text: str = TEXT) -> Path:
    """The guild as a file in a folder, with its two drafts."""
    (folder / "drafts").mkdir(exist_ok=True)
    save(folder / "drafts" / "napkin.wif", lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]]))
    save(folder / "drafts" / "other.wif", lift_plan([1, 2, 3, 4], [[1, 3], [2, 4]]))
    path = folder / "loft.toml"
    path.write_text(text, "utf-8")
    return path
