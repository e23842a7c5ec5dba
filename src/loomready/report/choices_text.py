"""What a shelf allows, told in plain text and as JSON: sizes of a warp, and colors for it."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap
from typing import Any

from loomready.choose.colors.choices import ColorChoice, Offer
from loomready.choose.colors.columns import COLUMNS
from loomready.choose.colors.hues import WORDS
from loomready.choose.colors.narrower import Narrower
from loomready.choose.colors.roles import Role
from loomready.choose.size.size import Fit, Limit, Size
from loomready.model.guild import Guild, WarpOrder
from loomready.phrases import phrase
from loomready.units import Shown

Json = dict[str, Any]

_BOUNDS = {
    "loom": phrase("the loom's width"),
    "reed": phrase("the reeds"),
    "heddles": phrase("the loom's heddles"),
    "ends": phrase("the largest number of ends"),
    "wound": phrase("the warp as it is wound"),
    "count": phrase("the largest number of pieces"),
}


def limit_in_words(limit: Limit, guild: Guild) -> str:
    """What forbids more, as a weaver calls it."""
    return _BOUNDS[limit.bound] if limit.yarn is None else guild.yarn(limit.yarn).name


def fit_as_json(found: Fit) -> Json:
    """The sizes, the narrowest first; lengths in m, widths in mm. Where there is none: ``none_because``."""
    return {
        "points": [
            {
                "repeats": size.repeats,
                "ends": size.ends,
                "width_in_reed_mm": size.width_in_reed_mm,
                "sets": size.sets,
                "warp_length_m": size.warp_length_m,
                "left_m": size.left_m,
                "binding": size.binding,
            }
            for size in found.sizes
        ],
        "none_because": list(found.none_because),
        "problems": list(found.anyway),
    }


def tell_fit(found: Fit) -> str:
    """The trade-off as lines of text."""
    loom = found.guild.loom(found.order.loom)
    lines = [
        phrase("{order} on {loom}: the sizes this yarn will cover", order=found.order.key, loom=loom.name),
        "",
    ]
    lines += [phrase("  STOP: {message} No size helps.", message=message) for message in found.anyway]
    if found.sizes:
        lines += _table(found)
        lines += ["", *(f"  {line}" for line in _sets(found))]
    else:
        lines.append(phrase("  None. Even one repeat wide and woven once:"))
        lines += [f"    {message}" for message in found.none_because]
    return "\n".join(lines) + "\n"


def _table(found: Fit) -> Iterator[str]:
    show, guild = Shown(found.guild.units), found.guild
    keys = list(found.sizes[0].left_m)
    heads = [
        "repeats",
        "ends",
        phrase("in the reed"),
        "finished",
        "sets",
        "warp",
        *(phrase("{key} left", key=key) for key in keys),
    ]
    rows = [[*heads, phrase("width limited by")]]
    for size in found.sizes:
        left = [show.yarn_there(size.left_m[key]) for key in keys]
        rows.append([*_figures(size, show), *left, limit_in_words(size.wider, guild)])
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        figures = [text.rjust(width) for text, width in zip(row[:-1], wide[:-1], strict=True)]
        yield "  " + "  ".join([*figures, row[-1]])


def _figures(size: Size, show: Shown) -> tuple[str, ...]:
    return (
        f"{size.repeats}",
        f"{size.ends:,}",
        show.width(size.width_in_reed_mm),
        show.width(size.finished_width_mm),
        f"{size.sets}",
        show.length(size.warp_length_m),
    )


def _sets(found: Fit) -> Iterator[str]:
    show = Shown(found.guild.units)
    pieces = ", ".join(
        show.piece(item.finished_length_m)
        if item.count == 1
        else phrase(
            "{count} of {finished_length}",
            count=item.count,
            finished_length=show.piece(item.finished_length_m),
        )
        for item in found.order.items
    )
    yield phrase("One set is all the pieces of the warp: {pieces} finished.", pieces=pieces)
    repeats, sets = found.planned
    fits = any(size.repeats >= repeats and size.sets >= sets for size in found.sizes)
    yield (
        phrase(
            "Planned: {repeats} {what}, one set; {what_2}.",
            repeats=repeats,
            what="repeat" if repeats == 1 else "repeats",
            what_2=phrase("that fits") if fits else phrase("that does not fit"),
        )
    )


def colors_as_json(found: ColorChoice, fewer: Narrower | None) -> Json:
    """The choices in the order shown. ``yarns`` stand in the order of ``roles``; places count from 1.

    ``narrower``: where there is no choice, the greatest width that has one.
    """
    return {
        "order_by": found.wishes.order_by,
        "distance_m": found.wishes.distance_m,
        "roles": [
            {**_places(role), "able": [found.guild.yarns[one.yarn].key for one in each.able]}
            for role, each in zip(found.roles, found.found, strict=True)
        ],
        "offers": [_offer(offer) for offer in found.offers],
        "possible": found.possible,
        "all_looked_at": found.all_looked_at,
        "none_because": list(found.none_because),
        "narrower": None
        if fewer is None
        else {"repeats": fewer.repeats, "finished_width_mm": fewer.finished_width_mm},
    }


def _places(role: Role) -> Json:
    return {
        "planned": role.planned,
        "warp_yarns": [place.number + 1 for place in role.places if place.part == "warp"],
        "weft_yarns": [place.number + 1 for place in role.places if place.part == "weft"],
        "items": [[place.item + 1, place.number + 1] for place in role.places if place.part == "item"],
        "hems": [[place.item + 1, place.number + 1] for place in role.places if place.part == "hem"],
    }


def _offer(offer: Offer) -> Json:
    return {
        "yarns": list(offer.yarns),
        "warp_yarns": list(offer.order.warp_yarns),
        "weft_yarns": list(offer.order.weft_yarns),
        "items": [None if item.weft_yarns is None else list(item.weft_yarns) for item in offer.order.items],
        "hems": [
            None if item.hem_weft_yarns is None else list(item.hem_weft_yarns) for item in offer.order.items
        ],
        **offer.columns,
        "hue": offer.hue,
    }


def column_value(name: str, value: float) -> str:
    """A column's value as a person reads it."""
    if name == "odd_cones":
        return f"{value:.0%}"
    if name == "hue_angle":
        return f"{value:.0f}°"
    return f"{value:.2f}" if name == "contrast" else f"{value:.0f}"


