"""What is missing, what would help, and how sure a plan is."""

from __future__ import annotations

from dataclasses import replace

from loomready.event.work.dispatch import dispatch
from loomready.event.work.problem import Chain, Job, Work, Worker
from loomready.event.work.search import Effort, search
from loomready.event.work.shortage import lacks_board, missing, ways_out
from loomready.event.work.simulate import simulate

QUICK = Effort(lists=10, whole=1.0, rounds=2, each=0.1)


def worker(name: str, can: str, *slots: range, most: int | None = None) -> Worker:
    there = frozenset(slot for each in slots for slot in each)
    return Worker(name, frozenset(can.split(", ")), frozenset(), there, most)


# Threading of 8 slots; one who can is there in 4 slots, another could come once more.
WORK = Work(
    (Chain("runner", 2, (Job("winding", 2), Job("threading", 8))), Chain("rug", 1, (Job("winding", 3),))),
    (worker("a", "winding", range(8), range(48, 56)), worker("b", "threading, mending", range(48, 52))),
    0,
    100,
)


def test_hours_that_one_skill_is_short_of_are_named_and_one_more_helps():
    found = search(WORK, QUICK).worth
    assert set(found.ready) == {1}
    [short] = missing(WORK, found)
    assert (short.skill, short.slots, short.before) == ("threading", 4, 100)
    kinds = [way.kind for way in ways_out(WORK, found, [short])]
    assert kinds == ["newcomer", "comes", "leave out"]  # of the two the newcomer is there first


def test_the_way_that_takes_least_comes_first_and_works_when_it_is_planned():
    work = replace(
        WORK,
        workers=(
            *WORK.workers,
            worker("c", "threading", range(96, 99), most=0),
            worker("d", "sleying", range(60, 62)),
        ),
    )
    found = search(work, QUICK).worth
    ways = ways_out(work, found, missing(work, found))
    assert [way.slots for way in ways[:-1]] == sorted(way.slots for way in ways[:-1])
    for way in ways:
        if way.kind == "newcomer":
            more = worker("new", str(way.skill), range(way.first, way.last))
            again = search(replace(work, workers=(*work.workers, more)), QUICK)
            assert len(again.worth.ready) == 2


def test_where_all_hours_are_enough_but_late_the_job_that_does_not_end_is_named():
    work = Work(
        (Chain("runner", 1, (Job("winding", 2), Job("threading", 3))),),
        (worker("a", "winding", range(50, 52)), worker("b", "threading", range(50))),
        0,
        60,
    )
    [short] = missing(work, search(work, QUICK).worth)
    assert (short.skill, short.slots) == ("threading", 3)


def test_nothing_is_missing_where_all_is_ready():
    work = replace(WORK, chains=WORK.chains[1:])
    found = search(work, QUICK).worth
    assert missing(work, found) == ()
    assert ways_out(work, found, ()) == ()


EASY = Work(
    (Chain("w", 1, (Job("winding", 4), Job("threading", 4))),),
    (worker("a", "winding, threading", range(10), range(48, 58)), worker("b", "threading", range(48, 50))),
    0,
    58,
)


def sure(work: Work, sigma: float, median: float = 4.0):
    plan = search(work, QUICK)
    ready = sorted(plan.worth.ready)
    jobs = {(0, 0): median, (0, 1): median}
    return simulate(work, plan.plan, ready, jobs, dict.fromkeys(jobs, sigma), 60)


def test_an_easy_plan_is_always_ready_and_a_tight_one_seldom():
    easy, tight = (
        sure(EASY, 0.25),
        sure(replace(EASY, workers=(worker("a", "winding, threading", range(9)),)), 0.25),
    )
    assert easy.in_time > 0.95
    assert tight.in_time < 0.8
    assert tight.tight == 0
    assert tight.late[0] == round((1 - tight.in_time) * tight.runs)


def test_a_simulation_is_the_same_each_time_and_worse_with_more_spread():
    assert sure(EASY, 0.25) == sure(EASY, 0.25)
    tight = replace(EASY, workers=(worker("a", "winding, threading", range(11)),))
    assert sure(tight, 0.05).in_time >= sure(tight, 0.8).in_time


def test_work_that_goes_as_planned_follows_the_plan():
    plan = search(EASY, QUICK).plan
    assert dispatch(EASY, [1.0], told=plan) == plan


def test_a_board_that_is_missing_is_told_and_not_hours():
    both = frozenset({"winding", "mending"})
    workers = (
        Worker("a", both, frozenset(), frozenset(range(4))),
        Worker("b", both, frozenset(), frozenset(range(4))),
    )
    work = Work(tuple(Chain(f"w{n}", 1, (Job("winding", 4),)) for n in range(2)), workers, 0, 4, 1)
    found = search(work).worth
    assert lacks_board(work, found)
    assert missing(work, found) == ()
    assert [way.kind for way in ways_out(work, found, ())] == ["board", "leave out"]
    assert not lacks_board(replace(work, boards=2), search(replace(work, boards=2)).worth)


def test_where_no_way_helps_alone_the_least_pair_is_told():
    workers = (
        Worker("a", frozenset({"winding"}), frozenset(), frozenset(range(4)), 2),
        Worker("b", frozenset({"sleying"}), frozenset(), frozenset(range(20, 26)), 2),
    )
    work = Work((Chain("w", 1, (Job("winding", 4), Job("sleying", 4))),), workers, 0, 30)
    found = search(work).worth
    [way] = ways_out(work, found, missing(work, found))
    assert way.also is not None
    assert {way.person, way.also.person} == {0, 1}
    assert (way.kind, way.also.kind, way.all_slots) == ("more hours", "more hours", 4)
