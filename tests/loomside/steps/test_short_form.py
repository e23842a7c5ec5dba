"""The short form of a treadling weaves just the picks of the long one."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.loomside.steps.short_form import Part, expanded, short_form, tabby_picks, written

picks = st.lists(st.integers(0, 3), max_size=40)


@settings(max_examples=150, deadline=None)
@given(picks, st.integers(1, 5), picks)
def test_the_short_form_expanded_is_the_long_form(first, times, then):
    treadling = [*first, *(then * times), *first]
    made = short_form(treadling)
    assert [treadling[place] for place in expanded(made)] == treadling
    assert sum(part.picks for part in made) == len(treadling)
    firsts = [part.first for part in made]
    assert firsts == [sum(part.picks for part in made[:n]) for n in range(len(made))]


@settings(max_examples=80, deadline=None)
@given(picks.filter(bool), st.integers(2, 6))
def test_a_repeat_is_written_once_at_most(unit, times):
    assert written(short_form(unit * times)) == written(short_form(unit))


def least(treadling: tuple[int, ...], known: dict[tuple[int, ...], int]) -> int:
    """The fewest picks that any nesting of brackets has to write, by trying all."""
    if len(treadling) <= 1:
        return len(treadling)
    if treadling not in known:
        ways = [
            least(treadling[:cut], known) + least(treadling[cut:], known) for cut in range(1, len(treadling))
        ]
        for size in range(1, len(treadling) // 2 + 1):
            if treadling == treadling[:size] * (len(treadling) // size):
                ways.append(least(treadling[:size], known))
        known[treadling] = min(ways)
    return known[treadling]


def test_no_nesting_of_brackets_writes_fewer_picks():
    known: dict[tuple[int, ...], int] = {}
    for length in range(1, 8):
        for treadling in itertools.product(range(3), repeat=length):
            assert written(short_form(treadling)) == least(treadling, known)


def test_brackets_stand_inside_brackets():
    (part,) = short_form("aab" * 3)
    assert part == Part(0, 3, (Part(0, 2, (0,)), 2))


def test_a_long_treadling_without_repeats_is_written_out():
    treadling = list(range(1000))
    assert [place for part in short_form(treadling) for place in part.inside] == treadling


A, B = frozenset({1, 3}), frozenset({2, 4})
PLAIN = frozenset({A, B})
PATTERN = [frozenset({1, 2}), frozenset({2, 3}), frozenset({3, 4}), frozenset({1, 4})]


@pytest.mark.parametrize("begins", [True, False])
def test_tabby_after_every_pattern_pick_is_found(begins):
    lifts = []
    for n, shed in enumerate(PATTERN * 2):
        pair = [(B if n % 2 else A, "thin"), (shed, "thick")]
        lifts += pair if begins else pair[::-1]
    found = tabby_picks([lift for lift, _ in lifts], [yarn for _, yarn in lifts], PLAIN)
    assert found is not None
    assert found.begins == begins
    assert [lifts[place][0] for place in found.sheds] == [A, B]


def test_a_treadling_without_tabby_has_none():
    assert tabby_picks([A, B] * 8, ["w"] * 16, PLAIN) is None
    assert tabby_picks(PATTERN * 4, ["w"] * 16, PLAIN) is None
    woven = [shed for n, pattern in enumerate(PATTERN * 2) for shed in (B if n % 2 else A, pattern)]
    assert tabby_picks(woven, ["thin", "thick"] * 7 + ["other", "thick"], PLAIN) is None
    assert tabby_picks([*woven[:-2], A, PATTERN[3]], ["thin", "thick"] * 8, PLAIN) is None


@pytest.mark.parametrize("place", range(8))
@pytest.mark.parametrize("begins", [True, False])
def test_one_pattern_pick_anywhere_makes_the_others_tabby(place: int, begins: bool) -> None:
    """All but one of the picks between are tabby sheds too."""
    lifts = []
    for at in range(8):
        shed = frozenset({1}) if at == place else A
        tabby = (A, B)[at % 2]
        lifts += [tabby, shed] if begins else [shed, tabby]
    found = tabby_picks(lifts, ["w"] * 16, PLAIN)
    assert found is not None
    assert found.begins == begins
