"""A treadle tied wrong or pressed wrong, and what to do about it."""

from __future__ import annotations

from loomready.slips.actions import Rates
from loomready.slips.mending import mend
from loomready.slips.wrong_lifts import Pressed, pressed_for, ties
from tests.slips.test_mending import lift

RETIE = Rates().retie
ALONE: Pressed = ((1,), (2,), (3,), (4,))  # each pick has a treadle of its own
TOGETHER: Pressed = ((1, 2), (2,), (1,), (3,))


def test_a_treadle_of_one_pick_is_pressed_again_to_tell_its_tie_up_from_a_slip_of_the_foot() -> None:
    (made,) = mend([lift(3, 2, None)], 40, 4, pressed=ALONE)
    (action,) = made.actions
    assert action.minutes == RETIE
    assert "press treadle 3 again: if shaft 2 stays down, tie the treadle again" in action.do
    assert "pick 3 may stay" in action.do
    (other,) = mend([lift(3, None, 2)], 40, 4, pressed=ALONE)[0].actions
    assert "if shaft 2 rises, tie the treadle again" in other.do


def test_a_treadle_whose_picks_all_lack_a_shaft_is_tied_wrong() -> None:
    (made,) = mend([lift(1, 2, None), lift(2, 2, None)], 40, 4, pressed=TOGETHER)
    (action,) = made.actions
    assert action.slips == (0, 1)
    assert action.do.startswith("tie treadle 2 again, so that shaft 2 rises: on picks 1 and 2")


def test_a_treadle_that_lifts_the_shaft_on_another_pick_is_tied_right() -> None:
    first = mend([lift(2, 2, None)], 40, 4, pressed=TOGETHER)[0]
    assert [action.do for action in first.actions] == ["leave pick 2 as it is: it is test weave"]


def test_the_same_pick_woven_twice_names_its_treadle() -> None:
    slips = [lift(1, None, 3, tied=True), lift(2, None, 3, tied=True)]
    (action,) = mend(slips, 40, 4, pressed=((1,), (1,), (2,), (3,)))[0].actions
    assert action.do.startswith("tie treadle 1 again, so that shaft 3 stays down: on picks 1 and 2")


def test_levers_have_no_tie_up_to_mend() -> None:
    assert mend([lift(2, 2, None)], 40, 4) == mend([lift(2, 2, None)], 40, 4, pressed=((), (), (), ()))


def test_a_lift_that_is_made_in_two_ways_names_no_treadle() -> None:
    known = ties(((1, 2), (3,), (1, 2), (4,), (3,)), ((1,), (2,), (3,), (4,), (2,)))
    assert pressed_for(known, ((1, 2), (3,), (4,), (1, 4))) == ((), (2,), (4,), ())
