"""A section of a WIF file that loomready does not read, kept word for word."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Section:
    """``name`` as the file spells it; ``lines`` between its header and the next, without line ends."""

    name: str
    lines: tuple[str, ...]
