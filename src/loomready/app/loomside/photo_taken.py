"""A slip confirmed at the loom becomes one of the warp's test weave, as if questions had found it."""

from __future__ import annotations

from dataclasses import replace

from loomready.app.state import store
from loomready.app.state import tested as records
from loomready.app.state.snapshot import open_room
from loomready.slips.found import Slip


def take(key: str, slip: Slip, yes: bool, by_whom: str) -> None:
    """Keep the slip, or take it away again.

    :raises store.Conflict: somebody else saved the test weave in the meantime
    """
    tested, entry = records.of(open_room(), key)
    kept = tuple(each for each in tested.kept if (each.kind, each.end) != (slip.kind, slip.end))
    if yes:
        kept = (*kept, slip)
    if kept != tested.kept:
        fields = replace(tested, kept=kept).fields()
        store.write(records.KIND, key, fields, version=entry.version if entry else None, who=by_whom)
