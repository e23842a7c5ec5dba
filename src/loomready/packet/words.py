"""What several sheets share: letters for yarns, runs of color as chips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from loomready.colors import hex_color
from loomready.loomside.steps.words import stripes
from loomready.warp.result import WarpPlan

Data = dict[str, Any]
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def cut_short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def told_apart(names: Sequence[str]) -> tuple[str, ...]:
    """Names without the words that all of them begin with.

    >>> told_apart(("Worsted wool, rust", "Worsted wool, pale blue")), told_apart(("Flax", "Flax, gray"))
    (('rust', 'pale blue'), ('Flax', 'Flax, gray'))
    """
    words = [name.split() for name in names]
    alike = 0
    while len(words) > 1 and len({tuple(each[: alike + 1]) for each in words}) == 1 and words[0][alike:]:
        alike += 1
    if any(len(each) <= alike for each in words):
        return tuple(names)
    return tuple(" ".join(each[alike:]) for each in words) if alike else tuple(names)


@dataclass(frozen=True, slots=True)
class Letters:
    """A letter for each yarn of a warp, warp yarns first: colors must be told apart in black and white.

    ``names``: what tells the yarns apart, in the same order; the project sheet has the whole names.
    """

    keys: tuple[str, ...]
    names: tuple[str, ...]

    @classmethod
    def of(cls, plan: WarpPlan) -> Letters:
        weft = (key for woven in plan.wefts for key in woven.yarns)
        keys = tuple(dict.fromkeys((*plan.order.warp_yarns, *weft)))
        return cls(keys, told_apart([plan.guild.yarn(key).name for key in keys]))

    def letter(self, key: str) -> str:
        place = self.keys.index(key)
        return _LETTERS[place % 26] * (place // 26 + 1)

    def name(self, key: str) -> str:
        return cut_short(self.names[self.keys.index(key)], 28)

    def chip(self, plan: WarpPlan, key: str) -> Data:
        """A yarn as the sheets show it: letter, name and color."""
        return {
            "letter": self.letter(key),
            "name": self.name(key),
            "color": hex_color(plan.guild.yarn(key).color),
        }

    def cone(self, plan: WarpPlan, key: str) -> str:
        """A cone as the sheets name it: its own name, or its yarn's with its number."""
        name = plan.guild.name_of_cone(key)
        yarn = next((cone.yarn for cone in plan.guild.cones if cone.key == key), "")
        whole = plan.guild.names_of_yarns.get(yarn)
        if yarn in self.keys and name.startswith(f"{whole} #"):
            return self.name(yarn) + name.removeprefix(str(whole))
        return cut_short(name, 30)


def runs_shown(plan: WarpPlan, letters: Letters, runs: Sequence[tuple[str, int]]) -> list[Data]:
    """Runs of color for a template: each pattern with its times and its runs as chips with counts."""
    return [
        {
            "times": f"{times:,}" if times > 1 else "",
            "runs": [{"count": f"{count:,}", **letters.chip(plan, key)} for key, count in pattern],
        }
        for times, pattern in stripes(runs)
    ]
