"""Sentences about the plan of an event, for its text, its JSON and pages."""

from __future__ import annotations

from datetime import date, datetime

from loomready.event.day.turns import Turn
from loomready.event.plan_event import EventPlan, names_of_people
from loomready.event.purchases import Purchase
from loomready.event.replan import Session
from loomready.event.work.shortage import Missing, WayOut
from loomready.phrases import Phrase, joined, listed_with_and, phrase, plural, some, word
from loomready.report.event_times import weekday_told
from loomready.report.money import money
from loomready.units import Shown

TO_MEND = phrase("on duty to mend")


def day_told(day: date) -> Phrase:
    """A date with its weekday: "Sat 2026-10-03"."""
    return phrase("{weekday} {date}", weekday=weekday_told(day), date=f"{day:%Y-%m-%d}")


def moment_told(moment: datetime) -> Phrase:
    return phrase("{day} {time}", day=day_told(moment.date()), time=f"{moment:%H:%M}")


def session_told(start: datetime, end: datetime) -> Phrase:
    """From when to when: "Tue 2027-04-06 18:30-21:00"."""
    return phrase("{moment}-{end}", moment=moment_told(start), end=f"{end:%H:%M}")


def hours_told(hours: float) -> Phrase:
    """Hours to a quarter as people read them: "2.5 h"."""
    return phrase("{hours} h", hours=f"{round(hours, 2):g}")


def person_named(plan: EventPlan, key: str) -> str | Phrase:
    """The name of a person; with the key where somebody else is called the same."""
    return names_of_people(plan.guild.people).get(key, key)


def warp_named(plan: EventPlan, key: str) -> str:
    return plan.guild.name_of_warp(key)


def session_named(plan: EventPlan, each: Session, person: str = "") -> Phrase:
    """What is done in a session, and by whom.

    :param person: the key of the one who reads it, who is not named; empty: everybody is
    """
    others = [person_named(plan, one) for one in each.people if one != person]
    job, names, warp = word(each.job), joined(", ", others), warp_named(plan, each.warp)
    if not others:
        return phrase("{warp}: {job}", warp=warp, job=job)
    if person:
        return phrase("{warp}: {job}, with {people}", warp=warp, job=job, people=names)
    return phrase("{warp}: {job} ({people})", warp=warp, job=job, people=names)


def turn_named(plan: EventPlan, each: Turn) -> Phrase:
    """What somebody does in a turn: the stand or the class by its name, or that it is to mend."""
    if each.stand is None and each.lesson is None:
        return TO_MEND
    if each.lesson is not None:
        lesson = next((one.name for one in plan.guild.classes if one.key == each.lesson), each.lesson)
        return phrase("teaching {lesson}", lesson=lesson)
    return phrase(
        "at {stand}",
        stand=next((one.name for one in plan.guild.stands if one.key == each.stand), each.stand or ""),
    )


def reed_named(plan: EventPlan, key: str) -> str:
    return next((reed.name for reed in plan.guild.reeds if reed.key == key), key)


def missing_told(plan: EventPlan, each: Missing) -> Phrase:
    """What is short: "5 h of threading are missing before Fri 2026-10-16 07:00"."""
    hours = each.slots * plan.slots.slot_h
    job, moment = word(each.skill), moment_told(plan.slots.start_of(each.before))
    if hours <= 1:
        return phrase(
            "{hours} of {job} is missing before {moment}.", hours=hours_told(hours), job=job, moment=moment
        )
    return phrase(
        "{hours} of {job} are missing before {moment}.", hours=hours_told(hours), job=job, moment=moment
    )


def way_told(plan: EventPlan, way: WayOut) -> Phrase:
    """A way out, with the spare time that it leaves."""
    spare = hours_told((way.spare or 0) * plan.slots.slot_h)
    if way.kind == "leave out":
        warps = listed_with_and(warp_named(plan, plan.work.chains[chain].warp) for chain in way.warps)
        return phrase("leave out {warps}: the rest has {spare} spare", warps=warps, spare=spare)
    told = _change_told(plan, way)
    if way.also is not None:
        told = phrase("{way} and {other_way}", way=told, other_way=_change_told(plan, way.also))
    return phrase("{way} would do: {spare} spare", way=told, spare=spare)


def _change_told(plan: EventPlan, way: WayOut) -> Phrase:
    hours = hours_told(way.slots * plan.slots.slot_h)
    when = session_told(plan.slots.start_of(way.first), plan.slots.start_of(way.last))
    name: str = "" if way.person is None else person_named(plan, plan.work.workers[way.person].key)
    if way.kind == "board":
        return phrase("one more warping board")
    if way.kind == "newcomer":
        return phrase("one more who can do {job} on {when}", job=word(way.skill or "mending"), when=when)
    if way.kind == "comes":
        return phrase("{person} on {when} too", person=name, when=when)
    return phrase("{hours} more of {person}", hours=hours, person=name)


def how_sure_told(plan: EventPlan) -> Phrase | None:
    """In how many of the simulated runs all is ready, and which warp is the tight one."""
    sure = plan.sure
    if sure is None:
        return None
    ready = round(sure.in_time * sure.runs)
    if sure.tight is None:
        return phrase("Ready in {ready} of {runs} runs.", ready=ready, runs=sure.runs)
    return phrase(
        "Ready in {ready} of {runs} runs; {warp} is the tight one, late in {late}.",
        ready=ready,
        runs=sure.runs,
        warp=warp_named(plan, plan.work.chains[sure.tight].warp),
        late=sure.late[sure.tight],
    )


def proved_told(plan: EventPlan) -> Phrase:
    """Whether the plan is the best one, or how far off it can be at most."""
    found = plan.found
    if plan.ended_early:
        return phrase("The search was ended early; this is the best plan until then.")
    if found.proved:
        return phrase("This plan is proved to be the best.")
    if found.worth.value < found.most_value:
        return phrase("Whether more warps could be ready is not proved.")
    gap = (found.most_spare or 0) - (found.worth.spare or 0)
    if gap <= 0:
        return phrase(
            "No plan leaves more spare time; whether one has fewer handovers or fairer shares is not proved."
        )
    return phrase(
        "No plan leaves more than {hours} more spare time.", hours=hours_told(gap * plan.slots.slot_h)
    )


def cones_told(count: int) -> Phrase:
    return some(count, "cone")


def purchase_told(plan: EventPlan, each: Purchase) -> Phrase:
    """What to buy: "Buy 1 cone of brick, 16 oz each, in one dye lot: 21.50 USD"."""
    return phrase(
        "Buy {cones} of {yarn}, {weight} each, in one dye lot: {cost}",
        cones=cones_told(each.cones),
        yarn=plan.guild.yarn(each.cone.yarn).name,
        weight=Shown(plan.guild.units).weight(each.cone.weight_g),
        cost=money(each.cost, plan.guild.currency),
    )


def warps_ready_told(plan: EventPlan, by: Phrase | None = None) -> Phrase:
    """How many warps are ready; ``by``: the moment in other words than those of the text."""
    ready = len(plan.found.worth.ready)
    wanted = ready + len(plan.left_out)
    if not wanted:
        return phrase("There is no warp to get ready.")
    return plural(
        wanted,
        "{ready} of {count} warp ready by {moment}",
        "{ready} of {count} warps ready by {moment}",
        ready=ready,
        moment=by or moment_told(plan.ready_by),
    )
