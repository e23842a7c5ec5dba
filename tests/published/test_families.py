"""The families against properties that handbooks of weaving give them.

Where no source is at hand the property is from memory, or common practice without a source, and says so.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from sympy.functions.combinatorial.numbers import totient

from loomready.draft.draft import Bools, Draft, drawdown
from loomready.draft.families import registry
from loomready.draft.families.satins import counters
from loomready.draft.structure import analysis
from loomready.problems import BadInput


def found(draft: Draft) -> analysis.Analysis:
    return analysis.analyze(draft)


def runs(line: Bools) -> list[int]:
    """Lengths of the runs of one face along a line, as a continuous repeat, slowly and by hand."""
    values = line.tolist()
    start = next((i for i in range(len(values)) if values[i] != values[i - 1]), 0)
    turned = values[start:] + values[:start]
    return [len(list(group)) for _, group in itertools.groupby(turned)]


def shafts_from_1(draft: Draft) -> list[int]:
    return (draft.threading + 1).tolist()


# --- Twills. ISO 3572: an a/b twill lies over a and under b, a step of one, a repeat of a + b.
# Status: from memory.


@pytest.mark.parametrize("parts", [(1, 2), (2, 1), (2, 2), (1, 3), (3, 1), (3, 2, 1, 2), (1, 1, 2, 2, 3, 1)])
def test_a_twill_floats_as_its_tie_up_says(parts: tuple[int, ...]) -> None:
    draft = registry.make("straight-twill", {"tieup": "/".join(map(str, parts)), "repeats": "2"})
    cloth = drawdown(draft)
    assert found(draft).repeat == (sum(parts), sum(parts))
    for line in (*cloth, *cloth.T):
        assert sorted(runs(line)) == sorted(parts * 2)
    assert (np.roll(cloth, (1, 1), axis=(0, 1)) == cloth).all()
    falling = drawdown(
        registry.make("straight-twill", {"tieup": "/".join(map(str, parts)), "lean": "falling"})
    )
    assert (np.roll(falling, (1, -1), axis=(0, 1)) == falling).all()


def test_the_first_treadle_of_a_2_2_twill_lifts_shafts_1_and_2() -> None:
    draft = registry.make("straight-twill", {"tieup": "2/2"})
    assert [np.flatnonzero(lift).tolist() for lift in draft.lifts[:4]] == [[0, 1], [1, 2], [2, 3], [0, 3]]


def test_plain_weave_is_the_twill_1_1() -> None:
    cloth = drawdown(registry.make("straight-twill", {"tieup": "1/1"}))
    pick, end = np.indices(cloth.shape)
    assert (cloth == ((pick + end) % 2 == 0)).all()


@pytest.mark.parametrize("shafts", range(2, 41))
def test_a_twill_without_a_tie_up_is_even_handed_and_floats_over_three_at_most(shafts: int) -> None:
    draft = registry.make("straight-twill", {"shafts": str(shafts)})
    up = draft.lifts.sum(axis=1)
    assert set(up.tolist()) <= {shafts // 2, (shafts + 1) // 2, shafts // 2 + 1}
    assert max(found(draft).longest_warp_float or 99, found(draft).longest_weft_float or 99) <= 3
    assert found(draft).repeat == (shafts, shafts)


@pytest.mark.parametrize("shafts", [4, 6, 8])
def test_a_broken_twill_cuts_clean_where_it_turns(shafts: int) -> None:
    """Beside each other at the turn stand opposites, so no float is longer than the twill's. From memory."""
    half = shafts // 2
    draft = registry.make("broken-twill", {"shafts": str(shafts), "tieup": f"{half}/{half}"})
    cloth = drawdown(draft)
    assert (cloth[:, shafts - 1] == ~cloth[:, shafts]).all()
    assert (cloth[:, 2 * shafts - 1] == ~cloth[:, 0]).all()
    assert found(draft).longest_weft_float == half
    assert shafts_from_1(registry.make("broken-twill", {"repeats": "1"})) == [1, 2, 3, 4, 2, 1, 4, 3]


def test_a_broken_twill_in_runs_of_two_is_the_false_satin_of_four() -> None:
    """1 2 4 3 under 1/3: one binding point an end and a pick, not all of them apart. From memory."""
    draft = registry.make("broken-twill", {"shafts": "4", "run": "2", "tieup": "1/3", "repeats": "1"})
    assert shafts_from_1(draft) == [1, 2, 4, 3]
    points = drawdown(draft)
    assert (points.sum(axis=0) == 1).all()
    assert (points.sum(axis=1) == 1).all()
    steps = np.diff(points.argmax(axis=1), append=points.argmax(axis=1)[0]) % 4
    assert set(steps.tolist()) == {1, 2, 3}


def test_a_point_twill_turns_on_one_end_and_floats_over_three_there() -> None:
    """2/2 on a point draw: floats of three at the turns. From memory."""
    draft = registry.make("point-twill", {"repeats": "1"})
    assert shafts_from_1(draft) == [1, 2, 3, 4, 3, 2]
    assert (found(draft).longest_warp_float, found(draft).longest_weft_float) == (2, 3)
    assert found(draft).mirror_ends


@pytest.mark.parametrize("draws", [1, 2, 3])
def test_an_extended_point_runs_straight_draws_there_and_back(draws: int) -> None:
    draft = registry.make("extended-point-twill", {"draws": str(draws), "repeats": "2"})
    steps = np.diff(draft.threading.astype(int)) % 4
    half = 4 * draws - 1
    assert steps.tolist() == [*[1] * half, *[3] * half, *[1] * half, *[3] * (half - 1)]
    assert found(draft).mirror_ends