def role_in_words(role: Role, order: WarpOrder) -> str:
    """Where a role's yarn lies: warp, weft, the weft of a piece or its hems."""
    parts = []
    for part, yarns in (("warp", order.warp_yarns), ("weft", order.weft_yarns)):
        numbers = [place.number + 1 for place in role.places if place.part == part]
        if numbers:
            parts.append(part if len(yarns) == 1 else f"{part} {' and '.join(map(str, numbers))}")
    for part, name in (("item", "weft"), ("hem", "hems")):
        parts += dict.fromkeys(
            phrase("{name} of piece {item}", name=name, item=place.item + 1)
            for place in role.places
            if place.part == part
        )
    return ", ".join(parts)


def tell_colors(found: ColorChoice, fewer: Narrower | None) -> str:
    """The choices as lines of text."""
    loom = found.guild.loom(found.order.loom)
    lines = [phrase("{order} on {loom}: colors from the shelf", order=found.order.key, loom=loom.name), ""]
    if not found.offers:
        lines += [f"  {message}" for message in found.none_because]
        if fewer is not None:
            width = Shown(found.guild.units).width(fewer.finished_width_mm)
            lines.append(phrase("  With {width} finished there are choices.", width=width))
        return "\n".join(lines) + "\n"
    heads = [role_in_words(role, found.order) for role in found.roles]
    rows = [[*heads, *(column.name for column in COLUMNS), "hue"]]
    for offer in found.offers:
        values = [column_value(column.name, offer.columns[column.name]) for column in COLUMNS]
        rows.append([*offer.yarns, *values, offer.hue])
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        cells = [
            text.rjust(width) if len(heads) <= place < len(row) - 1 else text.ljust(width)
            for place, (text, width) in enumerate(zip(row, wide, strict=True))
        ]
        lines.append(("  " + "  ".join(cells)).rstrip())
    lines += ["", f"  {_how_many(found)}"]
    meant = {column.name: column.meaning for column in COLUMNS}
    meant |= {offer.hue: f"{WORDS[offer.hue]}." for offer in found.offers}
    for name, meaning in meant.items():
        lines += wrap(f"{name}: {meaning}", 100, initial_indent="  ", subsequent_indent="    ")
    return "\n".join(lines) + "\n"


def _how_many(found: ColorChoice) -> str:
    shown = len(found.offers)
    choices = "choice" if found.possible == 1 else "choices"
    said = phrase(
        "{shown} of {possible:,} {choices}, the most different first",
        shown=shown,
        possible=found.possible,
        choices=choices,
    )
    if not found.all_looked_at:
        said += phrase("; too many to try all, so the most different yarns were used")
    return said + "."
