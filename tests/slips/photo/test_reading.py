"""Simulated photographs read: what is found, what is to be checked, what is refused rather than guessed."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from loomready.problems import BadInput
from loomready.slips.as_json import Planned
from loomready.slips.mending import OnLoom
from loomready.slips.photo import picture
from loomready.slips.photo.certainty import PhotoFound, find, picks_for_photo
from tests.slips.photo import trials
from tests.slips.photo.simulated import GRADES, Photograph, easier, photograph

ENDS, SHAFTS = 60, 8
PLANNED = np.resize([0, 1, 2, 3, 4, 5, 6, 7, 6, 5, 4, 3, 2, 1], ENDS)


def planned(web: np.ndarray = PLANNED) -> Planned:
    free = np.zeros(len(web), dtype=np.bool_)
    return Planned("trial", web, free, np.ones((1, SHAFTS), dtype=np.bool_), OnLoom())


LIFTS = picks_for_photo(planned())


def taken(web: np.ndarray, seed: int, grade: str = "easy", **changed: float) -> Photograph:
    return photograph(LIFTS[:, web], easier(grade, **changed), np.random.default_rng(seed))


def read(photo: Photograph, ends: tuple[int, int] = (1, ENDS), plan: Planned | None = None) -> PhotoFound:
    return find(picture.of_bytes(photo.data), photo.corners, plan or planned(), LIFTS, ends)


def test_the_cells_of_a_clean_weave_are_read_as_woven() -> None:
    made = read(taken(PLANNED, 3))
    assert made.slips == ()
    there = LIFTS[:, PLANNED]
    seen = made.cells >= 0
    assert (made.cells[seen] == there[seen]).all()
    assert seen.mean() > 0.98


def test_an_extra_end_is_found_about_there() -> None:
    web = np.insert(PLANNED, 30, 7)
    (each,) = read(taken(web, 4)).slips
    assert each.slip.kind == "extra"
    assert each.slip.end is not None
    assert abs(each.slip.end - 31) <= 2


def test_a_slip_at_the_edge_of_the_picture_is_never_certain() -> None:
    web = PLANNED.copy()
    web[1] = 6
    made = read(taken(web, 5))
    assert not any(each.certain for each in made.slips)


def test_a_stretch_is_numbered_by_the_ends_of_the_web() -> None:
    web = PLANNED.copy()
    web[25] = 0
    wide = planned(np.concatenate([np.resize([2, 5], 50), PLANNED, np.resize([5, 2], 40)]))
    made = read(taken(web, 6), (51, 50 + ENDS), wide)
    assert [(each.slip.kind, each.slip.end) for each in made.slips] == [("wrong shaft", 76)]
    assert (made.first, made.last) == (51, 50 + ENDS)


def test_another_threading_is_refused_not_guessed() -> None:
    other = planned(np.random.default_rng(8).integers(0, SHAFTS, ENDS))
    with pytest.raises(BadInput, match=r"does not fit the plan|too many slips|where it was tapped|contrast"):
        read(taken(PLANNED, 7), plan=other)


def test_warp_and_weft_of_one_color_are_refused() -> None:
    with pytest.raises(BadInput, match=r"no contrast|does not fit|too many slips|where it was tapped"):
        read(taken(PLANNED, 9, "usual", contrast=0.0))


def test_a_wrong_lift_is_told_as_one() -> None:
    lifts = LIFTS.copy()
    lifts[5, 3] ^= True
    photo = photograph(lifts[:, PLANNED], GRADES["easy"], np.random.default_rng(10))
    told = [(each.slip.kind, each.slip.pick) for each in read(photo).slips]
    assert ("wrong lift", 6) in told


def test_taps_half_an_end_off_do_no_harm() -> None:
    web = PLANNED.copy()
    web[25] = 0
    photo = taken(web, 11)
    corners = tuple((x + 4.0, y - 3.0) for x, y in photo.corners)
    made = read(Photograph(photo.data, corners))
    assert [(each.slip.kind, each.slip.end) for each in made.slips] == [("wrong shaft", 26)]


def test_the_score_counts_what_is_right_and_what_is_not_there() -> None:
    trial = trials.trial(GRADES["easy"], (3, 1), 1, ends=60, kinds=("wrong shaft",))
    score = trials.score(trial)
    assert score.right == (("wrong shaft", True, True),)
    assert score.false == ()


def test_a_kept_picture_holds_no_place_time_or_camera() -> None:
    exif = Image.Exif()
    exif[0x010F] = "camera"
    exif.get_ifd(0x8825)[1] = "N"
    stream = io.BytesIO()
    Image.new("RGB", (40, 20), (200, 30, 30)).save(stream, "JPEG", exif=exif, comment=b"at home")
    clean = Image.open(io.BytesIO(picture.without_notes(picture.of_bytes(stream.getvalue()))))
    assert not clean.getexif()
    assert "exif" not in clean.info
    assert "comment" not in clean.info
    assert clean.size == (40, 20)


@pytest.mark.parametrize("turned", range(1, 9))
def test_every_way_a_camera_lies_is_turned_upright(turned: int) -> None:
    upright = Image.new("RGB", (40, 20))
    upright.paste((255, 255, 255), (0, 0, 20, 10))  # bright at the top left
    back = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }
    lying = upright.transpose(back[turned]) if turned in back else upright
    exif = Image.Exif()
    exif[0x0112] = turned
    stream = io.BytesIO()
    lying.save(stream, "JPEG", exif=exif, quality=95)
    made = picture.of_bytes(stream.getvalue())
    assert made.full == made.image.size == (40, 20)
    assert np.asarray(made.image)[2:8, 2:18].min() > 200


def test_a_large_photograph_is_reduced_and_keeps_its_coordinates() -> None:
    stream = io.BytesIO()
    Image.new("L", (6000, 4000), 90).save(stream, "JPEG")
    made = picture.of_bytes(stream.getvalue())
    assert made.full == (6000, 4000)
    assert made.image.size == (3000, 2000)
