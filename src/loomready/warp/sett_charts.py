"""Sett charts: common setts for common yarns."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from loomready.model.guild import Yarn
from loomready.phrases import Phrase, phrase
from loomready.units import Shown
from loomready.yarn.counts import parse_count
from loomready.yarn.cover import per_inch
from loomready.yarn.fibers import is_all

Kind = Literal["lace", "plain", "twill"]

# A chart row applies to yarns whose grist is within this share of its own. Sett goes with the square root of
# grist, so the value is then right within 7 %, the step between two common sleys. No source.
CHART_BAND = 0.15

WEAVES = {"lace": phrase("lace"), "plain": phrase("plain weave"), "twill": phrase("twill")}
_MASTER = phrase("Handwoven magazine, Master Yarn Chart")
_COMMON = phrase("common practice, no source")


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One yarn of a chart: least and most ends per inch for each kind of cloth, where the chart has them."""

    count: str
    fiber: str
    source: str
    per_inch: dict[Kind, tuple[float, float]]


CHART = (
    ChartRow("8/2 cotton", "cotton", _MASTER, {"lace": (16, 16), "plain": (20, 20), "twill": (24, 24)}),
    ChartRow("10/2 cotton", "cotton", _MASTER, {"lace": (20, 20), "plain": (24, 24), "twill": (28, 28)}),
    ChartRow("5/2 cotton", "cotton", _MASTER, {"plain": (16, 16)}),
    ChartRow("20/2 cotton", "cotton", _COMMON, {"plain": (24, 30), "twill": (32, 36)}),
    ChartRow("3/2 cotton", "cotton", _COMMON, {"plain": (10, 12), "twill": (15, 15)}),
    ChartRow("20/2 linen", "linen", _COMMON, {"plain": (20, 24), "twill": (30, 30)}),
)


@dataclass(frozen=True, slots=True)
class ChartValue:
    """A chart's sett for a yarn, ends per cm, and the chart yarn it comes from: of the same fiber or not."""

    kind: Kind
    low_per_cm: float
    high_per_cm: float
    yarn: str
    same_fiber: bool

    def times(self, layers: int) -> ChartValue:
        """The sett of that many layers together."""
        return replace(self, low_per_cm=self.low_per_cm * layers, high_per_cm=self.high_per_cm * layers)

    def line(self, show: Shown) -> Phrase:
        low, high = show.epi(self.low_per_cm), show.epi(self.high_per_cm)
        which = self.yarn if self.same_fiber else phrase("nearest yarn ({yarn})", yarn=self.yarn)
        return phrase(
            "Sett chart, {yarn}, {weave}: {sett}",
            yarn=which,
            weave=WEAVES[self.kind],
            sett=low if low == high else phrase("{low} to {high}", low=low, high=high),
        )


def chart_sett(yarn: Yarn, kind: Kind) -> ChartValue | None:
    """The chart value of the yarn nearest in grist, its own fiber first.

    None: no chart yarn with a value for this kind lies within :data:`CHART_BAND`, or the yarn is
    woollen, for which these charts of smooth yarns do not apply.
    """
    if yarn.woollen:
        return None
    near = [
        (not is_all(yarn.fiber, row.fiber), apart, row)
        for row in CHART
        if kind in row.per_inch
        and (apart := abs(math.log(yarn.tex / parse_count(row.count).tex))) <= math.log1p(CHART_BAND)
    ]
    if not near:
        return None
    _, _, row = min(near, key=lambda found: found[:2])
    low, high = row.per_inch[kind]
    return ChartValue(kind, low * per_inch(), high * per_inch(), row.count, is_all(yarn.fiber, row.fiber))
