"""A wrong end count: ends left over or short at the last edge, and what can be done about it.

Each choice is planned before it is offered; the plan then follows the loom. The warp is wound: its colors
stay where they are, only the threading may change. Common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Draft
from loomready.draft.structure.periods import smallest_period
from loomready.model.guild import Stripe, WarpOrder
from loomready.phrases import Phrase, phrase, some
from loomready.problems import BadInput
from loomready.warp.bouts import runs
from loomready.warp.denting import is_uneven, written_out
from loomready.warp.result import Ints, WarpPlan
from loomready.warp.width import finished_width_mm, roles_of

MOST = 400  # ends by which a count may be off
FEW = 8  # ends that may hang beside the web
_EDGE = 64  # ends at each edge that are compared with each other
Bools = npt.NDArray[np.bool_]
Again = Callable[[WarpOrder, Draft], WarpPlan | None]


@dataclass(frozen=True, slots=True, eq=False)
class PlanChoice:
    """``order`` and ``draft`` None: the plan stays as it is.

    ``kind``: leave, selvedge, edges or center. ``rethread``: threaded ends that move to another shaft.
    ``warnings``: the changed plan's warnings that the plan before does not have.
    """

    kind: str
    says: Phrase
    why: Phrase
    rethread: int
    order: WarpOrder | None = None
    draft: Draft | None = None
    warnings: tuple[str, ...] = ()


def choices(plan: WarpPlan, difference: int, done: Bools, again: Again, path: str) -> tuple[PlanChoice, ...]:
    """What can be done with ``difference`` ends more (or, below zero, fewer) than planned.

    :param done: bool[ends], threaded already
    :param again: plans a changed order with its new draft; None where that is not valid
    :param path: the new draft's name
    :raises BadInput: no difference, or one that no warp has
    """
    web, edge = plan.web, plan.web.floating // 2
    if not difference or abs(difference) > MOST:
        raise BadInput(
            phrase(
                "{difference} ends; expected 1 to {most} left over or short", difference=difference, most=MOST
            )
        )
    size = web.ends - 2 * edge
    if size + difference < 1:
        raise BadInput(
            phrase(
                "{ends} short of {there:,}; expected fewer than there are",
                ends=some(-difference, "end"),
                there=web.ends,
            )
        )
    found = [_leave(difference)] if abs(difference) <= FEW else []
    if not _can_change(plan):
        return tuple(found)
    stops = {each.code for each in plan.problems if each.level == "stop"}
    known = {each.code for each in plan.problems}
    was = web.shaft[edge : web.ends - edge]
    seen: set[bytes] = set()
    for kind, says, why, shafts in _threadings(was, difference):
        if shafts.tobytes() in seen:
            continue
        seen.add(shafts.tobytes())
        order, draft = _changed(plan, shafts, path)
        tried = again(order, draft)
        if tried is None or tried.web.ends != web.ends + difference:
            continue
        if {each.code for each in tried.problems if each.level == "stop"} - stops:
            continue
        both = min(size, shafts.size)
        other = int((done[edge : edge + both] & (shafts[:both] != was[:both])).sum())
        other += int(done[edge + both : edge + size].sum())
        warnings = tuple(each.message for each in tried.problems if each.code not in known)
        found.append(PlanChoice(kind, says, why, other, order, draft, warnings))
    return tuple(found)


def as_it_stands(plan: WarpPlan, shafts: Ints, role: Ints, again: Again, path: str) -> PlanChoice | None:
    """The plan made to follow the loom: what stands in the heddles is what is planned.

    :param shafts: int[N], draft shafts from 0 of all ends in heddles, as they stand
    :param role: int[N], the place of each end's yarn in the order's
    :returns: None where several drafts share the threading, where only selvedges are doubled, or
        where the changed plan could not be woven
    """
    if not _can_change(plan):
        return None
    order, draft = _changed(plan, shafts, path, role)
    tried = again(order, draft)
    if tried is None or tried.web.ends != shafts.size + plan.web.floating:
        return None
    before = {each.code for each in plan.problems}
    if any(each.level == "stop" and each.code not in before for each in tried.problems):
        return None
    warnings = tuple(each.message for each in tried.problems if each.code not in before)
    says = phrase("Plan it as it stands on the loom")
    why = phrase("The slips stay and are woven as they are; nothing is threaded again.")
    return PlanChoice("stands", says, why, 0, order, draft, warnings)


def _can_change(plan: WarpPlan) -> bool:
    """Whether one new threading says it all.

    Several drafts that share a threading would each need a new one; a draft cannot say that some of its ends
    are doubled and others not.
    """
    as_one = plan.web.as_one
    return len(plan.order.drafts) == 1 and bool((as_one == as_one[0]).all())


def _leave(difference: int) -> PlanChoice:
    ends = some(abs(difference), "end")
    if difference > 0:
        return PlanChoice(
            "leave",
            phrase("Leave the {ends} out", ends=ends),
            phrase("They hang over the back beam, not threaded or sleyed. The plan stays as it is."),
            0,
        )
    return PlanChoice(
        "leave",
        phrase("Hang {ends} in", ends=ends),
        phrase(
            "Measure them from the same yarn, hang each over the back beam with its own weight, and "
            "thread them as planned. The plan stays as it is."
        ),
        0,
    )


def _threadings(was: Ints, difference: int) -> Iterator[tuple[str, Phrase, Phrase, Ints]]:
    """Threadings of the new length: a longer or shorter edge, symmetrical edges, a new center."""
    size, ends = was.size + difference, some(abs(difference), "end")
    period = smallest_period(was)
    places = np.arange(size)
    on = was[places % period]
    if difference > 0:
        yield (
            "selvedge",
            phrase("{ends} more at the last edge", ends=ends),
            phrase("The threading goes on at the edge as it would in the repeat."),
            on,
        )
    else:
        yield (
            "selvedge",
            phrase("{ends} fewer at the last edge", ends=ends),
            phrase("The threading ends earlier; everything before stays as it is."),
            on,
        )
    offset, alike = symmetrical(was[:period], size)
    if alike > _alike(on):
        yield (
            "edges",
            phrase("Symmetrical edges"),
            phrase(
                "The pattern begins {ends} off, so that the outer {alike} of both edges mirror each other.",
                ends=some(min(offset, period - offset), "end"),
                alike=some(alike, "end"),
            ),
            was[(places + offset) % period],
        )
    turn = (size - 1) // 2
    mirrored = np.where(places <= turn, places, 2 * turn - places)
    yield (
        "center",
        phrase("A new center"),
        phrase("The threading turns at end {end:,}, and the second half mirrors the first.", end=turn + 1),
        was[mirrored % period],
    )


def symmetrical(repeat: Ints, size: int) -> tuple[int, int]:
    """Where in the repeat a web of ``size`` ends must begin so that its edges mirror each other furthest.

    Gives that offset and how many ends at each edge are alike, at most 64; of equals the smallest shift.

    >>> symmetrical(np.array([0, 1, 2, 3, 2, 1]), 13)
    (0, 6)
    """
    period, reach = repeat.size, max(1, min(_EDGE, size // 2))
    offsets, inward = np.arange(period)[:, None], np.arange(reach)[None, :]
    same = repeat[(offsets + inward) % period] == repeat[(offsets + size - 1 - inward) % period]
    alike = np.where(same.all(axis=1), reach, np.argmin(same, axis=1))
    shift = np.minimum(np.arange(period), period - np.arange(period))
    best = int(np.lexsort((shift, -alike))[0])
    return best, int(alike[best])


def _alike(shafts: Ints) -> int:
    reach = max(1, min(_EDGE, shafts.size // 2))
    same = shafts[:reach] == shafts[::-1][:reach]
    return reach if same.all() else int(np.argmin(same))


def _changed(plan: WarpPlan, shafts: Ints, path: str, role: Ints | None = None) -> tuple[WarpOrder, Draft]:
    """The order and the draft for this threading, in the colors as wound, or in these."""
    web, order, edge = plan.web, plan.order, plan.web.floating // 2
    wound = web.role[edge : web.ends - edge]
    if role is None:
        role = wound[np.minimum(np.arange(shafts.size), wound.size - 1)]
    colors = plan.draft.warp_colors
    if order.stripes:
        role_colors = np.full(shafts.size, colors[0])
    else:
        role_colors = colors[np.unique(roles_of(colors), return_index=True)[1]][role]
    heddled = role[shafts >= 0]
    stripes = (
        written_out(order, [order.warp_yarns[each] for each in heddled.tolist()])
        if order.stripes and is_uneven(order)
        else tuple(Stripe(order.warp_yarns[each], ends) for each, ends in runs(heddled))
    )
    draft = replace(
        plan.draft,
        threading=shafts.astype(np.int16),
        warp_colors=role_colors,
        warp_spacing_mm=None,
        warp_thickness_mm=None,
        extra=(),
    )
    appearing = dict.fromkeys(role.tolist())
    ends = shafts.size + 2 * edge
    width_mm = finished_width_mm(order, ends, plan.sett_per_cm)
    sley = None if plan.loom.is_rigid_heddle else plan.sley  # default names for heddles are not written
    step = 0.254 if plan.guild.units == "us" else 0.1  # a hundredth of an inch, a tenth of a millimeter
    return (
        replace(
            order,
            draft=path,
            warp_yarns=tuple(order.warp_yarns[each] for each in appearing),
            stripes=stripes if order.stripes else (),
            stripes_mirrored=False,
            repeat_ends=None,
            fold_left_out=0,  # the new draft has only the ends that are there
            selvedge_ends=0,
            selvedge_ends_per_heddle=None,
            selvedge_shafts=None,
            sett_per_cm=plan.asked_sett_per_cm,
            firmness=None,
            finished_width_mm=round(width_mm / step) * step,
            reed=sley.reed.key if sley else order.reed,
            sley=sley.cycle if sley else order.sley,
        ),
        draft,
    )
