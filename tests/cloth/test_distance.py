"""Cloth seen from a distance: the light of its threads is mixed, and a coarse pattern stays."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
from PIL import Image

from loomready.cloth.color import to_code, to_light
from loomready.cloth.distance import seen_jpeg
from loomready.cloth.picture import cloth_array
from loomready.draft.families.registry import make

PLAIN = replace(make("plain-weave"), palette=((0, 0, 0), (255, 255, 255)))
ENDS, PICKS, CELL = range(40), range(40), 6


def seen(mm: float, distance_m: float) -> np.ndarray:
    made = seen_jpeg(
        PLAIN,
        CELL,
        mm_per_end=mm,
        mm_per_pick=mm,
        distance_m=distance_m,
        ends=ENDS,
        picks=PICKS,
        end_1="right",
    )
    picture = np.asarray(Image.open(io.BytesIO(made)).convert("L")).astype(float)
    return picture[60:-60, 60:-60]  # away from the edges


def test_fine_threads_become_the_mix_of_their_light() -> None:
    light = to_light(cloth_array(PLAIN, CELL, ends=ENDS, picks=PICKS)).mean()
    found = seen(0.4, 10.0)
    assert np.ptp(found) <= 4  # one even field
    assert abs(found.mean() - float(to_code(light))) <= 6


def test_close_by_the_threads_stay_apart_and_go_with_the_distance() -> None:
    spread = [np.ptp(seen(1.27, distance)) for distance in (0.3, 3.0, 30.0)]
    assert spread[0] > 150
    assert spread == sorted(spread, reverse=True)
    assert spread[2] < 10
