"""Hours as people say them: "Tuesdays 6:30 to 9", "every other Saturday from 10", "not the 12th".

    hours    = part { "," or ";" part }
    part     = [ "not" ] days [ times ] [ "starting" DATE ] [ "until" DATE ]
    days     = DATE [ "to" DATE ] | [ "every" [ "other" ] ] weekday { "," or "and" weekday }
             | "every day" | "weekdays" | "weekends" | "the" 12th { "and" 14th }
    times    = TIME "to" TIME | "from" TIME | "until" TIME | "all day"
             | "mornings" | "afternoons" | "evenings"
    TIME     = 18:30 | 6:30 | 6 | 6 pm | noon

DATE is ISO 8601: 2026-10-03. A part without days has those of the part before it. A time that may be morning
or evening is the one between 8:00 and 22:00; of two such readings the shorter one counts, then the earlier.
Times as 18:30 or 06:30 are of the 24-hour clock. "From 10" goes on until 21:00, "until 12" begins at 9:00;
after "not" both are midnight. Mornings, afternoons and evenings are those of a usual week.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import product

from loomready.model.event import Hours, Opening, Rule
from loomready.phrases import phrase
from loomready.problems import BadInput, shorten

DAY = 24 * 60
EARLY, LATE = 8 * 60, 22 * 60  # when a time without am or pm is meant
OPEN, CLOSE = 9 * 60, 21 * 60  # where only one end is said; common practice, no source
PARTS = {"morning": (9 * 60, 12 * 60), "afternoon": (13 * 60, 17 * 60), "evening": (18 * 60, 21 * 60)}
"""Parts of a usual day, in minutes; common practice, no source."""
_PARTS = PARTS | {f"{part}s": span for part, span in PARTS.items()}
MOST_TEXT = 200
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_NAMES = {
    name: number
    for number, whole in enumerate(WEEKDAYS)
    for name in (whole, f"{whole}s", whole[:3], f"{whole[:3]}s")
} | {"tues": 1, "weds": 2, "thur": 3, "thurs": 3}
_SETS = {"weekdays": (0, 1, 2, 3, 4), "weekday": (0, 1, 2, 3, 4), "weekends": (5, 6), "weekend": (5, 6)}
_WORD = re.compile(
    r"\s*(?:(?P<date>\d{4}-\d{2}-\d{2})|(?P<nth>\d{1,2})(?:st|nd|rd|th)\b"
    r"|(?P<time>(?P<hour>\d{1,2})(?::(?P<minute>\d{2}))?\s*(?P<half>[ap]\.?m\b\.?)?|noon\b)"
    r"|(?P<word>[a-z]+)|(?P<sign>[-–—,;&]))",
    re.IGNORECASE,
)
_TO = {"to", "till", "til", "until", "-", "–", "—"}
_NOT = {"not", "except", "no"}
_STARTING = {"starting", "since", "beginning"}


class _Words:
    """The words of a text, read from first to last."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.found: list[re.Match[str]] = []
        at = 0
        while text[at:].strip():
            match = _WORD.match(text, at)
            if match is None:
                raise _odd(text, text[at:].strip())
            self.found.append(match)
            at = match.end()
        self.at = 0

    def kind(self, ahead: int = 0) -> str:
        """The kind of a word that is ahead; "" at the end."""
        if self.at + ahead >= len(self.found):
            return ""
        match = self.found[self.at + ahead]
        return next(kind for kind in ("date", "nth", "time", "word", "sign") if match[kind] is not None)

    def says(self, ahead: int = 0) -> str:
        """A word that is ahead, in small letters; "" at the end."""
        at = self.at + ahead
        return self.found[at].group().strip().lower() if at < len(self.found) else ""

    def take(self) -> re.Match[str]:
        self.at += 1
        return self.found[self.at - 1]

    def took(self, words: set[str]) -> bool:
        """Whether the next word is one of these; it is then read."""
        if self.says() in words:
            self.at += 1
            return True
        return False

    def odd(self) -> BadInput:
        return _odd(self.text, self.says())


def _odd(text: str, word: str) -> BadInput:
    if not word:
        return BadInput(
            phrase(
                '"{text}" ends too early; expected hours like "Tuesdays 18:30-21:00" or '
                '"2026-10-03 10:00-13:00"',
                text=shorten(text),
            )
        )
    return BadInput(
        phrase(
            '"{word}" in "{text}" is not understood; expected hours like "Tuesdays 18:30-21:00" or '
            '"2026-10-03 10:00-13:00"',
            word=shorten(word),
            text=shorten(text),
        )
    )


