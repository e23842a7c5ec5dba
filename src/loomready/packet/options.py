"""What can be chosen about a packet: paper, size of print, and how much is written out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from loomready.model.guild import Guild

Paper = Literal["a4", "us-letter"]
PAPERS: tuple[Paper, ...] = ("a4", "us-letter")
PAPER_MM: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}
MARGINS_MM = (30.0, 49.0)  # at the sides, and above and below, with the head of a page: as in main.typ
# The parts of a packet in order, by the names of the strips at their heads. Painting goes with the project,
# tying in with threading.
SHEETS = ("project", "winding", "dressing", "threading", "test_weave", "weaving", "finishing")
_WORDS_MM = 24.0  # for the heading of a picture and what stands under it


@dataclass(frozen=True, slots=True)
class Options:
    """Choices for one packet.

    ``paper``: None: Letter where the guild shows US units, else A4. ``every_pick``: the long form too, a row
    for each pick of the repeat. ``large``: letters and boxes one size up, for tired eyes.
    ``card``: the pocket card in place of the sheets, always A6.
    ``hours``: the record asks for the hours of each job.
    ``sheets``: only these of :data:`SHEETS`; (): all. ``preview``: the pages as pictures, to look at first.
    """

    paper: Paper | None = None
    every_pick: bool = False
    large: bool = False
    card: bool = False
    hours: bool = False
    sheets: tuple[str, ...] = ()
    preview: bool = False

    def paper_of(self, guild: Guild) -> Paper:
        return self.paper or ("us-letter" if guild.units == "us" else "a4")

    @property
    def scale(self) -> float:
        return LARGE if self.large else 1.0

    def room_mm(self, guild: Guild) -> tuple[float, float]:
        """Width and height for a picture that has a page to itself."""
        width, height = PAPER_MM[self.paper_of(guild)]
        return width - MARGINS_MM[0], height - MARGINS_MM[1] - _WORDS_MM


USUAL = Options()
LARGE = 1.2  # times the usual size of letters
SMALLER = (0.95, 0.91)  # that a small packet may take to stay on two sheets; small print keeps its 8 points
SMALL = 4  # pages up to which a packet is packed as close as can be: two sheets, printed on both sides
