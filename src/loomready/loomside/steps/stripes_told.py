"""Stripes in words, as text and sheets say them, and at which picks of a section the weft changes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import cycle

from loomready.loomside.steps.words import stripes
from loomready.model.guild import Stripe, WarpOrder, WeftStripe
from loomready.phrases import Phrase, listed, phrase, some
from loomready.warp.result import cycle_told
from loomready.warp.stripes import threads_in

LISTED = 12  # changes that a line of text names


def changes(of: tuple[WeftStripe, ...], picks: int) -> Iterator[tuple[int, str]]:
    """(pick from 1, yarn) wherever the yarn changes in a section of so many picks; first the yarn of pick 1.

    >>> list(changes((WeftStripe("slate", 4), WeftStripe("flax", 2)), 11))
    [(1, 'slate'), (5, 'flax'), (7, 'slate'), (11, 'flax')]
    """
    at, before = 1, None
    for each in cycle(of):
        if at > picks:
            return
        if each.yarn != before:
            yield at, each.yarn
        at, before = at + each.picks, each.yarn


def warp_told(order: WarpOrder, ends: int, names: Mapping[str, str]) -> str:
    """The warp's stripes in words, for so many ends in heddles; "" without stripes.

    :param names: of the yarns, by their keys
    """
    if not order.stripes:
        return ""
    if order.stripes_mirrored:
        return phrase("{runs}, to the middle of the web, then back", runs=_runs(order.stripes, names))
    runs = _runs(order.stripes, names)
    return phrase("{runs}{repeat}", runs=runs, repeat=_repeat(order.stripes, ends))


def weft_told(of: tuple[WeftStripe, ...], picks: int, names: Mapping[str, str]) -> Phrase:
    """The stripes of a section in words, and where its yarn changes.

    >>> weft_told((WeftStripe("s", 4), WeftStripe("f", 2)), 11, {"s": "slate", "f": "flax"})
    'weft 4 slate, 2 flax, repeat; change at pick 5, 7, 11'
    """
    line = phrase("weft {runs}{repeat}", runs=_runs(of, names), repeat=_repeat(of, picks))
    at = [pick for pick, _ in changes(of, picks)][1:]
    if not at:
        return line
    if len(at) > LISTED:
        return phrase(
            "{weft}; {changes} of yarn: at pick {picks} …",
            weft=line,
            changes=some(len(at), "change"),
            picks=listed(at[:LISTED]),
        )
    return phrase("{weft}; change at pick {picks}", weft=line, picks=listed(at))


def _runs(of: tuple[Stripe, ...] | tuple[WeftStripe, ...], names: Mapping[str, str]) -> str:
    parts: list[str] = []
    for times, pattern in stripes([(_one(each, names), threads_in(each)) for each in of]):
        inner = listed(one for one, _ in pattern)
        parts.append(phrase("{times:,} × ({stripes})", times=times, stripes=inner) if times > 1 else inner)
    return listed(parts)


def _one(each: Stripe | WeftStripe, names: Mapping[str, str]) -> str:
    """A stripe in words."""
    if isinstance(each, Stripe) and each.dents:
        return phrase("{dents} empty", dents=some(each.dents, "dent"))
    threads = phrase("{count:,} {yarn}", count=threads_in(each), yarn=names[each.yarn])
    if isinstance(each, WeftStripe):
        return threads
    if each.sley:
        return phrase("{stripe} at {cycle} per dent", stripe=threads, cycle=cycle_told(each.sley))
    return threads


def _repeat(of: tuple[Stripe, ...] | tuple[WeftStripe, ...], count: int) -> str:
    return phrase(", repeat") if sum(map(threads_in, of)) < count else ""
