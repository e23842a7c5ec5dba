"""What a shelf allows, told in plain text and as JSON: sizes of a warp, and colors for it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from loomready.choose.size import Fit, Limit, Size
from loomready.model.guild import Guild
from loomready.units import Shown

Json = dict[str, Any]

_BOUNDS = {
    "loom": "the loom's width",
    "reed": "the reeds",
    "heddles": "the loom's heddles",
    "ends": "the most ends there may be",
    "wound": "the warp as it is wound",
    "count": "the most pieces there may be",
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
    lines = [f"{found.order.key} on {loom.name}: the sizes that the yarn surely makes", ""]
    lines += [f"  STOP: {message} No size helps." for message in found.anyway]
    if found.sizes:
        lines += _table(found)
        lines += ["", *(f"  {line}" for line in _sets(found))]
    else:
        lines.append("  None. Even one repeat wide and woven once:")
        lines += [f"    {message}" for message in found.none_because]
    return "\n".join(lines) + "\n"


def _table(found: Fit) -> Iterator[str]:
    show, guild = Shown(found.guild.units), found.guild
    keys = list(found.sizes[0].left_m)
    heads = ["repeats", "ends", "in the reed", "finished", "sets", "warp", *(f"{key} left" for key in keys)]
    rows = [[*heads, "wider wants more of"]]
    for size in found.sizes:
        left = [show.yarn(size.left_m[key]) for key in keys]
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
        else f"{item.count} of {show.piece(item.finished_length_m)}"
        for item in found.order.items
    )
    yield f"A set is what the warp's items say: {pieces} finished."
    repeats, sets = found.planned
    fits = any(size.repeats >= repeats and size.sets >= sets for size in found.sizes)
    yield (
        f"Planned: {repeats} {'repeat' if repeats == 1 else 'repeats'}, one set; "
        f"{'that is there' if fits else 'that is more than there is'}."
    )
