"""What falls short on the days of an event, with what would help."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from loomready.event.day.kits import KitLine
from loomready.event.day.turns import DayPlan, OpenSlots
from loomready.model.event import Event, Lesson, Opening
from loomready.model.guild import Guild
from loomready.phrases import Phrase, phrase, plural
from loomready.problems import Problem


def day_problems(
    guild: Guild, event: Event, day: DayPlan, lines: tuple[KitLine, ...], names: Mapping[str, str]
) -> tuple[Problem, ...]:
    return (
        *_outside(guild, event),
        *_stands(guild, day),
        *_classes(guild, day, names),
        *(
            Problem(
                "nobody-to-mend", "warn", phrase("Nobody who can mend is on duty {when}.", when=_when(*each))
            )
            for each in day.unmended
        ),
        *_kits(guild, lines),
    )


def _when(start: object, end: object) -> Phrase:
    return phrase("{start}-{end}", start=f"{start:%Y-%m-%d %H:%M}", end=f"{end:%H:%M}")


def _outside(guild: Guild, event: Event) -> Iterator[Problem]:
    every = [(stand.name, hours) for stand in guild.stands for hours in stand.hours]
    every += [(lesson.name, lesson.time) for lesson in guild.classes]
    for name, hours in every:
        if not any(_within(hours, open_hours) for open_hours in event.days):
            told = phrase(
                "{stand}: {when} is not within the hours of a day of the event.",
                stand=name,
                when=_when(hours.start, hours.end),
            )
            yield Problem("outside-days", "warn", told)


def _within(hours: Opening, day: Opening) -> bool:
    return day.start <= hours.start and hours.end <= day.end


def _stands(guild: Guild, day: DayPlan) -> Iterator[Problem]:
    if guild.stands and day.rota.wanted and not any(each.demonstrates for each in day.rota.helpers):
        told = phrase("Nobody can demonstrate at a stand; one more who can demonstrate would help.")
        yield Problem("stand-open", "stop", told)
        return
    names = {stand.key: stand.name for stand in guild.stands}
    for each in day.stretches:
        if each.stand is not None:
            yield Problem("stand-open", "stop", _open_told(names[each.stand], each))


def _open_told(name: str, each: OpenSlots) -> Phrase:
    return plural(
        each.lacks,
        "{stand}: {count} person is missing {when}; one more who can demonstrate then would help.",
        "{stand}: {count} people are missing {when}; as many more who can demonstrate then would help.",
        stand=name,
        when=_when(each.start, each.end),
    )


def _classes(guild: Guild, day: DayPlan, names: Mapping[str, str]) -> Iterator[Problem]:
    lessons = {lesson.key: lesson for lesson in guild.classes}
    for each in day.open:
        if each.lesson is not None:
            yield Problem("class-open", "stop", _class_told(guild, lessons[each.lesson], day, names))


def _class_told(guild: Guild, lesson: Lesson, day: DayPlan, names: Mapping[str, str]) -> Phrase:
    when = _when(lesson.time.start, lesson.time.end)
    teacher = next((person for person in guild.people if person.key == lesson.teacher), None)
    if teacher is not None and "teaching" not in teacher.can:
        return phrase(
            "{lesson}: {person} cannot teach; say so under can, or name somebody else.",
            lesson=lesson.name,
            person=names[teacher.key],
        )
    able = next(each.teachers for each in day.rota.classes if each.key == lesson.key)
    if teacher is not None and not able:
        return phrase(
            "{lesson}: {person} is not there from beginning to end, {when}.",
            lesson=lesson.name,
            person=names[teacher.key],
            when=when,
        )
    if not able:
        return phrase(
            "{lesson}: nobody who can teach is there from beginning to end, {when}.",
            lesson=lesson.name,
            when=when,
        )
    return phrase(
        "{lesson}: its teacher is needed elsewhere {when}; one more who can teach would help.",
        lesson=lesson.name,
        when=when,
    )


def _kits(guild: Guild, lines: tuple[KitLine, ...]) -> Iterator[Problem]:
    names = {lesson.key: lesson.name for lesson in guild.classes}
    for each in lines:
        if not each.short:
            continue
        if each.yarn is None:
            told = phrase(
                "{lesson}: {count} more of {thing} needed.",
                lesson=names[each.lesson],
                count=f"{each.short:.0f}",
                thing=each.thing or "",
            )
        else:
            told = phrase(
                "{lesson}: {weight} g more of {yarn} needed.",
                lesson=names[each.lesson],
                weight=f"{each.short:.0f}",
                yarn=guild.yarn(each.yarn).name,
            )
        yield Problem("kit-short", "warn", told)
