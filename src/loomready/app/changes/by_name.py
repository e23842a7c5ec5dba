"""Values of records as people read them: the keys of other records give way to their names."""

from __future__ import annotations

from typing import Any

from loomready.app.models import Change
from loomready.app.state.snapshot import Snapshot

# What a key of the guild file refers to. "keys": the order in which warps claim yarn.
REFERS_TO = {
    "loom": "looms",
    "looms": "looms",
    "reed": "reeds",
    "wound_reed": "reeds",
    "draft": "drafts",
    "hem_draft": "drafts",
    "yarn": "yarns",
    "warp_yarns": "yarns",
    "second_yarns": "yarns",
    "weft_yarns": "yarns",
    "hem_weft_yarns": "yarns",
    "cone": "cones",
    "tied_to": "warps",
    "warps": "warps",
    "keys": "warps",
}


def by_name(snapshot: Snapshot, value: Any) -> Any:
    """A record's fields, or a part of them, with names; a list of keys becomes one text.

    >>> by_name(Snapshot({}), {"loom": "porch", "warp_yarns": ["flax", "slate"], "sett": "20 /in"})
    {'loom': 'porch', 'warp_yarns': 'flax; slate', 'sett': '20 /in'}
    """
    if isinstance(value, list):
        return [by_name(snapshot, each) for each in value]
    if not isinstance(value, dict):
        return value
    return {name: _part(snapshot, name, part) for name, part in value.items()}


def name_then(snapshot: Snapshot, kind: str, key: str) -> str:
    """What people call a record; of one that was removed, what it was called then."""
    if snapshot.entry(kind, key) is not None:
        return snapshot.name(kind, key)
    removed = Change.objects.filter(kind=kind, key=key, after__isnull=True).order_by("-pk").first()
    return str((removed.before or {}).get("name", key)) if removed else key


def _part(snapshot: Snapshot, name: str, part: Any) -> Any:
    kind = REFERS_TO.get(name)
    if kind is None or not isinstance(part, str | list):
        return by_name(snapshot, part)
    keys = [part] if isinstance(part, str) else part
    return "; ".join(snapshot.name(kind, key) for key in keys)
