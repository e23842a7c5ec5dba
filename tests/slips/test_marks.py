"""The bits of a test weave: each thing has a place of its own."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.slips.marks import ODDS, Layout, Marks, slip_at
from loomready.slips.result import Slip

THREADING = np.array([-1, 0, 1, 2, 3, 2, 1, 0, -1])
LAYOUT = Layout(ends=9, shafts=4, test=3, own=2, lifts=7)


def test_blocks_follow_one_another_without_a_gap() -> None:
    at = 0
    for first, size in LAYOUT.blocks.values():
        assert first == at
        at += size
    assert at == LAYOUT.bits
    assert LAYOUT.blocks["tested"] == (0, 9)


def test_every_slip_has_a_place_of_its_own() -> None:
    threading = LAYOUT.codes - LAYOUT.rows * LAYOUT.shafts
    for code in range(threading):
        assert LAYOUT.code(slip_at(LAYOUT, code, THREADING)) == code
    lifts = [
        Slip("wrong lift", None, pick, shaft if pick % 2 else None, None if pick % 2 else shaft, 9.0)
        for pick in range(1, LAYOUT.rows + 1)
        for shaft in range(1, 5)
    ]
    assert [LAYOUT.code(slip) for slip in lifts] == list(range(threading, LAYOUT.codes))


@given(st.integers(1, 50), st.integers(1, 24), st.integers(0, 12))
def test_a_slip_is_read_back_as_it_was(ends: int, shafts: int, rows: int) -> None:
    layout = Layout(ends, shafts, rows, 0, rows)
    threading = np.arange(ends) % shafts
    slip = Slip("wrong shaft", ends, None, int(threading[-1]) + 1, shafts, 19.0)
    assert slip_at(layout, layout.code(slip), threading) == slip


def test_cells_and_slips_stand_where_the_marks_say() -> None:
    done = np.zeros(LAYOUT.bits, dtype=bool)
    slip = Slip("crossed", 3, None, 2, 3, 19.0)
    done[LAYOUT.blocks["looked"][0] + 9 + 4] = True  # end 5, on the draft's own picks
    done[LAYOUT.blocks["differs"][0] + 3 * 9 + 4] = True  # its first own pick
    for name in ("kept", "left"):
        done[LAYOUT.blocks[name][0] + LAYOUT.code(slip)] = True
    done[LAYOUT.blocks["way"][0] + 1] = True
    marks = Marks(LAYOUT, done)
    assert np.flatnonzero(marks.looked(own=True)).tolist() == [4]
    assert not marks.looked(own=False).any()
    assert np.argwhere(marks.differs(own=True)).tolist() == [[0, 4]]
    assert not marks.differs(own=False).any()
    assert marks.kept(THREADING) == (slip,)
    assert marks.has("left", slip)
    assert not marks.has("mended", slip)
    assert marks.way == 1


@pytest.mark.parametrize("kind", ["empty dent", "crowded dent"])
def test_a_dent_has_no_shafts(kind: str) -> None:
    slip = Slip(kind, 5, None, None, None, 19.0)  # type: ignore[arg-type]
    assert slip_at(LAYOUT, LAYOUT.code(slip), THREADING) == slip


@given(st.floats(0.1, 1e6), st.integers(1, 10))
def test_the_odds_of_a_slip_found_by_questions_are_kept_rounded_down(odds: float, end: int) -> None:
    done = np.ones(LAYOUT.bits, dtype=bool)
    for block, first, last, value in LAYOUT.odds(end, odds):
        assert first == last
        done[LAYOUT.blocks[block][0] + first] = value
    kept = Marks(LAYOUT, done).odds(end)
    assert kept == max(each for each in ODDS if each <= odds)


def test_a_slip_that_nobody_was_asked_about_has_no_odds_of_its_own() -> None:
    done = np.ones(LAYOUT.bits, dtype=bool)
    for block, first, _last, value in LAYOUT.odds(3, None):
        done[LAYOUT.blocks[block][0] + first] = value
    assert Marks(LAYOUT, done).odds(3) is None


def test_marks_of_versions_that_kept_no_odds_stay_where_they_were() -> None:
    assert list(LAYOUT.blocks)[-2:] == ["way", "odds"]


def test_a_wrong_lift_is_read_back_with_its_pick_and_shaft() -> None:
    for pick in range(1, LAYOUT.rows + 1):
        for shaft in range(1, LAYOUT.shafts + 1):
            code = LAYOUT.code(Slip("wrong lift", None, pick, shaft, None, 9.0))
            assert LAYOUT.key(code) == ("wrong lift", pick, shaft)
            assert slip_at(LAYOUT, code, THREADING) == Slip("wrong lift", None, pick, shaft, None, 19.0)
