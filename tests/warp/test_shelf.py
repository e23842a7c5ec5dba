"""Which cone gives which end, and what is left."""

from dataclasses import replace
from datetime import date, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.warp.shelf import WEFT, Shelf, Want, cone_of_each_end, fewest, give, took
from tests.cast import CHALK, FERN, cone, guild

YARN = replace(FERN, tolerance=0.0)


def shelf(*cones):
    return Shelf(guild(cones=cones))


def served(stock, *wants, length=10.0, reserve=0.0, mix=False, wound=None, off=None):
    if wound is None:
        return give(stock, YARN, wants, length, reserve=reserve, mix_lots=mix)
    return took(stock, YARN, wants, length, reserve=reserve, mix_lots=mix, wound=wound, off=off)


@given(st.lists(st.integers(0, 30), min_size=1, max_size=6), st.integers(0, 90))
def test_ends_come_from_as_few_cones_as_can_be(capacity, ends):
    took, missing = fewest({str(n): count for n, count in enumerate(capacity)}, ends)
    assert missing == max(0, ends - sum(capacity))
    assert sum(count for _, count in took) == ends - missing
    assert all(0 < count <= capacity[int(key)] for key, count in took)
    if not missing:
        largest = sorted(capacity, reverse=True)
        need = next(n for n in range(len(capacity) + 1) if sum(largest[:n]) >= ends)
        assert len(took) == need


def test_no_end_has_a_knot():
    made = served(shelf(cone("a", meters=39.0), cone("b", meters=29.0)), Want(0, ends=6))
    assert made.missing_ends == 1  # 3 from one, 2 from the other, though 68 m lie there
    assert {use.cone: use.ends for use in made.uses} == {"a": 3, "b": 2}


def test_weft_may_be_pieced_from_what_the_warp_leaves():
    made = served(
        shelf(cone("a", meters=39.0), cone("b", meters=29.0)), Want(0, ends=5), Want(-1, weft_m=18.0)
    )
    assert made.missing_weft_m == 0
    assert sum(use.weft_m for use in made.uses) == pytest.approx(18.0)
    made = served(
        shelf(cone("a", meters=39.0), cone("b", meters=29.0)), Want(0, ends=5), Want(-1, weft_m=20.0)
    )
    assert made.missing_weft_m == pytest.approx(2.0)


def test_the_reserve_comes_off_first():
    assert served(shelf(cone("a", meters=100.0)), Want(0, ends=10), reserve=0.03).missing_ends == 1


def test_the_reserve_is_not_planned_away_by_a_later_warp():
    stock = shelf(cone("a", meters=100.0))
    first = served(stock, Want(-1, weft_m=97.0), reserve=0.03)
    assert first.missing_weft_m == 0
    second = served(stock.take(first.uses), Want(-1, weft_m=1.0), reserve=0.03)
    assert second.missing_weft_m == pytest.approx(1.0)


def test_one_color_takes_one_dye_lot_unless_lots_may_mix():
    stock = shelf(cone("a", meters=50.0, lot="A"), cone("b", meters=40.0, lot="B"))
    apart = served(stock, Want(0, ends=8))
    assert (apart.missing_ends, apart.mixing_helps, apart.mixed) == (3, True, False)
    mixed = served(stock, Want(0, ends=8), mix=True)
    assert (mixed.missing_ends, mixed.mixed) == (0, True)


def test_two_colors_of_one_yarn_may_take_a_lot_each():
    stock = shelf(cone("a", meters=50.0, lot="A"), cone("b", meters=40.0, lot="B"))
    made = served(stock, Want(0, ends=4), Want(1, ends=5))
    assert made.missing_ends == 0
    assert made.cones_of_role == {0: (("b", 4),), 1: (("a", 5),)}


def test_a_wound_warp_took_its_ends_from_cones_weighed_on_that_day_or_before_and_claims_its_weft():
    stock = shelf(
        cone("a", meters=50.0, weighed=date(2026, 3, 1)), cone("b", meters=50.0, weighed=date(2026, 3, 9))
    )
    made = served(stock, Want(0, ends=8), Want(-1, weft_m=20.0), wound=date(2026, 3, 9))
    assert {use.cone: use.ends for use in made.uses} == {"a": 5, "b": 3}
    assert made.unclear == ("b",)
    assert (made.missing_ends, made.missing_weft_m) == (0, 0)
    assert sum(use.weft_m for use in made.uses) == pytest.approx(20.0)


def test_a_cone_weighed_after_the_winding_knows_of_it():
    stock = shelf(
        cone("a", meters=50.0, weighed=date(2026, 3, 1)), cone("b", meters=50.0, weighed=date(2026, 3, 10))
    )
    made = served(stock, Want(0, ends=8), wound=date(2026, 3, 9))
    assert {use.cone: use.ends for use in made.uses} == {"a": 5, "b": 0}
    assert (made.missing_ends, made.weigh_again, made.unclear) == (
        0,
        0,
        ("a",),
    )  # which of them gave is a guess


@pytest.mark.parametrize(("hour", "ends"), [(8, 4), (11, 0)])
def test_times_decide_which_came_first_on_one_day(hour, ends):
    stock = shelf(cone("a", meters=50.0, weighed=datetime(2026, 3, 9, hour)))
    made = served(stock, Want(0, ends=4), wound=datetime(2026, 3, 9, 10))
    assert (made.uses[0].ends, made.unclear, made.missing_ends) == (ends, (), 0)


