"""Facts merge by union: whatever way they travel, everybody finds the same work done."""

from __future__ import annotations

import json
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.loomside.log.facts import Fact, check_sum, read, state, stretches
from loomready.loomside.log.plan_diff import difference, moves, plan_name
from loomready.problems import BadInput

Spans = tuple[tuple[int, int], ...]
PLAN, EARLIER = "0123456789abcdef", "fedcba9876543210"
UNITS = 12
FACTS = st.builds(
    lambda plan, first, size, done, counter, hand: Fact(
        "threading", plan, first, min(UNITS, first + size), done, counter, hand
    ),
    st.sampled_from([PLAN, EARLIER]),
    st.integers(1, UNITS),
    st.integers(0, 4),
    st.booleans(),
    st.integers(1, 6),
    st.sampled_from(["aaaaaaaa", "bbbbbbbb", "cccccccc"]),
)
MOVES = {EARLIER: [(1, 5, 0), (8, 12, -1)]}


@settings(max_examples=80)
@given(st.lists(FACTS, max_size=12), st.randoms())
def test_order_and_duplicates_do_not_matter(facts: list[Fact], chance: random.Random) -> None:
    mixed = [*facts, *facts[:3]]
    chance.shuffle(mixed)
    wanted = state(facts, UNITS, PLAN, MOVES)
    assert np.array_equal(state(mixed, UNITS, PLAN, MOVES), wanted)
    assert {fact.name for fact in mixed} == {fact.name for fact in facts}


@settings(max_examples=60)
@given(st.lists(FACTS, max_size=12), st.lists(FACTS, max_size=12))
def test_merging_a_part_first_changes_nothing(mine: list[Fact], theirs: list[Fact]) -> None:
    together = state([*mine, *theirs], UNITS, PLAN, MOVES)
    assert np.array_equal(state([*theirs, *mine, *theirs], UNITS, PLAN, MOVES), together)


@settings(max_examples=60)
@given(st.lists(FACTS, max_size=12))
def test_each_end_is_as_the_last_fact_that_covers_it_says(facts: list[Fact]) -> None:
    done = state(facts, UNITS, PLAN)
    for end in range(1, UNITS + 1):
        cover = [fact for fact in facts if fact.plan == PLAN and fact.first <= end <= fact.last]
        last = max(cover, key=lambda fact: fact.order, default=None)
        assert done[end - 1] == (last is not None and last.done)


def test_two_from_both_ends_meet_and_what_both_did_counts_once() -> None:
    right = [Fact("threading", PLAN, at, at + 3, True, n, "aaaaaaaa") for n, at in enumerate((1, 5), 1)]
    left = [Fact("threading", PLAN, at, at + 3, True, n, "bbbbbbbb") for n, at in enumerate((9, 5), 1)]
    done = state([*right, *left], UNITS, PLAN)
    assert int(done.sum()) == UNITS


@given(st.lists(st.booleans(), max_size=30))
def test_stretches_say_what_is_done(values: list[bool]) -> None:
    done = np.asarray(values, dtype=np.bool_)
    again = np.zeros_like(done)
    for first, last in stretches(done):
        assert first == 1 or not done[first - 2]
        again[first - 1 : last] = True
    assert np.array_equal(again, done)


@pytest.mark.parametrize(
    "row",
    [
        None,
        "threading",
        [],
        ["knitting", PLAN, 1, 2, 1, 1, "aaaaaaaa"],
        ["threading", "x", 1, 2, 1, 1, "aaaaaaaa"],
        ["threading", PLAN, 2, 1, 1, 1, "aaaaaaaa"],
        ["threading", PLAN, 0, 1, 1, 1, "aaaaaaaa"],
        ["threading", PLAN, 1, 10**9, 1, 1, "aaaaaaaa"],
        ["threading", PLAN, 1, 2, 2, 1, "aaaaaaaa"],
        ["threading", PLAN, 1, 2, 1, 2**60, "aaaaaaaa"],
        ["threading", PLAN, True, 2, 1, 1, "aaaaaaaa"],
        ["threading", PLAN, 1, 2, 1, 1, "<script>"],
        ["threading", PLAN, 1, 2, [], 1, "aaaaaaaa"],
    ],
)
def test_what_is_no_fact_is_refused_in_one_line(row: object) -> None:
    with pytest.raises(BadInput) as caught:
        read(row)
    assert "\n" not in str(caught.value)


