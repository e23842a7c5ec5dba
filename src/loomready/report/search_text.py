"""Drafts that were found, told in plain text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from loomready.choose.drafts.columns import DraftOffer
from loomready.choose.drafts.finding import LIMITS, FoundDrafts, Nothing, WiderLimits, Wish
from loomready.phrases import ENGLISH, Catalog, Phrase, phrase, plural, translated, word
from loomready.report.layout import in_lines, indented

_WIDE = (3, 9, 6, 5, 5, 9, 5, 8, 6, 5, 0)
_RIGHT = 9  # so many columns of figures stand at the right

Row = tuple[str, ...]


def tell_found(found: FoundDrafts, wish: Wish, catalog: Catalog = ENGLISH) -> str:
    """The offers with their columns, or why there are none, in the catalog's language."""
    searched = plural(found.searched, "{count:,} draft searched", "{count:,} drafts searched")
    if not found.offers:
        why = () if found.nothing is None else _why(found.nothing, wish)
        return in_lines([phrase("Nothing found; {searched}.", searched=searched), *why], catalog)
    rows = [*_heads(wish), *(_row(number, offer) for number, offer in enumerate(found.offers, 1))]
    head = plural(
        len(found.offers),
        "{count} draft of {searched}, chosen to differ.",
        "{count} drafts of {searched}, chosen to differ.",
        searched=searched,
    )
    return in_lines([head, "", *_columns(rows, catalog)], catalog)


def _heads(wish: Wish) -> tuple[Row, Row]:
    away = f"{wish.setting.distance_m:g} m"
    return (
        (
            *("", phrase("repeat"), phrase("shafts"), phrase("lifts"), phrase("steps"), phrase("moves")),
            *(phrase("float"), phrase("at {distance}", distance=away), phrase("mirror"), phrase("plain"), ""),
        ),
        (
            *("", phrase("e x p"), "", "", "", phrase("a pick"), "", phrase("contrast"), ""),
            *(phrase("weave"), phrase("made of")),
        ),
    )


def _columns(rows: Sequence[Row], catalog: Catalog) -> list[str]:
    """The table: columns as wide as usual figures need, wider where the words are long."""
    told = [[translated(cell, catalog) for cell in row] for row in rows]
    heads = [max(map(len, column)) for column in zip(*told[:2], strict=True)]
    wide = [max(pair) for pair in zip(_WIDE, heads, strict=True)]
    return [
        "  ".join(
            [
                *(f"{cell:>{width}}" for cell, width in zip(row[:_RIGHT], wide, strict=False)),
                *(f"{cell:<{width}}" for cell, width in zip(row[_RIGHT:-1], wide[_RIGHT:], strict=False)),
                row[-1],
            ]
        ).rstrip()
        for row in told
    ]


def _row(number: int, offer: DraftOffer) -> Row:
    found = offer.found
    return (
        f"{number}",
        f"{found.repeat[0]} x {found.repeat[1]}",
        f"{found.shafts_used}",
        f"{found.distinct_lifts}",
        f"{offer.steps}",
        f"{offer.moves_a_pick:.1f}",
        f"{found.longest_warp_float}/{found.longest_weft_float}",
        f"{offer.contrast:.2f}",
        _mirror(found.mirror_ends, found.mirror_picks),
        phrase("yes") if found.plain_weave else phrase("no"),
        offer.made_of,
    )


def _mirror(ends: bool, picks: bool) -> Phrase:
    if ends and picks:
        return phrase("both")
    return word("ends") if ends else word("picks") if picks else phrase("none")


def _why(nothing: Nothing, wish: Wish) -> Iterator[Phrase]:
    if not nothing.ways:
        yield phrase("No draft was found, even without any two of the limits.")
    elif len(nothing.ways) == 1 and len(nothing.ways[0].nearest) == 1:
        yield phrase("What excludes every draft: {limit}.", limit=said(nothing.ways[0], wish))
    else:
        yield phrase("There are drafts with")
        yield from (indented("  ", said(way, wish)) for way in nothing.ways)


def said(way: WiderLimits, wish: Wish) -> Phrase:
    """A way out in words: "the longest float, at most 2; 3 does not"."""
    limits = [_limit(name, nearest, wish) for name, nearest in way.nearest.items()]
    told = limits[0]
    for limit in limits[1:]:
        told = phrase("{one}; and {other}", one=told, other=limit)
    return told


def _limit(name: str, nearest: int | float | None, wish: Wish) -> Phrase:
    asked = wish.float_limit if name == "max_float" else getattr(wish, name)
    if isinstance(asked, bool | tuple):
        return phrase("{limit} asked for; without it there are drafts", limit=LIMITS[name])
    unit = " mm" if name == "max_float_mm" else ""
    most = f"{asked:g}{unit}"
    if nearest is None:
        return phrase(
            "{limit}, at most {most}; without this limit there are drafts", limit=LIMITS[name], most=most
        )
    return phrase(
        "{limit}, at most {most}; {more} does not",
        limit=LIMITS[name],
        most=most,
        more=f"{nearest:g}{unit}",
    )
