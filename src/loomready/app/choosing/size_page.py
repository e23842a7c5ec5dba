"""The page of sizes: the points of the picture, a table, and one size with what it leaves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready.app.choosing.size_picture import Point, picture
from loomready.app.media.pictures import Strips, bar
from loomready.app.state.snapshot import Snapshot
from loomready.choose.size.size import Fit, Limit, Size, fit
from loomready.model.guild import Guild, WarpOrder
from loomready.problems import BadInput
from loomready.units import Shown

RGB = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class ConeLeft:
    name: str
    gives: str
    left: str


@dataclass(frozen=True, slots=True)
class YarnLeft:
    name: str
    color: RGB
    left: str
    bar: str
    cones: tuple[ConeLeft, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """A size as shown. ``words``: the size in short, for links and buttons."""

    size: Size
    words: str
    finished: str
    in_reed: str
    warp: str
    pieces: str
    wider: str
    longer: str
    planned: bool
    chosen: bool
    narrow: bool


@dataclass(frozen=True, slots=True)
class SizePage:
    """All that the page shows; without rows ``stops`` says why."""

    order: WarpOrder
    rows: tuple[Row, ...] = ()
    narrow: tuple[Row, ...] = ()  # of no use to most
    picture: Strips | None = None
    chosen: Row | None = None
    yarns: tuple[YarnLeft, ...] = ()
    stops: tuple[str, ...] = ()
    error: str = ""
    planned: str = ""
    set_is: str = ""


@lru_cache(maxsize=32)
def fitted(snapshot: Snapshot, key: str) -> Fit:
    """:raises BadInput: the order does not fit its draft"""
    return fit(snapshot.guild, snapshot.drafts, key)


def size_page(snapshot: Snapshot, key: str, address: str, asked: tuple[int, int] | None) -> SizePage:
    """The page with one size selected: the one asked for, or else the one nearest to the plan."""
    order = next(each for each in snapshot.guild.warps if each.key == key)
    try:
        found = fitted(snapshot, key)
    except BadInput as error:
        return SizePage(order, error=error.line())
    chosen = _looked_at(found, asked)
    rows = tuple(_row(found, size, chosen is size) for size in found.sizes)
    row = next((each for each in rows if each.chosen), None)
    return SizePage(
        order=order,
        rows=tuple(each for each in rows if not each.narrow),
        narrow=tuple(each for each in rows if each.narrow),
        picture=_picture(found, [each for each in rows if not each.narrow or each.chosen], address)
        if rows
        else None,
        chosen=row,
        yarns=() if chosen is None else _yarns(found.guild, chosen),
        stops=(*found.none_because, *found.anyway),
        planned=_planned(found),
        set_is=", ".join(_piece(snapshot.show, item.finished_length_m, item.count) for item in order.items),
    )


def _looked_at(found: Fit, asked: tuple[int, int] | None) -> Size | None:
    if not found.sizes:
        return None
    repeats, sets = asked or found.planned
    exact = [size for size in found.sizes if (size.repeats, size.sets) == (repeats, sets)]
    roomy = [size for size in found.sizes if size.repeats >= repeats and size.sets >= sets]
    return (exact or roomy or list(found.sizes[-1:]))[0]


def _piece(show: Shown, length_m: float, count: int) -> str:
    return show.piece(length_m) if count == 1 else f"{count} × {show.piece(length_m)}"


def _row(found: Fit, size: Size, chosen: bool) -> Row:
    show, guild = Shown(found.guild.units), found.guild
    pieces = size.sets * sum(item.count for item in found.order.items)
    count = ngettext("%d piece", "%d pieces", pieces) % pieces
    finished = show.width(size.finished_width_mm)
    return Row(
        size=size,
        words=_("%(width)s wide, %(pieces)s") % {"width": finished, "pieces": count},
        finished=finished,
        in_reed=show.width(size.width_in_reed_mm),
        warp=show.length(size.warp_length_m),
        pieces=count,
        wider=limit_words(size.wider, guild),
        longer=limit_words(size.longer, guild),
        planned=(size.repeats, size.sets) == found.planned,
        chosen=chosen,
        narrow=found.is_narrow(size),
    )


def limit_words(limit: Limit, guild: Guild) -> str:
    """What prevents a larger size, in words."""
    if limit.yarn is not None:
        return guild.yarn(limit.yarn).name
    words = {
        "loom": _("the loom's width"),
        "reed": _("the reeds"),
        "heddles": _("the loom's heddles"),
        "ends": _("the largest number of ends"),
        "wound": _("the warp as it is wound"),
        "count": _("the largest number of pieces"),
    }
    return words[limit.bound]


def _planned(found: Fit) -> str:
    """Whether there is enough for the plan, in a sentence."""
    repeats, sets = found.planned
    there = any(size.repeats >= repeats and size.sets >= sets for size in found.sizes)
    more = any(
        size.repeats >= repeats and size.sets >= sets and (size.repeats, size.sets) != found.planned
        for size in found.sizes
    )
    if not there:
        return _("The plan is short of yarn.")
    return _("Enough yarn for the plan, with some left.") if more else _("Just enough yarn for the plan.")


def _picture(found: Fit, rows: Sequence[Row], address: str) -> Strips:
    show = Shown(found.guild.units)
    sets = found.planned[1]
    points = [
        Point(
            width_mm=row.size.finished_width_mm,
            sets=row.size.sets,
            words=row.words,
            address=f"{address}?repeats={row.size.repeats}&sets={row.size.sets}#chosen",
            color=None if row.size.binding is None else found.guild.yarn(row.size.binding).color,
            chosen=row.chosen,
        )
        for row in rows
    ]
    return picture(points, (found.planned_width_mm, sets), show)


def _yarns(guild: Guild, size: Size) -> tuple[YarnLeft, ...]:
    show = Shown(guild.units)
    made = []
    for key, uses in size.cones.items():
        yarn = guild.yarn(key)
        used_m = sum(use.warp_m + use.weft_m for use in uses)
        made.append(
            YarnLeft(
                name=yarn.name,
                color=yarn.color,
                left=show.yarn_there(size.left_m[key]),
                bar=bar(
                    yarn.color,
                    used_m,
                    sum(use.expected_before_m for use in uses),
                    used_m + size.left_m[key],
                ),
                cones=tuple(
                    ConeLeft(
                        guild.name_of_cone(use.cone),
                        _gives(use.ends, use.weft_m, show),
                        show.yarn_there(use.sure_after_m),
                    )
                    for use in uses
                ),
            )
        )
    return tuple(made)


def _gives(ends: int, weft_m: float, show: Shown) -> str:
    parts = [ngettext("%d end", "%d ends", ends) % ends] if ends else []
    parts += [_("%s of weft") % show.yarn_needed(weft_m)] if weft_m > 0 else []
    return _(" and ").join(parts) or _("not used")
