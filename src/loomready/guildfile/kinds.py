"""The kinds of value that several sections of the guild file hold."""

from __future__ import annotations

from dataclasses import replace

from loomready.guildfile.records import Key
from loomready.guildfile.texts import DraftPath, Identifier, Note
from loomready.guildfile.values import Many, Quantity
from loomready.phrases import phrase
from loomready.units import (
    LENGTH_M,
    PER_CM,
    SHARE,
    WEIGHT_G,
    WIDTH_MM,
)

KEY_NAME = Identifier()
DRAFT_PATH = DraftPath()
YARN_KEYS = Many(Identifier(of="yarn"), 1, 256)
SOME_DENSITY = Quantity(PER_CM, "0 /cm", "200 /cm", above=True)
ANY_LENGTH = Quantity(LENGTH_M, "0 m", "10000 m")
WARP_LENGTH = Quantity(
    replace(LENGTH_M, us=("yd", "in"), metric=("m", "cm", "mm")), "0 m", "10000 m", above=True
)
SOME_LENGTH = Quantity(LENGTH_M, "0 m", "10000 m", above=True)
SOME_WIDTH = Quantity(WIDTH_MM, "0 m", "20 m", above=True)
ANY_WEIGHT = Quantity(WEIGHT_G, "0 g", "100 kg")
SOME_WEIGHT = Quantity(WEIGHT_G, "0 g", "100 kg", above=True)
ANY_SHARE = Quantity(SHARE, "0 %", "100 %")
ON_BOARD = Quantity(WIDTH_MM, "-100 m", "100 m")
PEG_NAME = Identifier(of="peg", is_called="name")
LOSS = Quantity(SHARE, "0 %", "60 %")
NOTES = Key("notes", Note(4000), "notes", phrase("whatever you want to remember"), silence=phrase("none"))
AROUND_BEAM = Quantity(WIDTH_MM, "20 mm", "10 m")
