"""What the cells of a test weave mean: slips, what could be instead, and what cannot be told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

SlipKind = Literal[
    "wrong shaft",
    "crossed",
    "skipped",
    "extra",
    "wrong lift",
    "empty dent",
    "crowded dent",
    "round its heddle",
]
SLEYING: tuple[SlipKind, ...] = ("empty dent", "crowded dent")

MOST_ODDS = 1e6


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip. ``end`` and ``pick`` count from 1, ``planned`` and ``found`` are shafts from 1.

    wrong shaft  ``end`` is on ``found`` (0: not threaded)
    crossed      ``end`` and the next have changed places
    skipped      ``end`` is planned and not there
    extra        one more stands before where ``end`` should, on ``found``
    empty dent, crowded dent, round its heddle    are seen at the loom; no cell of a test weave shows them:
                 an empty dent before ``end``, one end too many in its dent, its thread round its heddle
    wrong lift   in ``pick``, ``planned`` should have risen and did not, or ``found`` rose and should not have

    ``odds``: how much likelier than everything else, at most a million. ``tied``: a wrong lift on each pick
    that should lift the same shafts, so that it is the tie-up that is wrong.
    """

    kind: SlipKind
    end: int | None
    pick: int | None
    planned: int | None
    found: int | None
    odds: float
    tied: bool = False


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another explanation, about as likely, for the slip number ``instead_of`` (from 0)."""

    instead_of: int
    slip: Slip


@dataclass(frozen=True, slots=True, eq=False)
class FoundSlips:
    """What the cells mean.

    explains     share of the seen cells that agree with the plan and the slips
    misread      rate of misread cells that was found likeliest
    cannot_tell  pairs of used shafts, from 1, that the picks lift alike
    threading    int[C], the shaft (from 0; -1: not threaded) of each end as it stands on the loom
    score        logarithm of how likely the cells and the slips are together
    """

    slips: tuple[Slip, ...]
    alternatives: tuple[Alternative, ...]
    explains: float
    misread: float
    cannot_tell: tuple[tuple[int, int], ...]
    threading: npt.NDArray[np.int64]
    score: float


def odds(probability: float) -> float:
    """A probability as odds, at most a million."""
    return min(MOST_ODDS, max(probability, 0.0) / max(1.0 - probability, 1.0 / MOST_ODDS))
