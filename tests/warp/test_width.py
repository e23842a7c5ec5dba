"""How many ends, and which."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.draft.draft import lift_plan
from loomready.problems import BadInput
from loomready.warp.width import lay_web, repeats_for, roles_of, span_of, wanted_width_mm
from tests.cast import order


def web(threading, **more):
    shafts = max(threading)
    draft = lift_plan(threading, [[n] for n in range(1, shafts + 1)], warp_colors=more.pop("colors", None))
    asked = order(**more)
    span = span_of(asked, draft)
    return lay_web(asked, draft, span, span.repeats_at(asked, 8.0))


@given(st.floats(0, 3000), st.integers(1, 60), st.integers(0, 60))
def test_repeats_bring_the_ends_nearest_to_what_is_wanted(wanted, repeat, rest):
    best = min(range(1, 3200), key=lambda k: (round(abs(k * repeat + rest - wanted), 7), k))
    assert abs(repeats_for(wanted, repeat, rest) * repeat + rest - wanted) == pytest.approx(
        abs(best * repeat + rest - wanted), abs=1e-6
    )


def test_a_tie_takes_the_narrower_web():
    assert repeats_for(15, 10, 0) == 1
    assert repeats_for(25, 10, 0) == 2


def test_wanted_width_divides_by_what_is_lost():
    assert wanted_width_mm(order()) == pytest.approx(400 / (0.92 * 0.94))


def test_two_repeats_and_one_end_become_k_repeats_and_one_end():
    made = web([1, 2, 3, 4, 3, 2, 1, 2, 3, 4, 3, 2, 1])
    assert (made.repeat_ends, made.border_ends) == (6, 1)
    assert made.ends == 6 * made.repeats + 1
    assert np.array_equal(made.shaft, made.shaft[::-1])


def test_a_color_that_changes_makes_the_repeat_longer():
    assert web([1, 2] * 4, colors=[0, 0, 1, 1] * 2).repeat_ends == 4


def test_borders_stand_once_at_their_sides():
    made = web([4, 4, 1, 2, 3, 4, 3, 3], repeat_ends=(3, 6))
    shafts = (made.shaft + 1).tolist()
    assert shafts[:2] == [4, 4]
    assert shafts[-2:] == [3, 3]
    assert shafts[2:-2] == [1, 2, 3, 4] * made.repeats
    assert made.repeat_starts[0] == 2
    assert made.repeat_starts[-1] == made.ends - 2


def test_selvedge_ends_go_on_with_the_threading():
    made = web([1, 2, 3, 4, 1, 2], selvedge_ends=3)
    shafts = (made.shaft + 1).tolist()
    assert shafts[:4] == [2, 3, 4, 1]
    assert shafts[-4:] == [2, 3, 4, 1]
    assert made.ends == 4 * made.repeats + 2 + 6


def test_selvedge_ends_beside_borders_read_the_whole_threading_round():
    made = web([4, 4, 1, 2, 3, 4, 3, 2], repeat_ends=(3, 6), selvedge_ends=2)
    assert (made.shaft[:2] + 1).tolist() == [3, 2]
    assert (made.shaft[-2:] + 1).tolist() == [4, 4]


def test_selvedge_shafts_take_the_color_of_the_edge_end():
    made = web([1, 2, 3, 4], colors=[1, 0, 0, 0], selvedge_ends=2, selvedge_shafts=(3, 4))
    assert (made.shaft[:2] + 1).tolist() == [3, 4]
    assert (made.shaft[-2:] + 1).tolist() == [3, 4]
    assert made.role[:2].tolist() == [made.role[2]] * 2
    assert made.role[-2:].tolist() == [made.role[-3]] * 2


def test_floating_selvedges_are_in_no_heddle_and_take_the_color_beside_them():
    made = web([1, 2, 3, 4], colors=[1, 0, 0, 0], floating_selvedges=True)
    assert made.shaft[[0, -1]].tolist() == [-1, -1]
    assert made.role[[0, -1]].tolist() == [made.role[1], made.role[-2]]
    assert made.heddle_ends == made.ends - 2


def test_colors_are_roles_in_order_of_appearance():
    assert roles_of(np.array([7, 3, 3, 7, 0])).tolist() == [0, 1, 1, 0, 2]


def test_a_repeat_past_the_draft_is_refused():
    with pytest.raises(BadInput, match="past the draft's 4 ends"):
        web([1, 2, 3, 4], repeat_ends=(2, 5))


def test_a_web_beyond_the_limit_of_ends_is_refused():
    with pytest.raises(BadInput, match="at most 20000"):
        web([1, 2, 3, 4], finished_width_mm=30_000.0)
