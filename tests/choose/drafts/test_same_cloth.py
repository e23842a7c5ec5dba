"""Canonical forms against all that a cloth can be moved, mirrored, turned over and woven upside down to."""

from __future__ import annotations

from itertools import product

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from loomready.choose.drafts.same_cloth import canonical, of_draft
from loomready.draft.draft import Bools, lift_plan

blocks = hnp.arrays(np.bool_, st.tuples(st.integers(1, 5), st.integers(1, 6)))


def orbit(block: Bools) -> set[bytes]:
    """Every drawdown that is the same cloth."""
    picks, ends = block.shape
    made = set()
    for over, mirrored, upside_down in product((False, True), repeat=3):
        face = ~block[:, ::-1] if over else block
        face = face[:, ::-1] if mirrored else face
        face = face[::-1] if upside_down else face
        for pick, end in product(range(picks), range(ends)):
            made.add(np.roll(face, (pick, end), (0, 1)).tobytes())
    return made


@settings(max_examples=60, deadline=None)
@given(blocks)
def test_all_of_one_cloth_have_one_form(block: Bools) -> None:
    forms = {canonical(np.frombuffer(each, np.bool_).reshape(block.shape)) for each in orbit(block)}
    assert len(forms) == 1


def test_the_forms_of_all_small_blocks_are_their_orbits() -> None:
    """All 2^12 blocks of 3 by 4: as many forms as orbits, and the same ones together."""
    for shape in ((3, 4), (2, 5), (4, 3)):
        size = shape[0] * shape[1]
        forms: dict[bytes, bytes] = {}
        leaders = set()
        for number in range(1 << size):
            block = np.array([number >> bit & 1 for bit in range(size)], np.bool_).reshape(shape)
            form = canonical(block)
            if form not in forms:
                forms[form] = min(orbit(block))
                leaders.add(forms[form])
            elif number % 7 == 0:  # the others belong there
                assert min(orbit(block)) == forms[form]
        assert len(leaders) == len(forms)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**32), st.integers(63, 70), st.integers(1, 4), st.integers(0, 69), st.integers(0, 3))
def test_blocks_wider_than_a_machine_word_have_one_form_too(
    seed: int, ends: int, picks: int, end: int, pick: int
) -> None:
    block = np.random.default_rng(seed).random((picks, ends)) < 0.5
    moved = np.roll(~block[::-1, ::-1], (pick, end), (0, 1))
    assert canonical(moved) == canonical(block)
    other = block.copy()
    other[0, 0] ^= True
    assert canonical(other) != canonical(block)


def test_drafts_of_one_cloth_are_found_out_by_their_repeats() -> None:
    twill = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [4, 1]])
    written_twice = lift_plan([3, 4, 1, 2, 3, 4, 1, 2, 3], [[2, 3], [1, 2], [4, 1], [3, 4], [2, 3]])
    weft_faced = lift_plan([1, 2, 3, 4], [[1], [2], [3], [4]])
    turned_over = lift_plan([1, 2, 3, 4], [[2, 3, 4], [1, 3, 4], [1, 2, 4], [1, 2, 3]])
    assert of_draft(twill) == of_draft(written_twice)
    assert of_draft(weft_faced) == of_draft(turned_over)
    assert of_draft(weft_faced) != of_draft(twill)
