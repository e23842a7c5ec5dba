"""The cheapest set of actions, compared with every set there is, and what each action costs and needs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

import numpy as np
import pytest

from loomready.slips import mending
from loomready.slips.mending import Action, OnLoom, Rates, Task, mend
from loomready.slips.result import SLEYING, Slip, SlipKind
from tests.slips import webs

RATES = Rates()


def wrong(end: int, planned: int, found: int) -> Slip:
    return Slip("wrong shaft", end, None, planned, found, 1e6)


def skipped(end: int, planned: int) -> Slip:
    return Slip("skipped", end, None, planned, None, 1e6)


def extra(end: int, found: int) -> Slip:
    return Slip("extra", end, None, None, found, 1e6)


def crossed(end: int, planned: int, found: int) -> Slip:
    return Slip("crossed", end, None, planned, found, 1e6)


def at_the_loom(kind: SlipKind, end: int) -> Slip:
    return Slip(kind, end, None, None, None, 1e6)


def lift(pick: int, planned: int | None, found: int | None, tied: bool = False) -> Slip:
    return Slip("wrong lift", None, pick, planned, found, 1e6, tied)


ASet = frozenset[tuple[str, tuple[int, ...]]]


def every_set(task: Task) -> dict[ASet, float]:
    """Minutes of each set of actions: dents with the heddles or apart, both cut into runs in every way."""
    places = range(len(task.slips))
    dents = [place for place in places if task.slips[place].kind in SLEYING]
    found: dict[ASet, float] = {}
    for count in range(len(dents) + 1):
        for some in combinations(dents, count):
            for one in every_cut(task, [place for place in places if place not in some]):
                for other in every_cut(task, some):
                    actions = (*one, *other)
                    found[frozenset((each.do, each.slips) for each in actions)] = sum(
                        each.minutes for each in actions
                    )
    return found


def every_cut(task: Task, places: Sequence[int]) -> Iterator[tuple[Action, ...]]:
    """The slips cut into runs in every way, each run mended in every way."""
    if not places:
        yield ()
        return
    for cuts in range(2 ** (len(places) - 1)):
        inner = (place + 1 for place in range(len(places) - 1) if cuts >> place & 1)
        bounds = [0, *inner, len(places)]
        yield from every_way(task, [list(places[start:stop]) for start, stop in pairwise(bounds)], 0)


def every_way(task: Task, runs: list[list[int]], place: int) -> Iterator[tuple[Action, ...]]:
    if place == len(runs):
        yield ()
        return
    ways = run_ways(task, runs[place], first=place == 0, last=place == len(runs) - 1)
    for rest in every_way(task, runs, place + 1):
        yield from ((way, *rest) for way in ways)


def run_ways(task: Task, run: list[int], *, first: bool = True, last: bool = True) -> list[Action]:
    ways = list(mending.alone(task, run[0])) if len(run) == 1 else [mending.to_one_another(task, run)]
    if first:
        ways.append(mending.to_edge(task, run, first=True))
    if last:
        ways.append(mending.to_edge(task, run, first=False))
    return [way for way in ways if way is not None]


def partitions(places: list[int]) -> Iterator[list[list[int]]]:
    """These places, put together in every way: those together need not be neighbors."""
    if not places:
        yield []
        return
    for rest in partitions(places[1:]):
        yield [places[:1], *rest]
        for number, some in enumerate(rest):
            yield [*rest[:number], [places[0], *some], *rest[number + 1 :]]


def any_slips(random: np.random.Generator, number: int, ends: int) -> tuple[Slip, ...]:
    slips = []
    for end in np.sort(random.choice(np.arange(1, ends, 3), number, replace=False)).tolist():
        one, other = (random.permutation(4)[:2] + 1).tolist()
        makes = (
            wrong(end, one, other),
            skipped(end, one),
            extra(end, other),
            crossed(end, one, other),
            at_the_loom("empty dent", end),
            at_the_loom("crowded dent", end),
            at_the_loom("round its heddle", end),
        )
        slips.append(makes[int(random.integers(len(makes)))])
    return tuple(slips)


@pytest.mark.parametrize("seed", range(40))
def test_the_cheapest_sets_are_the_cheapest_of_all_sets(seed: int) -> None:
    random = np.random.default_rng(seed)
    number, ends = int(random.integers(1, 6)), int(random.integers(20, 60))
    spare = tuple(map(tuple, random.integers(0, 2, (4, 2)).tolist())) if seed % 2 else None
    rates = Rates(*random.uniform(0.1, 9, 10).tolist()) if seed % 3 else RATES
    slips, loom = any_slips(random, number, ends), OnLoom(spare=spare)
    every = sorted(every_set(Task(slips, ends, 16, loom, rates)).values())
    found = mend(slips, ends, 16, loom, rates)
    assert [each.minutes for each in found] == pytest.approx(every[: len(found)])
    assert len(found) == min(mending.BEST, len(every))
    for each in found:
        assert each.proved
        assert sorted(n for action in each.actions for n in action.slips) == list(range(number))
        assert each.minutes == pytest.approx(sum(action.minutes for action in each.actions))


@pytest.mark.parametrize("seed", range(30))
def test_nothing_costs_less_whichever_slips_are_mended_together(seed: int) -> None:
    random = np.random.default_rng([seed, 2])
    number, ends = int(random.integers(2, 6)), int(random.integers(20, 80))
    slips = any_slips(random, number, ends)
    task = Task(slips, ends, 16, OnLoom(), RATES)
    least = min(
        sum(min(way.minutes for way in run_ways(task, some)) for some in together)
        for together in partitions(list(range(number)))
    )
    found = mend(slips, ends, 16)[0]
    assert found.minutes == pytest.approx(least)
    assert found.proved


def test_dents_are_sleyed_again_over_an_end_that_is_mended_apart() -> None:
    slips = [at_the_loom("empty dent", 24), skipped(39, 4), at_the_loom("crowded dent", 45)]
    best = mend(slips, 77, 16)[0]
    assert [(action.ends, action.slips) for action in best.actions] == [((24, 45), (0, 2)), ((39, 39), (1,))]
    assert best.minutes == 4 + 22 * 0.5 + 8 + 5 + 1


def test_the_second_best_is_not_the_best_once_more() -> None:
    first, second = mend([at_the_loom("empty dent", 12)], 60, 16)
    assert (first.actions[0].ends, second.actions[0].ends) == ((1, 12), (12, 60))


def test_with_many_wrong_dents_beside_others_nothing_is_claimed_to_be_proved() -> None:
    dents = [at_the_loom("empty dent", 5 * place) for place in range(1, 9)]
    assert mend(dents, 60, 16)[0].proved
    assert not mend([*dents, wrong(50, 1, 2)], 60, 16)[0].proved


@pytest.mark.parametrize("seed", range(30))
def test_the_heddles_that_a_stretch_lacks_are_those_that_the_web_has_not_between_its_slips(seed: int) -> None:
    random = np.random.default_rng(seed)
    planned = webs.threading(random, 60, 6)
    there, told = webs.with_slips(planned, int(random.integers(2, 5)), random)
    slips = tuple(Slip(kind, end, None, was, found, 1e6) for kind, end, was, found in told)  # type: ignore[arg-type]
    action = mending.to_one_another(Task(slips, 60, 16, OnLoom(), RATES), range(len(slips)))
    first, last = action.ends
    wanted = Counter((planned[first - 1 : last] + 1).tolist())
    after = len(planned) - last  # ends beyond the stretch stay in their heddles
    heddles = Counter((there[first - 1 : len(there) - after] + 1).tolist())
    assert Counter(action.needs.repair_heddles) == wanted - heddles
    assert action.needs.weights == max(0, len(planned) - len(there))


def test_a_missing_end_between_slips_is_hung_where_its_stretch_is_rethreaded_anyway() -> None:
    action = only([wrong(150, 3, 5), skipped(152, 4), wrong(153, 5, 3)], rates=Rates(repair_heddle=20))
    assert action.ends == (150, 153)
    assert action.needs.repair_heddles == (4,)
    assert action.needs.weights == 1


def only(slips: list[Slip], ends: int = 300, **of: object) -> Action:
    (action,) = mend(slips, ends, 16, **of)[0].actions  # type: ignore[arg-type]
    return action


def test_nothing_to_mend_is_no_action() -> None:
    assert mend([], 300, 16) == ()


def test_a_wrong_shaft_in_the_middle_gets_a_repair_heddle() -> None:
    action = only([wrong(150, 3, 5)])
    assert action.needs.repair_heddles == (3,)
    assert action.ends == (150, 150)
    assert action.minutes == RATES.repair_heddle + RATES.rethread


def test_a_wrong_shaft_at_the_edge_is_rethreaded_to_the_edge() -> None:
    action = only([wrong(1, 3, 5)])
    assert action.ends == (1, 1)
    assert action.needs.spare_heddles == (3,)
    assert action.minutes == RATES.begin + RATES.rethread


def test_rethreading_goes_on_to_the_edge_end_which_is_named() -> None:
    slips = (wrong(3, 3, 5), wrong(298, 3, 5))
    task = Task(slips, 300, 16, OnLoom(), RATES)
    for place, first, said in (
        (0, True, "end 3 to the edge at end 1"),
        (1, False, "end 298 to the edge at end 300"),
    ):
        action = mending.to_edge(task, [place], first=first)
        assert action.do.endswith(said)
        assert action.ends == ((1, 3) if first else (298, 300))
        assert action.minutes == RATES.begin + 3 * RATES.rethread


def test_without_a_spare_heddle_at_that_side_the_edge_needs_a_repair_heddle() -> None:
    spare = ((0, 9), (0, 9), (0, 9), (0, 9), (0, 9))
    task = Task((wrong(2, 3, 5),), 300, 16, OnLoom(spare=spare), RATES)
    action = mending.to_edge(task, [0], first=True)
    assert action.needs.repair_heddles == (3,)
    assert action.needs.spare_heddles == ()


def test_a_heddle_that_the_edge_lacks_is_carried_there_from_the_shaft_with_most_of_them_left() -> None:
    spare = ((2, 9), (1, 9), (1, 9), (0, 9), (0, 9))
    slips = (wrong(2, 3, 5), wrong(4, 3, 5), wrong(6, 4, 2))
    action = mending.to_edge(Task(slips, 300, 16, OnLoom(spare=spare), RATES), [0, 1, 2], first=True)
    assert action.needs.spare_heddles == (3,)
    assert action.needs.moves == ((1, 3, 1), (1, 4, 1))
    assert action.needs.repair_heddles == ()
    assert action.minutes == RATES.begin + 6 * RATES.rethread + 2 * RATES.carry
    assert action.do.startswith("first carry 1 of the heddles beyond the edge from shaft 1 to shaft 3; ")


def test_carrying_is_dearer_than_a_spare_heddle_and_cheaper_than_a_repair_heddle() -> None:
    spares = ((9, 9), (9, 9), (9, 9)), ((9, 9), (9, 9), (0, 0)), ((0, 0), (0, 0), (0, 0))
    task = [Task((wrong(2, 3, 1),), 300, 16, OnLoom(spare=each), RATES) for each in spares]
    minutes = [mending.to_edge(each, [0], first=True).minutes for each in task]
    assert minutes == sorted(set(minutes))


def test_the_second_way_to_mend_a_wrong_shaft_uses_its_own_heddle_again() -> None:
    _first, second, *_ = mend([wrong(150, 3, 5)], 300, 16)
    assert second.actions[0].needs == mending.Needs()
    assert second.minutes == RATES.cut_off + RATES.repair_heddle + RATES.rethread
    assert "cut off the heddle of end 150 on shaft 5" in second.actions[0].do


def test_a_slip_that_is_not_threaded_has_no_heddle_to_cut_off() -> None:
    assert all(
        "cut off" not in action.do for each in mend([wrong(150, 3, 0)], 300, 16) for action in each.actions
    )


def test_crossed_ends_change_heddles_and_need_nothing() -> None:
    action = only([crossed(150, 3, 5)])
    assert action.ends == (150, 151)
    assert action.needs == mending.Needs()


def test_a_missing_end_hangs_from_a_weight_in_its_own_yarn() -> None:
    yarn = tuple("flax" if end == 149 else "slate" for end in range(300))
    action = only([skipped(150, 3)], loom=OnLoom(yarn=yarn, length_m=4.0))
    assert action.needs.yarns == ("flax",)
    assert action.needs.weights == 1
    assert action.needs.repair_heddles == (3,)


def test_two_slips_that_cancel_are_rethreaded_together() -> None:
    action = only([skipped(150, 3), extra(158, 3)])
    assert action.ends == (150, 158)
    assert action.slips == (0, 1)
    assert action.needs == mending.Needs()
    assert action.minutes == RATES.begin + 9 * RATES.rethread


def test_slips_near_one_edge_are_all_served_by_one_stretch() -> None:
    slips = [wrong(2, 3, 5), wrong(4, 1, 2), skipped(6, 4), skipped(8, 2)]
    action = only(slips, 300, rates=Rates(rethread=0.1, new_end=1.0))
    assert action.slips == (0, 1, 2, 3)
    assert action.ends == (1, 8)
    assert action.needs.weights == 2


def test_an_extra_end_is_taken_out_and_the_second_way_closes_the_reed() -> None:
    first, second, *_ = mend([extra(40, 3)], 300, 16)
    assert first.minutes == RATES.take_out
    assert second.actions[0].ends == (1, 40)
    assert second.minutes == RATES.take_out + RATES.begin + 40 * RATES.resley


def test_an_extra_end_after_the_last_is_mended_inside_the_web() -> None:
    assert only([extra(301, 3)]).ends == (300, 300)


def test_a_single_wrong_lift_can_stay_in_test_weave_and_unweaving_comes_second() -> None:
    first, second = mend([lift(5, 2, None)], 300, 16)
    assert (first.minutes, second.minutes) == (0.0, 12 * RATES.unweave)


def test_a_wrong_tie_up_is_tied_once_for_all_its_picks() -> None:
    action = only([lift(3, 2, None, tied=True), lift(9, 2, None, tied=True)])
    assert action.minutes == RATES.retie
    assert action.slips == (0, 1)


def test_one_pick_with_two_wrong_lifts_is_unwoven_once() -> None:
    first, second = mend([lift(5, 2, None), lift(5, None, 3)], 300, 16)
    assert (first.minutes, second.minutes) == (0.0, 12 * RATES.unweave)
    assert [action.slips for action in second.actions] == [(0, 1)]


def test_unweaving_to_an_earlier_wrong_pick_serves_the_later_ones() -> None:
    found = mend([lift(5, 2, None), lift(9, None, 3)], 300, 16)
    assert [each.minutes for each in found] == [0.0, 8 * RATES.unweave, 12 * RATES.unweave]
    assert [[action.slips for action in each.actions] for each in found] == [[(0, 1)], [(0,), (1,)], [(0, 1)]]


def test_an_empty_dent_is_sleyed_again_to_the_nearer_edge_and_no_end_leaves_its_heddle() -> None:
    action = only([at_the_loom("empty dent", 20)])
    assert action.ends == (1, 20)
    assert action.minutes == RATES.begin + 20 * RATES.resley
    assert action.needs == mending.Needs()


def test_an_empty_dent_and_a_crowded_one_are_sleyed_again_between_them() -> None:
    action = only([at_the_loom("empty dent", 140), at_the_loom("crowded dent", 150)])
    assert action.ends == (140, 150)
    assert action.slips == (0, 1)


def test_a_thread_round_its_heddle_is_threaded_again() -> None:
    action = only([at_the_loom("round its heddle", 150)])
    assert (action.ends, action.minutes) == ((150, 150), RATES.take_out + RATES.rethread)