@given(FACTS)
def test_a_fact_travels_as_a_row(fact: Fact) -> None:
    assert read(json.loads(json.dumps(fact.row()))) == fact


@given(st.lists(FACTS, min_size=1, max_size=6), st.randoms())
def test_the_sum_of_a_file_knows_an_edit_and_no_order(facts: list[Fact], chance: random.Random) -> None:
    rows = [fact.row() for fact in dict.fromkeys(facts)]
    mixed = rows[:]
    chance.shuffle(mixed)
    assert check_sum(mixed) == check_sum(rows)
    edited = [[*rows[0][:5], int(rows[0][5]) + 1, rows[0][6]], *rows[1:]]
    assert check_sum(edited) != check_sum(rows)


@given(st.text("ab", max_size=12), st.text("ab", max_size=12))
def test_what_two_plans_share_is_the_same_in_both(before: str, now: str) -> None:
    seen: set[int] = set()
    for first, last, shift in moves(before, now):
        assert before[first - 1 : last] == now[first - 1 + shift : last + shift]
        assert not seen & set(range(first + shift, last + shift + 1))
        seen |= set(range(first + shift, last + shift + 1))
    if before == now:
        assert len(seen) == len(now)


def test_a_changed_plan_says_what_is_done_otherwise_and_what_differs_ahead() -> None:
    done_before = np.array([True, True, True, False, False])
    told = difference("abcde", "abxdy", done_before, np.array([True, True, False, False, False]))
    assert (told.otherwise, told.ahead, told.gone) == (((3, 3),), ((3, 3), (5, 5)), ((5, 5),))
    assert not difference("abc", "abc", done_before[:3], done_before[:3])
    assert plan_name("threading", ["1 a", "2 a"]) != plan_name("threading", ["1 a", "2 b"])


def vectors() -> list[dict[str, object]]:
    """Cases that the browser's own merge must answer alike; see tests/app/loomside/test_jobs_script.py."""
    chance = random.Random(7)
    made = []
    for _ in range(60):
        facts = []
        for _each in range(chance.randrange(9)):
            first = chance.randint(1, UNITS)
            facts.append(
                Fact(
                    "threading",
                    chance.choice([PLAN, EARLIER]),
                    first,
                    min(UNITS, first + chance.randrange(5)),
                    chance.random() < 0.7,
                    chance.randint(1, 5),
                    chance.choice(["aaaaaaaa", "bbbbbbbb"]),
                )
            )
        done = state(facts, UNITS, PLAN, MOVES)
        rows = [fact.row() for fact in facts]
        made.append({"rows": rows, "done": done.astype(int).tolist(), "sum": check_sum(rows)})
    return made


def test_a_fact_of_an_earlier_plan_counts_only_where_that_plan_is_the_same_now() -> None:
    """Ends 5 to 8 are the same, now three further on: a fact about more ends tells no more than that."""
    kept = {EARLIER: [(5, 8, 3)]}
    for first, last in [(1, 20), (5, 8), (6, 7), (1, 5), (8, 20), (1, 4), (9, 20)]:
        fact = Fact("threading", EARLIER, first, last, True, 1, "aaaaaaaa")
        done = state([fact], 30, PLAN, kept)
        same = {unit + 3 for unit in range(max(first, 5), min(last, 8) + 1)}
        assert {int(unit) + 1 for unit in np.flatnonzero(done)} == same


@pytest.mark.parametrize(
    ("before", "now", "otherwise", "ahead", "gone"),
    [
        ("aabbcc", "aabxxbcc", (), ((4, 5),), ()),  # two ends more in the middle
        ("aabxxbcc", "aabbcc", ((4, 4),), (), ((5, 5),)),  # and taken out again, one of them threaded
        ("abc", "abcde", (), ((4, 5),), ()),
        ("abcde", "cde", ((1, 2),), (), ()),
    ],
)
def test_ends_put_in_or_taken_out_between_are_all_that_differs(
    before: str, now: str, otherwise: Spans, ahead: Spans, gone: Spans
) -> None:
    """Of the plan before the first four ends are done, and of the plan now whatever of them is the same."""
    done_before = np.arange(len(before)) < 4
    done_now = np.zeros(len(now), dtype=np.bool_)
    for first, last, shift in moves(before, now):
        for unit in range(first, last + 1):
            done_now[unit - 1 + shift] = done_before[unit - 1]
    told = difference(before, now, done_before, done_now)
    assert (told.otherwise, told.ahead, told.gone) == (otherwise, ahead, gone)
