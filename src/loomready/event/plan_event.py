"""The plan of an event: its warps on looms, the work with who does it when, and how sure it is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from loomready.draft.draft import Draft
from loomready.event.allotment import Allotment, allot
from loomready.event.day.day_problems import day_problems
from loomready.event.day.kits import KitLine, kits
from loomready.event.day.packing import PackedThing, packing
from loomready.event.day.turns import DayPlan, plan_day
from loomready.event.job_hours import JobTime, job_times
from loomready.event.places import Kept, warps_of
from loomready.event.replan import Carried, Changes, Entries, Session, carry, changes, in_order, sessions_from
from loomready.event.slots import AHEAD, Slots, ready_by, slots_of
from loomready.event.watch import UNWATCHED, Watch
from loomready.event.work.problem import Chain, Job, Work, Worker
from loomready.event.work.search import Effort, Found, search
from loomready.event.work.shortage import Missing, WayOut, lacks_board, missing, ways_out
from loomready.event.work.simulate import HowSure, simulate
from loomready.loomside.learning.finished_warps import ProjectRecord
from loomready.model.event import Event, Person
from loomready.model.guild import Guild
from loomready.phrases import listed_with_and, phrase, plural, word
from loomready.problems import BadInput, Problem
from loomready.warp.plan import shelf_before

STANDS_H = 48.0  # sessions of an earlier plan that stay as they are


@dataclass(frozen=True, slots=True)
class EventPlan:
    """Everything that is planned for an event.

    ``jobs``: by warp, with their hours. ``sessions``: in order of time. ``sure``: None: nothing is ready.
    ``lacking``, ``ways``: what is missing where some warp is not ready, and what would help. ``done``: by
    warp, the slot after the last of its jobs that are done or stand; ``past``: sessions of earlier plans that
    are over; ``changes``: against an earlier plan, None: there was none. ``ended_early``: the search was told
    to stop, and this is the best until then. ``day``: the rota; ``kits``: of classes, from what warps leave.
    ``offered``: the work before what was done and what stands is taken off, with all hours from now on.
    """

    guild: Guild
    event: Event
    now: datetime
    slots: Slots
    allotment: Allotment
    jobs: Mapping[str, tuple[JobTime, ...]]
    work: Work
    found: Found
    sessions: tuple[Session, ...]
    sure: HowSure | None
    lacking: tuple[Missing, ...]
    ways: tuple[WayOut, ...]
    problems: tuple[Problem, ...]
    done: Mapping[str, int]
    changes: tuple[Changes, ...] | None
    day: DayPlan
    kits: tuple[KitLine, ...]
    packing: tuple[PackedThing, ...]
    offered: Work
    past: tuple[Session, ...] = ()
    ended_early: bool = False

    @property
    def every_session(self) -> tuple[Session, ...]:
        """What was done and what is planned, in order of time: the earlier plan of a later one."""
        return tuple(in_order((*self.past, *self.sessions)))

    @property
    def ready_by(self) -> datetime:
        return ready_by(self.event)

    @property
    def left_out(self) -> tuple[str, ...]:
        """The event's warps that will not be ready, in file order."""
        ready = {self.work.chains[chain].warp for chain in self.found.worth.ready}
        return tuple(order.key for order in warps_of(self.guild) if order.key not in ready)

    def ready_at(self, chain: int) -> datetime:
        """When a warp is ready; one that has nothing left to do is ready now."""
        each = self.work.chains[chain]
        if not each.jobs:
            return self.slots.start_of(self.done[each.warp]) if each.warp in self.done else self.now
        return self.slots.start_of(self.found.worth.ready[chain])

    def spare_h(self, chain: int) -> float:
        each = self.work.chains[chain]
        ready = self.found.worth.ready[chain] if each.jobs else self.done.get(each.warp, self.offered.first)
        return self.offered.spare(ready) * self.slots.slot_h

    @property
    def least_spare_h(self) -> float | None:
        """The least spare time of any warp that will be ready; None: none will."""
        return min(map(self.spare_h, self.found.worth.ready), default=None)

    @property
    def stopped(self) -> bool:
        return any(problem.level == "stop" for problem in self.problems)


