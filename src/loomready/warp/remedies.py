"""Changes that resolve a problem. Each is planned as a whole before it is offered."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields, replace
from itertools import islice
from typing import Any

from loomready.cloth.color import delta_e_2000
from loomready.draft.structure.layers import how_told
from loomready.model.guild import Item, WarpOrder
from loomready.phrases import Phrase, listed, phrase, some
from loomready.problems import Problem, Remedy
from loomready.units import LENGTH_M, PER_CM, SHARE, WIDTH_MM, Kind, Shown, near, read
from loomready.warp.denting import is_uneven, sleyed
from loomready.warp.maximum_sett import least_greatest_per_cm
from loomready.warp.other_yarns import with_warp, with_weft
from loomready.warp.result import Sley, WarpPlan
from loomready.warp.rounding import at_most, whole_down
from loomready.warp.sett import WORKING_FIRMNESS
from loomready.warp.tied import in_the_old_reed
from loomready.warp.width import WIDTH_OFF, finished_width_mm, span_of

Again = Callable[[WarpOrder], WarpPlan | None]
Says = Phrase | Callable[[WarpPlan], Phrase]  # the message reports the plan of the changed order
Offer = tuple[Says, WarpOrder]

MOST = 4  # remedies for one problem: more than this is not helpful
NEAR_GRIST = 0.15  # of the other yarn's tex (common practice, no source)


def with_remedies(plan: WarpPlan, again: Again) -> WarpPlan:
    """The plan, with remedies added to each problem.

    ``again`` plans a changed order with the same shelf, or returns None for an invalid order. A
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

    def cleared(order: WarpOrder) -> WarpPlan | None:
        """The order's plan, if it clears the problem."""
        tried = again(order)
        if tried is None or any(each.code == problem.code for each in tried.problems):
            return None
        return tried if {each.code for each in tried.problems if each.level == "stop"} <= stops else None

    for kind in _KINDS.get(problem.code, ()):
        if plan.order.wound is not None and kind in _FIXED_BY_WINDING:
            continue
        for says, order in kind(plan, lambda order: cleared(order) is not None):
            made = cleared(order)
            if made is not None:
                yield Remedy(says if isinstance(says, Phrase) else says(made), changed(plan.order, order))
                break


def changed(before: WarpOrder, after: WarpOrder) -> dict[str, Any]:
    """The changed fields of an order, with their new values."""
    names = [field.name for field in fields(WarpOrder)]
    return {name: getattr(after, name) for name in names if getattr(after, name) != getattr(before, name)}


