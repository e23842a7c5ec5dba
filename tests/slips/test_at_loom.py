"""The test weave at the loom: its picks, a warp's own shafts, and minutes at the guild's own speed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from loomready.draft.draft import Bools, lift_plan
from loomready.slips import at_loom
from loomready.slips import test_picks as picking
from loomready.slips.as_json import Planned
from loomready.slips.infer import UNSEEN, Cells
from loomready.slips.mending import OnLoom, Rates
from loomready.slips.result import Slip
from loomready.slips.stretch import with_slips

TWILL = lift_plan([1, 2, 3, 4] * 12, [[1, 2], [2, 3], [3, 4], [1, 4]])
PLAIN = lift_plan([1, 2, 3, 4] * 12, [[1, 3], [2, 4]])


def planned(draft: object = TWILL) -> Planned:
    threading, lifts = draft.threading, draft.lifts  # type: ignore[attr-defined]
    return Planned("web", threading, np.zeros(len(threading), dtype=bool), lifts, OnLoom())


def test_the_drafts_own_lifts_are_enough_where_they_tell_all_shafts_apart() -> None:
    assert at_loom.own_are_enough(planned(TWILL))
    assert at_loom.shafts_of(at_loom.own_picks(planned(TWILL))) == ((1, 2), (2, 3), (3, 4), (1, 4))
    assert not at_loom.own_are_enough(planned(PLAIN))


def seen(web: Planned, lifts: Bools, first: int, differs: Sequence[tuple[int, int]]) -> Cells:
    """Cells of eight ends from ``first`` as planned, but for those, as (pick, end) from 1, that differ."""
    cells: Cells = np.full((len(lifts), len(web.threading)), UNSEEN, dtype=np.int8)
    shown = slice(first - 1, first + 7)
    cells[:, shown] = at_loom.cells_planned(web, lifts)[:, shown]
    for pick, end in differs:
        cells[pick - 1, end - 1] ^= 1
    return cells


def test_cells_lie_as_their_shafts_are_lifted() -> None:
    web = planned()
    cells = seen(web, at_loom.own_picks(web), 9, [])[:, 8:16]
    assert ["".join(map(str, row)) for row in cells] == ["11001100", "01100110", "00110011", "10011001"]


def test_slips_from_questions_and_cells_are_mended_together() -> None:
    web = planned()
    lifts = at_loom.own_picks(web)
    cells = seen(web, lifts, 9, [(1, 10), (3, 10)])  # end 10, planned on shaft 2, is on shaft 3
    gap = Slip("empty dent", 30, None, None, None, 50.0)
    found = at_loom.outcome(web, lifts, cells, [gap])
    assert [(slip.kind, slip.end, slip.planned, slip.found) for slip in found.slips] == [
        ("wrong shaft", 10, 2, 3),
        ("empty dent", 30, None, None),
    ]
    assert sorted(number for action in found.mending[0].actions for number in action.slips) == [0, 1]
    assert found.looked == 8
    assert found.there[9] == 2


def test_slips_are_told_from_end_1_on_however_they_were_found() -> None:
    web = planned()
    lifts = at_loom.own_picks(web)
    cells = seen(web, lifts, 17, [(1, 18), (3, 18)])
    confirmed = [Slip("wrong shaft", 33, None, 1, 2, 50.0), Slip("empty dent", 5, None, None, None, 50.0)]
    found = at_loom.outcome(web, lifts, cells, confirmed)
    assert [slip.end for slip in found.slips] == [5, 18, 33]
    assert {each.instead_of for each in found.alternatives} <= {1}
    assert [action.slips for action in found.mending[0].actions] == [(0,), (1,), (2,)]


def test_a_slip_of_the_cells_is_not_told_twice() -> None:
    web = planned()
    lifts = at_loom.own_picks(web)
    cells = seen(web, lifts, 9, [(1, 10), (3, 10)])
    again = Slip("wrong shaft", 10, None, 2, 3, 50.0)
    assert len(at_loom.outcome(web, lifts, cells, [again]).slips) == 1


def test_what_stands_on_the_loom_has_every_slip_in_it() -> None:
    there = np.array([0, 1, 2, 3])
    slips = [
        Slip("skipped", 2, None, 2, None, 9.0),
        Slip("extra", 4, None, None, 1, 9.0),
        Slip("empty dent", 3, None, None, None, 9.0),
    ]
    assert with_slips(there, slips).tolist() == [0, 2, 0, 3]


def test_without_records_the_minutes_are_the_usual_ones() -> None:
    assert at_loom.learned("loom", []) == (Rates(), 0)


def test_the_usual_minutes_are_those_of_the_usual_speed() -> None:
    usual = Rates()
    assert usual.rethread == pytest.approx(at_loom.TAKEN_OUT_MIN + 60 / 120 + 60 / 200)
    assert usual.resley == pytest.approx(at_loom.TAKEN_OUT_MIN + 60 / 200)


def test_on_a_loom_in_balance_half_of_the_shafts_rise_in_every_pick_and_question() -> None:
    web = replace(planned(PLAIN), loom=OnLoom(even=True))
    lifts = at_loom.picks_apart(web)
    assert lifts.sum(axis=1).tolist() == [2] * len(lifts)
    assert picking.cannot_tell(lifts, range(4)) == ()
    assert (lifts[::2] ^ lifts[1::2]).all()
    assert {len(lift) for lift in at_loom.at_hand(web, at_loom.shafts_of(lifts))} == {2}
    assert (3,) in at_loom.at_hand(planned(PLAIN), [])
