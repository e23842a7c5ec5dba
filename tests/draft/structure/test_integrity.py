import networkx as nx
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Bools
from loomready.draft.structure import integrity
from tests.draft.brute import blocks, from_block, layered, lies_over


def shape_of_parts(block: Bools) -> list[tuple[int, int]]:
    """How many ends and picks each part has, top to bottom."""
    return [(len(part.ends), len(part.picks)) for part in integrity.parts(block)]


@given(blocks | layered())
@settings(max_examples=300)
def test_parts_are_the_strong_components_from_top_to_bottom(block: Bools) -> None:
    graph = lies_over(block)
    found = [
        {("end", end) for end in part.ends.tolist()} | {("pick", pick) for pick in part.picks.tolist()}
        for part in integrity.parts(block)
    ]
    assert sorted(map(sorted, found)) == sorted(map(sorted, nx.strongly_connected_components(graph)))
    place = {thread: number for number, part in enumerate(found) for thread in part}
    assert all(place[over] <= place[under] for over, under in graph.edges)


@given(blocks | layered())
def test_the_draft_alone_tells_the_same_as_its_drawdown(block: Bools) -> None:
    draft = from_block(block)
    by_draft = integrity.parts_of(draft.lifts, draft.threading)
    assert [(p.ends.tolist(), p.picks.tolist()) for p in by_draft] == [
        (p.ends.tolist(), p.picks.tolist()) for p in integrity.parts(block)
    ]
    assert integrity.holds(draft.lifts, draft.threading) is (by_draft.count == 1)


@given(blocks | layered())
def test_turning_the_cloth_over_turns_the_parts_over(block: Bools) -> None:
    over = [sorted(map(len, (part.ends, part.picks))) for part in integrity.parts(block)]
    under = [sorted(map(len, (part.ends, part.picks))) for part in integrity.parts(~block)]
    assert over == under[::-1]


@given(blocks, st.integers(-9, 9), st.integers(-9, 9))
def test_moving_or_mirroring_the_repeat_changes_no_part(block: Bools, down: int, along: int) -> None:
    as_it_was = sorted(shape_of_parts(block))
    assert sorted(shape_of_parts(np.roll(block, (down, along), (0, 1)))) == as_it_was
    assert sorted(shape_of_parts(block[::-1])) == as_it_was
    assert sorted(shape_of_parts(block[:, ::-1])) == as_it_was


@given(blocks, st.integers(1, 3), st.integers(1, 3), st.integers(0, 8), st.integers(0, 8))
def test_repeating_a_cloth_neither_binds_nor_frees_it(
    block: Bools, down: int, along: int, picks: int, ends: int
) -> None:
    picks, ends = min(picks, block.shape[0]), min(ends, block.shape[1])
    repeated = np.tile(block, (down + 1, along + 1))[: down * len(block) + picks]
    repeated = repeated[:, : along * block.shape[1] + ends]
    assert (integrity.parts(repeated).count == 1) is (integrity.parts(block).count == 1)


def test_each_loose_end_is_a_part_of_its_own() -> None:
    plain_with_two_ends_on_top = np.array([[1, 1, 1, 0], [1, 1, 0, 1]], dtype=bool)
    parts = list(integrity.parts(plain_with_two_ends_on_top))
    assert [part.ends.tolist() for part in parts] == [[0], [1], [2, 3]]
    assert [part.picks.tolist() for part in parts] == [[], [], [0, 1]]
    assert [part.single for part in parts] == [True, True, False]


def test_a_pick_between_two_layers_is_held_by_neither() -> None:
    # Picks 1 and 2 weave the upper ends 1 and 2, picks 4 and 5 the lower ones; pick 3 lies between.
    block = np.array([[1, 0, 0, 0], [0, 1, 0, 0], [1, 1, 0, 0], [1, 1, 1, 0], [1, 1, 0, 1]], dtype=bool)
    parts = list(integrity.parts(block))
    assert [part.picks.tolist() for part in parts] == [[0, 1], [2], [3, 4]]
    assert [part.ends.tolist() for part in parts] == [[0, 1], [], [2, 3]]


def test_parts_can_be_indexed_and_end_where_they_end() -> None:
    parts = integrity.parts(np.array([[1, 0], [0, 1]], dtype=bool))
    assert len(parts) == parts.count == 1
    assert parts[0].ends.tolist() == [0, 1]
    assert len(list(parts)) == 1
