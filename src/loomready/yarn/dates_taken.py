"""Whether yarn taken on one day still has to come off a cone that was weighed on another."""

from __future__ import annotations

from datetime import date, datetime


def comes_off(taken: date, weighed: date | None) -> bool:
    """Whether a taking came after a weighing, so that it has to be subtracted from what was weighed.

    A weighing on the same day counts as before the taking, unless both carry a time: then the time decides.
    A cone without a day of weighing counts as weighed before.

    >>> comes_off(date(2026, 5, 4), date(2026, 5, 4)), comes_off(date(2026, 5, 4), date(2026, 5, 5))
    (True, False)
    >>> comes_off(datetime(2026, 5, 4, 9), datetime(2026, 5, 4, 11))
    False
    """
    if weighed is None:
        return True
    if isinstance(taken, datetime) and isinstance(weighed, datetime):
        return weighed <= taken
    return day_of(weighed) <= day_of(taken)


def same_day_unclear(taken: date, weighed: date | None) -> bool:
    """Whether both were on one day and no time shows which came first."""
    if weighed is None or (isinstance(taken, datetime) and isinstance(weighed, datetime)):
        return False
    return day_of(weighed) == day_of(taken)


def comes_before(one: date, other: date) -> bool:
    """Whether one moment surely lies before another: by the day, on one day by the time if both carry one.

    >>> comes_before(datetime(2026, 5, 4, 9), datetime(2026, 5, 4, 11))
    True
    >>> comes_before(date(2026, 5, 4), date(2026, 5, 4))
    False
    """
    if isinstance(one, datetime) and isinstance(other, datetime):
        return one < other
    return day_of(one) < day_of(other)


def moment_of(moment: date) -> str:
    """Sorts days and times: a day without a time comes before the times of that day."""
    return moment.isoformat()


def day_of(moment: date) -> date:
    """The day of a moment."""
    return moment.date() if isinstance(moment, datetime) else moment
