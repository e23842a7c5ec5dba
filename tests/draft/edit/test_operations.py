"""Operations on a draft: what each does, the laws that hold between them, and what is refused."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Draft, drawdown, lift_plan, lifts_of
from loomready.draft.edit import operations as edit
from loomready.draft.edit.as_json import as_json, fingerprint, operation, operations
from loomready.draft.edit.blank import blank
from loomready.draft.unread_sections import Section
from loomready.draft.wif import reader, writer
from loomready.model.guild import MAX_ENDS
from loomready.problems import BadInput
from tests.draft.edit.drafts import chance, chance_words, drafts, same

SIDES = st.sampled_from(["warp", "weft"])
few = settings(max_examples=40, deadline=None)


def ends(draft: Draft) -> list[int]:
    return (draft.threading + 1).tolist()


STRAIGHT = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [4, 1]])


def run_in(draft: Draft, side: str, data: st.DataObject) -> tuple[int, int]:
    there = draft.ends if side == "warp" else draft.picks
    first = data.draw(st.integers(1, there))
    return first, data.draw(st.integers(first, there))


@pytest.mark.parametrize(
    ("done", "expected"),
    [
        (edit.Thread(2, (4, 0)), [1, 4, 0, 4]),
        (edit.Insert("warp", 3, 2), [1, 2, 0, 0, 3, 4]),
        (edit.Insert("warp", 5, 1), [1, 2, 3, 4, 0]),
        (edit.Delete("warp", 2, 3), [1, 4]),
        (edit.Move("warp", 1, 2, 5), [3, 4, 1, 2]),
        (edit.Move("warp", 3, 4, 2), [1, 3, 4, 2]),
        (edit.Move("warp", 2, 4, 3), [1, 2, 3, 4]),
        (edit.Copy("warp", 2, 3, 1), [2, 3, 1, 2, 3, 4]),
        (edit.Mirror("warp", 1, 4), [1, 2, 3, 4, 3, 2, 1]),
        (edit.Mirror("warp", 2, 3, "twice"), [1, 2, 3, 3, 2, 4]),
        (edit.Reverse("warp", 1, 3), [3, 2, 1, 4]),
        (edit.Repeat("warp", 1, 2, 3), [1, 2, 1, 2, 1, 2, 3, 4]),
        (edit.Slide("warp", 1, 4, 1), [2, 3, 4, 1]),
        (edit.Slide("warp", 2, 3, -3), [1, 3, 4, 4]),
    ],
)
def test_ends_stand_as_asked(done: edit.Operation, expected: list[int]) -> None:
    assert ends(done.apply(STRAIGHT)) == expected


def test_a_thread_takes_its_color_and_spacing_with_it() -> None:
    draft = replace(
        STRAIGHT,
        warp_colors=np.array([0, 1, 0, 1], dtype=np.int16),
        warp_spacing_mm=np.array([1.0, 2.0, 3.0, 4.0]),
    )
    moved = edit.Move("warp", 2, 2, 1).apply(draft)
    assert moved.warp_colors.tolist() == [1, 0, 0, 1]
    assert moved.warp_spacing_mm is not None
    assert moved.warp_spacing_mm.tolist() == [2.0, 1.0, 3.0, 4.0]
    wider = edit.Insert("warp", 3, 1).apply(draft)
    assert wider.warp_colors.tolist() == [0, 1, 1, 0, 1]
    assert wider.warp_spacing_mm is not None
    assert wider.warp_spacing_mm.tolist() == [1.0, 2.0, 2.0, 3.0, 4.0]


def test_an_inserted_pick_makes_no_shed() -> None:
    for way in ("lift plan", "rising", "sinking"):
        draft = edit.Insert("weft", 1, 2).apply(chance(7, way=way))
        assert not draft.lifts[:2].any()


def test_a_tie_changes_every_pick_of_its_treadle() -> None:
    draft = blank(4, 8, 4, 4)
    tied = edit.Tie(((1, 2),), True).apply(draft)
    assert [np.flatnonzero(row).tolist() for row in tied.lifts[[0, 4]]] == [[0, 1], [0, 1]]
    assert same(edit.Tie(((1, 2),), False).apply(tied), draft)


def test_a_sinking_shed_stays_one() -> None:
    draft = chance(4, way="sinking")
    assert draft.treadles is not None
    treadled = edit.Treadling(1, ((1,),)).apply(draft)
    assert not treadled.rising
    assert treadled.tieup is not None
    assert treadled.lifts[0].tolist() == (~treadled.tieup[:, 0]).tolist()


@few
@given(drafts, SIDES, st.data())
def test_reversing_twice_is_nothing(draft: Draft, side: str, data: st.DataObject) -> None:
    done = edit.Reverse(side, *run_in(draft, side, data))  # type: ignore[arg-type]
    assert same(edit.apply(draft, [done, done]), draft)


@few
@given(drafts, SIDES, st.data(), st.integers(-9, 9), st.integers(-9, 9))
def test_slides_add_up_and_slide_back(
    draft: Draft, side: str, data: st.DataObject, one: int, other: int
) -> None:
    run = run_in(draft, side, data)
    slide = [edit.Slide(side, *run, by) for by in (one, other, one + other, -one)]  # type: ignore[arg-type]
    assert same(edit.apply(draft, slide[:2]), slide[2].apply(draft))
    assert same(edit.apply(draft, [slide[0], slide[3]]), draft)


@few
@given(drafts, st.data())
def test_sliding_by_all_shafts_comes_round(draft: Draft, data: st.DataObject) -> None:
    done = edit.Slide("warp", *run_in(draft, "warp", data), draft.shafts)
    assert same(done.apply(draft), draft)


@few
@given(drafts, SIDES, st.data())
def test_a_mirrored_run_reads_the_same_from_both_ends(draft: Draft, side: str, data: st.DataObject) -> None:
    first, last = run_in(draft, side, data)
    made = edit.Mirror(side, first, last).apply(draft)  # type: ignore[arg-type]
    whole = edit.Reverse(side, first, 2 * last - first).apply(made)  # type: ignore[arg-type]
    assert same(whole, made)


@few
@given(drafts, SIDES, st.data())
def test_copying_is_taken_back_by_deleting(draft: Draft, side: str, data: st.DataObject) -> None:
    first, last = run_in(draft, side, data)
    there = draft.ends if side == "warp" else draft.picks
    before = data.draw(st.integers(1, there + 1))
    copied = edit.Copy(side, first, last, before).apply(draft)  # type: ignore[arg-type]
    deleted = edit.Delete(side, before, before + last - first).apply(copied)  # type: ignore[arg-type]
    assert same(deleted, draft)


@few
@given(drafts, SIDES, st.data())
def test_moving_is_taken_back_by_moving(draft: Draft, side: str, data: st.DataObject) -> None:
    first, last = run_in(draft, side, data)
    there = draft.ends if side == "warp" else draft.picks
    count = last - first + 1
    to_end = edit.Move(side, first, last, there + 1).apply(draft)  # type: ignore[arg-type]
    home = edit.Move(side, there - count + 1, there, first).apply(to_end)  # type: ignore[arg-type]
    assert same(home, draft)


@few
@given(drafts, SIDES, st.data())
def test_repeating_is_copying_on(draft: Draft, side: str, data: st.DataObject) -> None:
    first, last = run_in(draft, side, data)
    copy = edit.Copy(side, first, last, last + 1)  # type: ignore[arg-type]
    assert same(edit.Repeat(side, first, last, 3).apply(draft), edit.apply(draft, [copy, copy]))  # type: ignore[arg-type]


@few
@given(drafts)
def test_another_way_of_lifting_weaves_the_same_cloth(draft: Draft) -> None:
    plan = edit.Lifting("lift plan").apply(draft)
    assert np.array_equal(drawdown(plan), drawdown(draft))
    if draft.lifts.any():
        by_foot = edit.Lifting("treadles").apply(plan)
        assert np.array_equal(drawdown(by_foot), drawdown(draft))
        assert by_foot.treadling is not None
        assert by_foot.treadling.sum(axis=1).max() == 1


@few
@given(st.integers(0, 100_000))
def test_any_run_of_operations_keeps_a_draft_whole_and_the_old_one_as_it_was(number: int) -> None:
    rng = np.random.default_rng(number)
    draft = chance(number)
    before = as_json(draft)
    made = draft
    for _ in range(6):
        made = operation(chance_words(rng, made)).apply(made)
        if made.tieup is not None and made.treadling is not None:
            assert np.array_equal(made.lifts, lifts_of(made.tieup, made.treadling, made.rising))
        back = reader.parse(writer.dumps(made)).draft
        assert fingerprint(back) == fingerprint(made)
        assert np.array_equal(back.lifts, made.lifts)
    assert as_json(draft) == before


def test_what_a_file_says_beside_the_draft_survives() -> None:
    draft = replace(
        STRAIGHT,
        title="Runner",
        notes="two lines\nof notes",
        extra=(Section("PRIVATE SHED", ("Lamp=on",)),),
        weft_spacing_mm=np.array([1.0, 1.5, 1.0, 1.5]),
    )
    edited = edit.apply(draft, [edit.Mirror("warp", 1, 4), edit.Reverse("weft", 1, 2)])
    back = reader.parse(writer.dumps(edited)).draft
    assert (back.title, back.notes, back.extra) == (draft.title, draft.notes, draft.extra)
    assert back.weft_spacing_mm is not None
    assert back.weft_spacing_mm.tolist() == [1.5, 1.0, 1.0, 1.5]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"do": "thread", "first": 1, "shafts": [5]}, "there is no shaft 5; expected 1 to 4"),
        ({"do": "thread", "first": 4, "shafts": [1, 1]}, "there is no end 5"),
        ({"do": "thread", "first": 0, "shafts": [1]}, "there is no end 0"),
        ({"do": "thread", "first": 1, "shafts": [True]}, "expected a whole number"),
        ({"do": "tie", "cells": [[1, 1]], "on": True}, "a lift plan has no treadles"),
        ({"do": "tread", "cells": [[1, 9]], "on": True}, "there is no shaft 9"),
        ({"do": "tread", "cells": [[1]], "on": True}, "expected pairs"),
        ({"do": "tread", "cells": [[1, 1]], "on": 1}, "expected true or false"),
        ({"do": "color", "side": "warp", "first": 1, "colors": [3]}, "there is no color 3"),
        ({"do": "color", "side": "hem", "first": 1, "colors": [1]}, "expected one of warp, weft"),
        ({"do": "palette", "number": 4, "value": "#000000"}, "there is no color 4"),
        ({"do": "palette", "number": 1, "value": "red"}, "is not a color"),
        ({"do": "insert", "side": "warp", "before": 6, "count": 1}, "there is no place before end 6"),
        ({"do": "insert", "side": "warp", "before": 1, "count": MAX_ENDS}, "that makes 20004 ends"),
        ({"do": "delete", "side": "weft", "first": 1, "last": 4}, "that is every pick"),
        ({"do": "reverse", "side": "warp", "first": 3, "last": 2}, "has no threads"),
        ({"do": "repeat", "side": "warp", "first": 1, "last": 4, "times": 20_000}, "that makes 80000 ends"),
        ({"do": "count", "what": "shafts", "to": 3}, "shaft 4 has ends"),
        ({"do": "count", "what": "shafts", "to": 65}, "expected 1 to 64"),
        ({"do": "count", "what": "treadles", "to": 6}, "a lift plan has no treadles"),
        ({"do": "unravel"}, 'there is no operation "unravel"'),
        ({}, "there is no operation"),
        ("mirror", "is not an operation"),
    ],
)
def test_a_wrong_operation_is_refused_in_a_clear_word(words: object, says: str) -> None:
    with pytest.raises(BadInput, match=says.replace("(", r"\(")):
        operation(words).apply(STRAIGHT)


def test_of_several_operations_the_wrong_one_is_named() -> None:
    with pytest.raises(BadInput) as caught:
        operations([{"do": "reverse", "side": "warp", "first": 1, "last": 2}, {"do": "knit"}])
    assert caught.value.where == "[2]"


def test_a_trodden_treadle_stays() -> None:
    with pytest.raises(BadInput, match="treadle 6 is used in the treadling"):
        edit.SetCount("treadles", 5).apply(blank(6, 6, 4, 6))


def test_a_lift_plan_of_too_many_lifts_names_how_many() -> None:
    lifts = [[shaft + 1 for shaft in range(7) if pick >> shaft & 1] for pick in range(128)]
    with pytest.raises(BadInput, match="127 different lifts"):
        edit.Lifting("treadles").apply(lift_plan([1, 2, 3, 4, 5, 6, 7], lifts))


def test_a_draft_from_nothing_is_straight_or_empty() -> None:
    straight = blank(6, 5, 4, None)
    assert ends(straight) == [1, 2, 3, 4, 1, 2]
    assert straight.treadles is None
    empty = blank(6, 5, 4, 3, straight=False)
    assert ends(empty) == [0] * 6
    assert not empty.lifts.any()
    for counts in ((0, 5, 4, 4), (5, 0, 4, 4), (5, 5, 65, 4), (5, 5, 4, 65)):
        with pytest.raises(BadInput):
            blank(*counts)


@given(drafts)
def test_tied_for_the_other_shed_it_weaves_the_same_cloth_or_says_why_not(draft: Draft) -> None:
    if draft.tieup is None or draft.treadling is None:
        with pytest.raises(BadInput, match="no treadles"):
            edit.Shed(rising=False, keep="cloth").apply(draft)
        return
    turned = edit.Shed(not draft.rising, "ties").apply(draft)
    assert turned.rising is not draft.rising
    assert np.array_equal(turned.tieup, draft.tieup)
    # One foot or several: what rose stays down, and the rest rises.
    treadled = draft.treadling.any(axis=1)
    assert np.array_equal(turned.lifts[treadled], ~draft.lifts[treadled])
    assert not turned.lifts[~treadled].any()
    assert same(edit.Shed(draft.rising, "ties").apply(turned), draft)
    try:
        kept = edit.Shed(not draft.rising, "cloth").apply(draft)
    except BadInput as error:
        pick = int(re.findall(r"pick (\d+)", error.what)[0]) - 1
        assert draft.treadling[pick].sum() > 1
    else:
        assert np.array_equal(kept.lifts, draft.lifts)
        assert np.array_equal(kept.tieup, ~draft.tieup)
        assert same(edit.Shed(draft.rising, "cloth").apply(kept), draft)
