"""Picks on a direct tie-up that two feet cannot press at once."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.phrases import joined, listed, phrase, some
from loomready.problems import Problem
from loomready.warp.direct import by_feet
from loomready.warp.result import WarpPlan

MOST_SHEDS = 8  # that are named


def of_warp(plan: WarpPlan) -> Iterator[Problem]:
    made = plan.treadles
    if made is None or not made.direct:
        return
    for draft, picks in zip(made.drafts, made.pressed, strict=True):
        far = [at for at, pressed in enumerate(picks) if by_feet(pressed, made.there) is None]
        if far:
            first_at = {picks[at]: at for at in reversed(far)}
            sheds = sorted(first_at, key=lambda pressed: first_at[pressed])
            yield Problem(
                "out-of-reach",
                "warn",
                phrase(
                    "{picks} of {all_picks} press treadles that two feet do not reach at once: "
                    "{sheds}{more}.",
                    picks=some(len(far), "pick"),
                    all_picks=draft.picks,
                    sheds=joined(
                        "; ",
                        (
                            phrase(
                                "{treadles} (first in pick {pick:,})",
                                treadles=listed(pressed),
                                pick=first_at[pressed] + 1,
                            )
                            for pressed in sheds[:MOST_SHEDS]
                        ),
                    ),
                    more=phrase(" and {more} sheds more", more=len(sheds) - MOST_SHEDS)
                    if len(sheds) > MOST_SHEDS
                    else "",
                ),
            )
            return
