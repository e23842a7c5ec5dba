"""What is marked while editing, against a walk over every crossing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings

from loomready.draft.balance.balance import balance
from loomready.draft.draft import Draft, drawdown, lift_plan
from loomready.draft.edit import marks as marks_module
from loomready.draft.edit.blank import blank
from loomready.draft.edit.edges import edges
from loomready.draft.edit.marks import Floats, float_runs, marks, mirror_lines
from loomready.draft.structure.analysis import analyze
from tests.draft.edit.drafts import drafts

few = settings(max_examples=40, deadline=None)


def walked(line: list[bool], limit: int) -> set[tuple[int, int]]:
    """Runs longer than the limit, as a continuous repeat, one thread at a time."""
    found = set()
    for first in range(len(line)):
        if line[first] == line[first - 1]:
            continue
        length = 1
        while line[(first + length) % len(line)] == line[first]:
            length += 1
        if length > limit:
            found.add((first, length))
    return found


@few
@given(drafts)
def test_floats_are_found_where_a_walk_finds_them(draft: Draft) -> None:
    block = np.ascontiguousarray(drawdown(draft))
    rows, first, length = float_runs(block, 2)
    found = set(zip(rows.tolist(), first.tolist(), length.tolist(), strict=True))
    expected = {(row, *run) for row, line in enumerate(block.tolist()) for run in walked(line, 2)}
    assert found == expected


def cells(found: tuple[Floats, ...]) -> set[tuple[int, int]]:
    return {
        (thread, place)
        for each in found
        for thread in each.threads
        for first, length in each.runs
        for place in range(first, first + length)
    }


@few
@given(drafts)
def test_every_crossing_of_a_long_float_is_marked_wherever_the_repeat_comes(draft: Draft) -> None:
    found = marks(draft, (2, 3))
    repeat_ends, repeat_picks = analyze(draft).repeat
    block = drawdown(draft)[:repeat_picks, :repeat_ends]
    warp = {
        (end, pick)
        for end in range(draft.ends)
        for first, length in walked(block[:, end % repeat_ends].tolist(), 2)
        for pick in range(draft.picks)
        if (pick - first) % repeat_picks < length
    }
    weft = {
        (pick, end)
        for pick in range(draft.picks)
        for first, length in walked(block[pick % repeat_picks].tolist(), 3)
        for end in range(draft.ends)
        if (end - first) % repeat_ends < length
    }
    assert cells(found.warp) == warp
    assert cells(found.weft) == weft


@few
@given(drafts)
def test_a_float_on_the_face_has_its_own_thread_on_top(draft: Draft) -> None:
    found = marks(draft, (1, 1))
    repeat_ends, repeat_picks = analyze(draft).repeat
    block = drawdown(draft)
    for floats, up in ((found.warp, True), (found.weft, False)):
        for each in floats:
            for thread in each.threads:
                for first, length in each.runs:
                    line = block[:, thread % repeat_ends] if up else block[thread % repeat_picks]
                    repeat = repeat_picks if up else repeat_ends
                    faces = {bool(line[place % repeat]) for place in range(first, first + length)}
                    assert faces == {each.face == up}
    assert found.count is not None
    for face, count in zip((True, False), found.count, strict=True):
        both = (*found.warp, *found.weft)
        assert count == sum(len(each.threads) * len(each.runs) for each in both if each.face == face)


@few
@given(drafts)
def test_marks_agree_with_the_check(draft: Draft) -> None:
    found, whole = marks(draft, (draft.picks, draft.ends)), analyze(draft)
    assert not found.warp
    assert not found.weft
    assert (whole.parts == 1) == (not found.parts)
    assert bool(found.mirror_ends) == whole.mirror_ends
    assert bool(found.mirror_picks) == whole.mirror_picks
    block = drawdown(draft)
    assert found.loose_ends == tuple(np.flatnonzero(block.all(axis=0) | ~block.any(axis=0)).tolist())
    if found.parts and whole.parts <= 9:
        together = sorted(end for part in found.parts for end in part.ends)
        assert together == list(range(draft.ends))


@few
@given(drafts)
def test_mirror_lines_are_those_about_which_the_threading_balances(draft: Draft) -> None:
    ends = analyze(draft).repeat[0]
    ids = np.unique(drawdown(draft)[:, :ends], axis=1, return_inverse=True)[1].reshape(-1)
    expected = tuple(
        line for line in range(2 * ends - 1) if all(ids[e] == ids[(line - e) % ends] for e in range(ends))
    )
    assert mirror_lines(ids, ends) == expected
    repeat = lift_plan([1, 2, 3, 4, 3, 2], [[1, 2], [2, 3], [3, 4], [4, 1]])
    assert [line + 2 for line in marks(repeat, (3, 3)).mirror_ends if line < 6] == [
        axis for axis in balance(repeat).axes if axis < 8
    ]


def missed_turns(draft: Draft, at_last_end: bool) -> set[tuple[int, int]]:
    """A shuttle thrown to and fro through the cloth twice: (edge end, pick) of each turn not caught."""
    block = drawdown(draft)
    found = set()
    for turn in range(2 * draft.picks):
        end = draft.ends - 1 if at_last_end else 0
        pick = turn % draft.picks
        if block[pick, end] == block[(pick + 1) % draft.picks, end]:
            found.add((end, pick))
        at_last_end = not at_last_end
    return found


@few
@given(drafts.filter(lambda draft: draft.ends > 1))
def test_edges_are_those_of_a_shuttle_thrown_to_and_fro(draft: Draft) -> None:
    found = edges(draft)
    said = {(edge.end, pick) for edge in found.edges for pick in edge.missed}
    assert said == missed_turns(draft, found.starts_at_end_1)
    assert len(said) <= len(missed_turns(draft, not found.starts_at_end_1))


def test_a_straight_twill_catches_when_the_shuttle_starts_at_the_right_side() -> None:
    assert edges(blank(8, 8, 2, 2)).missed == 0
    twill = lift_plan([1, 2, 3, 4] * 2, [[1, 2], [2, 3], [3, 4], [4, 1]])
    assert edges(twill).missed == 0
    assert missed_turns(twill, edges(twill).starts_at_end_1) == set()
    assert len(missed_turns(twill, not edges(twill).starts_at_end_1)) == 4


def test_an_odd_number_of_picks_turns_on_both_sides_after_each() -> None:
    found = edges(lift_plan([1, 2], [[1], [2], [1]]))
    assert [edge.turns for edge in found.edges] == [3, 3]
    assert [edge.missed for edge in found.edges] == [(2,), (2,)]


def test_a_large_draft_is_looked_at_in_little_memory() -> None:
    draft = blank(12_000, 2_000, 24, None)

    def floats_along(shaft: int, length: int) -> int:
        # Down between two lifts, 24 threads apart; one more float may lie before the first lift.
        return len(range(shaft + 1, length, 24)) + (shaft > 0)

    warp = sum(500 * floats_along(shaft, 2_000) for shaft in range(24))
    weft = sum(floats_along(pick % 24, 12_000) for pick in range(2_000))
    # The warp is down in them, the weft up: on the back, and on the face.
    assert marks(draft, (5, 5)).count == (weft, warp)


def test_just_as_many_floats_as_may_be_marked_are_marked(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = np.array([[1, 1, 1, 1, 0, 0, 0, 0], [1, 0, 1, 0, 1, 0, 1, 0]], dtype=np.bool_)
    usual, count = marks_module._floats(lines, np.array([0, 1]), 8, 3, face_up=True)
    assert usual is not None
    many = sum(count)
    for room, marked in ((many, True), (many - 1, False)):
        monkeypatch.setattr(marks_module, "MOST_FLOATS", room)
        found, again = marks_module._floats(lines, np.array([0, 1]), 8, 3, face_up=True)
        assert (found is not None) == marked
        assert again == count
