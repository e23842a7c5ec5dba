"""From cells to slips: each kind alone, several at once, wrong lifts beside them, and what cannot be told."""

from __future__ import annotations

import numpy as np
import pytest

from loomready.slips import test_picks as picking
from loomready.slips.infer import FoundSlips, infer
from tests.slips import webs

STRAIGHT = np.arange(80) % 8
PICKS = picking.well_apart(STRAIGHT, 8, 8, 4).lifts


def seen(
    web: list[int], lifts: np.ndarray = PICKS, planned: np.ndarray = STRAIGHT, **of: np.ndarray
) -> FoundSlips:
    return infer(lifts[:, web].astype(np.int8), of.get("lifts_planned", lifts), planned)


def straight() -> list[int]:
    return STRAIGHT.tolist()


def test_a_clean_web_has_no_slip() -> None:
    found = seen(straight())
    assert found.slips == ()
    assert found.explains == 1.0


def test_an_end_on_a_wrong_shaft_is_named_with_both_shafts() -> None:
    web = straight()
    web[20] = 6
    found = seen(web)
    assert webs.told(found) == (("wrong shaft", 21, 5, 7),)
    assert found.slips[0].odds > 100
    assert found.threading.tolist() == web


def test_crossed_neighbors_are_named_by_the_first() -> None:
    web = straight()
    web[20], web[21] = web[21], web[20]
    assert webs.told(seen(web)) == (("crossed", 21, 5, 6),)


@pytest.mark.parametrize("end", [0, 20, 79])
def test_a_missing_end_is_found_though_all_after_it_have_moved(end: int) -> None:
    web = straight()
    del web[end]
    assert webs.told(seen(web)) == (("skipped", end + 1, end % 8 + 1, None),)


@pytest.mark.parametrize("end", [0, 20, 80])
def test_an_extra_end_is_found_with_its_shaft(end: int) -> None:
    web = straight()
    web.insert(end, (end + 3) % 8)
    assert webs.told(seen(web)) == (("extra", end + 1, None, (end + 3) % 8 + 1),)


def test_an_end_that_missed_its_heddle_is_found_on_shaft_0() -> None:
    cells = PICKS[:, STRAIGHT].astype(np.int8)
    cells[:, 30] = 0
    assert webs.told(infer(cells, PICKS, STRAIGHT)) == (("wrong shaft", 31, 7, 0),)


def test_a_wrong_shaft_is_named_even_by_one_exact_cell() -> None:
    planned = np.arange(40) % 4
    lifts = picking.fewest(planned, 4).lifts
    web = planned.tolist()
    web[5] = 3
    found = seen(web, lifts, planned)
    assert webs.told(found) == (("wrong shaft", 6, 2, 4),)
    assert found.slips[0].odds < 100


def test_a_run_on_one_shaft_says_which_ends_may_be_missing() -> None:
    planned = np.repeat(np.arange(8), 3)
    lifts = picking.well_apart(planned, 8, 8, 6).lifts
    web = planned.tolist()
    del web[4]
    found = seen(web, lifts, planned)
    assert webs.told(found) == (("skipped", 4, 2, None),)
    assert [each.slip.end for each in found.alternatives] == [5, 6]
    assert {each.instead_of for each in found.alternatives} == {0}


def test_a_run_on_one_shaft_says_where_the_end_too_many_may_stand() -> None:
    planned = np.repeat(np.arange(8), 3)
    lifts = picking.well_apart(planned, 8, 8, 6).lifts
    web = planned.tolist()
    web.insert(4, 1)
    found = seen(web, lifts, planned)
    assert webs.told(found) == (("extra", 4, None, 2),)
    assert [each.slip.end for each in found.alternatives] == [5, 6, 7]


def test_shafts_that_the_picks_lift_alike_are_alternatives_and_cannot_be_told() -> None:
    planned = np.arange(64) % 8
    lifts = PICKS.copy()
    lifts[:, 7] = lifts[:, 3]
    web = planned.tolist()
    web[17] = 7
    found = seen(web, lifts, planned)
    assert found.cannot_tell == ((4, 8),)
    named = {found.slips[0].found, *(each.slip.found for each in found.alternatives)}
    assert named == {4, 8}


def test_a_forgotten_lever_is_a_wrong_lift_and_no_slip_of_the_threading() -> None:
    there = PICKS.copy()
    pick, shaft = np.argwhere(PICKS)[0].tolist()
    there[pick, shaft] = False
    found = infer(there[:, STRAIGHT].astype(np.int8), PICKS, STRAIGHT)
    assert [(slip.kind, slip.end, slip.pick, slip.planned, slip.found) for slip in found.slips] == [
        ("wrong lift", None, pick + 1, shaft + 1, None)
    ]
    assert not found.slips[0].tied


def test_a_treadle_tied_wrong_is_told_as_the_tie_up() -> None:
    planned = np.tile(PICKS, (3, 1))
    there = planned.copy()
    there[[2, 10, 18], 3] ^= True
    found = infer(there[:, STRAIGHT].astype(np.int8), planned, STRAIGHT)
    assert [(slip.kind, slip.pick, slip.tied) for slip in found.slips] == [
        ("wrong lift", pick, True) for pick in (3, 11, 19)
    ]


