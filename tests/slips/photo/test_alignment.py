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


def within(web: np.ndarray, *, off: tuple[float, float] = (0.0, 0.0)) -> Aligned:
    """The stretch from end 3 to the third from the last of a web; taps some pixels off."""
    edge = np.full(BESIDE * SCALE - SCALE // 2 - 2 * SCALE, SHAFTS)
    columns = np.concatenate([edge, np.repeat(web, SCALE), edge])
    told = np.where(UP[:, columns], 5.0, -5.0)
    costs = alignment.column_costs(told, UP)
    nothing = np.zeros((SHAFTS + 1, SHAFTS + 1, len(columns)))
    first = float(BESIDE * SCALE)
    taps = first + off[0], len(columns) - 1 - first + off[1]
    stretch = Stretch(PLANNED.astype(np.int64), np.zeros(ENDS, dtype=np.bool_), 2, ENDS - 3, UP)
    return alignment.align(Evidence(costs, nothing, np.zeros_like(costs), taps, 1.2), stretch)


@pytest.mark.parametrize("off", [(0.0, 0.0), (3.0, -3.0), (-3.0, 3.0)])
def test_the_ends_that_were_tapped_are_the_first_and_the_last(off: tuple[float, float]) -> None:
    made = within(PLANNED, off=off)
    assert told(made) == []
    assert [column.end for column in made.columns] == list(range(2, ENDS - 2))
    assert made.columns[0].x == pytest.approx(BESIDE * SCALE, abs=2)


@pytest.mark.parametrize("off", [(8.0, 0.0), (-8.0, 0.0), (0.0, 8.0), (0.0, -8.0)])
def test_a_tap_on_the_next_end_loses_none_of_the_threading(off: tuple[float, float]) -> None:
    made = within(PLANNED, off=off)
    assert told(made) == []
    ends = [column.end for column in made.columns]
    assert ends == list(range(ends[0], ends[-1] + 1))
    assert abs(ends[0] - 2) <= 1
    assert abs(ends[-1] - (ENDS - 3)) <= 1
    at = {column.end: column.x for column in made.columns}
    assert at[20] == pytest.approx((20 + BESIDE - 2) * SCALE, abs=SCALE / 2)


@pytest.mark.parametrize("end", [3, 4, ENDS - 5, ENDS - 4])
def test_a_wrong_shaft_beside_the_edge_of_the_stretch_is_told_too(end: int) -> None:
    web = PLANNED.copy()
    web[end] = (web[end] + 3) % SHAFTS
    made = within(web)
    assert told(made) == [("wrong shaft", end, web[end])]
    assert made.columns[made.claims[0].column].end == end
    assert made.claims[0].planned == PLANNED[end]


def test_each_claim_stands_at_its_column() -> None:
    web = PLANNED.copy()
    web[33] = (web[33] + 2) % SHAFTS
    web[[24, 25]] = web[[25, 24]]
    web = np.insert(np.delete(web, 12), 17, (PLANNED[18] + 3) % SHAFTS)
    made = within(web)
    found = [(claim.kind, claim.end, made.columns[claim.column]) for claim in made.claims]
    assert [(kind, end) for kind, end, _ in found] == [
        ("skipped", 12),
        ("extra", 18),
        ("crossed", 24),
        ("wrong shaft", 33),
    ]
    assert (np.diff([column.x for column in made.columns]) > 0).all()
    missing, extra, crossed, wrong = (column for _, _, column in found)
    assert missing.end == 13  # the column after the end that is missing
    assert (extra.end, extra.shaft) == (-1, web[17])
    assert (crossed.end, crossed.shaft) in {(24, PLANNED[25]), (25, PLANNED[24])}
    assert (wrong.end, wrong.shaft) == (33, web[33])


def test_wrong_shafts_one_after_the_other_are_all_told() -> None:
    web = PLANNED.copy()
    for end in (20, 21, 22):
        web[end] = (web[end] + 2) % SHAFTS
    assert told(within(web)) == [("wrong shaft", end, web[end]) for end in (20, 21, 22)]


def test_a_shaft_that_no_pick_lifts_is_never_where_an_end_is_found() -> None:
    """It looks like a missing end."""
    never = UP.copy()
    never[:, 0] = False
    web = PLANNED.copy()
    web[20] = 0
    columns = np.concatenate([np.full(28, SHAFTS), np.repeat(web, SCALE), np.full(28, SHAFTS)])
    costs = alignment.column_costs(np.where(never[:, columns], 5.0, -5.0), never)
    nothing = np.zeros((SHAFTS + 1, SHAFTS + 1, len(columns)))
    taps = 32.0, len(columns) - 33.0
    stretch = Stretch(PLANNED.astype(np.int64), np.zeros(ENDS, dtype=np.bool_), 0, ENDS - 1, never)
    made = alignment.align(Evidence(costs, nothing, np.zeros_like(costs), taps, 1.2), stretch)
    assert ("wrong shaft", 20, 0) not in told(made)


def test_an_end_whose_cells_say_nothing_costs_the_same_whatever_is_there() -> None:
    free = np.zeros(ENDS, dtype=np.bool_)
    free[[0, ENDS - 1]] = True
    edge = np.full(BESIDE * SCALE - SCALE // 2, SHAFTS)
    made = []
    for shaft in (2, SHAFTS):
        web = PLANNED.copy()
        web[[0, -1]] = shaft
        columns = np.concatenate([edge, np.repeat(web, SCALE), edge])
        costs = alignment.column_costs(np.where(UP[:, columns], 5.0, -5.0), UP)
        nothing = np.zeros((SHAFTS + 1, SHAFTS + 1, len(columns)))
        taps = float(BESIDE * SCALE), float(len(columns) - 1 - BESIDE * SCALE)
        stretch = Stretch(PLANNED.astype(np.int64), free, 0, ENDS - 1, UP)
        made.append(alignment.align(Evidence(costs, nothing, np.zeros_like(costs), taps, 1.2), stretch))
    assert told(made[0]) == told(made[1]) == []
    assert [column.end for column in made[0].columns] == [column.end for column in made[1].columns]


def test_what_may_not_be_is_not_told() -> None:
    """Each kind of slip, barred at its end: the web is explained some other way."""
    webs = {
        "wrong shaft": PLANNED.copy(),
        "crossed": PLANNED.copy(),
        "skipped": np.delete(PLANNED, 20),
        "extra": np.insert(PLANNED, 20, (PLANNED[20] + 2) % SHAFTS),
    }
    webs["wrong shaft"][20] = (PLANNED[20] + 3) % SHAFTS
    webs["crossed"][[20, 21]] = webs["crossed"][[21, 20]]
    everywhere = np.ones(ENDS, dtype=np.bool_)
    elsewhere = everywhere.copy()
    elsewhere[15:26] = False
    for kind, web in webs.items():
        usual = aligned(web)
        assert {each.kind for each in usual.claims} == {kind}
        other = aligned(web, barred={kind: everywhere})  # type: ignore[dict-item]
        assert kind not in {each.kind for each in other.claims}
        assert other.cost > usual.cost
        same = aligned(web, barred={kind: elsewhere})  # type: ignore[dict-item]
        assert told(same) == told(usual)
