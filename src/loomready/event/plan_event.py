"""The plan of an event: its warps on looms, the work with who does it when, and how sure it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from loomready.draft.draft import Draft
from loomready.event.allotment import Allotment, allot, warps_of
from loomready.event.job_hours import JobTime, job_times
from loomready.event.slots import Slots, ready_by, slots_of
from loomready.event.work.problem import Chain, Job, Work, Worker
from loomready.event.work.search import Effort, Found, search
from loomready.event.work.shortage import Missing, WayOut, missing, ways_out
from loomready.event.work.simulate import HowSure, simulate
from loomready.loomside.learning.finished_warps import ProjectRecord
from loomready.model.event import Event, Skill
from loomready.model.guild import Guild
from loomready.phrases import listed_with_and, phrase, word
from loomready.problems import BadInput, Problem


@dataclass(frozen=True, slots=True)
class Session:
    """A crew at a job without a break. ``people``: keys."""

    start: datetime
    end: datetime
    warp: str
    job: Skill
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EventPlan:
    """Everything that is planned for an event.

    ``jobs``: by warp, with their hours. ``sessions``: in order of time. ``sure``: None: nothing is ready.
    ``lacking``, ``ways``: what is missing where some warp is not ready, and what would help.
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
        if not self.work.chains[chain].jobs:
            return self.now
        return self.slots.start_of(self.found.worth.ready[chain])

    def spare_h(self, chain: int) -> float:
        return self.work.spare(self.found.worth.ready[chain]) * self.slots.slot_h

    @property
    def stopped(self) -> bool:
        return any(problem.level == "stop" for problem in self.problems)


def plan_event(
    guild: Guild,
    drafts: Mapping[str, Draft],
    now: datetime,
    records: Iterable[ProjectRecord] = (),
    effort: Effort | None = None,
) -> EventPlan:
    """Plan an event from now on.

    :raises BadInput: there is no event, or its work should be done already; an order that is not valid
    """
    event = guild.event
    if event is None:
        raise BadInput(phrase("is missing; expected an event with its days"), where="[event]")
    then = ready_by(event)
    if then <= now:
        raise BadInput(
            phrase(
                "is past: all has to be ready by {then}, and work begins at {now}; expected a later day",
                then=f"{then:%Y-%m-%d %H:%M}",
                now=f"{now:%Y-%m-%d %H:%M}",
            ),
            where="[event]",
        )
    records = tuple(records)
    slots, allotment = slots_of(event, now), allot(guild, drafts)
    jobs = {key: job_times(plan, records) for key, plan in allotment.plans.items()}
    work = _work(guild, slots, allotment, jobs)
    found = search(work, effort)
    lacking = missing(work, found.worth)
    sure = _how_sure(work, found, slots, jobs) if found.worth.ready else None
    return EventPlan(
        guild,
        event,
        now,
        slots,
        allotment,
        jobs,
        work,
        found,
        _sessions(work, found, slots),
        sure,
        lacking,
        ways_out(work, found.worth, lacking),
        (*allotment.problems, *_problems(guild, work, found)),
    )


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


def _sessions(work: Work, found: Found, slots: Slots) -> tuple[Session, ...]:
    runs: list[list[int]] = []  # warp, job, first slot, one after the last
    for chain, job, slot in sorted(found.plan):
        people = found.plan[chain, job, slot]
        if (
            runs
            and runs[-1][:2] == [chain, job]
            and runs[-1][3] == slot
            and found.plan[chain, job, slot - 1] == people
        ):
            runs[-1][3] = slot + 1
        else:
            runs.append([chain, job, slot, slot + 1])
    made = [
        Session(
            slots.start_of(first),
            slots.start_of(last),
            work.chains[chain].warp,
            work.chains[chain].jobs[job].skill,
            tuple(work.workers[one].key for one in found.plan[chain, job, first]),
        )
        for chain, job, first, last in runs
    ]
    return tuple(sorted(made, key=lambda each: (each.start, each.end, each.warp)))


def _how_sure(work: Work, found: Found, slots: Slots, jobs: Mapping[str, tuple[JobTime, ...]]) -> HowSure:
    times = {
        (number, job): each
        for number, chain in enumerate(work.chains)
        for job, each in enumerate(jobs[chain.warp])
    }
    return simulate(
        work,
        found.plan,
        sorted(found.worth.ready),
        {key: each.median_h / slots.slot_h for key, each in times.items()},
        {key: each.sigma for key, each in times.items()},
    )


def _problems(guild: Guild, work: Work, found: Found) -> list[Problem]:
    made: list[Problem] = []
    late = [chain.warp for number, chain in enumerate(work.chains) if number not in found.worth.ready]
    if not guild.people:
        nobody = phrase("Nobody is named who helps.")
        made.append(
            Problem("nobody-comes", "stop", nobody) if late else Problem("nobody-comes", "warn", nobody)
        )
    elif late and not work.times:
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
    if late:
        made.append(
            Problem(
                "not-ready",
                "stop",
                phrase("Not ready in time: {warps}.", warps=listed_with_and(late)),
            )
        )
    for person in guild.people:
        for hours in person.hours:
            if any(rule.other_week and rule.first is None for rule in hours.rules):
                made.append(
                    Problem(
                        "every-other-week",
                        "warn",
                        phrase(
                            '{person}: "{hours}" does not say which weeks; add "starting" with a date.',
                            person=person.name,
                            hours=hours.text,
                        ),
                    )
                )
    return made
