"""The setts of a crammed and spaced warp, stripe by stripe."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from loomready.model.guild import Stripe, Yarn
from loomready.phrases import Phrase, phrase
from loomready.problems import Problem
from loomready.units import Shown
from loomready.warp.result import WarpPlan, cycle_told
from loomready.warp.rounding import at_most
from loomready.warp.sett import COTTON, greatest_of
from loomready.warp.thickness import mean_diameter_mm
from loomready.yarn import cover
from loomready.yarn.fibers import is_all


@dataclass(frozen=True, slots=True)
class StripeSett:
    """Ends of one yarn in one sley. ``places``: which stripes of the order, from 1.

    ``greatest_per_cm``: the lowest maximum sett of this yarn in the cloths of the warp. ``cover``: Peirce's
    cover factor of cotton, one layer; None: another fiber.
    """

    yarn: Yarn
    places: tuple[int, ...]
    cycle: tuple[int, ...]
    sett_per_cm: float
    greatest_per_cm: float
    cover: float | None

    def line(self, show: Shown) -> Phrase:
        told = phrase(
            "{yarn}, {cycle} per dent: {sett}, {share} of its maximum {greatest}",
            yarn=self.yarn.name,
            cycle=cycle_told(self.cycle),
            sett=show.epi(self.sett_per_cm),
            share=show.share(self.sett_per_cm / self.greatest_per_cm),
            greatest=show.epi(self.greatest_per_cm),
        )
        if self.cover is None:
            return told
        return phrase(
            "{stripe}; warp cover {cover:.0f} of {greatest:.0f} (Peirce 1937)",
            stripe=told,
            cover=self.cover,
            greatest=cover.PEIRCE_DIAMETERS,
        )


def stripe_setts(plan: WarpPlan) -> tuple[StripeSett, ...]:
    """Each yarn of the stripes in each of its sleys, in the order in which they first appear.

    Nothing where the web is sleyed evenly.
    """
    sley, order = plan.sley, plan.order
    if sley is None or not sley.denting:
        return ()
    places: dict[tuple[str, tuple[int, ...]], list[int]] = {}
    for number, stripe in enumerate(order.stripes, start=1):
        if stripe.ends:
            places.setdefault((stripe.yarn, stripe.sley or sley.cycle), []).append(number)
    made = []
    for (key, cycle), numbers in places.items():
        yarn = plan.guild.yarn(key)
        sett = sley.reed.dents_per_cm * sum(cycle) / len(cycle)
        in_it = replace(order, stripes=(Stripe(key, 1),))
        greatest = min(
            greatest_of(
                in_it, plan.guild, weft.draft, weft.yarns, mean_diameter_mm, weft.stripes, weft.strands
            )
            for weft in plan.wefts
        )
        factor = (
            cover.cover_factor(sett / order.layers, yarn.tex * order.ends_per_heddle)
            if is_all(yarn.fiber, COTTON)
            else None
        )
        made.append(StripeSett(yarn, tuple(numbers), cycle, sett, greatest, factor))
    return tuple(made)


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    """too-close: one problem for each yarn and sley that is crammed past the maximum sett."""
    show = Shown(plan.guild.units)
    for each in stripe_setts(plan):
        if not at_most(each.sett_per_cm, each.greatest_per_cm):
            yield Problem(
                "too-close",
                "warn",
                phrase(
                    "Stripes of {yarn} at {cycle} per dent are {sett}, closer than the maximum sett of this "
                    "yarn in this draft, {greatest}: they hide the weft and are hard to beat in.",
                    yarn=each.yarn.name,
                    cycle=cycle_told(each.cycle),
                    sett=show.epi(each.sett_per_cm),
                    greatest=show.epi(each.greatest_per_cm),
                ),
            )