def test_a_cloth_cut_off_gives_nothing_back_and_claims_nothing_more():
    stock = shelf(cone("a", meters=50.0, weighed=date(2026, 3, 1)))
    made = served(stock, Want(0, ends=4), Want(-1, weft_m=30.0), wound=date(2026, 3, 9), off=date(2026, 4, 2))
    assert (made.missing_ends, made.missing_weft_m) == (0, 0)
    assert stock.take(made.uses).sure_m(stock.cones_of("fern"), YARN) == 0.0
    weighed = shelf(cone("a", meters=12.0, weighed=date(2026, 4, 3)))
    after = served(
        weighed, Want(0, ends=4), Want(-1, weft_m=30.0), wound=date(2026, 3, 9), off=date(2026, 4, 2)
    )
    assert weighed.take(after.uses).expected_m(weighed.cones_of("fern"), YARN) == pytest.approx(12.0)
    assert (after.missing_ends, after.missing_weft_m) == (0, 0)


@given(
    st.lists(st.tuples(st.integers(10, 400), st.integers(1, 9)), min_size=1, max_size=4),
    st.integers(0, 30),
    st.integers(0, 300),
    st.integers(1, 9),
    st.one_of(st.none(), st.integers(0, 8)),
)
def test_what_is_wound_and_woven_is_gone_once_and_never_short(cones, ends, weft, day, later):
    """Over lives of a shelf: each taking comes off just where no later weighing knows of it."""
    stock = shelf(
        *(
            cone(f"c{n}", meters=float(meters), weighed=date(2026, 5, when))
            for n, (meters, when) in enumerate(cones)
        )
    )
    off = None if later is None else date(2026, 5, day + later)
    made = served(stock, Want(0, ends=ends), Want(-1, weft_m=float(weft)), wound=date(2026, 5, day), off=off)
    assert made.missing_ends == 0
    assert off is None or made.missing_weft_m == 0
    for use, (_, when) in zip(made.uses, cones, strict=True):
        assert use.ends == 0 or when <= day
        assert off is None or use.weft_m == 0 or when <= day + later
    if all(when <= day for _, when in cones):
        assert sum(use.ends for use in made.uses) == ends
        if off is not None:
            assert sum(use.weft_m for use in made.uses) == pytest.approx(weft)


def test_a_cone_of_another_yarn_gives_nothing():
    assert served(shelf(cone("c", CHALK)), Want(0, ends=1)).missing_ends == 1


@given(
    st.lists(st.tuples(st.floats(1, 300), st.sampled_from([None, "A", "B"])), min_size=1, max_size=5),
    st.integers(0, 40),
    st.floats(0, 400),
    st.floats(0, 0.2),
)
def test_nothing_is_taken_that_is_not_there(cones, ends, weft, reserve):
    stock = shelf(*(cone(str(n), meters=meters, lot=lot) for n, (meters, lot) in enumerate(cones)))
    made = served(stock, Want(0, ends=ends), Want(-1, weft_m=weft), reserve=reserve)
    given_ends = sum(use.ends for use in made.uses)
    given_weft = sum(use.weft_m for use in made.uses)
    assert given_ends + made.missing_ends == ends
    assert given_weft + made.missing_weft_m == pytest.approx(weft, abs=1e-6)
    assert given_ends * 10 + given_weft <= sum(m for m, _ in cones) * (1 - reserve) + 1e-6
    for use, (meters, _) in zip(made.uses, cones, strict=True):
        assert use.warp_m <= meters * (1 - reserve) + 1e-6


def test_each_end_knows_its_cone():
    role = np.array([0, 1, 0, 0, 1])
    made = cone_of_each_end(role, {0: (("x", 2),), 1: (("y", 1), ("x", 1))}, ("x", "y"))
    assert made.tolist() == [0, 1, 0, -1, 0]


@given(
    st.lists(st.integers(1, 60), min_size=1, max_size=4, unique=True),
    st.integers(0, 5),
    st.integers(1, 90),
)
def test_weft_comes_from_a_cone_that_the_ends_opened_or_else_from_the_smallest_that_has_it_all(
    meters, ends, weft
):
    stock = shelf(*(cone(f"c{n}", meters=float(each)) for n, each in enumerate(meters)))
    made = served(stock, Want(0, ends=ends), Want(WEFT, weft_m=float(weft)))
    if made.missing_ends or made.missing_weft_m:
        return
    left = {use.cone: m - use.warp_m for use, m in zip(made.uses, map(float, meters), strict=True)}
    gave = [use for use in made.uses if use.weft_m]
    assert sum(use.weft_m for use in gave) == pytest.approx(weft)
    whole = [use for use in made.uses if left[use.cone] >= weft]
    if not whole:
        return
    (only,) = gave
    opened = [use for use in whole if use.ends]
    assert left[only.cone] == min(left[use.cone] for use in opened or whole)


def test_weft_of_a_color_comes_from_what_is_left_of_its_own_lot():
    """Lot B gives four ends and keeps 12 m; the 50 m of lot A are no help."""
    stock = shelf(cone("a", meters=50.0, lot="A"), cone("b", meters=52.0, lot="B"))
    made = served(stock, Want(0, ends=4, weft_m=15.0))
    assert made.missing_ends == 0
    assert made.missing_weft_m == pytest.approx(3.0)
    assert served(stock, Want(0, ends=4, weft_m=12.0)).missing_weft_m == 0
