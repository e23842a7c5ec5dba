"""Picks on a direct tie-up that two feet cannot press at once."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.phrases import listed, phrase, some
from loomready.problems import Problem
from loomready.warp.direct import by_feet
from loomready.warp.result import WarpPlan


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    made = plan.treadles
    if made is None or not made.direct:
        return
    for draft, picks in zip(made.drafts, made.pressed, strict=True):
        far = [at for at, pressed in enumerate(picks) if by_feet(pressed, made.there) is None]
        if far:
            yield Problem(
                "out-of-reach",
                "warn",
                phrase(
                    "{picks} of {all_picks} press treadles that two feet do not reach at once; the first is "
                    "pick {first}: {treadles}.",
                    picks=some(len(far), "pick"),
                    all_picks=draft.picks,
                    first=far[0] + 1,
                    treadles=listed(picks[far[0]]),
                ),
            )
            return
