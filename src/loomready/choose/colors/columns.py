"""The columns that color choices can be sorted by, for any number of choices at once.

A choice is one yarn for each role, as places in the guild's list of yarns: int[n, roles]. Differences
between two colors come from tables of all yarns with all yarns, so that each choice needs only a few
look-ups.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
import numpy.typing as npt

from loomready.choose.colors.hues import angles_between
from loomready.choose.colors.roles import Role, weft_is_woven
from loomready.choose.colors.yarns_for_roles import Candidates
from loomready.cloth.color import (
    DEFICIENCIES,
    delta_e_2000_of,
    lab_of_light,
    oklab,
    to_light,
    with_deficiency,
)
from loomready.cloth.contrast import RoleMasks, luminance, role_masks
from loomready.draft.draft import Draft
from loomready.model.guild import WarpOrder, Yarn
from loomready.phrases import Phrase, phrase
from loomready.warp.result import WarpPlan
from loomready.warp.stripes import laid, one_run

Reals = npt.NDArray[np.float64]
Choices = npt.NDArray[np.int16]


@dataclass(frozen=True, slots=True)
class Column:
    """A column's name, its heading, and its meaning."""

    name: str
    label: Phrase
    meaning: Phrase


COLUMNS = (
    Column(
        "contrast",
        phrase("Contrast at a distance"),
        phrase(
            "What is left of this draft's pattern in these colors for an eye at the distance: the cloth "
            "at its sett in linear light, blurred by one arc minute, root mean square over mean. 0: a "
            "plain field; 1: even black and white stripes seen close by."
        ),
    ),
    Column(
        "lightness",
        phrase("Difference in lightness"),
        phrase(
            "The least difference in lightness (CIELAB L*, 0 to 100) between any two of the colors: what "
            "is left when the eyes are squeezed, for who reads value before hue."
        ),
    ),
    Column(
        "hue_angle",
        phrase("Difference in hue"),
        phrase(
            "The widest angle between two hues on the circle of OKLab, 0 to 180 degrees; neutrals have none."
        ),
    ),
    Column(
        "color_vision",
        phrase("Contrast for color-blind viewers"),
        phrase(
            "The least difference (CIEDE2000) between any two of the colors as they look with protan, "
            "deutan or tritan vision of whole severity (Machado and others 2009), whichever leaves "
            "least. About 1 can just be seen side by side."
        ),
    ),
    Column(
        "odd_cones",
        phrase("Odd cones used up (share)"),
        phrase(
            "Of the odd cones that the warp opens, the share of their sure length that it takes. Odd is "
            "a cone without a second of its dye lot; 0 where it opens none."
        ),
    ),
)
NAMES = tuple(column.name for column in COLUMNS)


class Columns:
    """The columns of one warp's choices."""

    def __init__(
        self,
        order: WarpOrder,
        plan: WarpPlan,
        roles: Sequence[Role],
        yarns: Sequence[Yarn],
        found: Sequence[Candidates],
        distance_m: float,
    ) -> None:
        self.roles, self.yarns, self.found = roles, yarns, found
        draft, places = shown_cloth(order, plan, roles)
        self.role_of_mask = np.asarray(places)
        per_cm = plan.wefts[0].picks_per_cm
        self.masks: RoleMasks = role_masks(
            draft, mm_per_end=10 / plan.sett_per_cm, mm_per_pick=10 / per_cm, distance_m=distance_m
        )
        self.pairs = tuple(combinations(range(len(roles)), 2))

    @cached_property
    def oklab(self) -> Reals:
        return np.asarray([oklab(yarn.color) for yarn in self.yarns]).reshape(-1, 3)

    @cached_property
    def _codes(self) -> Reals:
        return np.asarray([yarn.color for yarn in self.yarns], dtype=np.float64).reshape(-1, 3)

    @cached_property
    def weights(self) -> Reals:
        """The part of the cloth's face that each role covers; sum 1."""
        return np.bincount(self.role_of_mask, self.masks.shares, len(self.roles)).astype(np.float64)

    @cached_property
    def _luminance(self) -> Reals:
        return luminance(self._codes)

    @cached_property
    def _lightness(self) -> Reals:
        level = lab_of_light(to_light(self._codes))[:, 0]
        return np.abs(level[:, None] - level[None, :])

    @cached_property
    def _angles(self) -> Reals:
        return angles_between(self.oklab)

    @cached_property
    def _color_vision(self) -> Reals:
        worst = np.full((len(self.yarns),) * 2, np.inf)
        for kind in DEFICIENCIES:
            labs = lab_of_light(with_deficiency(self._codes, kind))
            worst = np.minimum(worst, delta_e_2000_of(labs[:, None], labs[None, :]))
        return worst

    @cached_property
    def _odd(self) -> tuple[Reals, Reals]:
        used = np.zeros((len(self.roles), len(self.yarns)))
        there = np.zeros_like(used)
        for role, each in enumerate(self.found):
            for one in each.able:
                used[role, one.yarn], there[role, one.yarn] = one.odd_used_m, one.odd_there_m
        return used, there

    def column(self, name: str, choices: Choices) -> Reals:
        """One column of many choices, float64[n]."""
        if name == "contrast":
            return self.masks.contrast(self._luminance[choices[:, self.role_of_mask]])
        if name == "lightness":
            return self._least(self._lightness, choices)
        if name == "hue_angle":
            widest = np.zeros(len(choices))
            for one, other in self.pairs:
                np.maximum(widest, self._angles[choices[:, one], choices[:, other]], out=widest)
            return widest
        if name == "color_vision":
            return self._least(self._color_vision, choices)
        used, there = self._odd
        role = np.arange(len(self.roles))
        taken, of = used[role, choices].sum(axis=1), there[role, choices].sum(axis=1)
        share: Reals = np.divide(taken, of, out=np.zeros(len(choices)), where=of > 0)
        return share

    def _least(self, table: Reals, choices: Choices) -> Reals:
        """The least of a table over the pairs of roles that take two yarns; 0 where there is no such pair."""
        apart = table.copy()
        np.fill_diagonal(apart, np.inf)
        least = np.full(len(choices), np.inf)
        for one, other in self.pairs:
            np.minimum(least, apart[choices[:, one], choices[:, other]], out=least)
        return np.where(np.isinf(least), 0.0, least)


def shown_cloth(order: WarpOrder, plan: WarpPlan, roles: Sequence[Role]) -> tuple[Draft, list[int]]:
    """The draft that is shown, and the role of each of its warp colors, then weft colors.

    It is the warp's own in the order's weft; where every item has a weft of its own, the first item's. Of
    stripes it shows one run.
    """
    role_of = {place: number for number, role in enumerate(roles) for place in role.places}

    def numbered(part: str, item: int = -1) -> list[int]:
        places = [place for place in role_of if (place.part, place.item) == (part, item)]
        return [role_of[place] for place in sorted(places, key=lambda place: place.number)]

    if weft_is_woven(order):
        draft, stripes, of_weft = plan.draft, order.weft_stripes, numbered("weft")
    else:
        draft, stripes, of_weft = plan.wefts[0].draft, plan.wefts[0].stripes, numbered("item", 0)
    draft = laid(
        draft,
        ends=one_run(order.stripes) if order.stripes else None,
        picks=one_run(stripes) if stripes else None,
    )
    return draft, [*numbered("warp"), *of_weft]
