"""The few colors and fonts of the house: warm paper, dark ink, one hairline, and four dye plants.

A dye color is never the only signal: a word, a number or a shape goes with it.
"""

from __future__ import annotations

from loomready.colors import RGB

PAPER: RGB = (250, 246, 237)
INK: RGB = (38, 34, 30)
QUIET: RGB = (111, 102, 90)  # captions: 5.4 to 1 on paper
HAIRLINE: RGB = (219, 209, 190)
RULE: RGB = (158, 145, 122)  # every fifth line
WOAD: RGB = (44, 79, 114)
WOAD_TINT: RGB = (205, 217, 226)
MADDER: RGB = (160, 58, 43)
WELD: RGB = (178, 134, 16)
SAGE: RGB = (84, 112, 80)

SANS = "'Source Sans Pro', sans-serif"
SERIF = "'Source Serif Pro', serif"
