"""Cuts a threading into groups that are easy to keep in view: by repeats, long ones by their structure.

Pages at the loom and sheets show the same groups. What is done is kept by ends, so that groups may change.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from loomready.loomside.steps.blocks import MOST, cut
from loomready.loomside.steps.words import span
from loomready.phrases import Phrase, phrase, plural
from loomready.warp.result import Web

BUNDLE = 16  # short repeats are threaded several at a time, up to this many ends


@dataclass(frozen=True, slots=True)
class Group:
    """Ends that are threaded together. ``first`` from 0; ``place`` is their place in the web."""

    first: int
    size: int
    place: Phrase

    @property
    def stop(self) -> int:
        return self.first + self.size


def groups(web: Web) -> tuple[Group, ...]:
    """Every end of the web in a group, end 1 first; no group crosses the end of a repeat or a border."""
    return tuple(_groups(web))


def _groups(web: Web) -> Iterator[Group]:
    edge = web.floating // 2
    body, after = edge + web.selvedge, web.repeat_starts[-1]
    stop = web.ends - edge - web.selvedge
    if edge:
        yield Group(0, 1, phrase("floating selvedge"))
    yield from _run(web, edge, web.selvedge, phrase("selvedge"))
    yield from _run(web, body, web.repeat_starts[0] - body, phrase("border"))
    yield from _repeats(web)
    rest = (
        phrase("border")
        if web.repeat_starts[0] > body or stop - after >= web.repeat_ends
        else phrase("part repeat")
    )
    yield from _run(web, after, stop - after, rest)
    yield from _run(web, stop, web.selvedge, phrase("selvedge"))
    if edge:
        yield Group(web.ends - 1, 1, phrase("floating selvedge"))


def _repeats(web: Web) -> Iterator[Group]:
    size, number = web.repeat_ends, web.repeats
    bundle = max(1, BUNDLE // size)
    if bundle > 1:
        for k in range(0, number, bundle):
            last = min(k + bundle, number)
            place = plural(
                last - k,
                "repeat {which} of {repeats:,}",
                "repeats {which} of {repeats:,}",
                which=span(k + 1, last),
                repeats=number,
            )
            yield Group(web.repeat_starts[k], (last - k) * size, place)
        return
    for k in range(number):
        yield from _run(
            web,
            web.repeat_starts[k],
            size,
            phrase("repeat {which} of {repeats:,}", which=f"{k + 1:,}", repeats=number),
        )


def _run(web: Web, first: int, size: int, place: Phrase) -> Iterator[Group]:
    if size <= 0:
        return
    sizes = [size] if size <= MOST else cut(web.shaft[first : first + size].tolist())
    for number, count in enumerate(sizes, start=1):
        part = phrase("{place}, part {number} of {parts}", place=place, number=number, parts=len(sizes))
        yield Group(first, count, part if len(sizes) > 1 else place)
        first += count
