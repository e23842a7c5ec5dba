"""What can be chosen about a packet: paper, size of print, and how much is written out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from loomready.model.guild import Guild

Paper = Literal["a4", "us-letter"]
PAPERS: tuple[Paper, ...] = ("a4", "us-letter")


@dataclass(frozen=True, slots=True)
class Options:
    """Choices for one packet.

    ``paper``: None: Letter where the guild shows US units, else A4. ``every_pick``: the long form too, a row
    for each pick of the repeat.
    """

    paper: Paper | None = None
    every_pick: bool = False

    def paper_of(self, guild: Guild) -> Paper:
        return self.paper or ("us-letter" if guild.units == "us" else "a4")


USUAL = Options()