def read_hours(text: object) -> Hours:
    """Hours of a person.

    >>> [rule.weekdays for rule in read_hours("Tuesdays and thu 6:30 to 9").rules]
    [(1, 3)]
    >>> [(rule.start, rule.end) for rule in read_hours("Tuesdays 6:30 to 9").rules]
    [(1110, 1260)]

    :raises BadInput: what is not understood, or ends before it begins
    """
    if not isinstance(text, str) or len(text) > MOST_TEXT:
        raise BadInput(
            phrase(
                'is not a text of at most {most} characters; expected hours like "Tuesdays 18:30-21:00"',
                most=MOST_TEXT,
            )
        )
    words = _Words(text)
    if not words.found:
        raise words.odd()
    rules: list[Rule] = []
    while words.kind():
        rules.append(_part(words, rules[-1] if rules else None))
        if words.kind() and not words.took({",", ";", "and", "but"}) and words.says() not in _NOT:
            raise words.odd()
        if not words.kind() and text.rstrip()[-1] in ",;":
            raise words.odd()
    return Hours(text, tuple(rules))


def _part(words: _Words, before: Rule | None) -> Rule:
    off = words.took(_NOT)
    words.took({"on"})
    named = _days(words)
    if named is None and (before is None or off):
        raise words.odd()
    rule = replace(named or before or Rule(), off=off)
    start, end = _times(words)
    if start is None and end is None:
        rule = replace(rule, start=0, end=DAY) if off else replace(rule, start=OPEN, end=CLOSE)
    else:
        whole = (0, DAY) if off else (OPEN, CLOSE)
        rule = replace(rule, start=whole[0] if start is None else start, end=whole[1] if end is None else end)
        if rule.start >= rule.end:
            raise _backward(words.text)
    while words.kind():
        if words.says() in _STARTING and words.kind(1) == "date":
            words.take()
            rule = replace(rule, first=_date(words))
        elif words.says() in {"until", "till", "through"} and words.kind(1) == "date":
            words.take()
            rule = replace(rule, last=_date(words))
        else:
            break
    if rule.first is not None and rule.last is not None and rule.last < rule.first:
        raise _backward(words.text)
    return rule


def _backward(text: str) -> BadInput:
    return BadInput(
        phrase('"{text}" ends before it begins; expected a later end, on the same day', text=shorten(text))
    )


def _date(words: _Words) -> date:
    said = words.take()["date"]
    try:
        return date.fromisoformat(said)
    except ValueError:
        raise BadInput(
            phrase('"{date}" is no day of the calendar; expected a date like 2026-10-03', date=said)
        ) from None


def _days(words: _Words) -> Rule | None:
    """The days that come next; None where there are none."""
    if words.kind() == "date":
        first = _date(words)
        if words.says() in _TO and words.kind(1) == "date":
            words.take()
            last = _date(words)
            if last < first:
                raise _backward(words.text)
            return Rule(first=first, last=last)
        return Rule(first=first, last=first)
    if words.says() == "the" or words.kind() == "nth":
        words.took({"the"})
        return Rule(days_of_month=tuple(dict.fromkeys(_nths(words))))
    every = words.took({"every", "each"})
    other = every and words.took({"other", "second"})
    if every and not other and words.took({"day"}):
        return Rule()
    if words.took({"daily"}):
        return Rule()
    if words.says() in _SETS and not every:
        return Rule(weekdays=_SETS[words.take().group().strip().lower()])
    if words.says() not in _NAMES:
        if every:
            raise words.odd()
        return None
    found = [_NAMES[words.take().group().strip().lower()]]
    while words.says() in {",", "and", "&"} and words.says(1) in _NAMES:
        words.take()
        found.append(_NAMES[words.take().group().strip().lower()])
    return Rule(weekdays=tuple(sorted(set(found))), other_week=other)


def _nths(words: _Words) -> Iterator[int]:
    while True:
        if words.kind() != "nth":
            raise words.odd()
        number = int(words.take()["nth"])
        if not 1 <= number <= 31:
            raise BadInput(phrase("there is no day {number} of a month; expected 1 to 31", number=number))
        yield number
        if words.says() in {",", "and", "&"} and (words.kind(1) == "nth" or words.says(1) == "the"):
            words.take()
            words.took({"the"})
        else:
            return


def _times(words: _Words) -> tuple[int | None, int | None]:
    """Start and end in minutes; None: not said."""
    if words.says() == "all" and words.says(1) == "day":
        words.take(), words.take()
        return 0, DAY
    if words.says() in _PARTS:
        return _PARTS[words.take().group().strip().lower()]
    if words.kind(1) == "time":
        words.took({"at"})
    begins = words.says() == "from" and words.kind(1) == "time"
    if begins:
        words.take()
    elif words.says() in {"until", "till"} and words.kind(1) == "time":
        words.take()
        return None, _likely(_readings(words), OPEN + 1, LATE)
    if words.kind() != "time":
        return None, None
    start = _readings(words)
    if words.says() in _TO and words.kind(1) == "time":
        words.take()
        return _best(words.text, start, _readings(words))
    if not begins:
        raise words.odd()
    return _likely(start, EARLY, CLOSE - 1), None


