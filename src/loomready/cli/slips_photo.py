"""Slips from a photograph, on the command line."""

from __future__ import annotations

import re
import sys
from pathlib import Path

from loomready.cli.common import print_json
from loomready.files import named
from loomready.phrases import phrase
from loomready.problems import BadInput, shorten
from loomready.slips.as_json import Planned
from loomready.slips.photo.rectify import Corners

_NUMBER = r"(\d{1,6}(?:\.\d{1,9})?)"
_CORNERS = re.compile(r"[ ;]+".join([f"{_NUMBER} ?, ?{_NUMBER}"] * 4))


def tell_photograph(
    planned: Planned, photo: Path, corners: str | None, ends: str | None, woven: Path | None, as_json: bool
) -> None:
    """Read the photograph and print what it shows.

    :raises BadInput: options that say nothing, or a photograph that cannot be read
    """
    from loomready.report.photo_text import tell_photo
    from loomready.slips.cells_csv import read_lifts
    from loomready.slips.photo.as_json import answer, photo_as_json
    from loomready.slips.photo.certainty import find
    from loomready.slips.photo.picture import read

    taps, stretch = _corners(corners), _ends(ends, len(planned.threading))
    lifts = planned.lifts if woven is None else read_lifts(woven, planned.lifts.shape[1])
    picture = read(photo)
    try:
        made = find(picture, taps, planned, lifts, stretch)
    except BadInput as error:
        raise error.in_file(named(photo)) from None
    if as_json:
        print_json(photo_as_json(planned, lifts, made))
    else:
        sys.stdout.write(tell_photo(made, answer(planned, lifts, made)))


def _corners(text: str | None) -> Corners:
    if text is None:
        raise BadInput(
            phrase(
                "--corners is missing; expected four points: first and last end at the first pick, then "
                'first and last end at the last pick, like "40,310 990,300 45,120 980,115"'
            )
        )
    found = _CORNERS.fullmatch(text.strip())
    if found is None:
        raise BadInput(
            phrase(
                '--corners: "{text}" is not four points; expected first and last end at the first pick, then '
                'first and last end at the last pick, like "40,310 990,300 45,120 980,115"',
                text=shorten(text, 60),
            )
        )
    at = [float(number) for number in found.groups()]
    return (at[0], at[1]), (at[2], at[3]), (at[4], at[5]), (at[6], at[7])


def _ends(text: str | None, web: int) -> tuple[int, int]:
    if text is None:
        return 1, web
    found = re.fullmatch(r"(\d{1,6})[-–](\d{1,6})", text.strip())
    if found is None:
        raise BadInput(
            phrase(
                '--ends: "{text}" is no stretch; expected first and last end, like 41-160',
                text=shorten(text, 40),
            )
        )
    return int(found[1]), int(found[2])
