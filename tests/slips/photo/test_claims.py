"""What the cells say and what the pixels say, together: certain only where both do, clearly and inside."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from loomready.problems import BadInput
from loomready.slips.as_json import Planned
from loomready.slips.mending import OnLoom
from loomready.slips.photo.alignment import Aligned, Claim, Column
from loomready.slips.photo.certainty import (
    CERTAIN,
    LEAST_ENDS,
    LEAST_PICKS,
    MOST_ENDS,
    MOST_PICKS,
    PhotoSlip,
    _together,
    stretch_of,
)
from loomready.slips.photo.reader import Reading, _around
from loomready.slips.result import FoundSlips, Slip, SlipKind

FIRST, LAST = 100, 159  # ends that were read, from 0


def reading(*margins: float, disagree: float = 0.0) -> Reading:
    columns = tuple(Column(8 * at, at, at % 4) for at in range(LAST - FIRST + 1))
    nothing = np.zeros((1, 1))
    return Reading(
        nothing.astype(np.int8), nothing, Aligned(0.0, columns, ()), nothing, nothing, disagree, margins
    )


def slip(kind: SlipKind, end: int, odds: float = 1e4) -> Slip:
    """``end`` from 0."""
    return Slip(kind, end + 1, None, 1, 2, odds)


def told(
    slips: list[Slip], claims: list[Claim], *margins: float, disagree: float = 0.0
) -> tuple[PhotoSlip, ...]:
    found = FoundSlips(tuple(slips), (), 1.0, 0.01, (), np.zeros(1, dtype=np.int64), 0.0)
    return _together(found, claims, reading(*margins, disagree=disagree), FIRST, LAST)


def one(
    kind: SlipKind, end: int, *, margin: float = 10.0, odds: float = 1e4, disagree: float = 0.0
) -> PhotoSlip:
    claim = Claim(kind, end, end - FIRST, 1, 0)  # type: ignore[arg-type]
    (made,) = told([slip(kind, end, odds)], [claim], margin, disagree=disagree)
    return made


@pytest.mark.parametrize(
    ("kind", "outer"), [("wrong shaft", 2), ("crossed", 2), ("skipped", 5), ("extra", 5)]
)
def test_only_ends_well_inside_what_was_read_are_certain(kind: SlipKind, outer: int) -> None:
    certain = [end for end in range(FIRST, LAST + 1) if one(kind, end).certain]
    assert certain == list(range(FIRST + outer, LAST - outer + 1))


def test_a_slip_is_certain_only_where_cells_and_pixels_say_it_clearly() -> None:
    assert one("wrong shaft", 120).certain
    assert one("wrong shaft", 120, margin=CERTAIN).certain
    assert not one("wrong shaft", 120, margin=CERTAIN - 0.01).certain
    assert one("wrong shaft", 120, odds=math.exp(CERTAIN) + 0.01).certain
    assert not one("wrong shaft", 120, odds=math.exp(CERTAIN) - 0.01).certain
    assert not one("wrong shaft", 120, disagree=0.02).certain
    assert one("wrong shaft", 120, disagree=0.019).certain


def test_the_odds_are_the_smaller_of_what_cells_and_pixels_say() -> None:
    assert one("wrong shaft", 120, odds=50.0, margin=10.0).slip.odds == 50.0
    assert one("wrong shaft", 120, odds=1e4, margin=2.0).slip.odds == pytest.approx(math.exp(2.0))


def test_what_only_one_of_them_says_is_a_place_to_check_at_even_odds_at_most() -> None:
    (cells,) = told([slip("wrong shaft", 120)], [])
    assert (cells.certain, cells.of, cells.column, cells.slip.odds) == (False, 0, 20, 1.0)
    (pixels,) = told([], [Claim("wrong shaft", 120, 20, 3, 1)], 10.0)
    assert (pixels.certain, pixels.of, pixels.column) == (False, None, 20)
    assert pixels.slip == Slip("wrong shaft", 121, None, 2, 4, 1.0)
    (doubtful,) = told([], [Claim("wrong shaft", 120, 20, 3, 1)], -2.0)
    assert doubtful.slip.odds == pytest.approx(math.exp(-2.0))
    (missing,) = told([], [Claim("skipped", 120, 20, -1, 1)], 10.0)
    assert (missing.slip.planned, missing.slip.found) == (2, None)
    (extra,) = told([], [Claim("extra", 120, 20, 3, 1)], 10.0)
    assert (extra.slip.planned, extra.slip.found) == (None, 4)


@pytest.mark.parametrize(("kind", "near"), [("wrong shaft", 0), ("crossed", 0), ("skipped", 3), ("extra", 3)])
def test_both_mean_one_slip_at_one_end_and_a_moved_end_about_there(kind: SlipKind, near: int) -> None:
    for away in range(-5, 6):
        made = told([slip(kind, 120)], [Claim(kind, 120 + away, 20 + away, 1, 0)], 10.0)  # type: ignore[arg-type]
        assert len(made) == (1 if abs(away) <= near else 2)
    other: SlipKind = "crossed" if kind != "crossed" else "wrong shaft"
    assert len(told([slip(kind, 120)], [Claim(other, 120, 20, 1, 0)], 10.0)) == 2  # type: ignore[arg-type]


def test_slips_come_in_the_order_of_the_ends_then_lifts_by_their_picks() -> None:
    lifts = [Slip("wrong lift", None, pick, 1, None, 9.0) for pick in (7, 2)]
    made = told(
        [lifts[0], slip("wrong shaft", 140), lifts[1]],
        [Claim("wrong shaft", 110, 10, 1, 0), Claim("wrong shaft", 140, 40, 1, 0)],
        10.0,
        11.0,
    )
    assert [(each.slip.end, each.slip.pick) for each in made] == [
        (111, None),
        (141, None),
        (None, 2),
        (None, 7),
    ]
    assert [each.of for each in made] == [None, 1, 2, 0]


@pytest.mark.parametrize(("end", "column"), [(90, 0), (FIRST, 0), (LAST, 59), (170, 59)])
def test_a_slip_beyond_the_columns_is_shown_at_the_nearest(end: int, column: int) -> None:
    (made,) = told([slip("wrong shaft", end)], [])
    assert made.column == column


WEB = Planned(
    "web",
    np.resize([0, 1, 2, 3], 500),
    np.zeros(500, dtype=np.bool_),
    np.ones((1, 4), dtype=np.bool_),
    OnLoom(),
)
LIFTS = np.eye(4, dtype=np.bool_)[np.resize([0, 1, 2, 3], MOST_PICKS)]


@pytest.mark.parametrize(
    ("first", "last", "begins", "stops"),
    [(1, 60, 0, 62), (3, 60, 0, 62), (4, 60, 1, 62), (440, 500, 437, 500)],
)
def test_a_stretch_has_two_more_ends_of_the_web_at_each_side(
    first: int, last: int, begins: int, stops: int
) -> None:
    stretch, at = stretch_of(WEB, LIFTS, (first, last))
    assert at == begins
    assert (stretch.shaft == WEB.threading[begins:stops]).all()
    assert (begins + stretch.first + 1, begins + stretch.last + 1) == (first, last)
    assert stretch.up.shape == (MOST_PICKS, 5)
    assert not stretch.up[:, 4].any()


def test_an_end_that_is_not_threaded_is_on_the_shaft_that_is_always_down() -> None:
    web = replace(WEB, threading=np.where(np.arange(500) == 30, -1, WEB.threading))
    stretch, begins = stretch_of(web, LIFTS, (11, 60))
    assert stretch.shaft[30 - begins] == 4
    assert not stretch.up[:, stretch.shaft[30 - begins]].any()


@pytest.mark.parametrize(
    ("ends", "picks", "says"),
    [
        ((1, LEAST_ENDS), LEAST_PICKS, None),
        ((1, LEAST_ENDS - 1), LEAST_PICKS, f"a stretch of {LEAST_ENDS - 1} ends; expected {LEAST_ENDS} to"),
        ((1, MOST_ENDS), MOST_PICKS, None),
        ((1, MOST_ENDS + 1), MOST_PICKS, f"a stretch of {MOST_ENDS + 1} ends"),
        ((481, 500), 12, None),
        ((482, 501), 12, "none of this web; expected ends from 1 to 500"),
        ((0, 30), 12, "none of this web"),
        ((40, 20), 12, "none of this web"),
        ((1, 60), LEAST_PICKS - 1, "picks are too few"),
        ((1, 60), MOST_PICKS + 1, "picks are too many"),
    ],
)
def test_a_stretch_that_cannot_be_read_is_refused_with_what_is_expected(
    ends: tuple[int, int], picks: int, says: str | None
) -> None:
    lifts = np.resize(LIFTS, (picks, 4))
    if says is None:
        stretch_of(WEB, lifts, ends)
        return
    with pytest.raises(BadInput, match=says):
        stretch_of(WEB, lifts, ends)


def test_a_slip_is_barred_about_its_end_and_nowhere_else() -> None:
    stretch, _ = stretch_of(WEB, LIFTS, (101, 160))
    ends = len(stretch.shaft)
    for first, last in [(5, 8), (20, 20), (-3, 2), (ends - 2, ends + 4)]:
        barred = _around(stretch, first, last)
        assert np.flatnonzero(barred).tolist() == [end for end in range(ends) if first <= end <= last]
