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


def stands_at(*places: float) -> Aligned:
    return Aligned(0.0, tuple(alignment.Column(round(x), at, 0) for at, x in enumerate(places)), ())


def test_the_spread_of_ends_is_that_of_neighbors_without_gaps_and_crowded_ends() -> None:
    random = np.random.default_rng(4)
    apart = np.clip(np.rint(random.normal(SCALE, 1.2, 400)), SCALE / 2 + 1, 1.5 * SCALE - 1)
    even = alignment.spread_of(stands_at(0, *np.cumsum(apart)))
    assert even == pytest.approx(1.1 * apart.std())
    odd = np.insert(apart, [50, 150, 250], [2 * SCALE, SCALE / 2, 1.5 * SCALE])
    assert alignment.spread_of(stands_at(0, *np.cumsum(odd))) == pytest.approx(even)


def test_the_spread_keeps_its_limits_however_few_ends_there_are() -> None:
    assert alignment.spread_of(stands_at(*np.arange(30) * SCALE)) == 0.9
    assert alignment.spread_of(stands_at(*np.cumsum([5, 11] * 20))) == 1.8
    assert alignment.spread_of(stands_at(0.0, 2.0 * SCALE)) == 1.8


def test_the_farther_from_where_ends_usually_stand_the_more_a_distance_costs() -> None:
    usual = alignment.Distances.of(1.2, 20)
    distance = np.arange(20, 2, -1)
    assert len(usual.cost) == len(distance)
    assert usual.cost.min() == usual.cost[distance == SCALE][0] == 0
    assert (np.diff(usual.cost[distance >= SCALE]) < 0).all()
    assert (np.diff(usual.cost[distance <= SCALE]) > 0).all()
    wide = alignment.Distances.of(1.2, 20, (2 * SCALE, 1.8, 7.0))
    assert wide.cost[distance == 2 * SCALE][0] == 7.0  # an empty space, for its price
    assert (wide.cost <= usual.cost).all()
    # Halfway between two columns, or nearer to the one on the right where that is not a whole pixel.
    assert (distance - usual.back == distance // 2).all()
    assert (distance[: usual.opens] > 12).all()
    assert (distance[usual.opens :] <= 12).all()
    assert (distance[: usual.far] > SCALE).all()
    assert (distance[usual.far :] <= SCALE).all()
    assert len(usual.at_border) == usual.far - usual.opens
