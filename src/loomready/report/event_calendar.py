"""Calendar files (iCalendar, RFC 5545) of who does what when: one for each person and one for all.

A session keeps its UID as long as the same people are at the same job of the same warp on the same day.
Written into a folder that holds an earlier plan, a session whose hours have moved gets a higher SEQUENCE, and
one that is no longer planned is canceled, so that a calendar that imports the file again follows. What was
before the time from which the plan begins stays; a session that was under way then goes on as one, or ends.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from icalendar import Calendar, Event

from loomready.event.day.turns import Turn
from loomready.event.plan_event import EventPlan
from loomready.event.replan import Session
from loomready.files import read_bounded, write_whole
from loomready.phrases import ENGLISH, Catalog, phrase, translated
from loomready.problems import BadInput
from loomready.report.event_words import person_named, session_named, turn_named

MOST_BYTES = 8 * 1024 * 1024
EVERYBODY = "all.ics"
MOST_A_DAY = 200  # sessions of the same people at the same job: more than slots in a day of their hours
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_PEOPLE = "people"
_UNIT = chr(31)


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a calendar. ``stamp``: when it last changed, in UTC."""

    uid: str
    start: datetime
    end: datetime
    summary: str
    place: str
    sequence: int = 0
    canceled: bool = False
    stamp: datetime = EPOCH


def write_calendars(
    plan: EventPlan, folder: Path, catalog: Catalog = ENGLISH, stamp: datetime | None = None
) -> tuple[Path, ...]:
    """Writes ``all.ics`` and ``people/KEY.ics`` for everybody named; each whole or not at all.

    :param stamp: the time now, in UTC; None: the time from which the plan begins, taken as local
    :raises BadInput: the folder or a file cannot be written, or an earlier file there is no calendar
    """
    people = folder / _PEOPLE
    try:
        people.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(
            phrase(
                "is no folder, and cannot be made one: {reason}; expected a folder for calendars",
                reason=error.strerror or f"{error}",
            ),
            file=str(folder),
        ) from error
    every, turns = plan.every_session, plan.day.turns
    for_all = [*_entries(plan, every, "", catalog), *_turns(plan, turns, "", catalog)]
    wanted = {folder / EVERYBODY: for_all or _openings(plan, "")}
    for person in plan.guild.people:
        wanted[people / f"{person.key}.ics"] = _of_person(plan, person.key, catalog)
    for path in people.glob("*.ics"):  # of somebody who is no longer named
        wanted.setdefault(path, [])
    changed = (stamp or plan.now).astimezone(UTC).replace(microsecond=0)
    made = {path: _follows(entries, _read(path), plan.now, changed) for path, entries in wanted.items()}
    for path, entries in made.items():
        write_whole(path, _calendar(entries).to_ical())
    return tuple(made)


def calendar_now(plan: EventPlan, person: str, catalog: Catalog = ENGLISH) -> bytes:
    """One person's calendar as it stands now: a program that subscribes to it replaces what it had before.

    :param person: a key
    """
    stamp = plan.now.astimezone(UTC).replace(microsecond=0)
    entries = _follows(_of_person(plan, person, catalog), {}, plan.now, stamp)
    return bytes(_calendar(entries).to_ical())


def _of_person(plan: EventPlan, person: str, catalog: Catalog) -> list[Entry]:
    own = [each for each in plan.every_session if person in each.people]
    at_stands = [each for each in plan.day.turns if each.person == person]
    entries = [*_entries(plan, own, person, catalog), *_turns(plan, at_stands, person, catalog)]
    return entries or _openings(plan, person)


def _entries(plan: EventPlan, sessions: Sequence[Session], person: str, catalog: Catalog) -> list[Entry]:
    """Entries without a number of their day yet: ``uid`` holds what their UIDs are made of."""
    made = []
    for each in sessions:
        name = (person, each.warp, each.job, f"{each.start:%Y-%m-%d}", *(() if person else each.people))
        of = _UNIT.join((plan.guild.name, plan.event.name, *name))
        summary = translated(session_named(plan, each, person), catalog)
        made.append(Entry(of, each.start, each.end, summary, _place(plan, each)))
    return made


def _openings(plan: EventPlan, person: str) -> list[Entry]:
    """The days of the event, for somebody who has nothing to do yet: no calendar is empty (RFC 5545, 3.6)."""
    return [
        Entry(
            _UNIT.join((plan.guild.name, plan.event.name, person, "event", f"{each.start:%Y-%m-%d}")),
            each.start,
            each.end,
            plan.event.name,
            "",
        )
        for each in plan.event.days
    ]


def _turns(plan: EventPlan, turns: Sequence[Turn], person: str, catalog: Catalog) -> list[Entry]:
    """Turns of the days: at a stand, teaching a class, or on duty to mend."""
    made = []
    for each in turns:
        where = ("class", each.lesson) if each.lesson is not None else ("stand", each.stand or "")
        name = (person, *where, f"{each.start:%Y-%m-%d}", each.person)
        of = _UNIT.join((plan.guild.name, plan.event.name, *name))
        told = turn_named(plan, each)
        if not person:
            told = phrase("{stand} ({people})", stand=told, people=person_named(plan, each.person))
        made.append(Entry(of, each.start, each.end, translated(told, catalog), ""))
    return made


