"""Lines and columns of text reports. Columns are as wide as the words of the reader's language need."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from loomready.model.guild import WarpOrder
from loomready.phrases import Catalog, Phrase, joined, translated


def in_lines(lines: Iterable[str], catalog: Catalog) -> str:
    """The lines in the catalog's language, each ended."""
    return "".join(f"{translated(line, catalog)}\n" for line in lines)


def named(order: WarpOrder) -> str:
    """A warp's name, and its key where that differs: commands ask for the key."""
    return order.name if order.name == order.key else f"{order.name} ({order.key})"


def indented(indent: str, text: str) -> Phrase:
    """A text with spaces before it."""
    return joined("", (indent, text))


def labeled(rows: Iterable[tuple[str, str]], least: int, catalog: Catalog) -> list[str]:
    """Labels with their values, one pair a line, in the catalog's language.

    :param least: letters of the column of labels, at the least
    """
    told = [translated(row, catalog) for row in rows]
    wide = max([least, *(len(label) for label, _ in told)])
    return [f"  {label:<{wide}} {value}" for label, value in told]


def columns(rows: Sequence[Sequence[str]], right: Iterable[int], catalog: Catalog) -> list[str]:
    """A table in the catalog's language, its columns two spaces apart.

    :param right: columns, from 0, that stand at the right
    """
    told = [[translated(cell, catalog) for cell in row] for row in rows]
    wide = [max(map(len, column)) for column in zip(*told, strict=True)]
    at_right = set(right)
    return [
        "  ".join(
            ["", *(f"{cell:{'>' if at in at_right else '<'}{wide[at]}}" for at, cell in enumerate(row))]
        ).rstrip()
        for row in told
    ]
