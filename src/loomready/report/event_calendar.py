"""Calendar files (iCalendar, RFC 5545) of who does what when: one for each person and one for all.

A session keeps its UID as long as the same people are at the same job of the same warp on the same day.
Written into a folder that holds an earlier plan, a session whose hours have moved gets a higher SEQUENCE, and
one that is no longer planned is canceled, so that a calendar that imports the file again follows. What began
before the time from which the plan begins stays as it was.
"""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from icalendar import Calendar, Event

from loomready.event.plan_event import EventPlan
from loomready.event.replan import Session
from loomready.files import read_bounded, write_whole
from loomready.phrases import ENGLISH, Catalog, Phrase, joined, phrase, translated, word
from loomready.problems import BadInput
from loomready.report.event_words import person_named

MOST_BYTES = 8 * 1024 * 1024
EVERYBODY = "all.ics"
_PEOPLE = "people"


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a calendar."""

    uid: str
    start: datetime
    end: datetime
    summary: str
    place: str
    sequence: int = 0
    canceled: bool = False


def write_calendars(plan: EventPlan, folder: Path, catalog: Catalog = ENGLISH) -> tuple[Path, ...]:
    """Writes ``all.ics`` and ``people/KEY.ics`` for everybody named; each whole or not at all.

    :raises BadInput: the folder or a file cannot be written, or an earlier file there is no calendar
    """
    people = folder / _PEOPLE
    try:
        people.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(
            phrase("cannot be made: {reason}", reason=error.strerror or f"{error}"), file=str(folder)
        ) from error
    wanted = {folder / EVERYBODY: _entries(plan, plan.sessions, "", catalog)}
    for person in plan.guild.people:
        own = [each for each in plan.sessions if person.key in each.people]
        wanted[people / f"{person.key}.ics"] = _entries(plan, own, person.key, catalog)
    for path in people.glob("*.ics"):  # of somebody who is no longer named
        wanted.setdefault(path, [])
    made = {path: _follows(entries, _read(path), plan.now) for path, entries in wanted.items()}
    for path, entries in made.items():
        write_whole(path, _calendar(plan, entries).to_ical())
    return tuple(made)


def _entries(plan: EventPlan, sessions: Sequence[Session], person: str, catalog: Catalog) -> list[Entry]:
    seen: Counter[tuple[str, ...]] = Counter()
    made = []
    for each in sessions:
        name = (person, each.warp, each.job, f"{each.start:%Y-%m-%d}", *(() if person else each.people))
        seen[name] += 1
        told = (plan.guild.name, plan.event.name, *name, str(seen[name]))
        uid = f"{uuid.uuid5(uuid.NAMESPACE_OID, chr(31).join(told))}@loomready"
        loom = plan.allotment.places[each.warp].loom
        summary = translated(_summary(plan, each, person), catalog)
        made.append(Entry(uid, each.start, each.end, summary, plan.guild.loom(loom).name))
    return made


def _summary(plan: EventPlan, each: Session, person: str) -> Phrase:
    others = [person_named(plan, one) for one in each.people if one != person]
    job, names = word(each.job), joined(", ", others)
    if not others:
        return phrase("{warp}: {job}", warp=each.warp, job=job)
    if person:
        return phrase("{warp}: {job}, with {people}", warp=each.warp, job=job, people=names)
    return phrase("{warp}: {job} ({people})", warp=each.warp, job=job, people=names)


def _follows(entries: Iterable[Entry], before: Mapping[str, Entry], now: datetime) -> list[Entry]:
    """Entries numbered after the ones that a calendar may hold already; what is gone is canceled."""
    made = {}
    for each in entries:
        old = before.get(each.uid)
        same = old is not None and (each.start, each.end, each.summary, each.place) == (
            old.start,
            old.end,
            old.summary,
            old.place,
        )
        number = 0 if old is None else old.sequence + (not same or old.canceled)
        made[each.uid] = Entry(each.uid, each.start, each.end, each.summary, each.place, number)
    for uid, old in before.items():
        if uid not in made and old.start < now:
            made[uid] = old
        elif uid not in made:
            number = old.sequence + (not old.canceled)
            made[uid] = Entry(uid, old.start, old.end, old.summary, old.place, number, canceled=True)
    return sorted(made.values(), key=lambda each: (each.start, each.uid))


def _calendar(plan: EventPlan, entries: Iterable[Entry]) -> Calendar:
    """Times are local, without a zone: the work is where the looms are."""
    made = Calendar()
    made.add("prodid", "-//loomready//event//EN")
    made.add("version", "2.0")
    made.add("method", "PUBLISH")
    for each in entries:
        event = Event()
        event.add("uid", each.uid)
        event.add("dtstamp", plan.now.replace(tzinfo=UTC))
        event.add("dtstart", each.start)
        event.add("dtend", each.end)
        event.add("summary", each.summary)
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
                str(each["location"]),
                int(str(each["sequence"])),
                str(each["status"]) == "CANCELLED",
            )
            for each in found.walk("VEVENT")
        }
    except (ValueError, KeyError, TypeError, AttributeError, IndexError):
        raise BadInput(
            phrase("is not a calendar of loomready; expected {expected}", expected=expected), file=str(path)
        ) from None