def _narrower(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """The widest web of fewer repeats that clears the problem."""
    found = _widest(plan, clears)
    if found is not None:
        order, fewer = found
        yield (
            lambda made: phrase(
                "{repeats} narrower: {finished} finished",
                repeats=some(fewer, "repeat"),
                finished=_finished(made),
            ),
            order,
        )


def _finished(plan: WarpPlan) -> str:
    return Shown(plan.guild.units).width(plan.finished_width_mm)


def _as_it_comes(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """The width that whole repeats give, asked for as it is."""
    order = with_repeats(plan, plan.web.repeats)
    if order is not None:
        yield lambda made: phrase("plan for {finished} finished", finished=_finished(made)), order


def _other_reed(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """Another reed, whose sett may make whole repeats fit the width better."""
    for reed in plan.reeds.free:
        if plan.sley is None or reed.key != plan.sley.reed.key:
            yield _in_its_reed, replace(plan.order, reed=reed.key, sley=None)


def _in_its_reed(made: WarpPlan) -> Phrase:
    return phrase(
        "in reed {reed}: {finished} finished",
        reed=made.sley.reed.name if made.sley else "",
        finished=_finished(made),
    )


def _wider_edges(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """Part of a repeat as selvedge ends at both sides, for a web that is too narrow."""
    order = plan.order
    missing = order.finished_width_mm / plan.finished_width_mm - 1
    more = round(plan.web.ends * missing / 2)
    if more > 0 and order.selvedge_shafts is None:
        yield (
            lambda made: phrase(
                "{ends} more of the threading at each side: {finished} finished",
                ends=some(more, "end"),
                finished=_finished(made),
            ),
            replace(order, selvedge_ends=order.selvedge_ends + more),
        )


def _any_reed(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    if is_uneven(plan.order):  # its stripes are sleyed in that reed
        return
    if plan.order.reed is not None or plan.order.sley is not None:
        yield phrase("in the best reed"), replace(plan.order, reed=None, sley=None)


def _widest(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> tuple[WarpOrder, int] | None:
    low, high = 0, plan.web.repeats  # high does not clear the problem; low clears it or is not set
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
    """The order with that many repeats, in the sley that suits them best, at a round finished width.

    Where the width alone would be sleyed differently, the order names reed and sley too. None: no such order.
    """
    order, guild, loom = plan.order, plan.guild, plan.loom
    span = span_of(order, plan.draft)
    reed_order, asked = in_the_old_reed(order, plan.tied), plan.asked_sett_per_cm
    _, best = sleyed(reed_order, plan.draft, span, asked, plan.reeds, loom, repeats)
    sett = best.sett_per_cm if best else plan.asked_sett_per_cm
    width_mm = finished_width_mm(order, span.ends(repeats), sett)
    ways = (
        [order]
        if best is None or loom.is_rigid_heddle
        else [order, replace(order, reed=best.reed.key, sley=best.cycle)]
    )
    for way in ways:
        for text in _round_texts(width_mm, WIDTH_MM, "in" if guild.units == "us" else "cm"):
            tried = replace(way, finished_width_mm=read(text, WIDTH_MM))
            if at_most(abs(width_mm - tried.finished_width_mm), WIDTH_OFF * tried.finished_width_mm):
                again, made = sleyed(
                    in_the_old_reed(tried, plan.tied), plan.draft, span, asked, plan.reeds, loom
                )
                if _same_way(made, best) and again == repeats:
                    return tried
    return None


def _same_way(one: Sley | None, other: Sley | None) -> bool:
    if one is None or other is None:
        return one is other
    return (one.reed.key, one.cycle) == (other.reed.key, other.cycle)


def _round_texts(value: float, kind: Kind, unit: str) -> Iterator[str]:
    """A quantity as a person would write it, with more and more digits."""
    for digits in range(5):
        yield near(value, kind, unit, digits).replace(",", "")


def _shorter(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """Every item shortened by the same share, the least that clears the problem, down to half."""
    unit = "in" if plan.guild.units == "us" else "cm"
    longest = max(plan.order.items, key=lambda item: item.finished_length_m)
    step_m = read(f"1 {unit}", LENGTH_M)
    steps = whole_down(longest.finished_length_m / 2 / step_m)
    low, high, best = 0, steps + 1, None  # low does not clear it
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
        yield phrase("pieces of {lengths} finished", lengths=listed(dict.fromkeys(lengths))), best


def _shortened(order: WarpOrder, share: float, unit: str) -> WarpOrder:
    def cut(item: Item) -> Item:
        length_m = item.finished_length_m * (1 - share)
        whole = whole_down(length_m / read(f"1 {unit}", LENGTH_M))
        return replace(item, finished_length_m=read(f"{whole} {unit}", LENGTH_M) if whole else length_m)

    return replace(order, items=tuple(cut(item) for item in order.items))


def _fewer_items(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """Items removed from the last, as few as clear the problem."""
    items = list(plan.order.items)
    left_off = 0
    while sum(item.count for item in items) > 1:
        last = items.pop()
        if last.count > last.sewn:
            items.append(replace(last, count=last.count - last.sewn))
        left_off += last.sewn
        order = replace(plan.order, items=tuple(items))
        if left_off <= 24 and clears(order):
            yield (
                phrase("{pieces} fewer", pieces=some(left_off, "piece")),
                order,
            )
            return


def _hems_as_pieces(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """Hems in the draft of their piece, so that they need no lifts of their own."""
    items = tuple(
        item if item.hem_draft is None else replace(item, hem_draft=None, hem_weft_yarns=None)
        for item in plan.order.items
    )
    if items != plan.order.items:
        yield phrase("hems in the weave of their pieces"), replace(plan.order, items=items)


def _other_yarn(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """Another yarn of about the same grist and fiber for the one that is short, the closest color first."""
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
                yield (
                    phrase("{other} for weft instead of {yarn}", other=other.name, yarn=need.yarn.name),
                    with_weft(plan.order, swap),
                )
            in_both = plan.second is not None and other.key in plan.order.warp_yarns
            if need.missing_ends and not in_both:
                yield (
                    phrase("{other} for warp instead of {yarn}", other=other.name, yarn=need.yarn.name),
                    with_warp(plan.order, swap),
                )


def _weighted(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    yield (
        phrase("the second warp in weighted chains from the back of the loom (common practice, no source)"),
        replace(plan.order, second_weighted=True),
    )


def _no_floating(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    yield phrase("without floating selvedges"), replace(plan.order, floating_selvedges=False)


def _mix_lots(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    if not plan.order.mix_lots:
        yield phrase("let dye lots mix in one color"), replace(plan.order, mix_lots=True)


def _other_loom(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    taken = {order.loom for order in plan.guild.warps if order.key != plan.order.key and order.off is None}
    for loom in sorted(plan.guild.looms, key=lambda loom: loom.key in taken):
        if loom.key != plan.loom.key:
            note = phrase(", which already has a warp planned") if loom.key in taken else ""
            yield phrase("on {loom}{note}", loom=loom.name, note=note), replace(plan.order, loom=loom.key)


def _other_sett(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """The sett that the nearest reed gives."""
    if plan.sley is None:
        return
    if plan.order.sett_per_cm is not None:
        unit = "/in" if plan.guild.units == "us" else "/10cm"
        for text in _round_texts(plan.sley.sett_per_cm, PER_CM, unit):
            yield _its_sett, replace(plan.order, sett_per_cm=read(text, PER_CM))
    elif plan.order.firmness is not None:
        firmness = plan.order.firmness * plan.sley.sett_per_cm / plan.asked_sett_per_cm
        for text in _round_texts(firmness, SHARE, "%"):
            if 0 < read(text, SHARE) <= 1.5:
                yield _with_firmness(text), replace(plan.order, firmness=read(text, SHARE))


def _working_sett(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """The sett of ordinary cloth, as a share of the maximum for the cloth with the lowest maximum."""
    greatest = least_greatest_per_cm(plan)
    if plan.order.firmness is not None:
        text = near(WORKING_FIRMNESS * greatest / plan.sett_advice.greatest_per_cm, SHARE, "%", 0)
        yield _with_firmness(text), replace(plan.order, firmness=read(text, SHARE))
        return
    unit = "/in" if plan.guild.units == "us" else "/10cm"
    for text in _round_texts(WORKING_FIRMNESS * greatest, PER_CM, unit):
        yield _its_sett, replace(plan.order, sett_per_cm=read(text, PER_CM), sley=None)


def _with_firmness(text: str) -> Says:
    return lambda made: phrase("firmness {share}, {sett}", share=text, sett=_its_sett(made))


def _its_sett(made: WarpPlan) -> Phrase:
    return phrase("sett {sett}", sett=Shown(made.guild.units).epi(made.sett_per_cm))


def _as_layers(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    parts = plan.analysis.parts
    if parts <= 4 and how_told(plan.draft, parts) == "parts":  # a loose thread is not a layer
        yield phrase("if intended: {parts} layers", parts=parts), replace(plan.order, layers=parts)


def _old_sley(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """In the reed and the sley of the old warp, where the order sets its own."""
    if plan.order.reed is not None or plan.order.sley is not None:
        yield phrase("in the reed and sley of the old warp"), replace(plan.order, reed=None, sley=None)


def _without_old(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """Threaded and sleyed as any warp is."""
    yield phrase("dress the loom without the old warp"), replace(plan.order, tied_to=None, tied_waste_m=None)


def _from_chains(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """Wound at a board and beamed from chains, on the same beam."""
    yield phrase("wind it in bouts and beam it from chains"), replace(plan.order, sectional=False)


def _leave_one_out(plan: WarpPlan, clears: Callable[[WarpOrder], bool]) -> Iterable[Offer]:
    """One end less at the fold."""
    yield (
        lambda made: phrase(
            "leave out {ends} at the fold: {count:,} ends",
            ends=some(made.order.fold_left_out, "end"),
            count=made.web.ends,
        ),
        replace(plan.order, fold_left_out=plan.order.fold_left_out + 1),
    )


Kinds = tuple[Callable[[WarpPlan, Callable[[WarpOrder], bool]], Iterable[Offer]], ...]
_FIXED_BY_WINDING = (
    _narrower,
    _wider_edges,
    _as_it_comes,
    _leave_one_out,
)  # a warp on a loom keeps its width
_KINDS: dict[str, Kinds] = {
    "yarn-short": (_narrower, _shorter, _fewer_items, _other_yarn),
    "lots-mixed": (_mix_lots, _narrower, _shorter, _fewer_items),
    "wound-short": (_shorter, _fewer_items),
    "too-long": (_shorter, _fewer_items, _other_loom),
    "too-wide": (_narrower, _other_loom),
    "too-narrow-reed": (_any_reed, _narrower, _other_loom),
    "heddle-is-reed": (_any_reed,),
    "holes-short": (_other_loom,),
    "holes-in-turn": (_other_loom,),
    "sticks-short": (_other_loom,),
    "reed-shared": (_any_reed, _other_loom),
    "width-off": (_any_reed, _other_reed, _wider_edges, _as_it_comes),
    "crowded-dent": (_any_reed,),
    "heddles-short": (_narrower, _other_loom),
    "too-many-shafts": (_other_loom,),
    "falls-apart": (_as_layers,),
    "no-sley": (_any_reed, _other_sett),
    "too-close": (_any_reed, _working_sett),
    "treadles-short": (_other_loom, _hems_as_pieces, _fewer_items),
    "uneven-shed": (_other_loom,),
    "out-of-reach": (_other_loom,),
    "tied-differs": (_old_sley, _without_old),
    "rack-short": (_from_chains,),
    "sections-short": (_from_chains, _narrower),
    "fold-alike": (_leave_one_out,),
    "no-second-beam": (_weighted, _other_loom),
    "second-warp-edge": (_no_floating,),
}
