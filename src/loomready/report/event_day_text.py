"""The days of an event in plain text: who is at which stand, what classes need, what is packed."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.event.day.kits import KitLine
from loomready.event.day.packing import EVENT
from loomready.event.plan_event import EventPlan
from loomready.phrases import Catalog, Phrase, phrase
from loomready.report.event_words import day_told, person_named, turn_named
from loomready.report.layout import columns
from loomready.units import Shown


def day_parts(plan: EventPlan, catalog: Catalog) -> tuple[Iterator[str], ...]:
    return _rota(plan, catalog), _kits(plan, catalog), _packing(plan, catalog)


def place_named(plan: EventPlan, key: str | None) -> str | Phrase:
    """The name of a stand, class or loom."""
    guild = plan.guild
    if key == EVENT:
        return phrase("the event")
    names = {each.key: each.name for each in guild.looms}
    names |= {each.key: each.name for each in guild.classes} | {each.key: each.name for each in guild.stands}
    return names.get(key or "", key or "")


def _rota(plan: EventPlan, catalog: Catalog) -> Iterator[str]:
    rows: list[tuple[str, ...]] = []
    day = None
    if plan.day.turns:
        yield phrase("Who is where")
    for each in plan.day.turns:
        if each.start.date() != day:
            if rows:
                yield from columns(rows, (), catalog)
            day, rows = each.start.date(), []
            yield day_told(day)
        rows.append(
            (
                f"{each.start:%H:%M}-{each.end:%H:%M}",
                turn_named(plan, each),
                person_named(plan, each.person),
            )
        )
    if rows:
        yield from columns(rows, (), catalog)
    if plan.day.turns and not plan.day.proved:
        yield phrase("Whether another rota has fewer open slots or evener shares is not proved.")


def _kits(plan: EventPlan, catalog: Catalog) -> Iterator[str]:
    if not plan.kits:
        return
    yield phrase("Kits")
    rows: list[tuple[str, ...]] = [
        (phrase("class"), phrase("material"), phrase("needed"), phrase("there"), phrase("short"))
    ]
    for each in plan.kits:
        rows.append((place_named(plan, each.lesson), *kit_rows(plan, each)))
    yield from columns(rows, (2, 3, 4), catalog)


def kit_rows(plan: EventPlan, each: KitLine) -> tuple[str, ...]:
    """A material: its name, what is needed, what is there, what is short."""
    weight = Shown(plan.guild.units).weight
    amounts = (each.needed, each.have, each.short)
    name = each.thing or plan.guild.names_of_yarns.get(each.yarn or "", "")
    return (name, *(f"{one:.0f}" if each.yarn is None else weight(one) for one in amounts))


def _packing(plan: EventPlan, catalog: Catalog) -> Iterator[str]:
    if not plan.packing:
        return
    yield phrase("To pack")
    rows: list[tuple[str, ...]] = [
        (place_named(plan, each.packed_for), f"{each.count}", each.thing) for each in plan.packing
    ]
    yield from columns(rows, (1,), catalog)
    yield phrase("Counts that no plan gives are common practice, no source; the guild file may change them.")
