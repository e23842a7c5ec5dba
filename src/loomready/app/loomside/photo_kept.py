"""Photographs kept in the guild's folder for later trials of the reader: only when somebody says so."""

from __future__ import annotations

import json
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from loomready.app.loomside.photo_task import PhotoResult
from loomready.files import write_whole
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.slips.photo.certainty import PhotoSlip
from loomready.slips.stretch import with_slips

FOLDER = "photographs"
MOST = 200
RIGHT, NOT_SO, CANT_SEE = "right", "not so", "can't see"
ANSWERS = (RIGHT, NOT_SO, CANT_SEE)


def keep(made: PhotoResult) -> str:
    """Write the photograph, without place, time and camera, and beside it what is true of it.

    :returns: the name of the picture in the folder
    :raises BadInput: the folder is full or cannot be written
    """
    folder = Path(settings.HOME) / FOLDER
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        raise BadInput(
            phrase("cannot be made: {reason}", reason=f"{error.strerror or error}"), file=FOLDER
        ) from None
    if sum(1 for _ in folder.glob("*.jpg")) >= MOST:
        raise BadInput(phrase("holds {most} photographs already; delete some first", most=MOST), file=FOLDER)
    stem = f"{made.warp}-{timezone.localdate().isoformat()}"
    number = 1
    while (folder / f"{stem}-{number}.jpg").exists():
        number += 1
    name = f"{stem}-{number}.jpg"
    write_whole(folder / name, made.whole)
    write_whole(folder / f"{stem}-{number}.json", (json.dumps(_truth(made), indent=1) + "\n").encode())
    for each in (folder / name, folder / f"{stem}-{number}.json"):
        each.chmod(0o600)
    return name


def confirmed(made: PhotoResult) -> list[PhotoSlip]:
    """The slips that somebody found right at the loom."""
    return [each for place, each in enumerate(made.found.slips) if made.answers.get(place) == RIGHT]


def _truth(made: PhotoResult) -> dict[str, object]:
    """What the reader was given, what it found, and the threading with the slips that are right."""
    slips = [each.slip for each in confirmed(made)]
    there = with_slips(made.planned.threading.astype("int64"), slips)
    return {
        "trial": True,
        "ends": list(made.ends),
        "corners": [[round(at * made.whole_scale, 1) for at in corner] for corner in made.corners],
        "lifts": [[shaft + 1 for shaft, up in enumerate(row) if up] for row in made.lifts.tolist()],
        "planned": (made.planned.threading + 1).tolist(),
        "there": (there + 1).tolist(),
        "found": [
            {
                "kind": each.slip.kind,
                "end": each.slip.end,
                "certain": each.certain,
                "answer": made.answers.get(place),
            }
            for place, each in enumerate(made.found.slips)
        ],
    }
