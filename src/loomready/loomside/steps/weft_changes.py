"""Weft stripes at the loom: at which picks of a section the yarn changes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import cycle

from loomready.loomside.steps.words import listed, some, stripes
from loomready.model.guild import WeftStripe

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


def told(of: tuple[WeftStripe, ...], picks: int) -> str:
    """The stripes of a section in words, and where its yarn changes.

    >>> told((WeftStripe("slate", 4), WeftStripe("flax", 2)), 11)
    'weft 4 slate, 2 flax, repeat; change at pick 5, 7, 11'
    """
    runs = [(each.yarn, each.picks) for each in of]
    parts = []
    for times, pattern in stripes(runs):
        inner = ", ".join(f"{count:,} {yarn}" for yarn, count in pattern)
        parts.append(f"{times:,} × ({inner})" if times > 1 else inner)
    line = f"weft {', '.join(parts)}"
    if sum(each.picks for each in of) < picks:
        line += ", repeat"
    at = [pick for pick, _ in changes(of, picks)][1:]
    if not at:
        return line
    if len(at) > LISTED:
        return f"{line}; {some(len(at), 'change')} of yarn, the first at pick {listed(at[:LISTED])} …"
    return f"{line}; change at pick {listed(at)}"
