"""Records in the order that the guild gave them: one moves to another place."""

from __future__ import annotations

from collections.abc import Sequence

from loomready.app.state import store
from loomready.app.state.snapshot import Snapshot
from loomready.phrases import phrase
from loomready.problems import BadInput

PLACES = ("first", "up", "down", "last")
KINDS = ("warps", "yarns")


def move(
    snapshot: Snapshot, kind: str, keys: Sequence[str], fixed: frozenset[str], key: str, to: str, who: str
) -> None:
    """Save another order of records.

    :param keys: all of them in order
    :param fixed: those that keep their places
    :param to: one of :data:`PLACES`
    :raises BadInput: no such record or place, or it is there already
    """
    there = [each for each in keys if each not in fixed]
    if key not in there or to not in PLACES:
        raise BadInput(phrase("there is no such record or place; check the page again"))
    was = there.index(key)
    now = {"first": 0, "up": was - 1, "down": was + 1, "last": len(there) - 1}[to]
    if now == was or not 0 <= now < len(there):
        raise BadInput(phrase("it is in that place already; check the page again"))
    there.insert(now, there.pop(was))
    moved = iter(there)
    made = [each if each in fixed else next(moved) for each in keys]
    entry = snapshot.entry("order", kind)
    store.write("order", kind, {"keys": made}, version=entry.version if entry else None, who=who)
