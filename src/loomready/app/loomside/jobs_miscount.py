"""End count is off: the choices for a warp, and the change that each makes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from loomready.app.forms.fields import slug
from loomready.app.loomside import jobs_data
from loomready.app.progress.warp_progress import done_of
from loomready.app.state import store
from loomready.app.state.snapshot import Planned, Snapshot
from loomready.app.warps import planning
from loomready.draft.draft import Draft
from loomready.draft.wif import writer
from loomready.loomside.log.miscount import PlanChoice, choices
from loomready.model.guild import WarpOrder
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from loomready.warp.remedies import changed
from loomready.warp.result import WarpPlan


def difference_of(which: str, text: str) -> int:
    """How many ends more or fewer: ``which`` "over" or "short" and a whole number.

    :raises BadInput: no such number
    """
    if not (text.isdecimal() and len(text) < 6) or which not in ("over", "short"):
        raise BadInput(phrase('"{text}" is not a number of ends; expected one like 2', text=text[:20]))
    return int(text) if which == "over" else -int(text)


def offers(snapshot: Snapshot, planned: Planned, difference: int) -> tuple[PlanChoice, ...]:
    """:raises BadInput: no plan, or a difference that no warp has"""
    plan = planned.plan
    if plan is None:
        raise planned.error or BadInput(phrase("there is no plan to work by"))
    threading = jobs_data.steps_of(plan, None, None)["threading"]
    done = done_of(planned.order.key, "threading", threading)
    name = free_name(snapshot, f"{planned.order.key}-{plan.web.ends + difference}-ends")
    again = partial(planned_again, snapshot, name)
    return choices(plan, difference, done, again, name)


def free_name(snapshot: Snapshot, stem: str) -> str:
    """A name for a draft that no other has."""
    path = f"drafts/{slug(stem, set())}"
    taken = {entry.key for entry in snapshot.of_kind("drafts")}
    names = (f"{path}{'' if number == 1 else f'-{number}'}.wif" for number in range(1, len(taken) + 2))
    return next(each for each in names if each not in taken)


def planned_again(snapshot: Snapshot, name: str, order: WarpOrder, draft: Draft) -> WarpPlan | None:
    """The plan of a changed order with its new draft of this name; None where that is not valid."""
    warps = tuple(order if each.key == order.key else each for each in snapshot.guild.warps)
    guild = replace(snapshot.guild, warps=warps)
    try:
        return plan_guild(guild, {**snapshot.drafts, name: draft}, until=order.key).warps[-1]
    except BadInput:
        return None


def take(snapshot: Snapshot, planned: Planned, difference: int, kind: str, version: int, who: str) -> None:
    """The plan follows the choice: its own draft and the changed warp, undone together.

    :raises BadInput: it is not offered any more; :raises store.Conflict: the warp was changed in the meantime
    """
    entry = snapshot.entry("warps", planned.order.key)
    chosen = next((each for each in offers(snapshot, planned, difference) if each.kind == kind), None)
    if chosen is None or entry is None:
        raise BadInput(phrase("this choice is no longer offered; check the choices again"))
    follow(snapshot, planned, chosen, version, who)


def follow(
    snapshot: Snapshot,
    planned: Planned,
    chosen: PlanChoice,
    version: int,
    who: str,
    also: Sequence[store.Write] = (),
) -> None:
    """Write what a choice changes, as one change; ``also``: what changes with it.

    :raises store.Conflict: the warp was changed in the meantime
    """
    entry = snapshot.entry("warps", planned.order.key)
    if chosen.order is None or chosen.draft is None or entry is None:
        return
    table = planning.changed_table(
        snapshot, planned.order, entry.fields, changed(planned.order, chosen.order)
    )
    wif = writer.dumps(chosen.draft).decode()
    store.write_together(
        [
            ("drafts", chosen.order.draft, {"wif": wif}, None),
            ("warps", planned.order.key, table, version),
            *also,
        ],
        who=who,
    )
