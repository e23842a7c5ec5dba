"""The search for drafts: all figures of a batch against one draft after another, and the first offers."""

from __future__ import annotations

import numpy as np

from benchmarks.timing import Row, median_of, promise
from loomready.choose.drafts.batch import begun_well, of_pairs, of_plans, sound
from loomready.choose.drafts.columns import DraftOffer
from loomready.choose.drafts.finding import Search, Wish, usual_setting
from loomready.choose.drafts.lift_plans import plans
from loomready.choose.drafts.threadings import draws
from loomready.draft.draft import Draft, lift_plan

SHAFTS, PICKS = 16, 10
ONE_BY_ONE = 60


def run() -> list[Row]:
    generator = np.random.default_rng(1)
    threadings = [each.shafts for each in draws(SHAFTS, generator, 8)]
    raw = plans(SHAFTS, PICKS, 4000, 7, generator)
    fit = sound(raw.lifts)
    lifts, kind = begun_well(raw.lifts[fit]), raw.kind[fit]
    setting = usual_setting(SHAFTS)
    look = {"mm_per_end": setting.mm_per_end, "mm_per_pick": setting.mm_per_pick}
    look["distance_m"] = setting.distance_m
    count = len(threadings) * len(lifts)

    def batched() -> None:
        of_pairs(threadings, of_plans(lifts, kind), **look)

    chosen = zip(
        generator.integers(0, len(threadings), ONE_BY_ONE),
        generator.integers(0, len(lifts), ONE_BY_ONE),
        strict=True,
    )
    drafts = [_draft(threadings[one], lifts[other]) for one, other in chosen]

    def one_by_one() -> None:
        for draft in drafts:
            offer = DraftOffer(draft, setting, "")
            figures = (offer.found, offer.contrast, offer.steps)
            del figures

    in_batch = median_of(batched, 7) / count
    alone = median_of(one_by_one, 5) / ONE_BY_ONE

    def first_offers() -> None:
        search = Search(Wish(setting, PICKS))
        for _ in range(3):
            search.step()
        assert len(search.more(12)) == 12

    return [
        Row(
            f"every figure of {count:,} drafts at once, {SHAFTS} shafts, each",
            in_batch,
            "the public analysis, one by one",
            alone,
            1 / 200,
        ),
        promise(f"the first 12 offers on {SHAFTS} shafts", median_of(first_offers, 3), 2.0),
    ]


def _draft(threading: np.ndarray[tuple[int], np.dtype[np.int16]], lifts: np.ndarray) -> Draft:  # type: ignore[type-arg]
    return lift_plan((threading + 1).tolist(), [(row.nonzero()[0] + 1).tolist() for row in lifts])