def _readings(words: _Words) -> list[int]:
    """What a time may mean, in minutes from midnight."""
    match = words.take()
    if match["hour"] is None:
        return [DAY // 2]
    hour, minute, half = int(match["hour"]), int(match["minute"] or 0), (match["half"] or "").lower()
    at = hour * 60 + minute
    if minute > 59 or at > DAY or (half and not 1 <= hour <= 12):
        raise BadInput(
            phrase(
                '"{time}" is no time of day; expected one like 18:30, 6:30 pm or 10',
                time=shorten(match.group().strip()),
            )
        )
    if half:
        return [at % (DAY // 2) + (DAY // 2 if half.startswith("p") else 0)]
    if hour > 12 or hour == 0 or match["hour"].startswith("0"):
        return [at]
    return [at % (DAY // 2), at % (DAY // 2) + DAY // 2] if hour == 12 else [at, at + DAY // 2]


def _likely(readings: list[int], low: int, high: int) -> int:
    """The first reading from ``low`` to ``high`` minutes, or else the first one."""
    return next((reading for reading in readings if low <= reading <= high), readings[0])


def _best(text: str, starts: list[int], ends: list[int]) -> tuple[int, int]:
    """The likeliest reading of two times."""
    ends = [end or DAY for end in ends]
    pairs = [(start, end) for start, end in product(starts, ends) if start < end]
    if not pairs:
        raise _backward(text)
    return min(pairs, key=lambda pair: (pair[0] < EARLY or pair[1] > LATE, pair[1] - pair[0], pair[0]))


def on(rule: Rule, day: date) -> bool:
    """Whether a rule holds on a day.

    >>> on(read_hours("every other sat from 10 starting 2026-10-03").rules[0], date(2026, 10, 10))
    False
    """
    if (rule.first is not None and day < rule.first) or (rule.last is not None and day > rule.last):
        return False
    if rule.weekdays and day.weekday() not in rule.weekdays:
        return False
    if rule.days_of_month and day.day not in rule.days_of_month:
        return False
    return not rule.other_week or (_week(day) - (0 if rule.first is None else _week(rule.first))) % 2 == 0


def _week(day: date) -> int:
    """Weeks from Monday, January 1 of year 1."""
    return (day.toordinal() - 1) // 7


Minutes = tuple[datetime, datetime]


def times_of(
    hours: tuple[Hours, ...], first: date, last: date
) -> tuple[tuple[Minutes, ...], tuple[Minutes, ...]]:
    """Every time when somebody comes and every time when not, from one day to another, in order."""
    come: list[Minutes] = []
    away: list[Minutes] = []
    rules = [rule for each in hours for rule in each.rules]
    for number in range((last - first).days + 1):
        day = first + timedelta(days=number)
        midnight = datetime.combine(day, datetime.min.time())
        for rule in rules:
            if on(rule, day):
                span = (midnight + timedelta(minutes=rule.start), midnight + timedelta(minutes=rule.end))
                (away if rule.off else come).append(span)
    return tuple(sorted(come)), tuple(sorted(away))


_OPENING = re.compile(r"\s*(\d{4}-\d{2}-\d{2})\s+(\d{1,2}:\d{2})\s*[-–]\s*(\d{1,2}:\d{2})\s*")
_MOMENT = re.compile(r"\s*(\d{4}-\d{2}-\d{2})[ T](\d{1,2}:\d{2})(:00)?\s*")


def read_opening(text: object) -> Opening:
    """A day of the event: "2026-10-17 10:00-16:00", 24-hour clock.

    :raises BadInput: it is none, or it closes before it opens
    """
    match = _OPENING.fullmatch(text) if isinstance(text, str) and len(text) < 60 else None
    if match is None:
        raise BadInput(
            phrase(
                '{written} is not a day with its hours; expected one like "2026-10-17 10:00-16:00"',
                written=f'"{shorten(text)}"' if isinstance(text, str) else shorten(text),
            )
        )
    start, end = read_moment(f"{match[1]} {match[2]}"), read_moment(f"{match[1]} {match[3]}")
    if end <= start:
        raise _backward(str(text))
    return Opening(start, end)


def read_moment(text: object) -> datetime:
    """A date and a time of day: "2026-10-16 18:00", 24-hour clock.

    :raises BadInput: it is none
    """
    match = _MOMENT.fullmatch(text) if isinstance(text, str) and len(text) < 60 else None
    if match is not None:
        try:
            return datetime.fromisoformat(f"{match[1]} {match[2]:0>5}")
        except ValueError:
            pass
    raise BadInput(
        phrase(
            '{written} is not a date with a time; expected one like "2026-10-16 18:00"',
            written=f'"{shorten(text)}"' if isinstance(text, str) else shorten(text),
        )
    )


def write_moment(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%d %H:%M")


def write_opening(day: Opening) -> str:
    return f"{write_moment(day.start)}-{day.end:%H:%M}"
