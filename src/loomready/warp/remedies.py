"""Changed inputs that make a problem go away. Each is tried on the whole plan before it is offered."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields, replace
from itertools import islice
from typing import Any

from loomready.cloth.color import delta_e_2000
from loomready.model.guild import Item, WarpOrder
from loomready.problems import Problem, Remedy
from loomready.units import LENGTH_M, PER_CM, SHARE, WIDTH_MM, Kind, Shown, near, read
from loomready.warp.result import WarpPlan
from loomready.warp.rounding import whole_down
from loomready.warp.width import repeats_for

Again = Callable[[WarpOrder], WarpPlan | None]
Offer = tuple[str, WarpOrder]

MOST = 4  # remedies for one problem: more is a list, not help
NEAR_GRIST = 0.15  # of the other yarn's tex; a closer eye than the loom has (common practice, no source)


def with_remedies(plan: WarpPlan, again: Again) -> WarpPlan:
    """The plan, each problem with the changes that are shown to clear it.

    ``again`` plans a changed order with the same shelf, or gives None where the order means nothing. A
    change is offered only if no problem of that code is left and nothing new stops the warp.
    """
    told: dict[str, tuple[Remedy, ...]] = {}
    made = []
    for problem in plan.problems:
        if problem.code not in told:
            told[problem.code] = tuple(islice(_cures(plan, problem, again), MOST))
        made.append(problem.with_remedies(told[problem.code]))
    return replace(plan, problems=tuple(made))


def _cures(plan: WarpPlan, problem: Problem, again: Again) -> Iterator[Remedy]:
    stops = {each.code for each in plan.problems if each.level == "stop"}

    def clears(order: WarpOrder) -> bool:
        tried = again(order)
        if tried is None:
            return False
        same = any(each.code == problem.code for each in tried.problems)
        return not same and {each.code for each in tried.problems if each.level == "stop"} <= stops

    for kind in _KINDS.get(problem.code, ()):
        for says, order in kind(plan, clears):
            if clears(order):
                yield Remedy(says, changed(plan.order, order))
                break


def changed(before: WarpOrder, after: WarpOrder) -> dict[str, Any]:
    """The fields of an order that differ, with their new values."""
    names = [field.name for field in fields(WarpOrder)]
    return {name: getattr(after, name) for name in names if getattr(after, name) != getattr(before, name)}


def _narrower(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """The widest web of fewer repeats that clears the problem."""
    found = _widest(plan, clears)
    if found is not None:
        order, fewer = found
        show = Shown(plan.guild.units).width(order.finished_width_mm)
        yield f"{fewer} {'repeat' if fewer == 1 else 'repeats'} narrower: {show} finished", order


def _widest(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> tuple[WarpOrder, int] | None:
    low, high = 0, plan.web.repeats  # high does not clear; low clears or is none
    best = None
    while high - low > 1:
        middle = (low + high) // 2
        order = with_repeats(plan, middle)
        if order is not None and clears(order):
            low, best = middle, order
        else:
            high = middle
    return None if best is None else (best, plan.web.repeats - low)


def with_repeats(plan: WarpPlan, repeats: int) -> WarpOrder | None:
    """The order with a round finished width that gives so many repeats."""
    order, web = plan.order, plan.web
    rest = web.ends - web.repeats * web.repeat_ends
    keep = (1 - order.shrink_width) * (1 - order.draw_in)
    sett = plan.asked_sett_per_cm
    width_mm = (repeats * web.repeat_ends + rest) / sett * 10 * keep
    for text in _round_texts(width_mm, WIDTH_MM, "in" if plan.guild.units == "us" else "cm"):
        rounded_mm = read(text, WIDTH_MM)
        if rounded_mm > 0 and repeats_for(rounded_mm / keep / 10 * sett, web.repeat_ends, rest) == repeats:
            return replace(order, finished_width_mm=rounded_mm)
    return None


def _round_texts(value: float, kind: Kind, unit: str) -> Iterator[str]:
    """A quantity as a person would write it, ever more exactly."""
    for digits in range(5):
        yield near(value, kind, unit, digits).replace(",", "")


def _shorter(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """Every item shortened by the same share, the least that clears the problem, down to half."""
    unit = "in" if plan.guild.units == "us" else "cm"
    longest = max(plan.order.items, key=lambda item: item.finished_length_m)
    step_m = read(f"1 {unit}", LENGTH_M)
    steps = whole_down(longest.finished_length_m / 2 / step_m)
    low, high, best = 0, steps + 1, None  # low does not clear
    while high - low > 1:
        middle = (low + high) // 2
        order = _shortened(plan.order, middle * step_m / longest.finished_length_m, unit)
        if clears(order):
            high, best = middle, order
        else:
            low = middle
    if best is not None:
        show = Shown(plan.guild.units)
        lengths = [show.piece(item.finished_length_m) for item in best.items]
        yield f"pieces of {', '.join(dict.fromkeys(lengths))} finished", best


def _shortened(order: WarpOrder, share: float, unit: str) -> WarpOrder:
    def cut(item: Item) -> Item:
        length_m = item.finished_length_m * (1 - share)
        whole = whole_down(length_m / read(f"1 {unit}", LENGTH_M))
        return replace(item, finished_length_m=read(f"{whole} {unit}", LENGTH_M) if whole else length_m)

    return replace(order, items=tuple(cut(item) for item in order.items))


def _fewer_items(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """Items left off from the last, as few as clear the problem."""
    items = list(plan.order.items)
    left_off = 0
    while sum(item.count for item in items) > 1:
        last = items.pop()
        if last.count > 1:
            items.append(replace(last, count=last.count - 1))
        left_off += 1
        order = replace(plan.order, items=tuple(items))
        if left_off <= 24 and clears(order):
            yield f"{left_off} {'item' if left_off == 1 else 'items'} less", order
            return


def _other_yarn(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """A yarn of about the same grist and fiber for the one that is short, the likest color first."""
    for need in plan.yarns:
        if need.enough:
            continue
        alike = [
            other
            for other in plan.guild.yarns
            if other.key != need.yarn.key
            and other.fiber == need.yarn.fiber
            and abs(other.tex / need.yarn.tex - 1) <= NEAR_GRIST
        ]
        for other in sorted(alike, key=lambda other: delta_e_2000(need.yarn.color, other.color)):
            swap = {need.yarn.key: other.key}
            if need.missing_weft_m:
                weft = tuple(swap.get(key, key) for key in plan.order.weft_yarns)
                items = tuple(_swap_weft(item, swap) for item in plan.order.items)
                yield (
                    f"{other.name} for weft instead of {need.yarn.name}",
                    replace(plan.order, weft_yarns=weft, items=items),
                )
            if need.missing_ends:
                warp = tuple(swap.get(key, key) for key in plan.order.warp_yarns)
                yield (
                    f"{other.name} for warp instead of {need.yarn.name}",
                    replace(plan.order, warp_yarns=warp),
                )


def _swap_weft(item: Item, swap: dict[str, str]) -> Item:
    if item.weft_yarns is None:
        return item
    return replace(item, weft_yarns=tuple(swap.get(key, key) for key in item.weft_yarns))


def _mix_lots(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    if not plan.order.mix_lots:
        yield "let dye lots mix in one color", replace(plan.order, mix_lots=True)


def _other_loom(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    taken = {order.loom for order in plan.guild.warps if order.key != plan.order.key and order.off is None}
    for loom in sorted(plan.guild.looms, key=lambda loom: loom.key in taken):
        if loom.key != plan.loom.key:
            note = ", which already has a warp planned" if loom.key in taken else ""
            yield f"on {loom.name}{note}", replace(plan.order, loom=loom.key)


def _other_sett(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """The sett that the nearest reed gives."""
    if plan.sley is None:
        return
    show = Shown(plan.guild.units).sett(plan.sley.sett_per_cm)
    if plan.order.sett_per_cm is not None:
        unit = "/in" if plan.guild.units == "us" else "/10cm"
        for text in _round_texts(plan.sley.sett_per_cm, PER_CM, unit):
            yield f"sett {show}", replace(plan.order, sett_per_cm=read(text, PER_CM))
    elif plan.order.firmness is not None:
        firmness = plan.order.firmness * plan.sley.sett_per_cm / plan.asked_sett_per_cm
        for text in _round_texts(firmness, SHARE, "%"):
            if 0 < read(text, SHARE) <= 1.5:
                yield f"firmness {text}, sett {show}", replace(plan.order, firmness=read(text, SHARE))


def _as_layers(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    parts = plan.analysis.parts
    if parts <= 4 and plan.analysis.longest_warp_float and plan.analysis.longest_weft_float:
        yield f"if intended: {parts} layers", replace(plan.order, layers=parts)


Kinds = tuple[Callable[[WarpPlan, Callable[[WarpOrder], bool]], Iterable[Offer]], ...]
_KINDS: dict[str, Kinds] = {
    "yarn-short": (_narrower, _shorter, _fewer_items, _other_yarn),
    "lots-mixed": (_mix_lots, _narrower, _shorter, _fewer_items),
    "wound-short": (_shorter, _fewer_items),
    "too-wide": (_narrower, _other_loom),
    "too-narrow-reed": (_narrower,),
    "heddles-short": (_narrower, _other_loom),
    "too-many-shafts": (_other_loom,),
    "falls-apart": (_as_layers,),
    "no-sley": (_other_sett,),
    "treadles-short": (_other_loom,),
    "uneven-shed": (_other_loom,),
}