def _place(plan: EventPlan, each: Session) -> str:
    """The name of the loom; none for a warp that has no loom any more."""
    place = plan.allotment.places.get(each.warp)
    return "" if place is None else plan.guild.loom(place.loom).name


def _uid(of: str, number: int) -> str:
    return f"{uuid.uuid5(uuid.NAMESPACE_OID, _UNIT.join((of, str(number))))}@loomready"


def _follows(
    entries: Iterable[Entry], before: Mapping[str, Entry], now: datetime, stamp: datetime
) -> list[Entry]:
    """Entries numbered after the ones that a calendar may hold already; what is gone is canceled."""
    made: dict[str, Entry] = {}
    same_day: dict[str, list[Entry]] = {}
    for each in entries:
        same_day.setdefault(each.uid, []).append(each)
    for of, several in same_day.items():
        for uid, each in _numbered(of, several, before, now):
            made[uid] = _revised(replace(each, uid=uid), before.get(uid), stamp)
    for uid, old in before.items():
        if uid in made:
            continue
        if old.end <= now or old.canceled:
            made[uid] = old
        elif old.start < now:  # it was under way, and ends now
            made[uid] = _revised(replace(old, end=now), old, stamp)
        else:
            made[uid] = _revised(replace(old, canceled=True), old, stamp)
    return sorted(made.values(), key=lambda each: (each.start, each.uid))


def _numbered(
    of: str, entries: list[Entry], before: Mapping[str, Entry], now: datetime
) -> Iterator[tuple[str, Entry]]:
    """UIDs for the same people at the same job on one day: each entry keeps the UID of the old one that
    begins with it, or else that it goes on from; the others take those of old ones that moved, then new ones.
    """
    uids = [_uid(of, number) for number in range(1, 2 * MOST_A_DAY)]
    held = [uid for uid in uids if uid in before]
    left, fixed = list(entries), []
    for goes_on in (False, True):
        for uid in list(held):
            old = before[uid]
            match = next((each for each in left if _continues(old, each, goes_on and old.start < now)), None)
            if match is not None:
                start = min(match.start, old.start) if goes_on else match.start
                fixed.append((uid, replace(match, start=start)))
                left.remove(match)
                held.remove(uid)
    moved = [uid for uid in held if before[uid].start >= now]
    new = [uid for uid in uids if uid not in before]
    yield from fixed
    yield from zip((*moved, *new), left, strict=False)


def _continues(old: Entry, each: Entry, goes_on: bool) -> bool:
    """Whether an entry is an old one, or the rest of one that has begun."""
    return each.start == old.start or (goes_on and old.start < each.start <= old.end)


def _revised(each: Entry, old: Entry | None, stamp: datetime) -> Entry:
    """An entry with its number and the time of its last change."""
    if old is None:
        return replace(each, sequence=0, stamp=stamp)
    if replace(each, sequence=old.sequence, stamp=old.stamp) == old:
        return old
    return replace(each, sequence=old.sequence + 1, stamp=stamp)


def _calendar(entries: Iterable[Entry]) -> Calendar:
    """Times are local, without a zone: the work is where the looms are. There is no METHOD: without one
    DTSTAMP is when an entry last changed (RFC 5545, 3.8.7.2)."""
    made = Calendar()
    made.add("prodid", "-//loomready//event//EN")
    made.add("version", "2.0")
    for each in entries:
        event = Event()
        event.add("uid", each.uid)
        event.add("dtstamp", each.stamp)
        event.add("dtstart", each.start)
        event.add("dtend", each.end)
        event.add("summary", each.summary)
        if each.place:
            event.add("location", each.place)
        event.add("sequence", each.sequence)
        event.add("status", "CANCELLED" if each.canceled else "CONFIRMED")
        made.add_component(event)
    return made


def _read(path: Path) -> dict[str, Entry]:
    """The entries of a calendar that we wrote before; none where there is no file.

    :raises BadInput: it is no calendar of ours: it is never written over
    """
    if not path.exists():
        return {}
    expected = phrase("a calendar of loomready, or no file")
    data = read_bounded(
        path, MOST_BYTES, expected=expected, too_large=lambda size: phrase("is too large for a calendar")
    )
    try:
        found = Calendar.from_ical(data)
        if "loomready" not in str(found["prodid"]):
            raise ValueError
        return {
            str(each["uid"]): Entry(
                str(each["uid"]),
                each.decoded("dtstart"),
                each.decoded("dtend"),
                str(each["summary"]),
                str(each.get("location", "")),
                int(str(each["sequence"])),
                str(each["status"]) == "CANCELLED",
                each.decoded("dtstamp"),
            )
            for each in found.walk("VEVENT")
        }
    except (ValueError, KeyError, TypeError, AttributeError, IndexError):
        raise BadInput(
            phrase("is not a calendar of loomready; expected {expected}", expected=expected), file=str(path)
        ) from None
