"""What a photograph of a test weave shows, in plain text."""

from __future__ import annotations

from collections.abc import Iterator

from loomready.report.slips_text import mending_lines
from loomready.slips.as_json import Answer
from loomready.slips.photo.certainty import PhotoFound, PhotoSlip
from loomready.slips.result import Slip
from loomready.slips.slip_words import what, where


def tell_photo(made: PhotoFound, answer: Answer) -> str:
    """Slips that are certain, places to check, what was read, and how to mend what is certain."""
    picks = len(made.cells)
    found = [each for each in made.slips if each.certain]
    check = [each for each in made.slips if not each.certain]
    lines = [
        f"{answer.planned.name}: ends {made.first}-{made.last}, {picks} picks, read in a photograph",
        "",
    ]
    lines += _list("Found", found) if found else ["  Found: none seen."]
    if check:
        lines += ["", *_list("Check here", check)]
    unsure = int((made.cells < 0).sum())
    lines += [
        "",
        f"  {100 * (1 - made.disagree):.1f} % of the cells agree; {unsure:,} of {made.cells.size:,} were too "
        "unclear to count.",
        "  The outermost ends are never certain. Check every slip at the loom before you mend it.",
    ]
    for number, mending in enumerate(answer.mending):
        lines += ["", *mending_lines(mending, number)]
    return "\n".join(lines) + "\n"


def _list(heading: str, slips: list[PhotoSlip]) -> Iterator[str]:
    yield f"  {heading}"
    rows = [(about(each.slip), what(each.slip), _odds(each.slip)) for each in slips]
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        told = "  ".join(cell.ljust(size) for cell, size in zip(row, wide, strict=True))
        yield f"    {told.rstrip()}"


def about(slip: Slip) -> str:
    """Where it is; a missing or an extra end only about there."""
    told = where(slip)
    return f"About {told[0].lower()}{told[1:]}" if slip.kind in ("skipped", "extra") else told


def _odds(slip: Slip) -> str:
    if slip.odds < 3:
        return "unsure"
    return f"odds {slip.odds:,.0f} to 1" if slip.odds < 1000 else "odds over 1,000 to 1"
