"""What a shelf allows, told in plain text and as JSON: sizes of a warp, and colors for it."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap
from typing import Any

from loomready.choose.colors.choices import ColorChoice, ColorOffer
from loomready.choose.colors.columns import COLUMNS
from loomready.choose.colors.hues import WORDS
from loomready.choose.colors.narrower import Narrower
from loomready.choose.colors.roles import Role
from loomready.choose.size.size import Fit, Limit, Size
from loomready.model.guild import Guild, WarpOrder
from loomready.phrases import (
    ENGLISH,
    Catalog,
    Phrase,
    listed,
    listed_with_and,
    phrase,
    plural,
    translated,
    word,
)
from loomready.report.layout import columns, in_lines, indented, named
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


def tell_fit(found: Fit, catalog: Catalog = ENGLISH) -> str:
    """The trade-off as lines of text, in the catalog's language."""
    loom = found.guild.loom(found.order.loom)
    head = phrase("{warp} on {loom}: the sizes this yarn will cover", warp=named(found.order), loom=loom.name)
    lines: list[str] = [head, ""]
    lines += [
        indented("  ", phrase("STOP: {problem} No size helps.", problem=message)) for message in found.anyway
    ]
    if found.sizes:
        lines += _table(found, catalog)
        lines += ["", *(indented("  ", line) for line in _sets(found))]
    else:
        lines.append(indented("  ", phrase("None. Even one repeat wide and woven once:")))
        lines += [indented("    ", message) for message in found.none_because]
    return in_lines(lines, catalog)


def _table(found: Fit, catalog: Catalog) -> list[str]:
    show, guild = Shown(found.guild.units), found.guild
    keys = list(found.sizes[0].left_m)
    heads = [
        phrase("repeats"),
        phrase("ends"),
        phrase("in the reed"),
        phrase("finished"),
        phrase("sets"),
        phrase("warp"),
        *(phrase("{yarn} left", yarn=key) for key in keys),
    ]
    rows: list[list[str]] = [[*heads, phrase("width limited by")]]
    for size in found.sizes:
        left = [show.yarn_there(size.left_m[key]) for key in keys]
        rows.append([*_figures(size, show), *left, limit_in_words(size.wider, guild)])
    return columns(rows, range(len(heads)), catalog)


def _figures(size: Size, show: Shown) -> tuple[str, ...]:
    return (
        f"{size.repeats}",
        f"{size.ends:,}",
        show.width(size.width_in_reed_mm),
        show.width(size.finished_width_mm),
        f"{size.sets}",
        show.length(size.warp_length_m),
    )


def _sets(found: Fit) -> Iterator[Phrase]:
    show = Shown(found.guild.units)
    pieces = listed(
        show.piece(item.finished_length_m)
        if item.count == 1
        else phrase("{count} of {length}", count=item.count, length=show.piece(item.finished_length_m))
        for item in found.order.items
    )
    yield phrase("One set is all the pieces of the warp: {pieces} finished.", pieces=pieces)
    repeats, sets = found.planned
    if any(size.repeats >= repeats and size.sets >= sets for size in found.sizes):
        yield plural(
            repeats,
            "Planned: {count} repeat, one set; that fits.",
            "Planned: {count} repeats, one set; that fits.",
        )
    else:
        yield plural(
            repeats,
            "Planned: {count} repeat, one set; that does not fit.",
            "Planned: {count} repeats, one set; that does not fit.",
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
        "samples": [[place.item + 1, place.number + 1] for place in role.places if place.part == "sample"],
    }


def _offer(offer: ColorOffer) -> Json:
    return {
        "yarns": list(offer.yarns),
        "warp_yarns": list(offer.order.warp_yarns),
        "weft_yarns": list(offer.order.weft_yarns),
        "items": [None if item.weft_yarns is None else list(item.weft_yarns) for item in offer.order.items],
        "hems": [
            None if item.hem_weft_yarns is None else list(item.hem_weft_yarns) for item in offer.order.items
        ],
        "samples": [
            None if each.weft_yarns is None else list(each.weft_yarns) for each in offer.order.samples
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


def role_in_words(role: Role, order: WarpOrder) -> Phrase:
    """Where a role's yarn lies: warp, weft, the weft of a piece, its hems or a sample."""
    parts: list[Phrase] = []
    for part, yarns in (("warp", order.warp_yarns), ("weft", order.weft_yarns)):
        numbers = [place.number + 1 for place in role.places if place.part == part]
        if numbers:
            yarn = listed_with_and(map(str, numbers))
            parts.append(
                word(part)
                if len(yarns) == 1
                else phrase("{warp_or_weft} {numbers}", warp_or_weft=word(part), numbers=yarn)
            )
    parts += dict.fromkeys(
        phrase("weft of piece {piece}", piece=place.item + 1) for place in role.places if place.part == "item"
    )
    parts += dict.fromkeys(
        phrase("hems of piece {piece}", piece=place.item + 1) for place in role.places if place.part == "hem"
    )
    parts += dict.fromkeys(
        phrase("sample {number}", number=place.item + 1) for place in role.places if place.part == "sample"
    )
    return listed(parts)


def tell_colors(found: ColorChoice, fewer: Narrower | None, catalog: Catalog = ENGLISH) -> str:
    """The choices as lines of text, in the catalog's language."""
    loom = found.guild.loom(found.order.loom)
    lines: list[str] = [
        phrase("{warp} on {loom}: colors from the shelf", warp=named(found.order), loom=loom.name),
        "",
    ]
    if not found.offers:
        lines += [indented("  ", message) for message in found.none_because]
        if fewer is not None:
            width = Shown(found.guild.units).width(fewer.finished_width_mm)
            lines.append(indented("  ", phrase("With {width} finished there are choices.", width=width)))
        return in_lines(lines, catalog)
    heads = [role_in_words(role, found.order) for role in found.roles]
    rows: list[list[str]] = [[*heads, *(column.name for column in COLUMNS), "hue"]]
    for offer in found.offers:
        values = [column_value(column.name, offer.columns[column.name]) for column in COLUMNS]
        rows.append([*offer.yarns, *values, offer.hue])
    lines += columns(rows, range(len(heads), len(heads) + len(COLUMNS)), catalog)
    lines += ["", indented("  ", _how_many(found))]
    meant: dict[str, str] = {column.name: column.meaning for column in COLUMNS}
    meant |= {offer.hue: phrase("{hue}.", hue=WORDS[offer.hue]) for offer in found.offers}
    for name, meaning in meant.items():
        told = f"{translated(name, catalog)}: {translated(meaning, catalog)}"
        lines += wrap(told, 100, initial_indent="  ", subsequent_indent="    ")
    return in_lines(lines, catalog)


def _how_many(found: ColorChoice) -> Phrase:
    if found.all_looked_at:
        return plural(
            found.possible,
            "{shown} of {count:,} choice, the most different first.",
            "{shown} of {count:,} choices, the most different first.",
            shown=len(found.offers),
        )
    return plural(
        found.possible,
        "{shown} of {count:,} choice, the most different first; too many to try all, so the most different "
        "yarns were used.",
        "{shown} of {count:,} choices, the most different first; too many to try all, so the most different "
        "yarns were used.",
        shown=len(found.offers),
    )
