import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from loomready.draft.draft import Bools
from loomready.draft.structure import periods
from tests.draft.brute import blocks, has_mirror, line_period

sequences = st.lists(st.integers(0, 2), min_size=1, max_size=14)


@given(sequences, st.integers(1, 3), st.integers(0, 13))
def test_a_period_is_the_smallest_that_fits_the_line(unit: list[int], repeats: int, more: int) -> None:
    line = unit * repeats + unit[: more % len(unit)]
    assert periods.smallest_period(np.array(line)) == line_period(line)


@given(sequences, st.integers(1, 3))
def test_round_and_round_only_whole_repeats_count(unit: list[int], repeats: int) -> None:
    ring = unit * repeats
    expected = next(p for p in range(1, len(ring) + 1) if ring[p:] + ring[:p] == ring)
    assert periods.cyclic_period(np.array(ring)) == expected


@given(sequences)
def test_a_mirror_line_makes_the_reversal_a_rotation(ring: list[int]) -> None:
    assert periods.mirrors(np.array(ring)) is has_mirror(ring)


@given(blocks)
def test_rows_and_columns_are_numbered_in_order_of_first_appearance(block: Bools) -> None:
    for numbered, lines in (
        (periods.number_rows(block), block.tolist()),
        (periods.number_columns(block), block.T.tolist()),
    ):
        seen: list[list[bool]] = []
        for line in lines:
            if line not in seen:
                seen.append(line)
        assert numbered.ids.tolist() == [seen.index(line) for line in lines]
        assert numbered.first.tolist() == [lines.index(line) for line in seen]
        assert numbered.count == len(seen)


def test_rows_wider_than_a_machine_word_are_told_apart_by_their_last_thread() -> None:
    rows = np.zeros((4, 321), dtype=bool)
    rows[1, 320] = rows[3, 64] = True
    assert periods.number_rows(rows).ids.tolist() == [0, 1, 0, 2]


def test_rows_without_threads_are_all_alike() -> None:
    assert periods.number_rows(np.zeros((3, 0), dtype=bool)).ids.tolist() == [0, 0, 0]


def test_parallel_sequences_agree_only_where_all_agree() -> None:
    numbered = periods.number(np.array([5, 5, -1, 5]), np.array([0.5, 1.0, 0.5, 0.5]), np.array([1, 1, 1, 1]))
    assert numbered.ids.tolist() == [0, 1, 2, 0]
