"""A few ends looked at in the middle of a web, as taps on a phone give them."""

from __future__ import annotations

import numpy as np
import pytest

from loomready.slips import test_picks as picking
from loomready.slips.result import Slip
from loomready.slips.stretch import by_planned_end, infer_stretch, planned_ends
from tests.slips import webs

PLANNED = np.arange(200) % 8
PICKS = picking.well_apart(PLANNED, 8, 8, 6).lifts


def looked(web: list[int], first: int, last: int) -> np.ndarray:
    """The cells of columns first to last, from 1; everything else unseen."""
    there = np.array(web[:200] + [0] * (200 - len(web)))
    cells = PICKS[:, there].astype(np.int8)
    cells[:, : first - 1] = -1
    cells[:, last:] = -1
    return cells


def test_ends_as_planned_have_no_slip() -> None:
    assert infer_stretch(looked(PLANNED.tolist(), 90, 105), PICKS, PLANNED).slips == ()


@pytest.mark.parametrize("at", [3, 100, 190])
@pytest.mark.parametrize("kind", ["wrong shaft", "crossed", "skipped", "extra"])
def test_a_slip_is_found_from_the_ends_beside_it(kind: str, at: int) -> None:
    web = PLANNED.tolist()
    wanted: tuple[str, int, int | None, int | None]
    shaft = web[at - 1]
    other = (shaft + 3) % 8
    if kind == "wrong shaft":
        web[at - 1], wanted = other, (kind, at, shaft + 1, other + 1)
    elif kind == "crossed":
        web[at - 1], web[at] = web[at], web[at - 1]
        wanted = (kind, at, shaft + 1, web[at - 1] + 1)
    elif kind == "skipped":
        del web[at - 1]
        wanted = (kind, at, shaft + 1, None)
    else:
        web.insert(at - 1, other)
        wanted = (kind, at, None, other + 1)
    found = infer_stretch(looked(web, max(1, at - 4), min(199, at + 6)), PICKS, PLANNED)
    assert webs.told(found) == (wanted,)


def test_nothing_seen_is_no_question() -> None:
    with pytest.raises(ValueError, match="no cell"):
        infer_stretch(np.full((8, 200), -1, dtype=np.int8), PICKS, PLANNED)


@pytest.mark.parametrize("at", [30, 170])
def test_windows_far_apart_are_read_together_and_name_the_ends_of_the_whole_web(at: int) -> None:
    web = PLANNED.tolist()
    was, web[at - 1] = web[at - 1], (web[at - 1] + 3) % 8
    cells = looked(web, 25, 34)
    cells[:, 164:174] = looked(web, 165, 174)[:, 164:174]
    found = infer_stretch(cells, PICKS, PLANNED)
    assert webs.told(found) == (("wrong shaft", at, was + 1, web[at - 1] + 1),)
    assert found.threading.tolist() == web


def test_an_end_missing_between_two_windows_is_known_to_be_missing_between_them() -> None:
    web = PLANNED.tolist()
    del web[100]
    cells = looked(web, 25, 34)
    cells[:, 164:174] = looked(web, 165, 174)[:, 164:174]
    (slip,) = infer_stretch(cells, PICKS, PLANNED).slips
    assert slip.kind == "skipped"
    assert slip.end is not None
    assert 34 < slip.end < 166


def test_each_place_holds_the_planned_end_that_slips_leave_there() -> None:
    slips = [
        Slip("skipped", 3, None, 3, None, 9.0),
        Slip("extra", 6, None, None, 1, 9.0),
        Slip("wrong shaft", 8, None, 1, 2, 9.0),
        Slip("skipped", 10, None, 1, None, 9.0),
    ]
    planned = planned_ends(10, slips)
    assert planned.tolist() == [0, 1, 3, 4, -1, 5, 6, 7, 8]
    assert planned_ends(4, [Slip("extra", 5, None, None, 1, 9.0)]).tolist() == [0, 1, 2, 3, -1]
    # A slip seen at a place on the loom is named by the planned end there, or by the next.
    threading = np.arange(10) % 4
    named = {
        at: by_planned_end(Slip("wrong shaft", at, None, 9, 2, 9.0), planned, threading) for at in (3, 5, 9)
    }
    assert {at: (slip.end, slip.planned) for at, slip in named.items()} == {3: (4, 4), 5: (6, 2), 9: (9, 1)}
    last = by_planned_end(Slip("extra", 10, None, None, 2, 9.0), planned, threading)
    assert (last.end, last.planned) == (11, None)