def test_an_undulating_twill_keeps_its_order_of_shafts_and_floats_as_far_as_it_widens() -> None:
    draft = registry.make("undulating-twill", {"most": "3", "tieup": "2/2"})
    kept = [shaft for shaft, _ in itertools.groupby(draft.threading.tolist())]
    assert kept == [0, 1, 2, 3] * (len(kept) // 4)
    assert (found(draft).longest_warp_float, found(draft).longest_weft_float) == (2, 6)


def test_an_advancing_twill_starts_each_run_a_shaft_on() -> None:
    draft = registry.make("advancing-twill", {"shafts": "5", "run": "4", "repeats": "1"})
    assert shafts_from_1(draft) == [1, 2, 3, 4, 2, 3, 4, 5, 3, 4, 5, 1, 4, 5, 1, 2, 5, 1, 2, 3]


@pytest.mark.parametrize("shafts", [None, *range(4, 17)])
def test_the_usual_advancing_twill_floats_over_three_at_most(shafts: int | None) -> None:
    draft = registry.make("advancing-twill", {} if shafts is None else {"shafts": f"{shafts}"})
    run = min(5, draft.shafts)
    assert shafts_from_1(draft)[: run + 1] == [*range(1, run + 1), 2]
    assert max(each or 99 for each in (found(draft).longest_warp_float, found(draft).longest_weft_float)) <= 3


def test_plain_weave_can_be_woven_on_the_usual_advancing_twill() -> None:
    assert found(registry.make("advancing-twill")).plain_weave


@pytest.mark.parametrize("name", ["rosepath", "birds-eye", "goose-eye"])
def test_rosepath_and_the_eyes_are_symmetric_in_ends_and_when_treadled_as_drawn_in_in_picks(
    name: str,
) -> None:
    """From memory of handbooks."""
    options = {"treadling": "as-drawn-in"} if name == "rosepath" else {}
    draft = registry.make(name, options)
    assert found(draft).mirror_ends
    assert found(draft).mirror_picks
    assert draft.treadling is not None
    assert (draft.treadling.argmax(axis=1) == draft.threading).all()


def test_the_small_point_twills_are_threaded_as_handbooks_thread_them() -> None:
    """From memory of handbooks, which differ on the names."""
    once = {"repeats": "1"}
    assert shafts_from_1(registry.make("rosepath", once)) == [1, 2, 3, 4, 1, 4, 3, 2]
    assert shafts_from_1(registry.make("birds-eye", once)) == [1, 2, 3, 4, 3, 2]
    assert shafts_from_1(registry.make("goose-eye", once)) == [1, 2, 3, 4, 1, 2, 3, 4, 3, 2, 1, 4, 3, 2]


# --- Satins. A. Wolfensberger, Theory of Silk Weaving, printed table of regular satins, counters up to mirror
# images: seen in a stored copy of the source, and computed.

WOLFENSBERGER = {
    5: [2], 6: [], 7: [2, 3], 8: [3], 9: [2, 4], 10: [3], 11: [2, 3, 4, 5], 12: [5], 13: [2, 3, 4, 5, 6],
}  # fmt: skip


@pytest.mark.parametrize(("shafts", "printed"), WOLFENSBERGER.items())
def test_the_counters_allowed_are_those_of_the_printed_table(shafts: int, printed: list[int]) -> None:
    assert [counter for counter in counters(shafts) if counter <= shafts // 2] == printed
    for counter in range(1, shafts):
        options = {"shafts": str(shafts), "counter": str(counter)}
        if min(counter, shafts - counter) in printed:
            registry.make("satin", options)
        else:
            with pytest.raises(BadInput):
                registry.make("satin", options)


@pytest.mark.parametrize("shafts", range(5, 41))
def test_there_are_as_many_satins_as_euler_counts(shafts: int) -> None:
    assert len(counters(shafts)) == int(totient(shafts)) - 2


@pytest.mark.parametrize("shafts", [5, 7, 8, 12, 13])
@pytest.mark.parametrize("face", ["weft", "warp"])
def test_a_satin_has_one_binding_point_an_end_and_a_pick_and_no_two_touch(shafts: int, face: str) -> None:
    """ISO 3572. Status: from memory."""
    for counter in counters(shafts):
        options = {"shafts": str(shafts), "counter": str(counter), "face": face, "repeats": "1"}
        draft = registry.make("satin", options)
        points = drawdown(draft) if face == "weft" else ~drawdown(draft)
        assert (points.sum(axis=0) == 1).all()
        assert (points.sum(axis=1) == 1).all()
        places = points.argmax(axis=1)
        steps = (places - np.roll(places, 1)) % shafts
        assert set(steps.tolist()) == {counter}
        assert counter not in (1, shafts - 1)
        assert found(draft).holds_together
        assert found(draft).longest_weft_float == shafts - 1


@pytest.mark.parametrize("shafts", ["2", "4", "8"])
@pytest.mark.parametrize(("ends", "picks"), [("1", "1"), ("2", "2"), ("2", "1"), ("3", "2")])
def test_plain_and_basket_weave_change_face_after_the_ends_and_picks_that_go_as_one(
    shafts: str, ends: str, picks: str
) -> None:
    """ISO 3572 (Textiles: Weaves: Definitions), from memory: plain weave 1/1, hopsack of several as one."""
    draft = registry.make("plain-weave", {"shafts": shafts, "ends": ends, "picks": picks})
    cloth = drawdown(draft)
    every_end, every_pick = np.arange(draft.ends) // int(ends), np.arange(draft.picks) // int(picks)
    assert np.array_equal(cloth, (every_end[None, :] + every_pick[:, None]) % 2 == 0)
    assert len(set(draft.threading.tolist())) == int(shafts)
