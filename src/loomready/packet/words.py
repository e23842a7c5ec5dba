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


@dataclass(frozen=True, slots=True)
class Letters:
    """A letter for each yarn of a warp, warp yarns first: colors must be told apart in black and white."""

    keys: tuple[str, ...]

    @classmethod
    def of(cls, plan: WarpPlan) -> Letters:
        weft = (key for woven in plan.wefts for key in woven.yarns)
        return cls(tuple(dict.fromkeys((*plan.order.warp_yarns, *weft))))

    def letter(self, key: str) -> str:
        place = self.keys.index(key)
        return _LETTERS[place % 26] * (place // 26 + 1)

    def chip(self, plan: WarpPlan, key: str) -> Data:
        """A yarn as the sheets show it: letter, name and color."""
        return {
            "letter": self.letter(key),
            "name": cut_short(key, 28),
            "color": hex_color(plan.guild.yarn(key).color),
        }


def runs_shown(plan: WarpPlan, letters: Letters, runs: Sequence[tuple[str, int]]) -> list[Data]:
    """Runs of color for a template: each pattern with its times and its runs as chips with counts."""
    return [
        {
            "times": f"{times:,}" if times > 1 else "",
            "runs": [{"count": f"{count:,}", **letters.chip(plan, key)} for key, count in pattern],
        }
        for times, pattern in stripes(runs)
    ]
