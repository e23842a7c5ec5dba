"""Ends found across a strip, on cells seen perfectly: every slip is told, and none in a clean web."""

from __future__ import annotations

import numpy as np
import pytest

from loomready.slips import test_picks as picking
from loomready.slips.photo import alignment
from loomready.slips.photo.alignment import Aligned, Evidence, Stretch
from loomready.slips.photo.rectify import BESIDE, SCALE

SHAFTS, ENDS = 6, 40
PLANNED = np.arange(ENDS) % SHAFTS
LIFTS = picking.well_apart(PLANNED, SHAFTS, 12, 6).lifts
UP = np.pad(LIFTS, ((0, 0), (0, 1)))


def aligned(web: np.ndarray, *, gap: int | None = None, barred: alignment.Barred | None = None) -> Aligned:
    """The web seen perfectly, each end eight pixels wide; before column ``gap`` a space is empty."""
    columns = np.repeat(web, SCALE)
    if gap is not None:
        columns = np.insert(columns, gap * SCALE, np.full(SCALE, SHAFTS))
    edge = np.full(BESIDE * SCALE - SCALE // 2, SHAFTS)
    columns = np.concatenate([edge, columns, edge])
    told = np.where(UP[:, columns], 5.0, -5.0)
    costs = alignment.column_costs(told, UP)
    nothing = np.zeros((SHAFTS + 1, SHAFTS + 1, len(columns)))
    first = BESIDE * SCALE
    last = len(columns) - 1 - first
    evidence = Evidence(costs, nothing, np.zeros_like(costs), (float(first), float(last)), 1.2)
    stretch = Stretch(PLANNED.astype(np.int64), np.zeros(ENDS, dtype=np.bool_), 0, ENDS - 1, UP)
    return alignment.align(evidence, stretch, barred)


def told(made: Aligned) -> list[tuple[str, int, int]]:
    return [(claim.kind, claim.end, claim.shaft) for claim in made.claims]


def test_a_clean_web_has_every_end_in_its_place_and_no_slip() -> None:
    made = aligned(PLANNED)
    assert told(made) == []
    assert [column.end for column in made.columns] == list(range(ENDS))
    assert np.abs(np.diff([column.x for column in made.columns]) - SCALE).max() <= 1


@pytest.mark.parametrize("end", [8, 20, 31])
def test_an_end_on_a_wrong_shaft_is_told_with_the_shaft(end: int) -> None:
    web = PLANNED.copy()
    web[end] = (web[end] + 3) % SHAFTS
    assert told(aligned(web)) == [("wrong shaft", end, web[end])]


@pytest.mark.parametrize("end", [8, 20, 31])
def test_crossed_ends_are_told(end: int) -> None:
    web = PLANNED.copy()
    web[[end, end + 1]] = web[[end + 1, end]]
    assert told(aligned(web)) == [("crossed", end, PLANNED[end + 1])]


@pytest.mark.parametrize("gap", [False, True])
def test_a_missing_end_is_told_whether_or_not_its_space_is_empty(gap: bool) -> None:
    web = np.delete(PLANNED, 20)
    assert told(aligned(web, gap=20 if gap else None)) == [("skipped", 20, -1)]


def test_an_extra_end_is_told_with_its_shaft() -> None:
    web = np.insert(PLANNED, 20, (PLANNED[20] + 2) % SHAFTS)
    assert told(aligned(web)) == [("extra", 20, web[20])]


def test_several_slips_are_told_together() -> None:
    web = PLANNED.copy()
    web[33] = (web[33] + 2) % SHAFTS
    web[[24, 25]] = web[[25, 24]]
    web = np.delete(web, 12)
    kinds = [(kind, end) for kind, end, _ in told(aligned(web))]
    assert kinds == [("skipped", 12), ("crossed", 24), ("wrong shaft", 33)]


def test_without_the_slip_the_same_web_costs_more() -> None:
    web = PLANNED.copy()
    web[20] = (web[20] + 3) % SHAFTS
    barred = np.zeros(ENDS, dtype=np.bool_)
    barred[20] = True
    other = aligned(web, barred={"wrong shaft": barred})
    assert other.cost > aligned(web).cost + 3
    assert ("wrong shaft", 20) not in [(claim.kind, claim.end) for claim in other.claims]
