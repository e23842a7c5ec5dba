"""A cone over time as a picture: the expected length as a line, from sure to upper as a band."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime

from loomready.units import LENGTH_M, Shown, factor
from loomready.yarn.ledger import Entry, Taken, Weighed

WIDTH, HEIGHT = 340, 190
LEFT, RIGHT, TOP, BOTTOM = 62, 10, 12, 30
_STEPS = (1, 2, 5)
_MOST_LINES = 5


def picture(entries: Sequence[Entry], show: Shown, named: Callable[[date | None], str]) -> str:
    """An SVG of entries in order of time; "" where fewer than two of them have a length.

    ``named``: a day in the guild's format.
    """
    known = [entry for entry in entries if entry.upper_m > 0]
    if len(known) < 2:
        return ""
    across = _places(known)
    unit_m = factor(LENGTH_M.inside, "yard") if show.us else 1.0
    step = _step(max(entry.upper_m for entry in known) / unit_m)
    top = -(-max(entry.upper_m for entry in known) // (step * unit_m)) * step * unit_m

    def down(meters: float) -> float:
        return round(TOP + (HEIGHT - TOP - BOTTOM) * (1 - meters / top), 1)

    lines = "".join(
        f'<path class="rule" d="M{LEFT} {down(each)}H{WIDTH - RIGHT}"/>'
        f'<text x="{LEFT - 5}" y="{down(each) + 4}" text-anchor="end">{show.yarn(each)}</text>'
        for each in (number * step * unit_m for number in range(round(top / step / unit_m) + 1))
    )
    steps = list(zip(across, known, strict=True))
    # Between two events nothing changes: the line is level, then goes down or up at the event.
    edge = [(x, entry) for (x, _), (_, entry) in zip(steps[1:], steps[:-1], strict=True)]
    walk = [steps[0], *(each for pair in zip(edge, steps[1:], strict=True) for each in pair)]
    walk.append((WIDTH - RIGHT, known[-1]))
    upper = [f"{x} {down(entry.upper_m)}" for x, entry in walk]
    sure = [f"{x} {down(entry.sure_m)}" for x, entry in reversed(walk)]
    line = [f"{x} {down(entry.expected_m)}" for x, entry in walk]
    days = (
        f'<text x="{LEFT}" y="{HEIGHT - 8}">{named(known[0].event.at)}</text>'
        f'<text x="{WIDTH - RIGHT}" y="{HEIGHT - 8}" text-anchor="end">{named(known[-1].event.at)}</text>'
    )
    marks = "".join(_mark(x, down(entry.expected_m), entry) for x, entry in steps)
    return (
        f'<svg class="ledger" viewBox="0 0 {WIDTH} {HEIGHT}" aria-hidden="true">{lines}{days}'
        f'<path class="band" d="M{"L".join([*upper, *sure])}z"/>'
        f'<path class="line" d="M{"L".join(line)}"/>{marks}</svg>'
    )


def _mark(x: float, y: float, entry: Entry) -> str:
    """A dot for a weighing, a triangle for a taking; a ring around what disagrees."""
    ring = f'<circle class="ring" cx="{x}" cy="{y}" r="8"/>' if entry.disagrees else ""
    if isinstance(entry.event, Taken):
        return f'<path class="mark" d="M{x - 4} {y - 4}h8l-4 7z"/>'
    return f'<circle class="mark" cx="{x}" cy="{y}" r="4"/>{ring}'


def _places(entries: Sequence[Entry]) -> list[float]:
    """Across: by time, but never so close that two marks hide one another."""
    hours = [_hours(entry.event) for entry in entries]
    dated = [each for each in hours if each is not None]
    first, last = min(dated, default=0.0), max(dated, default=0.0)
    gap = min(12.0, (WIDTH - LEFT - RIGHT - 20) / len(entries))
    room = WIDTH - LEFT - RIGHT - 20 - gap * (len(entries) - 1)
    return [
        round(
            LEFT
            + 6
            + gap * number
            + room * ((first if each is None else each) - first) / max(last - first, 1e-9),
            1,
        )
        for number, each in enumerate(hours)
    ]


def _hours(event: Weighed | Taken) -> float | None:
    at = event.at
    if at is None:
        return None
    return at.toordinal() * 24.0 + (at.hour + at.minute / 60 if isinstance(at, datetime) else 0.0)


def _step(most: float) -> float:
    """The least round step that gives at most five lines above zero."""
    power = 1.0
    while True:
        for each in _STEPS:
            if most / (each * power) <= _MOST_LINES:
                return each * power
        power *= 10
