"""Face down, turned, merged: the cloth is what it must be."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Draft, drawdown, lift_plan
from loomready.draft.shedding import turned
from loomready.draft.wif import reader, writer
from loomready.problems import BadInput
from tests.strategies import drafts


@settings(max_examples=80, deadline=None)
@given(draft=drafts())
def test_face_down_shows_the_other_face(draft: Draft) -> None:
    found = turned.face_down(draft)
    assert np.array_equal(drawdown(found.draft), ~drawdown(draft))
    used = np.unique(found.draft.threading)
    assert found.after == found.draft.lifts[:, used].sum() == found.draft.lifts.sum()
    again = turned.face_down(found.draft)
    assert np.array_equal(drawdown(again.draft), drawdown(draft))
    assert (again.before, again.after) == (found.after, found.before)


@settings(max_examples=80, deadline=None)
@given(draft=drafts(), data=st.data())
def test_cloths_compare_as_their_drawdowns_do(draft: Draft, data: st.DataObject) -> None:
    """Against each of its conversions, and against the same with one end or pick changed."""
    for made in (draft, turned.merged(draft), turned.face_down(draft).draft, turned.turned(draft)):
        threading, lifts = made.threading.copy(), made.lifts.copy()
        threading[data.draw(st.integers(0, made.ends - 1))] = data.draw(st.integers(-1, made.shafts - 1))
        if made.shafts:
            pick, shaft = st.integers(0, made.picks - 1), st.integers(0, made.shafts - 1)
            lifts[data.draw(pick), data.draw(shaft)] ^= data.draw(st.booleans())
        odd = replace(made, threading=threading, lifts=lifts, tieup=None, treadling=None)
        for other in (made, odd):
            one, two = drawdown(draft), drawdown(other)
            alike = turned._alike(draft, other)
            assert turned.same_cloth(draft, other) == (alike and np.array_equal(one, two))
            assert turned.other_face(draft, other) == (alike and np.array_equal(one, ~two))
            crossed = turned._colors(draft, draft.warp_colors) == turned._colors(other, other.weft_colors)
            crossed &= turned._colors(draft, draft.weft_colors) == turned._colors(other, other.warp_colors)
            assert turned.turned_cloth(draft, other) == (crossed and np.array_equal(one, ~two.T))


def test_three_up_one_down_is_lighter_face_down() -> None:
    found = turned.face_down(lift_plan([1, 2, 3, 4], [[1, 2, 3], [2, 3, 4], [1, 3, 4], [1, 2, 4]]))
    assert (found.before, found.after, found.lighter) == (12, 4, True)
    assert not turned.face_down(found.draft).lighter


def test_uneven_sheds_are_named_over_the_working_shafts() -> None:
    draft = lift_plan([1, 2, 3, 4], [[1, 2, 5], [1], [], [1, 2, 3]], shafts=5)
    assert [(found.pick, found.up) for found in turned.uneven_sheds(draft)] == [(2, 1), (3, 0), (4, 3)]


@settings(max_examples=80, deadline=None)
@given(draft=drafts())
def test_a_turned_draft_is_the_cloth_with_warp_and_weft_swapped(draft: Draft) -> None:
    found = turned.turned(draft)
    block = drawdown(draft)
    assert np.array_equal(drawdown(found), ~block.T)
    assert found.shafts == len(np.unique(block, axis=0))
    assert np.array_equal(found.warp_colors, draft.weft_colors)
    assert np.array_equal(found.weft_colors, draft.warp_colors)
    assert np.array_equal(drawdown(turned.turned(found)), block)
    assert np.array_equal(drawdown(reader.parse(writer.dumps(found)).draft), ~block.T)


def test_a_draft_of_too_many_different_picks_is_not_turned() -> None:
    picks = [[shaft + 1 for shaft in range(7) if number >> shaft & 1] for number in range(65)]
    with pytest.raises(BadInput, match="needs 65 shafts"):
        turned.turned(lift_plan([1, 2, 3, 4, 5, 6, 7], picks))


@settings(max_examples=80, deadline=None)
@given(draft=drafts())
def test_merged_shafts_weave_the_same_cloth_on_as_few_as_there_are_columns(draft: Draft) -> None:
    found = turned.merged(draft)
    block = drawdown(draft)
    assert np.array_equal(drawdown(found), block)
    in_heddles = block[:, draft.threading >= 0]
    assert found.shafts == len(np.unique(in_heddles, axis=1).T)
    assert found.treadles == draft.treadles
    if found.shafts:
        assert np.array_equal(drawdown(reader.parse(writer.dumps(found)).draft), block)


def test_equal_shafts_become_one() -> None:
    found = turned.merged(lift_plan([1, 2, 3, 4, 3, 2], [[1, 3], [2, 4]], shafts=8))
    assert (found.threading + 1).tolist() == [1, 2, 1, 2, 1, 2]
    assert found.lifts.tolist() == [[True, False], [False, True]]


@settings(max_examples=60, deadline=None)
@given(draft=drafts())
def test_what_became_of_the_cloth_is_told_from_the_cloth(draft: Draft) -> None:
    assert turned.same_cloth(draft, draft.as_lift_plan())
    assert turned.same_cloth(draft, turned.merged(draft))
    down = turned.face_down(draft).draft
    assert turned.other_face(draft, down)
    assert not turned.same_cloth(draft, down)
    assert turned.turned_cloth(draft, turned.turned(draft))


def test_another_color_is_another_cloth() -> None:
    one = lift_plan([1, 2], [[1], [2]])
    other = lift_plan([1, 2], [[1], [2]], warp_colors=[0, 1])
    assert not turned.same_cloth(one, other)
    assert not turned.other_face(one, turned.face_down(other).draft)
    assert not turned.turned_cloth(one, turned.turned(other))
