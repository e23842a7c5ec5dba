import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Bools, Draft, drawdown
from loomready.draft.structure import floats
from tests.draft.brute import blocks, drafts, longest_float, longest_run


@given(blocks)
@settings(max_examples=200)
def test_floats_are_the_longest_runs_round_and_round(block: Bools) -> None:
    assert floats.longest(block) == (longest_float(block.T), longest_float(block))


@given(drafts())
def test_floats_from_lifts_are_those_of_the_drawdown(draft: Draft) -> None:
    assert floats.from_lifts(draft.lifts, draft.threading) == floats.longest(drawdown(draft))


@given(drafts(), st.integers(1, 9))
def test_picks_with_long_floats_are_found_one_by_one(draft: Draft, threads: int) -> None:
    runs = [longest_run(pick) for pick in drawdown(draft).tolist()]
    reaching = floats.weft_reaching(draft.lifts, draft.threading, threads)
    assert reaching.tolist() == [run is not None and run >= threads for run in runs]


@given(blocks, st.integers(-9, 9), st.integers(-9, 9))
def test_floats_stay_when_the_cloth_is_moved_mirrored_or_turned_over(
    block: Bools, down: int, along: int
) -> None:
    as_they_were = floats.longest(block)
    for other in (~block, block[::-1], block[:, ::-1], np.roll(block, (down, along), (0, 1))):
        assert floats.longest(other) == as_they_were
    assert floats.longest(block.T) == as_they_were[::-1]
    assert floats.longest(np.tile(block, (2, 3))) == as_they_were


@pytest.mark.parametrize("length", [1, 2, 3, 7, 8, 63, 64, 65, 200])
def test_one_float_of_each_length_is_found_among_many_short_ones(length: int) -> None:
    rng = np.random.default_rng(length)
    plain = np.indices((150, 500)).sum(axis=0) % 2 == 0
    plain[rng.integers(150), np.arange(-3, length - 3)] = True  # over the edge of the repeat
    expected = max(filter(None, (longest_run(row.tolist()) for row in plain)))
    assert floats.longest(plain)[1] == expected
    assert length <= expected <= length + 2


def test_work_in_chunks_finds_the_float_in_any_chunk(monkeypatch: pytest.MonkeyPatch) -> None:
    block = np.random.default_rng(4).random((700, 60)) < 0.5
    whole = floats.longest(block)
    monkeypatch.setattr(floats, "_CHUNK_WORDS", 1)
    assert floats.longest(block) == whole == (longest_float(block.T), longest_float(block))


def test_a_loose_end_does_not_hide_the_floats_of_the_others() -> None:
    lifts = np.array([[1], [1], [0]], dtype=bool)
    found = floats.warp(lifts, np.array([0, -1], dtype=np.int16))
    assert (found.threads, found.loose, found.or_none) == (2, True, None)


@given(blocks, st.data())
def test_a_float_is_as_wide_as_the_threads_it_passes(block: Bools, data: st.DataObject) -> None:
    ends = block.shape[1]
    spacing = np.array(data.draw(st.lists(st.integers(0, 5), min_size=ends, max_size=ends)), dtype=float)
    widest = floats.widest_mm(block, spacing)
    for row, width in zip(block, widest.tolist(), strict=True):
        if len(set(row.tolist())) == 1:
            assert width == 0
            continue
        starts = [e for e in range(ends) if row[e] != row[e - 1]]
        lengths = []
        for start in starts:
            passed = [start]
            while row[(passed[-1] + 1) % ends] == row[start]:
                passed.append((passed[-1] + 1) % ends)
            lengths.append(spacing[passed].sum())
        assert width == pytest.approx(max(lengths))


def test_plain_weave_reaches_one_thread_and_not_two() -> None:
    lifts, threading = np.eye(2, dtype=bool), np.array([0, 1, 0, 1], dtype=np.int16)
    assert floats.weft_reaching(lifts, threading, 1).tolist() == [True, True]
    assert floats.weft_reaching(lifts, threading, 2).tolist() == [False, False]
