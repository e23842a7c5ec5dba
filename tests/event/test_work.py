"""The plan of the work: as good as the best of all plans on tiny events, and always one that can be done."""

from __future__ import annotations

import random
from dataclasses import replace

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from loomready.event.work.bounds import alone, earliest, short, spare_at_most
from loomready.event.work.dispatch import dispatch, first_plan
from loomready.event.work.exact import improve
from loomready.event.work.problem import Chain, Job, Work, Worker, changed_sessions, cost_of, worth
from loomready.event.work.search import Effort, search
from tests.event.brute import best, best_again
from tests.event.plans import faults

SKILLS = ("winding", "beaming", "threading", "sleying")
QUICK = Effort(lists=10, whole=2.0, rounds=3, each=0.1)


@st.composite
def works(draw: st.DrawFn, most_chains: int = 2, most_slots: int = 6) -> Work:
    """A tiny event: one or two warps of up to two jobs, two or three people, slots in two sessions."""
    slots = draw(st.integers(3, most_slots))
    times = [slot if slot < slots // 2 else slot + 5 for slot in range(slots)]
    chains = []
    for number in range(draw(st.integers(1, most_chains))):
        skills = draw(st.lists(st.sampled_from(SKILLS), max_size=2, unique=True))
        jobs = tuple(Job(skill, draw(st.integers(1, 2))) for skill in sorted(skills, key=SKILLS.index))
        begun = bool(jobs) and jobs[0].skill == "winding" and not chains and draw(st.booleans())
        chains.append(Chain(f"warp-{number}", draw(st.integers(1, 3)), jobs, begun))
    workers = []
    for number in range(draw(st.integers(2, 3))):
        can = draw(st.frozensets(st.sampled_from(SKILLS)))
        learning = frozenset({"beaming"} if "beaming" not in can and draw(st.booleans()) else ())
        there = frozenset(draw(st.lists(st.sampled_from(times), min_size=1, unique=True)))
        workers.append(Worker(f"person-{number}", can, learning, there, draw(st.none() | st.integers(1, 4))))
    return Work(tuple(chains), tuple(workers), 0, times[-1] + 1, draw(st.integers(1, 2)))


@given(works())
@settings(max_examples=40)
def test_tiny_events_are_planned_as_well_as_the_best_of_all_plans(work):
    found = search(work, QUICK)
    assert faults(work, found.plan) == []
    assert found.worth == worth(work, found.plan)
    assert found.proved
    assert found.worth.rank == best(work)


@given(works(most_slots=5), st.randoms(use_true_random=False))
@settings(max_examples=25, deadline=None)
def test_after_a_change_as_few_sessions_of_people_change_as_in_the_best_of_all_plans(work, chance):
    told = search(work, QUICK).plan
    away, slot = chance.randrange(len(work.workers)), chance.choice(work.times)
    workers = tuple(
        replace(each, slots=each.slots - {slot}) if number == away else each
        for number, each in enumerate(work.workers)
    )
    changed = replace(work, workers=workers)
    enough = changed.spare(max((slot + 1 for *_, slot in told), default=0))
    found = search(changed, QUICK, told=told)
    assert faults(changed, found.plan) == []
    spare = -1 if found.worth.spare is None else found.worth.spare
    reached = found.worth.value, min(spare, enough), -changed_sessions(changed, told, found.plan)
    assert reached == best_again(changed, told, enough)


@given(works(most_chains=3, most_slots=9), st.integers(0, 3))
@settings(max_examples=60)
def test_a_plan_made_slot_by_slot_can_be_done_and_keeps_within_the_bounds(work, seed):
    plan, found = first_plan(work, 5, seed)
    assert faults(work, plan) == []
    most = spare_at_most(work, found.ready)
    if found.ready:
        assert most is not None
        assert found.spare <= most
        for chain, at in found.ready.items():
            assert at >= (alone(work, chain) or [work.first])[-1]


@given(works(most_chains=3, most_slots=9))
@settings(max_examples=12)
def test_a_large_event_is_smoothed_a_few_days_at_a_time_without_a_loss(work):
    _plan, before = first_plan(work, QUICK.lists, 1)
    found = search(work, Effort(lists=10, small=0, rounds=3, each=0.1))
    assert faults(work, found.plan) == []
    assert found.worth.rank >= before.rank


@pytest.mark.parametrize("seed", [7, 10, 33, 48, 50, 69])
def test_what_the_solver_improves_can_be_done(seed):
    """Two warps to beam and thread at once; of three people some can, one or the other learns."""
    chance = random.Random(seed)
    skills = ["beaming", "threading", "sleying", "mending"]
    workers = tuple(
        Worker(
            name,
            frozenset(chance.sample(skills, chance.randint(1, 3))),
            frozenset({"beaming"}),
            frozenset(chance.sample(range(14), chance.randint(4, 10))),
        )
        for name in "abc"
    )
    chains = tuple(
        Chain(name, 1, (Job("beaming", chance.randint(1, 2)), Job("threading", chance.randint(3, 5))))
        for name in "vw"
    )
    work = Work(chains, workers, 0, 14)
    plan, found = first_plan(work, 3, 1)
    for goal in ("last", "cost"):
        answer = improve(work, plan, goal, 0.5, value=found.value)
        assert answer.plan is not None
        assert faults(work, answer.plan) == []


def work_of(jobs: str, people: dict[str, tuple[set[str], range]], boards: int = 1, chains: int = 1) -> Work:
    """``jobs``: "threading 3, sleying 1"; people with what they can and their slots."""
    made = tuple(Job(*(part.rsplit(" ", 1)[0], int(part.rsplit(" ", 1)[1]))) for part in jobs.split(", "))
    workers = tuple(
        Worker(name, frozenset(can), frozenset(), frozenset(slots)) for name, (can, slots) in people.items()
    )
    last = max(slots.stop for _can, slots in people.values())
    return Work(tuple(Chain(f"w{n}", 1, made) for n in range(chains)), workers, 0, last, boards)


def test_two_at_a_threading_do_the_work_of_nearly_two():
    people = {"a": ({"threading"}, range(10)), "b": ({"threading"}, range(10))}
    assert search(work_of("threading 9", people), QUICK).worth.ready == {0: 5}


def test_a_warp_being_wound_keeps_the_only_board():
    people = {"a": ({"winding", "mending"}, range(4)), "b": ({"winding"}, range(4))}
    one, two = (search(work_of("winding 2", people, boards, 2), QUICK).worth for boards in (1, 2))
    assert max(one.ready.values()) == 4
    assert max(two.ready.values()) == 2


def test_nobody_works_more_than_offered_and_the_warp_worth_least_is_left_out():
    workers = (Worker("a", frozenset({"sleying"}), frozenset(), frozenset(range(20)), 3),)
    chains = (Chain("low", 1, (Job("sleying", 3),)), Chain("high", 2, (Job("sleying", 3),)))
    found = search(Work(chains, workers, 0, 20), QUICK)
    assert set(found.worth.ready) == {1}
    assert (found.proved, found.worth.value) == (True, 2)


def test_a_learner_gets_a_turn_at_the_beam_beside_somebody_who_can():
    workers = (
        Worker("old hand", frozenset({"beaming"}), frozenset(), frozenset(range(3))),
        Worker("other", frozenset({"beaming"}), frozenset(), frozenset(range(3))),
        Worker("learner", frozenset(), frozenset({"beaming"}), frozenset(range(3))),
    )
    plan = dispatch(Work((Chain("w", 1, (Job("beaming", 2),)),), workers, 0, 3), [1.0])
    assert set(plan.values()) == {(0, 2)}


def test_whoever_is_at_a_job_goes_on():
    people = {"a": ({"threading"}, range(3)), "b": ({"sleying", "threading"}, range(6))}
    found = search(work_of("threading 3, sleying 2", people), QUICK)
    assert (
        cost_of(found.plan) == len({(j, one) for (_c, j, _s), crew in found.plan.items() for one in crew}) * 4
    )
    assert found.worth.ready == {0: 4}


def test_hours_that_are_short_are_named_by_their_skills():
    people = {"a": ({"threading"}, range(4)), "b": ({"winding"}, range(40))}
    work = work_of("winding 2, threading 6", people)
    missing = short(work, [0], work.last)
    assert missing is not None
    assert (missing.skills, missing.slots) == (("threading",), 2)
    assert earliest(work, [0]) is None
    assert search(work, QUICK).worth.ready == {}


def test_nothing_to_do_and_nobody_there_are_plans_too():
    nothing = search(Work((), (), 0, 10), QUICK)
    assert (nothing.plan, nothing.worth.spare, nothing.proved) == ({}, None, True)
    nobody = search(Work((Chain("w", 1, (Job("sleying", 1),)),), (), 0, 10), QUICK)
    assert (nobody.plan, nobody.worth.value) == ({}, 0)


def test_a_new_plan_keeps_to_what_people_were_told_where_it_costs_nothing():
    people = {"a": ({"sleying"}, range(4)), "b": ({"sleying"}, range(4))}
    work = work_of("sleying 2", people)
    told = {(0, 0, 0): (1,), (0, 0, 1): (1,)}
    assert changed_sessions(work, told, search(work, QUICK, told=told).plan) == 0
