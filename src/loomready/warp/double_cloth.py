"""Two layers joined at a fold, double width and tubes: which threads are of which layer, how they meet.

All of it is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Draft
from loomready.draft.structure.analysis import interlacements
from loomready.draft.structure.layers import Layer, layers_of
from loomready.phrases import phrase
from loomready.problems import Problem
from loomready.warp.result import WarpPlan

Bools = npt.NDArray[np.bool_]
Shafts = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Layers:
    """The two layers of a draft. Shafts of the draft from 0.

    upper, lower        shafts whose ends are in the upper and in the lower layer
    upper_tabby         the two sheds of tabby in the upper layer, as shafts up; None: its threading has none
    lower_tabby         likewise of the lower layer, with the upper one lifted out of the way
    layer_of_pick       0 upper, 1 lower, for each pick of the repeat
    """

    upper: Shafts
    lower: Shafts
    upper_tabby: tuple[Shafts, Shafts] | None
    lower_tabby: tuple[Shafts, Shafts] | None
    layer_of_pick: tuple[int, ...]

    @property
    def turns(self) -> str:
        """What one shuttle weaves in this order of picks: "double width", "tube" or "" (neither)."""
        picks = self.layer_of_pick
        changes = [one != two for one, two in zip(picks, (*picks[1:], picks[0]), strict=True)]
        if all(changes):
            return "tube"
        runs = [one == two for one, two in zip(changes, (*changes[1:], changes[0]), strict=True)]
        return "double width" if len(picks) % 4 == 0 and not any(runs) else ""


def layers_in(plan: WarpPlan) -> Layers | None:
    """The two layers of the warp's draft; None where they can't be told apart or change places."""
    found = _upper_first(plan.draft)
    if found is None:
        return None
    one, two = (tuple(np.unique(layer.draft.threading).tolist()) for layer in found)
    if set(one) & set(two):
        return None
    layer_of = np.zeros(len(found[0].picks) + len(found[1].picks), dtype=np.int64)
    layer_of[found[1].picks] = 1
    lower = _tabby(plan, two)
    return Layers(
        one,
        two,
        _tabby(plan, one),
        None if lower is None else (_with(one, lower[0]), _with(one, lower[1])),
        tuple(layer_of.tolist()),
    )


def _with(upper: Shafts, more: Shafts) -> Shafts:
    return tuple(sorted((*upper, *more)))


def _upper_first(draft: Draft) -> tuple[Layer, Layer] | None:
    """The two layers, the one on top first; None where neither lies on the other throughout."""
    found = layers_of(draft, 2)
    if len(found) != 2:
        return None
    return next((pair for pair in (found, found[::-1]) if _lies_on(draft, *pair)), None)


def _lies_on(draft: Draft, upper: Layer, lower: Layer) -> bool:
    """Whether one layer is all up while the other is woven, and the other all down while it is."""
    above = draft.lifts[lower.picks][:, draft.threading[upper.ends]]
    below = draft.lifts[upper.picks][:, draft.threading[lower.ends]]
    return bool(above.all() and not below.any())


def _tabby(plan: WarpPlan, shafts: Shafts) -> tuple[Shafts, Shafts] | None:
    """Shafts of every other end of a layer, and of the ends between; None: they are not apart."""
    own = plan.web.shaft[np.isin(plan.web.shaft, shafts)]
    odd, even = (tuple(np.unique(own[start::2]).tolist()) for start in (0, 1))
    return None if set(odd) & set(even) or not even else (odd, even)


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    """fold-alike, fold-order: what keeps a fold from being like the rest of the cloth."""
    kind = plan.order.double_cloth
    found = layers_in(plan) if kind else None
    if kind is None or found is None:
        return
    if found.turns and found.turns != kind:
        yield Problem(
            "fold-order",
            "warn",
            phrase(
                "With one shuttle, this order of picks weaves a tube. For double width, weave upper, lower, "
                "lower, upper."
            )
            if kind == "double width"
            else phrase(
                "With one shuttle, this order of picks weaves double width. For a tube, weave upper, lower, "
                "upper, lower."
            ),
        )
    if _alike(plan, found):
        yield Problem(
            "fold-alike",
            "warn",
            phrase(
                "The two ends at the fold are woven alike and look like one thick end. Leave out one more "
                "end."
            )
            if kind == "double width"
            else phrase(
                "A tube of plain weave needs an odd number of ends, so that the weave goes on around it: "
                "here two ends side by side are woven alike."
            ),
        )


def _alike(plan: WarpPlan, found: Layers) -> bool:
    """Whether the opened cloth has two ends alike side by side at the fold."""
    if plan.order.double_cloth == "tube":
        plain = all(_is_plain(layer) for layer in layers_of(plan.draft, 2))
        return plain and plan.web.ends % 2 == 0
    layers = _upper_first(plan.draft)
    shaft = plan.web.shaft
    upper, lower = (np.flatnonzero(np.isin(shaft, side)) for side in (found.upper, found.lower))
    if layers is None or not upper.size or not lower.size:
        return False
    above = plan.draft.lifts[layers[0].picks][:, shaft[upper[-1]]]
    below = ~plan.draft.lifts[layers[1].picks][:, shaft[lower[-1]]]  # opened out, its other face shows
    return bool(np.array_equal(above, below))


def _is_plain(layer: Layer) -> bool:
    ends, picks, changes = interlacements(layer.draft)
    return changes == ends * picks