def test_wrong_lifts_and_slips_are_told_apart_in_one_web() -> None:
    random = np.random.default_rng(5)
    for _ in range(10):
        each = webs.web(random, 2)
        there = each.lifts.copy()
        pick, shaft = int(random.integers(16)), int(random.choice(each.planned))
        there[pick, shaft] ^= True
        woven = webs.Web(each.planned, each.there, there, each.slips)
        found = infer(woven.cells(random), each.lifts, each.planned)
        assert webs.told(found) == each.slips
        lifts = [(slip.pick, slip.planned or slip.found) for slip in found.slips if slip.pick]
        assert lifts == [(pick + 1, shaft + 1)]


def test_a_few_misread_cells_are_no_slips_and_lower_what_is_explained() -> None:
    cells = PICKS[:, STRAIGHT].astype(np.int8)
    cells[0, 10] ^= 1
    cells[5, 50] ^= 1
    found = infer(cells, PICKS, STRAIGHT)
    assert found.slips == ()
    assert found.explains == pytest.approx(1 - 2 / cells.size)


def test_floating_selvedges_say_nothing() -> None:
    planned = np.concatenate([[-1], STRAIGHT, [-1]])
    cells = np.zeros((8, 82), dtype=np.int8)
    cells[:, 1:-1] = PICKS[:, STRAIGHT]
    cells[::2, [0, -1]] = 1
    free = planned < 0
    assert infer(cells, PICKS, planned, free).slips == ()
    assert infer(cells, PICKS, planned, free).explains == 1.0


def test_ends_nobody_looked_at_cost_nothing() -> None:
    web = straight()
    web[20] = 6
    cells = PICKS[:, web].astype(np.int8)
    cells[:, 40:] = -1
    assert webs.told(infer(cells, PICKS, STRAIGHT)) == (("wrong shaft", 21, 5, 7),)


@pytest.mark.parametrize(("slips", "share"), [(0, 0.99), (1, 0.99), (4, 0.95)])
def test_slips_of_simulated_webs_are_found_exactly(slips: int, share: float) -> None:
    assert webs.found_exactly(24, slips, seed=1) >= share


def test_odds_are_right_as_often_as_they_say() -> None:
    random = np.random.default_rng(11)
    said: list[tuple[float, bool]] = []
    for _ in range(250):
        shafts = int(random.integers(4, 9))
        planned = webs.threading(random, int(random.integers(40, 160)), shafts)
        there, slips = webs.with_slips(planned, int(random.integers(1, 4)), random)
        lifts = picking.well_apart(planned, shafts, int(random.integers(4, 8)), 6).lifts
        web = webs.Web(planned, there, lifts, slips)
        for slip in infer(web.cells(random), lifts, planned).slips:
            right = (slip.kind, slip.end, slip.planned, slip.found) in slips
            said.append((slip.odds / (1 + slip.odds), right))
    for least, most in ((0.9, 0.99), (0.99, 1.0)):
        among = [(claimed, right) for claimed, right in said if least <= claimed <= most]
        claimed, right = np.mean(among, axis=0)
        assert len(among) > 30
        assert right == pytest.approx(claimed, abs=0.04)


def test_two_cells_of_a_few_ends_do_not_make_a_wrong_lift_certain() -> None:
    planned = np.arange(48) % 4
    lifts = np.array([[1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1], [1, 0, 0, 1]], dtype=bool)
    there = lifts.copy()
    there[1, 2] = False
    few, many = (
        infer(there[:, planned[:ends]].astype(np.int8), lifts, planned[:ends]).slips for ends in (8, 48)
    )
    assert [slip.pick for slip in (*few, *many)] == [2, 2]
    assert few[0].odds < 100
    assert many[0].odds > 10_000


@pytest.mark.parametrize("column", [3, 4, 5, 6])
def test_a_misread_cell_beside_it_does_not_say_which_end_of_a_run_is_one_too_many(column: int) -> None:
    planned = np.repeat(np.arange(8), 3)
    lifts = picking.well_apart(planned, 8, 8, 6).lifts
    web = planned.tolist()
    web.insert(4, 1)
    cells = lifts[:, web].astype(np.int8)
    cells[2, column] ^= 1
    found = infer(cells, lifts, planned)
    assert webs.told(found) == (("extra", 4, None, 2),)
    assert [each.slip.end for each in found.alternatives][:3] == [5, 6, 7]


def test_a_treadle_that_never_lifts_one_shaft_is_told_even_where_each_pick_alone_is_doubtful() -> None:
    """Half of the ends were not looked at: one pick says little, three with the same treadle say it."""
    planned = np.arange(16) % 8
    lifts = np.tile(PICKS, (3, 1))
    there = lifts.copy()
    pick, shaft = np.argwhere(PICKS)[0].tolist()
    there[[pick, pick + 8, pick + 16], shaft] = False
    cells = there[:, planned].astype(np.int8)
    cells[:, 8:] = -1
    found = infer(cells, lifts, planned)
    assert [(slip.kind, slip.pick, slip.tied) for slip in found.slips] == [
        ("wrong lift", at + 1, True) for at in (pick, pick + 8, pick + 16)
    ]
