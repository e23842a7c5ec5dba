"""A slip in words, the same on the command line and on pages."""

from __future__ import annotations

from loomready.slips.found import Slip
from loomready.slips.sentences import SLIPS


def where(slip: Slip) -> str:
    """The end or the pick, from 1."""
    if slip.end is None:
        return f"Pick {slip.pick}"
    return f"Ends {slip.end}-{slip.end + 1}" if slip.kind == "crossed" else f"End {slip.end}"


def name_of(slip: Slip) -> str:
    """The sentence that says what is wrong, by its name in ``sentences.SLIPS``."""
    if slip.kind == "wrong shaft":
        return "on" if slip.found else "off"
    if slip.kind == "extra":
        return "extra_on" if slip.found else "extra_off"
    if slip.kind == "wrong lift":
        return "not_risen" if slip.planned else "risen"
    return slip.kind


def what(slip: Slip) -> str:
    """What is wrong there."""
    return SLIPS[name_of(slip)].format(planned=slip.planned, found=slip.found)
