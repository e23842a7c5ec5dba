"""What a photograph shows as an answer like that to noted cells, and as JSON."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from loomready.draft.draft import Bools
from loomready.slips.as_json import Answer, Planned, floats_of, slips_as_json
from loomready.slips.cells_csv import Seen
from loomready.slips.mending import Mending, mend
from loomready.slips.photo.certainty import PhotoFound
from loomready.slips.stretch import with_slips
from loomready.slips.test_picks import more_picks, shafts_up, used_shafts
from loomready.slips.wrong_lifts import pressed_for


def answer(planned: Planned, lifts: Bools, made: PhotoFound) -> Answer:
    """All slips; mending for the certain ones alone, since the others are checked at the loom first."""
    certain = [number for number, each in enumerate(made.slips) if each.certain]
    sure = [made.slips[number].slip for number in certain]
    place = {each.of: number for number, each in enumerate(made.slips) if each.of is not None}
    alternatives = tuple(replace(each, instead_of=place[each.instead_of]) for each in made.found.alternatives)
    return Answer(
        planned=planned,
        seen=Seen(lifts, made.cells),
        found=replace(made.found, slips=tuple(each.slip for each in made.slips), alternatives=alternatives),
        mending=tuple(
            _numbered(each, certain)
            for each in mend(
                sure,
                len(planned.threading),
                len(lifts),
                planned.loom,
                pressed=pressed_for(planned.loom.ties, shafts_up(lifts)),
            )
        ),
        more=shafts_up(more_picks(lifts, used_shafts(planned.threading))),
        floats_planned=floats_of(planned.lifts, planned.threading),
        floats_left=floats_of(planned.lifts, with_slips(planned.threading.astype(np.int64), sure)),
    )


def _numbered(mending: Mending, places: list[int]) -> Mending:
    return replace(
        mending,
        actions=tuple(
            replace(each, slips=tuple(places[number] for number in each.slips)) for each in mending.actions
        ),
    )


def photo_as_json(planned: Planned, lifts: Bools, made: PhotoFound) -> dict[str, Any]:
    """As for noted cells, with ``certain`` for each slip, and what of the photograph was read."""
    told = slips_as_json(answer(planned, lifts, made))
    for slip, each in zip(told["slips"], made.slips, strict=True):
        slip["certain"] = each.certain
    told["read"] = {
        "ends": [made.first, made.last],
        "cells": ["".join(" 01"[cell + 1] for cell in row) for row in made.cells.tolist()],
        "unsure": float((made.cells < 0).mean()),
        "disagree": made.disagree,
    }
    return told
