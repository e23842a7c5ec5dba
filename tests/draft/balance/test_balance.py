"""Balancing against brute force: every offer balances, and none could do with less."""

import itertools
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import hypothesis.extra.numpy as hnp
import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from loomready.draft.balance import balance
from loomready.draft.balance import matching_edges as balance_web
from loomready.draft.balance.mirror import joins, mismatched_pairs
from loomready.draft.balance.scatter import scattered
from loomready.draft.balance.slide import _in_threes, fewest_slides
from loomready.draft.draft import Draft, drawdown, lift_plan
from loomready.draft.structure import floats, integrity
from loomready.draft.structure.analysis import weaves_plain
from loomready.draft.structure.periods import mirrors
from tests.draft.brute import has_mirror
from tests.strategies import drafts

THREADING = hnp.arrays(np.int64, st.integers(1, 14), elements=st.integers(0, 3))


def straight(shafts: int) -> list[list[int]]:
    """2/2-like lifts that tell all shafts apart."""
    return [[shaft % shafts + 1, (shaft + 1) % shafts + 1] for shaft in range(shafts)]


def columns(draft: Draft) -> list[tuple[bool, ...]]:
    return [tuple(column) for column in drawdown(draft).T.tolist()]


def meets(items: list, axis: int) -> bool:
    """Whether end e is like end axis - e, counted from 1, as a continuous repeat."""
    return all(items[e - 1] == items[(axis - e - 1) % len(items)] for e in range(1, len(items) + 1))


def fewest_at_one_place(items: list[int], *, add: bool) -> int:
    """The shortest run to add (dropped: to leave out) in one place of the round, by trying all."""
    count = len(items)
    for run in range(count + 1):
        for place in range(count):
            turned = items[place:] + items[:place]
            if not add and run < count and has_mirror(turned[run:]):
                return run
            if add and any(has_mirror([*turned, *new]) for new in itertools.product(range(4), repeat=run)):
                return run
    raise AssertionError("a single end is its own mirror")


@given(ids=THREADING)
def test_pairs_that_differ_are_counted_for_each_axis(ids) -> None:
    count = len(ids)
    for axis, lacking in enumerate(mismatched_pairs(ids).tolist()):
        assert 2 * lacking == sum(ids[i] != ids[(axis - i) % count] for i in range(count))


@pytest.mark.parametrize(("ends", "shafts"), [(5, 3), (6, 3), (4, 4), (5, 4), (4, 5), (6, 4)])
def test_slides_are_the_fewest_that_can_do(ends: int, shafts: int) -> None:
    """Every threading: how many slides of any run of neighbors it is from a balanced one."""
    every = np.array(list(itertools.product(range(shafts), repeat=ends)))
    weights = shafts ** np.arange(ends - 1, -1, -1)
    slides = [
        np.array([step * ((end - first) % ends < length) for end in range(ends)])
        for first in range(ends)
        for length in range(1, ends)
        for step in range(1, shafts)
    ]
    to = np.stack([((every + slide) % shafts) @ weights for slide in slides])
    distance = np.where([has_mirror(row) for row in every.tolist()], 0, 99)
    while True:
        better = np.minimum(distance, distance[to].min(axis=0) + 1)
        if np.array_equal(better, distance):
            break
        distance = better
    assert distance.max() < 99
    for threading, least in zip(every, distance.tolist(), strict=True):
        found = fewest_slides(threading, shafts)
        assert {len(slid.slides) for slid in found} == {least}


@pytest.mark.parametrize("shafts", [3, 8, 16, 31])
def test_of_many_axes_with_as_few_slides_those_that_move_the_least_come_first(shafts: int) -> None:
    threading = np.arange(400) % shafts
    every = fewest_slides(threading, shafts)
    assert [slid.moved for slid in every] == sorted(slid.moved for slid in every)
    for slid in every:
        pairs = {pair for slide in slid.slides for pair in range(slide.first, slide.last + 1)}
        assert len(pairs) == slid.moved
    assert fewest_slides(threading, shafts, 6) == every[:6]


