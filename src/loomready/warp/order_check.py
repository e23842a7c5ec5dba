"""Whether a warp order fits its drafts."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

import numpy as np

from loomready.draft.draft import Draft
from loomready.model.guild import Item, Loom, Sample, WarpOrder
from loomready.phrases import phrase
from loomready.problems import BadInput, Place
from loomready.warp.pieces import body_weave, hem_weave, order_weave
from loomready.warp.width import roles_of
from loomready.yarn.dates_taken import comes_before

Drafts = Mapping[str, Draft]


def check(order: WarpOrder, drafts: Drafts) -> None:
    """Checks yarns against the draft's colors, shafts, threadings, and the order of the dates.

    :raises BadInput: it does not; ``where`` names the key
    """
    draft = drafts[order.draft]
    _check_moments(order)
    colors = int(roles_of(draft.warp_colors).max()) + 1
    if not order.stripes and len(order.warp_yarns) != colors:
        raise BadInput(
            phrase(
                "{count} yarns for {colors} warp colors; expected one yarn for each warp color of the draft, "
                "in the order in which they first appear",
                count=len(order.warp_yarns),
                colors=colors,
            ),
            where="warp_yarns",
        )
    for number, each in enumerate(order.items, start=1):
        _check_hems(order, each, ("items", number), drafts)
    for number, item in enumerate((None, *order.items)):
        key = order.draft if item is None else item.draft or order.draft
        place: Place = () if item is None else ("items", number)
        if not np.array_equal(drafts[key].threading, draft.threading):
            raise BadInput(
                phrase("another threading than the warp's draft; expected the same"), where=(*place, "draft")
            )
        weave = order_weave(order) if item is None else body_weave(item, order)
        colors = int(roles_of(drafts[key].weft_colors).max()) + 1
        used = item is not None or (order.sample_m > 0 and not order.samples)
        if not weave.stripes and len(weave.yarns) != colors and (used or len(order.items) == 0):
            where = (*place, "weft_yarns") if item is not None and item.weft_yarns else ("weft_yarns",)
            raise _wrong_weft(len(weave.yarns), colors, where)
    for number, sample in enumerate(order.samples, start=1):
        _check_sample(sample, order, ("samples", number), drafts)
    if order.selvedge_shafts and max(order.selvedge_shafts) > draft.shafts:
        raise BadInput(
            phrase(
                "shaft {shaft} is past the draft's {shafts} shafts; expected shafts of the draft",
                shaft=max(order.selvedge_shafts),
                shafts=draft.shafts,
            ),
            where="selvedge_shafts",
        )


def check_loom(order: WarpOrder, loom: Loom) -> None:
    """Checks what the order asks of its loom.

    :raises BadInput: the loom has no such part; ``where`` names the key
    """
    for name in ("reed", "sley"):
        if loom.kind == "inkle" and getattr(order, name) is not None:
            raise BadInput(
                phrase("an inkle loom has no reed; expected no {key} for {loom}", key=name, loom=loom.name),
                where=name,
            )
    if loom.kind == "inkle" and order.floating_selvedges:
        raise BadInput(
            phrase(
                "a band on an inkle loom has heddled and open ends only; expected no floating_selvedges for "
                "{loom}",
                loom=loom.name,
            ),
            where="floating_selvedges",
        )
    if order.sectional and loom.section_mm is None:
        raise BadInput(
            phrase("{loom} has no sectional beam; expected a loom with section_width", loom=loom.name),
            where="sectional",
        )
    if order.sectional and (order.ends_per_heddle > 1 or (order.selvedge_ends_per_heddle or 1) > 1):
        raise BadInput(
            phrase("doubled ends are not planned in sections; expected a warp wound in bouts"),
            where="sectional",
        )
    if order.sectional and order.fold_sley is not None:
        raise BadInput(
            phrase(
                "a fold with a sley of its own is not planned in sections; expected no fold_sley, or a warp "
                "wound in bouts"
            ),
            where="sectional",
        )
    if order.sectional and any(stripe.dents or stripe.sley for stripe in order.stripes):
        raise BadInput(
            phrase(
                "stripes with a sley of their own or empty dents are not planned in sections; "
                "expected a warp wound in bouts"
            ),
            where="sectional",
        )


def check_tied(order: WarpOrder, old: WarpOrder) -> None:
    """Checks that an order and the old warp that it is tied on to are for one loom.

    :raises BadInput: they are not
    """
    if order.loom != old.loom:
        raise BadInput(
            phrase("warp {warp} is on another loom; expected a warp on the same loom", warp=old.key),
            where="tied_to",
        )


def _check_sample(sample: Sample, order: WarpOrder, place: Place, drafts: Drafts) -> None:
    """Check that a sample's draft fits the warp's threading, and its yarns the colors of the draft."""
    weave = body_weave(sample, order)
    draft = drafts[weave.draft]
    if not np.array_equal(draft.threading, drafts[order.draft].threading):
        raise BadInput(
            phrase("another threading than the warp's draft; expected the same"), where=(*place, "draft")
        )
    colors = int(roles_of(draft.weft_colors).max()) + 1
    if not weave.stripes and len(weave.yarns) != colors:
        raise _wrong_weft(len(weave.yarns), colors, (*place, "weft_yarns"))


def _wrong_weft(yarns: int, colors: int, where: Place) -> BadInput:
    return BadInput(
        phrase(
            "{count} yarns for {colors} weft colors; expected one yarn for each weft color of the draft, in "
            "the order in which they first appear",
            count=yarns,
            colors=colors,
        ),
        where=where,
    )


def _check_moments(order: WarpOrder) -> None:
    """A warp is wound, then woven, then cut off."""
    steps = [("wound", order.wound), ("woven_at", order.woven_at), ("off", order.off)]
    done = [(name, moment) for name, moment in steps if moment is not None]
    for row in order.woven_from:
        for other, early in ((order.wound, True), (order.off, False)):
            if row.at is not None and other is not None:
                one, two = (row.at, other) if early else (other, row.at)
                if comes_before(one, two):
                    raise BadInput(
                        phrase("{moment} is not between winding and cutting off", moment=f"{row.at}"),
                        where="woven_from",
                    )
    for (earlier, before), (later, moment) in pairwise(done):
        if comes_before(moment, before):
            what = {"wound": phrase("the warp was wound"), "woven_at": phrase("picks were counted as woven")}[
                earlier
            ]
            raise BadInput(
                phrase(
                    "{moment} is before {earlier_step}, {before}; expected a later moment",
                    moment=f"{moment}",
                    earlier_step=what,
                    before=f"{before}",
                ),
                where=later,
            )


def _check_hems(order: WarpOrder, item: Item, place: Place, drafts: Drafts) -> None:
    """Check that hem drafts fit the warp's threading, and hem yarns the colors of their draft."""
    if not item.has_own_hems:
        return
    weave = hem_weave(item, order)
    if not np.array_equal(drafts[weave.draft].threading, drafts[order.draft].threading):
        raise BadInput(
            phrase("another threading than the warp's draft; expected the same"), where=(*place, "hem_draft")
        )
    colors = int(roles_of(drafts[weave.draft].weft_colors).max()) + 1
    if item.hem_m and not weave.stripes and len(weave.yarns) != colors:
        raise BadInput(
            phrase(
                "{count} yarns for {colors} weft colors of the hem's draft; expected one yarn for each, in "
                "the order in which they first appear",
                count=len(weave.yarns),
                colors=colors,
            ),
            where=(*place, "hem_weft_yarns"),
        )
