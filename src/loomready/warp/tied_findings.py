"""Where a warp tied on to an old one differs from it."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.phrases import joined, phrase, some
from loomready.problems import Problem
from loomready.warp.result import WarpPlan
from loomready.warp.tied import Runs, other_sley


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    tied = plan.tied
    if tied is None:
        return
    sleyed_again = other_sley(plan.sley, tied)
    if tied.threading_stays and not tied.left_over and not sleyed_again:
        return
    other, alone, over = (some(count(each), "end") for each in (tied.other_shaft, tied.alone, tied.left_over))
    parts = [
        phrase("{ends} on another shaft", ends=other) if tied.other_shaft else "",
        phrase("{ends} without an old end", ends=alone) if tied.alone else "",
        phrase("{ends} of the old warp left over", ends=over) if tied.left_over else "",
        phrase("all ends sleyed again") if sleyed_again else "",
    ]
    yield Problem(
        "tied-differs",
        "warn",
        phrase(
            "Tied on to warp {warp}, this one differs: {differs}.",
            warp=tied.old.order.name,
            differs=joined("; ", filter(None, parts)),
        ),
    )


def count(runs: Runs) -> int:
    """Ends in these runs."""
    return sum(last - first + 1 for first, last in runs)
