"""The figures of a search by name: of many drafts as arrays, of one draft as a row."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from loomready.choose.drafts.batch import NEVER, PairFigures, PlanFigures
from loomready.choose.drafts.columns import DraftOffer, Setting
from loomready.choose.drafts.threadings import Threading
from loomready.choose.drafts.variety import Points

FIGURES = (
    *("contrast", "picks", "lifts", "steps", "moves", "shafts", "share", "threads", "mirror_ends"),
    *("mirror_picks", "plain", "ends", "float_mm"),
)


def figures_of(
    threadings: Sequence[Threading], made: PlanFigures, pairs: PairFigures, setting: Setting
) -> dict[str, Points]:
    """All figures as arrays [T, N], by the names of FIGURES."""
    of_plans_alone = {
        "picks": np.full(len(made), made.lifts.shape[1]),
        "lifts": made.distinct,
        "steps": made.steps,
        "moves": made.lever_moves / made.lifts.shape[1],
        "shafts": np.full(len(made), made.lifts.shape[2]),
        "share": np.full(len(made), made.lifts.shape[2] / setting.shafts),
        "mirror_picks": made.mirror,
    }
    of_draws_alone = {
        "mirror_ends": [each.symmetric for each in threadings],
        "plain": [each.plain for each in threadings],
        "ends": [len(each.shafts) for each in threadings],
    }
    shape = pairs.contrast.shape
    figures = {name: np.broadcast_to(row, shape) for name, row in of_plans_alone.items()}
    figures |= {name: np.broadcast_to(np.array(row)[:, None], shape) for name, row in of_draws_alone.items()}
    figures |= {"contrast": pairs.contrast, "threads": np.maximum(pairs.weft_float, made.warp_float)}
    in_mm = (pairs.weft_float * setting.mm_per_end, made.warp_float * setting.mm_per_pick)
    figures["float_mm"] = np.maximum(*in_mm)
    return {name: figures[name].astype(np.float64) for name in FIGURES}


def of_column(figures: Mapping[str, Points], column: str) -> Points:
    if column == "mirrors":
        return figures["mirror_ends"] + figures["mirror_picks"]
    return figures[{"shafts": "share", "float": "float_mm"}.get(column, column)]


def row_of(offer: DraftOffer) -> list[float]:
    found = offer.found
    return [
        offer.contrast,
        found.repeat[1],
        found.distinct_lifts,
        offer.steps,
        offer.moves_a_pick,
        found.shafts_used,
        offer.shafts_share,
        offer.float_threads or NEVER,
        found.mirror_ends,
        found.mirror_picks,
        found.plain_weave,
        found.repeat[0],
        offer.float_mm or NEVER,
    ]
