"""A yarn's count for a person to read: as printed, and how it was read where the label leaves that open."""

from __future__ import annotations

from loomready.model.guild import Yarn
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.yarn.counts import YarnCount, parse_count

BEFORE_TWISTING = phrase(
    "A plied count is figured before the plies are twisted together. Twisting takes up length, "
    "so the yarn is always a little shorter than figured. To be exact, measure a length and "
    "weigh it."
)


def label(yarn: Yarn) -> str:
    """The count with its reading; "" for a yarn without a count.

    >>> label(Yarn("a", "a", tex=118.1, fiber="cotton", count="10/2")), label(Yarn("a", "a", tex=118.1))
    ('10/2 (read as 10/2 Ne)', '')
    """
    count = _count(yarn)
    read_as = "" if count is None else count.read_as
    printed = yarn.count or ""
    return phrase("{count} (read as {read_as})", count=printed, read_as=read_as) if read_as else printed


def is_read_by_fiber(yarn: Yarn) -> bool:
    """Whether the yarn's count was read by its fiber because the label names no system."""
    return label(yarn) != (yarn.count or "")


def is_before_twisting(yarn: Yarn) -> bool:
    """Whether the yarn's grist adds up its plies as they were before twisting (:data:`BEFORE_TWISTING`)."""
    count = _count(yarn)
    return count is not None and count.before_twisting


def _count(yarn: Yarn) -> YarnCount | None:
    try:
        return None if yarn.count is None else parse_count(yarn.count, yarn.fiber)
    except BadInput:
        return None