@settings(max_examples=150, deadline=None)
@given(threading=hnp.arrays(np.int64, st.integers(3, 40), elements=st.integers(-1, 6)))
def test_slid_runs_really_bring_both_sides_together(threading) -> None:
    draft = lift_plan((threading + 1).tolist(), straight(7), shafts=7)
    for offer in balance.balance(draft).offers:
        if offer.kind != "slide":
            continue
        moved = threading.copy()
        for run in offer.moved:
            ends = np.arange(run.first - 1, run.last if run.last >= run.first else run.last + len(moved))
            ends %= len(moved)
            ends = ends[moved[ends] >= 0]
            moved[ends] = (moved[ends] + run.step) % 7
        assert np.array_equal(moved, offer.cloth.threading)
        assert len(offer.moved) == offer.runs


@settings(max_examples=40, deadline=None)
@given(ids=hnp.arrays(np.int64, st.integers(2, 8), elements=st.integers(0, 3)))
def test_ends_added_or_dropped_in_one_place_are_the_fewest(ids) -> None:
    if mirrors(ids):
        return
    found = {join.between for join in joins(ids)}
    assert found == {fewest_at_one_place(ids.tolist(), add=False)}
    assert found == {fewest_at_one_place(ids.tolist(), add=True)}


@settings(max_examples=120, deadline=None)
@given(draft=drafts(max_ends=14, max_shafts=6))
def test_every_offer_balances_and_says_what_it_weaves(draft: Draft) -> None:
    found = balance.balance(draft)
    assert found.already == has_mirror(columns(draft))
    assert all(meets(columns(draft), axis) for axis in found.axes)
    assert bool(found.offers) != found.already
    for offer in found.offers:
        new = balance.balanced(draft, offer)
        assert meets(columns(new), offer.axis)
        assert floats.longest(drawdown(new)) == (
            offer.cloth.longest_warp_float,
            offer.cloth.longest_weft_float,
        )
        assert offer.cloth.holds_together == integrity.holds(new.lifts, new.threading)
        assert offer.cloth.plain_weave == weaves_plain(new.threading)
        old, now = draft.threading, new.threading
        if offer.kind == "add":
            assert len(now) - len(old) == offer.ends
            assert np.array_equal(np.delete(now, np.array(offer.touched) - 1), old)
        elif offer.kind == "drop":
            assert len(old) - len(now) == offer.ends
            assert np.array_equal(np.delete(old, np.array(offer.touched) - 1), now)
        else:
            assert int((old != now).sum()) == offer.ends
        assert (offer.runs is None) == (offer.kind != "slide")


@settings(max_examples=60, deadline=None)
@given(draft=drafts(max_ends=10, max_shafts=5, trimmings=False))
def test_a_change_offer_changes_the_fewest_that_can_do(draft: Draft) -> None:
    found = balance.balance(draft)
    if found.already:
        return
    now = columns(draft)
    least = min(
        sum(now[e - 1] != now[(axis - e - 1) % len(now)] for e in range(1, len(now) + 1)) // 2
        for axis in range(1, len(now) + 1)
    )
    [change] = [offer for offer in found.offers if offer.kind == "change"]
    assert change.ends == least


def test_fewest_changes_agree_with_every_balanced_threading() -> None:
    for ends in (3, 4, 5):
        every = np.array(list(itertools.product(range(3), repeat=ends)))
        even = every[[has_mirror(row) for row in every.tolist()]]
        for ids in every:
            assert mismatched_pairs(ids).min() == (even != ids).sum(axis=1).min()


def test_a_straight_draft_is_offered_its_way_back() -> None:
    found = balance.balance(lift_plan([1, 2, 3, 4], straight(4), title="Straight"))
    add = next(offer for offer in found.offers if offer.kind == "add")
    assert (add.cloth.threading + 1).tolist() == [1, 2, 3, 4, 3, 2]
    assert add.ends == 2
    assert add.cloth.plain_weave


def test_a_point_draft_is_balanced_already() -> None:
    found = balance.balance(lift_plan([1, 2, 3, 4, 3, 2], straight(4)))
    assert found.already
    assert found.offers == ()
    assert found.axes == (2,)


def test_shafts_that_lift_alike_count_as_one() -> None:
    assert balance.balance(lift_plan([1, 2, 3, 4], [[1, 2], [3, 4]])).already