def plan_event(
    guild: Guild,
    drafts: Mapping[str, Draft],
    now: datetime,
    records: Iterable[ProjectRecord] = (),
    effort: Effort | None = None,
    told: Sequence[Session] | None = None,
    stands_h: float = STANDS_H,
    told_places: Mapping[str, Kept] | None = None,
    begun: Mapping[str, Kept] | None = None,
    watch: Watch = UNWATCHED,
) -> EventPlan:
    """Plan an event from now on; once all has to be ready, only its days are left to plan.

    :param told: every session of an earlier plan, which is changed as little as can be
    :param stands_h: for so long it is not changed at all, where it can still be done and no warp is late so
    :param told_places: looms and reeds of the earlier plan, which warps keep that were begun since
    :param begun: looms and reeds of other warps that are begun; those that are wound are known anyway
    :param watch: is told of progress, and may end the search: what it has then is the plan
    :raises BadInput: there is no event, it is over, or it is too far away; an order that is not valid
    """
    event = guild.event
    if event is None:
        raise BadInput(phrase("is missing; expected an event with its days"), where="[event]")
    then, over = ready_by(event), max(each.end for each in event.days)
    if over <= now:
        raise BadInput(
            phrase(
                "is over: its last day ends at {over}, and work begins at {now}; expected a later day",
                over=f"{over:%Y-%m-%d %H:%M}",
                now=f"{now:%Y-%m-%d %H:%M}",
            ),
            where="[event]",
        )
    if then - now > AHEAD:
        raise BadInput(
            phrase(
                "is more than {days} days after {now}; expected a day before that",
                days=AHEAD.days,
                now=f"{now:%Y-%m-%d %H:%M}",
            ),
            where="[event]",
        )
    records = tuple(records)
    slots = slots_of(event, now)
    worked_on = {each.warp for each in told or () if each.start < slots.start_of(slots.first)}
    kept = {key: place for key, place in (told_places or {}).items() if key in worked_on}
    allotment = allot(guild, drafts, {**kept, **(begun or {})}, watch)
    jobs = {key: job_times(plan, records) for key, plan in allotment.plans.items()}
    offered = _work(guild, slots, allotment, jobs)
    until = min(slots.at(now + timedelta(hours=stands_h), up=True), slots.last) if told else slots.first
    carried, found = _searched(offered, slots, told, until, effort, watch)
    if until > slots.first and found.worth.value < offered.all_value:
        freer, other = _searched(offered, slots, told, slots.first, effort, watch)
        if other.worth.value > found.worth.value:  # what is ready comes before what stands
            carried, found = freer, other
    work = carried.work
    sessions = sessions_from(slots, carried.stands | _entries(work, found))
    after = in_order((*carried.past, *sessions))
    lacking = missing(work, found.worth) if slots.first < slots.last else ()
    sure = _how_sure(work, found, slots, jobs, watch) if found.worth.ready else None
    day = plan_day(guild, event, (effort or Effort()).rota)
    left = shelf_before(allotment.guild, drafts, None)
    classes_need = kits(allotment.guild, left)
    ended_early = watch.stop()
    return EventPlan(
        guild,
        event,
        now,
        slots,
        allotment,
        jobs,
        work,
        found,
        sessions,
        sure,
        lacking,
        ways_out(work, found.worth, lacking, watch),
        (
            *allotment.problems,
            *_problems(guild, work, found),
            *day_problems(guild, event, day, classes_need, names_of_people(guild.people)),
        ),
        carried.ready,
        None if told is None else changes(told, after, now),
        day,
        classes_need,
        packing(guild, allotment.plans),
        offered,
        carried.past,
        ended_early or allotment.ended_early,
    )


def _searched(
    work: Work,
    slots: Slots,
    told: Sequence[Session] | None,
    until: int,
    effort: Effort | None,
    watch: Watch,
) -> tuple[Carried, Found]:
    """What is left with what stands until a slot, and the plan of it."""
    carried = carry(work, slots, told or (), until)
    found = search(carried.work, effort, told=carried.told if told is not None else None, watch=watch)
    return carried, found


