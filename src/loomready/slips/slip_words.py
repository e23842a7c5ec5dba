"""A slip in words, the same on the command line and on pages."""

from __future__ import annotations

from loomready.slips.found import Slip


def where(slip: Slip) -> str:
    """The end or the pick, from 1."""
    if slip.end is None:
        return f"Pick {slip.pick}"
    return f"Ends {slip.end}-{slip.end + 1}" if slip.kind == "crossed" else f"End {slip.end}"


def what(slip: Slip) -> str:
    """What is wrong there."""
    on = f"on shaft {slip.found}" if slip.found else "not threaded"
    if slip.kind == "wrong shaft":
        return f"{on}, planned on shaft {slip.planned}"
    if slip.kind == "crossed":
        return f"crossed: on shafts {slip.planned} and {slip.found} the wrong way round"
    if slip.kind == "skipped":
        return f"missing, planned on shaft {slip.planned}"
    if slip.kind == "extra":
        return f"one end too many before it, {on}"
    if slip.kind == "empty dent":
        return "an empty dent before it"
    if slip.kind == "crowded dent":
        return "one end too many in its dent"
    if slip.kind == "round its heddle":
        return "round its heddle, not through the eye"
    return f"shaft {slip.planned} did not rise" if slip.planned else f"shaft {slip.found} rose"
