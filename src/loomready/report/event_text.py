"""The plan of an event told in plain text: looms, what to buy, who does what when, what is short."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.event.plan_event import EventPlan
from loomready.phrases import ENGLISH, Catalog, joined, listed, phrase, word
from loomready.report.event_day_text import day_parts
from loomready.report.event_words import (
    day_told,
    hours_told,
    how_sure_told,
    missing_told,
    moment_told,
    person_named,
    proved_told,
    purchase_told,
    reed_named,
    session_told,
    warp_named,
    warps_ready_told,
    way_told,
)
from loomready.report.layout import columns, in_lines, indented, named
from loomready.report.plan_text import SIGNS


def tell_event(plan: EventPlan, catalog: Catalog = ENGLISH) -> str:
    """The whole plan as lines of text, in the catalog's language."""
    lines: list[str] = [phrase("{event}: {ready}", event=plan.event.name, ready=warps_ready_told(plan))]
    for part in (
        _looms(plan, catalog),
        _purchases(plan),
        _hours(plan, catalog),
        _work(plan, catalog),
        *day_parts(plan, catalog),
    ):
        told = list(part)
        lines += ["", *told] if told else []
    if plan.changes is not None:
        lines += ["", *_changes(plan, catalog)]
    lines += ["", *_how_good(plan)]
    if plan.problems or plan.lacking:
        lines += ["", *_short(plan)]
    return in_lines(lines, catalog)


def _looms(plan: EventPlan, catalog: Catalog) -> Iterator[str]:
    ready = {plan.work.chains[chain].warp: chain for chain in plan.found.worth.ready}
    orders = {order.key: order for order in plan.guild.warps}
    rows: list[tuple[str, ...]] = [
        (
            phrase("warp"),
            phrase("loom"),
            phrase("reed"),
            phrase("heddles to move"),
            phrase("ready"),
            phrase("spare"),
        )
    ]
    for key, place in plan.allotment.places.items():
        chain = ready.get(key)
        rows.append(
            (
                named(orders[key]),
                plan.guild.loom(place.loom).name,
                "-" if place.reed is None else reed_named(plan, place.reed),
                f"{place.heddles_moved}",
                phrase("not in time") if chain is None else moment_told(plan.ready_at(chain)),
                "-" if chain is None else hours_told(plan.spare_h(chain)),
            )
        )
    if len(rows) > 1:
        yield from columns(rows, (3, 5), catalog)


def _purchases(plan: EventPlan) -> Iterator[str]:
    for each in plan.allotment.buy:
        yield indented("  ", purchase_told(plan, each))
    if plan.allotment.buy and not plan.allotment.proved:
        yield indented("  ", phrase("Whether this is the cheapest choice is not proved."))


def _hours(plan: EventPlan, catalog: Catalog) -> Iterator[str]:
    rows: list[tuple[str, ...]] = []
    for warp, times in plan.jobs.items():
        by_source: dict[str, list[str]] = {}
        for each in times:
            told = phrase("{job} {hours}", job=word(each.job), hours=hours_told(each.hours))
            by_source.setdefault(each.where_from, []).append(told)
        for where_from, told_jobs in by_source.items():
            rows.append((warp_named(plan, warp), listed(told_jobs), where_from))
    if rows:
        yield phrase("Hours as planned")
        yield from columns(rows, (), catalog)


def _work(plan: EventPlan, catalog: Catalog) -> Iterator[str]:
    day = None
    rows: list[tuple[str, ...]] = []
    for each in plan.sessions:
        if each.start.date() != day:
            if rows:
                yield from columns(rows, (), catalog)
            day, rows = each.start.date(), []
            yield day_told(day)
        people = joined(", ", [person_named(plan, one) for one in each.people])
        rows.append(
            (f"{each.start:%H:%M}-{each.end:%H:%M}", warp_named(plan, each.warp), word(each.job), people)
        )
    if rows:
        yield from columns(rows, (), catalog)


def _changes(plan: EventPlan, catalog: Catalog) -> Iterator[str]:
    if not plan.changes:
        yield phrase("Nobody's sessions change.")
        return
    yield phrase("Changes, to be told")
    rows: list[tuple[str, ...]] = []
    for each in plan.changes:
        name = person_named(plan, each.person)
        for sign, sessions in ((phrase("no longer"), each.no_longer), (phrase("new"), each.new)):
            for session in sessions:
                when = session_told(session.start, session.end)
                rows.append((name, sign, when, warp_named(plan, session.warp), word(session.job)))
    yield from columns(rows, (), catalog)


def _how_good(plan: EventPlan) -> Iterator[str]:
    sure = how_sure_told(plan)
    if sure is not None:
        yield sure
    yield proved_told(plan)


def _short(plan: EventPlan) -> Iterator[str]:
    for problem in plan.problems:
        yield indented("  ", joined(": ", (SIGNS[problem.level], problem.message)))
    for each in plan.lacking:
        yield indented("  ", missing_told(plan, each))
    for way in plan.ways:
        yield indented("    - ", way_told(plan, way))
