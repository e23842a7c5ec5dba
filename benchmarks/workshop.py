"""What the workshop reckons while a form is typed in: a draft, its figures, its cloth and its drawing."""

from __future__ import annotations

import numpy as np

from benchmarks.timing import Row, median_of, promise
from loomready.cloth.diagram import draft_png
from loomready.cloth.picture import cloth_png
from loomready.draft.balance.scatter import scattered
from loomready.draft.families.registry import make
from loomready.draft.structure.analysis import analyze

ENDS = 600


def run() -> list[Row]:
    random = np.random.default_rng(5)
    leaning = random.integers(0, 16, ENDS)
    return [
        promise(
            "a draft made while its form is typed in: point twill on 24 shafts, figures and pictures",
            median_of(_answer),
            0.1,
        ),
        promise(
            f"fewest ends to add or drop anywhere in {ENDS} ends",
            median_of(lambda: scattered(leaning, 6)),
            1.0,
        ),
    ]


def _answer() -> None:
    draft = make("point-twill", {"shafts": "24"})
    analyze(draft)
    cloth_png(draft, 8, ends=range(96), picks=range(40))
    draft_png(draft, 8)