def _work(guild: Guild, slots: Slots, allotment: Allotment, jobs: Mapping[str, tuple[JobTime, ...]]) -> Work:
    values = {order.key: order.value for order in guild.warps}
    chains = tuple(
        Chain(key, values[key], tuple(Job(each.job, slots.whole(each.hours)) for each in jobs[key]))
        for key in allotment.plans
    )
    workers = tuple(
        Worker(
            person.key,
            frozenset(person.can),
            frozenset(person.learning),
            slots.of(person),
            None if person.most_h is None else int(person.most_h / slots.slot_h + 1e-9),
        )
        for person in guild.people
    )
    return Work(chains, workers, slots.first, slots.last, max(1, len(guild.boards)))


def _entries(work: Work, found: Found) -> Entries:
    return {
        (work.chains[chain].warp, work.chains[chain].jobs[job].skill, slot): tuple(
            work.workers[one].key for one in people
        )
        for (chain, job, slot), people in found.plan.items()
    }


def _how_sure(
    work: Work, found: Found, slots: Slots, jobs: Mapping[str, tuple[JobTime, ...]], watch: Watch
) -> HowSure | None:
    """None: it was told to stop before the first run."""
    times = {(warp, each.job): each for warp, of_warp in jobs.items() for each in of_warp}
    planned = {
        (number, place): (job, times[chain.warp, job.skill])
        for number, chain in enumerate(work.chains)
        for place, job in enumerate(chain.jobs)
    }
    sure = simulate(
        work,
        found.plan,
        sorted(found.worth.ready),
        {  # of a job that is begun, the part that is left
            key: min(each.median_h / slots.slot_h, job.slots * each.median_h / each.hours)
            for key, (job, each) in planned.items()
        },
        {key: each.sigma for key, (_job, each) in planned.items()},
        watch=watch,
    )
    return sure if sure.runs else None


def names_of_people(people: Iterable[Person]) -> dict[str, str]:
    """The names of people by their keys, with the key beside a name that several have."""
    every = tuple(people)
    several = Counter(person.name for person in every)
    return {
        person.key: person.name
        if several[person.name] == 1
        else phrase("{name} ({key})", name=person.name, key=person.key)
        for person in every
    }


def _problems(guild: Guild, work: Work, found: Found) -> list[Problem]:
    made: list[Problem] = []
    late = [chain.warp for number, chain in enumerate(work.chains) if number not in found.worth.ready]
    if not guild.people:
        nobody = phrase("Nobody is named who helps.")
        made.append(
            Problem("nobody-comes", "stop", nobody) if late else Problem("nobody-comes", "warn", nobody)
        )
    elif late and not work.times and work.first < work.last:
        made.append(Problem("nobody-comes", "stop", phrase("Nobody comes before all has to be ready.")))
    wanted = dict.fromkeys(job.skill for chain in work.chains for job in chain.jobs)
    unknown = [skill for skill in wanted if not any(skill in each.can for each in work.workers)]
    if guild.people and unknown:
        made.append(
            Problem(
                "nobody-can",
                "stop",
                phrase("Nobody can do this: {skills}.", skills=listed_with_and(map(word, unknown))),
            )
        )
    if late and lacks_board(work, found.worth):
        made.append(
            Problem(
                "board-short",
                "stop",
                plural(
                    work.boards,
                    "With more than {count} warping board, more warps would be ready in time.",
                    "With more than {count} warping boards, more warps would be ready in time.",
                ),
            )
        )
    if late:
        made.append(
            Problem(
                "not-ready",
                "stop",
                phrase("Not ready in time: {warps}.", warps=listed_with_and(map(guild.name_of_warp, late))),
            )
        )
    names = names_of_people(guild.people)
    for person in guild.people:
        for hours in person.hours:
            if any(rule.other_week and rule.first is None for rule in hours.rules):
                made.append(
                    Problem(
                        "every-other-week",
                        "warn",
                        phrase(
                            '{person}: "{hours}" does not say which weeks; add "starting" with a date.',
                            person=names[person.key],
                            hours=hours.text,
                        ),
                    )
                )
    return made
