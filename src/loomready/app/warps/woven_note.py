"""How much of its weft a warp has taken when a cone is weighed, and which cones gave the rest."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from loomready.app.progress.warp_progress import progress_of
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Planned, Room


def at_weighing(room: Room, yarn: str, weighed: Any, who: str) -> None:
    """Write to each warp on a loom that weaves with this yarn how many picks are reported by now.

    The weighing includes their weft, so the plan must not ask for it again. Warps without reported picks are
    left as they are: their progress is unknown.

    :param weighed: when the cone was weighed, as its record says it
    """
    for planned in room.planned:
        entry = room.entry("warps", planned.order.key)
        if entry is None or not _weaves_with(planned, yarn):
            continue
        picks = next((job.done for job in progress_of(room, planned).jobs if job.name == "weaving"), 0)
        moment = _before(weighed)
        if picks and moment:
            _write(entry, {"woven_picks": picks, "woven_at": moment}, who)


def _weaves_with(planned: Planned, yarn: str) -> bool:
    plan, order = planned.plan, planned.order
    if plan is None or order.wound is None or order.off is not None:
        return False
    return any(need.yarn.key == yarn and need.weft_m for need in plan.yarns)


def _before(weighed: Any) -> str:
    """A moment just before a weighing, as a record keeps it; "" for a weighing without a time."""
    try:
        made = datetime.fromisoformat(str(weighed))
    except ValueError:
        return ""
    return (made - timedelta(seconds=1)).isoformat() if "T" in str(weighed) else ""


def _write(entry: Entry, more: dict[str, Any], who: str) -> None:
    if any(entry.fields.get(name) != value for name, value in more.items()):
        store.write("warps", entry.key, entry.fields | more, version=entry.version, who=who)


def rest_of_weft(room: Room, planned: Planned | None) -> list[dict[str, Any]]:
    """The cones that give the weft still to be woven, by the plan of now, as the guild file says it."""
    if planned is None or planned.plan is None:
        return []
    gone = room.now.gone.get(planned.order.key, {})
    made = []
    for need in planned.plan.yarns:
        taken = {use.cone: use.weft_m for use in gone[need.yarn.key].uses} if need.yarn.key in gone else {}
        for use in need.uses:
            rest_m = use.weft_m - taken.get(use.cone, 0.0)
            if rest_m > 0:
                made.append({"cone": use.cone, "length": f"{rest_m:.2f} m"})
    return made
