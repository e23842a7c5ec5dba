"""The marks of a test weave as facts: read for the plan, written where the server itself sees something."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from loomready.app.state import facts
from loomready.app.state import old_test_weave as records
from loomready.app.state.snapshot import Snapshot
from loomready.loomside.log import facts as engine
from loomready.loomside.log.facts import Fact, stretches
from loomready.loomside.log.plan_diff import moves, plan_name
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.slips import at_loom, job
from loomready.slips.job import Job
from loomready.slips.marks import Marks
from loomready.warp.result import WarpPlan

NAME = "test-weave"
_EARLIER_HAND = "0" * 8  # what a record of an earlier version says, as if one hand had reported it first
_SERVER_HAND = "5" * 8
Span = tuple[int, int]


def marks_of(snapshot: Snapshot, plan: WarpPlan, work: Job) -> Marks:
    """The marks by all facts of the plan as it is now, and of earlier ones as far as they hold."""
    warp, signs = plan.order.key, job.signs(plan)
    known = facts.of_job(warp, NAME)
    earlier = {name: moves(was, signs) for name, was in facts.contents(warp, NAME).items()}
    rows = [engine.read(row) for row in of_record(snapshot, plan, work)]
    return Marks(
        work.layout, engine.state([*rows, *known], work.layout.bits, plan_name(NAME, signs), earlier)
    )


def write(plan: WarpPlan, work: Job, changes: Iterable[tuple[str, int, int, bool]], who: str) -> None:
    """Set or clear marks, each change the block, its first and last bit from 0, and the value.

    Facts of the server's own hand, later than all that is known.
    """
    warp, signs = plan.order.key, job.signs(plan)
    counter = facts.highest_counter(warp)
    rows = []
    for number, (block, first, last, value) in enumerate(changes, start=1):
        start, size = work.layout.blocks[block]
        if not 0 <= first <= last < size:
            raise BadInput(
                phrase(
                    "{block} {first} to {last} is none of this test weave; expected 0 to {last_one}",
                    block=block,
                    first=first,
                    last=last,
                    last_one=size - 1,
                )
            )
        fact = Fact(
            NAME,
            plan_name(NAME, signs),
            start + first + 1,
            start + last + 1,
            value,
            counter + number,
            _SERVER_HAND,
        )
        rows.append(fact.row())
    facts.take(warp, rows, who)
    facts.remember(warp, {(NAME, plan_name(NAME, signs)): signs})


def looked_at(work: Job, own: bool, first: int, cells: np.ndarray) -> list[tuple[str, int, int, bool]]:
    """The changes that note cells of ends side by side as seen.

    :param own: seen on the draft's own lifts
    :param first: end, from 1
    :param cells: bool[P, N], warp on top, for all picks that are woven
    """
    ends, last = work.layout.ends, first + cells.shape[1] - 1
    planned = at_loom.cells_planned(work.planned, job.lifts_of(work, own))[:, first - 1 : last]
    shift = ends if own else 0
    changes = [("looked", shift + first - 1, shift + last - 1, True)]
    for pick, row in enumerate(planned ^ cells):
        start = (pick + (work.layout.test if own else 0)) * ends + first - 1
        changes.append(("differs", start, start + len(row) - 1, False))
        changes += [("differs", start + a - 1, start + b - 1, True) for a, b in stretches(row)]
    return changes


def of_record(snapshot: Snapshot, plan: WarpPlan, work: Job) -> list[list[Any]]:
    """What an earlier version kept of this test weave in a record, as facts before all others."""
    tested, _entry = records.of(snapshot, plan.order.key)
    changes: list[tuple[str, int, int, bool]] = []
    if tested.picks and tested.picks in (work.test, work.own):
        own = tested.picks == work.own
        if own != work.use_own:
            changes.append(("other", 0, 0, True))
        for window in tested.windows:
            cells = np.array([[cell == "1" for cell in row] for row in window.rows])
            changes += [each for each in looked_at(work, own, window.first, cells) if each[3]]
    for slip in tested.kept:
        if (
            slip.end is not None
            and slip.end <= work.layout.ends + 1
            and (slip.found or 0) <= work.layout.shafts
        ):
            code = work.layout.code(slip)
            changes.append(("kept", code, code, True))
            changes += [each for each in work.layout.odds(slip.end, slip.odds) if each[3]]
    name = plan_name(NAME, job.signs(plan))
    starts = {block: first for block, (first, _size) in work.layout.blocks.items()}
    return [
        Fact(NAME, name, starts[block] + a + 1, starts[block] + b + 1, value, 1, _EARLIER_HAND).row()
        for block, a, b, value in changes
    ]