def test_an_end_that_spoils_the_mirror_is_named() -> None:
    axis, ends = balance.leaning(lift_plan([1, 2, 3, 4, 3, 1], straight(4)))
    assert axis == 2
    assert ends == (2, 6)


def test_added_ends_take_the_color_of_those_they_meet() -> None:
    draft = lift_plan([1, 2, 3, 4], straight(4), warp_colors=[0, 1, 0, 1])
    add = next(offer for offer in balance.balance(draft).offers if offer.kind == "add")
    assert balance.balanced(draft, add).warp_colors.tolist() == [0, 1, 0, 1, 0, 1]


def test_ends_are_not_slid_to_shafts_that_never_move() -> None:
    draft = lift_plan([1, 2, 3, 2, 3, 1, 2], [[1, 2], [2, 3], [1, 3]], shafts=8)
    for offer in balance.balance(draft).offers:
        assert offer.cloth.threading.max() < 3
        assert offer.cloth.longest_warp_float is not None


@given(ids=THREADING)
def test_a_web_started_so_has_matching_edges(ids) -> None:
    count = len(ids)
    for axis in np.flatnonzero(mismatched_pairs(ids) == 0) + 2:
        start, more = balance.matching_edges(int(axis), count)
        web = np.tile(ids, 4)[start - 1 : start - 1 + 2 * count + more]
        assert np.array_equal(web, web[::-1])


@settings(max_examples=80, deadline=None)
@given(ids=hnp.arrays(np.int64, st.integers(1, 9), elements=st.integers(0, 3)))
def test_ends_dropped_or_added_anywhere_are_the_fewest_that_can_do(ids) -> None:
    """Every choice of ends to leave out; each end added is the mirror image of one that would be dropped."""
    items = ids.tolist()
    count = len(items)
    fewest = next(
        out
        for out in range(count)
        for left in itertools.combinations(range(count), count - out)
        if has_mirror([items[end] for end in left])
    )
    found, ways = scattered(ids, 6)
    assert found == fewest
    for way in ways:
        assert len(way.dropped) == count - fewest
        assert has_mirror(ids[way.dropped].tolist())
        assert int(way.extra.sum()) == fewest
        assert has_mirror(ids[way.added].tolist())
        own = way.added[~way.extra].tolist()
        assert own == sorted(own) == list(range(count))


@pytest.mark.parametrize("ends", [4, 5, 6])
def test_no_fewer_ends_added_anywhere_would_do(ends: int) -> None:
    """Every way to put one end less anywhere into every round of three shafts."""
    for items in itertools.product(range(3), repeat=ends):
        fewest, _ways = scattered(np.array(items), 1)
        if fewest == 0:
            continue
        larger = {items}
        for _ in range(fewest - 1):
            larger = {
                (*each[:place], end, *each[place:])
                for each in larger
                for place in range(len(each) + 1)
                for end in range(3)
            }
        assert not any(has_mirror(list(each)) for each in larger)


def test_two_slips_on_different_sides_are_put_right_where_they_are() -> None:
    """A point threading with one slip on each side: to change both on one side would spoil the point."""
    point = [1, 2, 3, 4, 5, 6, 7, 8, 7, 6, 5, 4, 3, 2]
    slipped = list(point)
    slipped[2], slipped[10] = 4, 4  # end 3 and, on the other side, end 11
    found = balance.balance(lift_plan(slipped, straight(8)))
    change = next(offer for offer in found.offers if offer.kind == "change")
    assert change.ends == 2
    assert (change.cloth.threading + 1).tolist() == point
    assert change.cloth.plain_weave


def test_ends_missing_in_two_places_are_offered_where_they_are_missing() -> None:
    point = [1, 2, 3, 4, 5, 6, 7, 8, 9, 8, 7, 6, 5, 4, 3, 2]
    short = [shaft for end, shaft in enumerate(point) if end not in (2, 11)]
    found = balance.balance(lift_plan(short, straight(9)))
    adds = [offer for offer in found.offers if offer.kind == "add"]
    assert min(offer.ends for offer in adds) == 2
    best = min(adds, key=lambda offer: offer.ends)
    assert meets(best.cloth.threading.tolist(), best.axis)


