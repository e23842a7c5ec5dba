"""The layers of a layered cloth: loose ones, stitched ones, and ones that change places."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.draft.draft import Draft, drawdown, lift_plan
from loomready.draft.structure.analysis import interlacements
from loomready.draft.structure.layers import layers_of

# Ends 1 and 3 weave the upper layer, 2 and 4 the lower; so do picks 1 and 3, 2 and 4.
DOUBLE = lift_plan([1, 2, 3, 4], [[1], [1, 2, 3], [3], [1, 3, 4]])
STITCHED = lift_plan([1, 2, 3, 4] * 2, [[1], [1, 2, 3], [3], [1, 3, 4], [1, 2], [1, 2, 3], [3], [1, 3, 4]])


def plain(draft: Draft) -> bool:
    block = drawdown(draft)
    rows, columns = np.indices(block.shape)
    return bool(((rows + columns) % 2 == block).all() or ((rows + columns) % 2 != block).all())


def test_loose_layers_are_the_parts_of_the_cloth() -> None:
    made = layers_of(DOUBLE, 2)
    assert [(layer.share, layer.pick_share) for layer in made] == [(0.5, 0.5), (0.5, 0.5)]
    assert all(plain(layer.draft) for layer in made)


def test_layers_that_are_stitched_together_are_told_apart() -> None:
    made = layers_of(STITCHED, 2)
    assert [layer.draft.ends for layer in made] == [2, 2]
    assert all(interlacements(layer.draft)[2] > 0 for layer in made)


def test_layers_that_change_places_are_told_apart() -> None:
    threading = [1, 2, 3, 4, 5, 6, 7, 8]
    top_a = [[1], [1, 2, 3], [3], [1, 3, 4]]
    top_b = [[5, 6, 8], [6], [6, 7, 8], [8]]
    blocks = lift_plan(threading, [a + b for a, b in zip(top_a, top_b, strict=True)])
    made = layers_of(blocks, 2)
    assert len(made) == 2
    assert all(plain(layer.draft) for layer in made)


def test_a_cloth_that_is_no_double_weave_has_no_two_layers() -> None:
    assert layers_of(lift_plan([1, 2], [[1], [2]]), 2) == ()
    assert layers_of(lift_plan([1, 2, 3], [[1], [2], [3]]), 2) == ()


def test_a_thread_that_comes_apart_alone_is_no_layer() -> None:
    loose = lift_plan([1, 2, 3], [[1, 3], [2, 3]])  # end 3 lies on top of everything
    assert layers_of(loose, 2) == ()


@given(st.integers(1, 4), st.integers(2, 4))
def test_so_many_plain_layers_one_under_the_other_are_found(layers: int, across: int) -> None:
    """Layer k's picks lift all ends of the layers above it, and every other end of its own."""
    shafts = [[2 * layer + 1, 2 * layer + 2] for layer in range(layers)]
    threading = [shafts[layer][n % 2] for n in range(2 * across) for layer in range(layers)]
    lifts = [
        [shaft for above in shafts[:layer] for shaft in above] + [shafts[layer][n]]
        for n in range(2)
        for layer in range(layers)
    ]
    made = layers_of(lift_plan(threading, lifts), layers)
    assert len(made) == layers
    assert all(plain(layer.draft) for layer in made)
    assert sum(layer.share for layer in made) == pytest.approx(1)
