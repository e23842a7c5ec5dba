"""The warning about yarns of one warp that shrink differently. Common practice, no source."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.phrases import listed_with_and, phrase
from loomready.problems import Problem
from loomready.warp.result import WarpPlan
from loomready.yarn.fibers import shrink_group


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    """A warning where warp yarns belong to groups that shrink differently.

    Unknown fibers and blends of several groups get no warning.
    """
    yarns = [plan.guild.yarn(key) for key in dict.fromkeys(plan.order.warp_yarns)]
    groups = {yarn.key: shrink_group(yarn.fiber) for yarn in yarns}
    if len(set(filter(None, groups.values()))) < 2:
        return
    names = [f"{yarn.name} ({yarn.fiber.strip()})" for yarn in yarns if groups[yarn.key]]
    yield Problem(
        "fibers-differ",
        "warn",
        phrase(
            "{yarns} in this warp shrink differently in the wash: the cloth can pucker. Weave "
            "and wash a sample first.",
            yarns=listed_with_and(names),
        ),
    )