@settings(max_examples=80, deadline=None)
@given(half=st.lists(st.integers(1, 4), min_size=1, max_size=6), about=st.integers(1, 60), odd=st.booleans())
def test_a_web_so_begun_and_so_wide_mirrors_edge_to_edge(half: list[int], about: int, odd: bool) -> None:
    draft = lift_plan(half[::-1] + half[odd:], straight(4), shafts=4)
    axes, colors_left_out = balance_web.axes(draft)
    assert not colors_left_out
    repeat = draft.ends
    webs = balance_web.matching_webs(axes, repeat, about, at_least=repeat)
    threading = draft.threading.tolist()
    ids = [tuple(draft.lifts[:, shaft].tolist()) for shaft in threading]
    for web in webs:
        assert web.ends == web.repeats * repeat + web.more
        laid = [ids[(web.start - 1 + end) % repeat] for end in range(web.ends)]
        assert laid == laid[::-1]
        begun = balance_web.starting_on(draft, web.start, web.more)
        assert begun.threading[0] == threading[web.start - 1]
        assert begun.ends == repeat + web.more
    nearest = min(
        (
            ends
            for ends in range(repeat, 200)
            for start in range(repeat)
            if (laid := [ids[(start + end) % repeat] for end in range(ends)]) == laid[::-1]
        ),
        key=lambda ends: (abs(ends - about), ends),
    )
    assert webs[0].ends == nearest


def test_colors_that_do_not_mirror_are_told() -> None:
    draft = lift_plan([1, 2, 3, 2], straight(3), warp_colors=[0, 0, 0, 1])
    assert balance_web.axes(draft)[1]


def test_a_line_that_repeats_otherwise_than_the_round_is_told() -> None:
    assert balance_web.repeats_by_itself(lift_plan([1, 2, 3, 2, 1], straight(3)), 4)
    assert not balance_web.repeats_by_itself(lift_plan([1, 2, 3, 1], straight(3)), 4)


@pytest.mark.parametrize("ends", range(2, 9))
def test_the_mirror_line_is_named_where_it_lies(ends: int) -> None:
    """Fold a threading at the line that is named: ends as far from it on either side are alike."""
    for axis in range(2, ends + 2):
        named = balance.mirror_ends(axis, ends)
        for far in range(ends):
            one, other = (named[0] - far - 1) % ends + 1, (named[-1] + far - 1) % ends + 1
            assert (one + other - axis) % ends == 0


CRITERIA = ("holds together", "plain weave", "fewer ends", "shorter floats", "fewer runs", "fewer places")


def rated(good: Sequence[bool], longest: int | None = 9) -> balance.BalanceOffer:
    """An offer that is good or bad by each criterion; ``longest``: its weft float where floats are bad."""
    some = balance.balance(lift_plan(list(range(1, 9)), straight(8))).offers[0]
    holds, plain, ends, floating, runs, places = good
    cloth = replace(
        some.cloth,
        holds_together=holds,
        plain_weave=plain,
        longest_warp_float=2,
        longest_weft_float=2 if floating else longest,
    )
    touched = (4, 5, 6) if places else (1, 5, 9)
    return replace(some, cloth=cloth, ends=1 if ends else 5, runs=None if runs else 3, touched=touched)


@pytest.mark.parametrize("at", range(len(CRITERIA)), ids=CRITERIA)
def test_a_criterion_of_offers_decides_before_all_that_follow_it(at: int) -> None:
    rest = len(CRITERIA) - at - 1
    ahead = rated([True] * at + [True] + [False] * rest)
    behind = rated([True] * at + [False] + [True] * rest)
    assert balance._rank(ahead) < balance._rank(behind)


def test_a_float_that_never_ends_is_the_longest() -> None:
    good = [True, True, True, False, True, True]
    assert balance._rank(rated(good, longest=9)) < balance._rank(rated(good, longest=None))


@given(st.integers(4, 24), st.data())
def test_steps_put_in_threes_are_each_used_once_and_sum_to_nothing(shafts: int, data: st.DataObject) -> None:
    counts = data.draw(st.dictionaries(st.integers(1, shafts - 1), st.integers(1, 6), max_size=6))
    groups = _in_threes(counts, shafts)
    assert Counter(step for group in groups for step in group) == counts
    for group in groups[:-1]:
        assert len(group) == 3
        assert sum(group) % shafts == 0
