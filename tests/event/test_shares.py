"""Fair shares, and a search that is ended early."""

from __future__ import annotations

from itertools import count

import pytest
from hypothesis import given, settings

from loomready.event.plan_event import plan_event
from loomready.event.watch import Watch
from loomready.event.work.problem import Chain, Job, Work, Worker, worth
from loomready.event.work.search import Effort, search
from loomready.event.work.simulate import simulate
from loomready.report.event_text import tell_event
from tests.event.plans import faults
from tests.event.test_chain_of_plans import LOADED
from tests.event.test_command import QUICK as QUICK_PLAN
from tests.event.test_command import START
from tests.event.test_work import QUICK, works

LARGE = Effort(lists=10, small=0, middle=0, rounds=3, each=0.1)
SLEY = frozenset({"sleying"})


def hours(work: Work, plan) -> list[int]:
    return [sum(one in crew for crew in plan.values()) for one in range(len(work.workers))]


def four_warps(first: int, second: int) -> Work:
    """Four jobs of two slots, and two people who can: one offers so many slots, the other so many."""
    workers = (
        Worker("a", SLEY, frozenset(), frozenset(range(20)), first),
        Worker("b", SLEY, frozenset(), frozenset(range(20)), second),
        Worker("mends", frozenset({"mending"}), frozenset(), frozenset()),
    )
    return Work(tuple(Chain(f"w{n}", 1, (Job("sleying", 2),)) for n in range(4)), workers, 0, 20)


@pytest.mark.parametrize(
    ("effort", "offers", "shares"),
    [
        (LARGE, (20, 20), [4, 4, 0]),
        (LARGE, (18, 6), [6, 2, 0]),
        (LARGE, (6, 18), [2, 6, 0]),
        (QUICK, (18, 6), [6, 2, 0]),
    ],
)
def test_work_is_shared_evenly_relative_to_what_each_offered(effort, offers, shares):
    work = four_warps(*offers)
    plan = search(work, effort).plan
    assert faults(work, plan) == []
    assert hours(work, plan) == shares


def test_fair_shares_cost_no_handover_and_no_broken_session():
    work = four_warps(20, 20)
    for effort in (QUICK, LARGE):
        assert search(work, effort).worth.cost == 4 * (3 + 1)


@pytest.mark.parametrize("effort", [QUICK, LARGE])
def test_both_learners_get_a_turn_at_the_beam(effort):
    beam = frozenset({"beaming"})
    workers = (
        Worker("can", beam, frozenset(), frozenset(range(8))),
        Worker("can too", beam, frozenset(), frozenset(range(8))),
        Worker("learns", frozenset(), beam, frozenset(range(8))),
        Worker("learns too", frozenset(), beam, frozenset(range(8))),
    )
    work = Work(tuple(Chain(f"w{n}", 1, (Job("beaming", 2),)) for n in range(2)), workers, 0, 8)
    found = search(work, effort)
    assert faults(work, found.plan) == []
    assert found.worth.turns == 2


@given(works(most_chains=3, most_slots=9))
@settings(max_examples=25)
def test_sharing_keeps_to_every_rule_and_to_every_goal_before(work):
    found = search(work, LARGE)
    assert faults(work, found.plan) == []
    assert found.worth == worth(work, found.plan)


def test_a_search_that_is_ended_early_has_a_plan_and_says_so():
    for calls in (0, 3, 15):
        asked = count()
        seen: list[str] = []
        watch = Watch(
            lambda stage, _share, seen=seen: seen.append(stage),
            lambda asked=asked, calls=calls: next(asked) >= calls,
        )
        found = search(four_warps(20, 20), QUICK, watch=watch)
        assert found.ended_early
        assert not found.proved
        assert found.worth.value == 4
        assert "shares" in seen
    assert not search(four_warps(20, 20), QUICK).ended_early


def test_a_simulation_that_is_ended_early_counts_the_runs_that_it_did():
    work = four_warps(20, 20)
    plan = search(work, QUICK).plan
    asked = count()
    args = ({(n, 0): 2.0 for n in range(4)}, {(n, 0): 0.2 for n in range(4)})
    made = simulate(work, plan, range(4), *args, watch=Watch(stop=lambda: next(asked) >= 7))
    assert made.runs == 7
    assert made.in_time == 1.0


def test_a_plan_that_is_ended_early_says_so_and_tells_how_far_it_is():
    seen: dict[str, float] = {}
    plan_event(
        LOADED.guild,
        LOADED.drafts,
        START,
        effort=QUICK_PLAN,
        watch=Watch(lambda stage, share: seen.update({stage: share})),
    )
    assert list(seen) == ["looms and yarn", "work", "handovers", "shares", "how sure"]
    assert all(0 <= share <= 1 for share in seen.values())
    made = plan_event(LOADED.guild, LOADED.drafts, START, effort=QUICK_PLAN, watch=Watch(stop=lambda: True))
    assert made.ended_early
    assert made.sure is None
    assert made.left_out == ()
    assert "The search was ended early; this is the best plan until then." in tell_event(made)
