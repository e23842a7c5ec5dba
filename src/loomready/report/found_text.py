"""Drafts that were found, told in plain text."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.choose.drafts.columns import Offer
from loomready.choose.drafts.finding import LIMITS, Found, Nothing, Way, Wish
from loomready.phrases import phrase

_COLUMNS = "{:>3}  {:>9}  {:>6}  {:>5}  {:>5}  {:>9}  {:>5}  {:>8}  {:>6}  {:<5}  {}"


def tell_found(found: Found, wish: Wish) -> str:
    """The offers with their columns, or why there are none."""
    looked = phrase("{searched:,} drafts searched", searched=found.searched)
    if not found.offers:
        why = () if found.nothing is None else _why(found.nothing, wish)
        return "\n".join([phrase("Nothing found; {looked}.", looked=looked), *why]) + "\n"
    away = f"{wish.setting.distance_m:g} m"
    head = ("", "repeat", "shafts", "lifts", "steps", "moves", "float", f"at {away}", "mirror", "plain", "")
    units = ("", "e x p", "", "", "", "a pick", "", "contrast", "", "weave", phrase("made of"))
    lines = [
        phrase("{count} drafts of {looked}, chosen to differ.", count=len(found.offers), looked=looked),
        "",
        _COLUMNS.format(*head).rstrip(),
        _COLUMNS.format(*units).rstrip(),
    ]
    lines += [_line(number, offer) for number, offer in enumerate(found.offers, 1)]
    return "\n".join(lines) + "\n"


def _line(number: int, offer: Offer) -> str:
    found = offer.found
    mirror = ["ends"] * found.mirror_ends + ["picks"] * found.mirror_picks
    return _COLUMNS.format(
        number,
        f"{found.repeat[0]} x {found.repeat[1]}",
        found.shafts_used,
        found.distinct_lifts,
        offer.steps,
        f"{offer.moves_a_pick:.1f}",
        f"{found.longest_warp_float}/{found.longest_weft_float}",
        f"{offer.contrast:.2f}",
        "both" if len(mirror) == 2 else "".join(mirror) or "none",
        "yes" if found.plain_weave else "no",
        offer.made_of,
    )


def _why(nothing: Nothing, wish: Wish) -> Iterator[str]:
    if not nothing.ways:
        yield phrase("No draft was found, even without any two of the limits.")
    elif len(nothing.ways) == 1 and len(nothing.ways[0].nearest) == 1:
        yield phrase("What excludes every draft: {said}.", said=said(nothing.ways[0], wish))
    else:
        yield phrase("There are drafts with")
        yield from (f"  {said(way, wish)}" for way in nothing.ways)


def said(way: Way, wish: Wish) -> str:
    """A way out in words: "the longest float, at most 2; 3 does not"."""
    return "; and ".join(_limit(name, nearest, wish) for name, nearest in way.nearest.items())


def _limit(name: str, nearest: int | float | None, wish: Wish) -> str:
    asked = wish.float_limit if name == "max_float" else getattr(wish, name)
    if isinstance(asked, bool | tuple):
        return phrase("{LIMITS} asked for; without it there are drafts", LIMITS=LIMITS[name])
    unit = " mm" if name == "max_float_mm" else ""
    if nearest is None:
        return phrase(
            "{LIMITS}, at most {asked:g}{unit}; without this limit there are drafts",
            LIMITS=LIMITS[name],
            asked=asked,
            unit=unit,
        )
    return phrase(
        "{LIMITS}, at most {asked:g}{unit}; {nearest:g}{unit} does not",
        LIMITS=LIMITS[name],
        asked=asked,
        unit=unit,
        nearest=nearest,
    )
