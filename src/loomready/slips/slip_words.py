"""A slip in words, the same on the command line and on pages."""

from __future__ import annotations

from loomready.phrases import Phrase, filled, phrase
from loomready.slips.result import Slip
from loomready.slips.sentences import SLIPS


def where(slip: Slip) -> Phrase:
    """The end or the pick, from 1."""
    if slip.end is None:
        return phrase("Pick {pick}", pick=slip.pick or 0)
    if slip.kind == "crossed":
        return phrase("Ends {first}-{second}", first=slip.end, second=slip.end + 1)
    return phrase("End {end}", end=slip.end)


def name_of(slip: Slip) -> str:
    """The sentence that says what is wrong, by its name in ``sentences.SLIPS``."""
    if slip.kind == "wrong shaft":
        return "on" if slip.found else "off"
    if slip.kind == "extra":
        return "extra_on" if slip.found else "extra_off"
    if slip.kind == "wrong lift":
        return "not_risen" if slip.planned else "risen"
    return slip.kind


def what(slip: Slip) -> Phrase:
    """What is wrong there."""
    return filled(SLIPS[name_of(slip)], planned=slip.planned or 0, found=slip.found or 0)
