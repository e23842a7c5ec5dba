"""The cloth in its colors, pixel by pixel."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from loomready.cloth.color import to_light
from loomready.cloth.picture import cloth_array, cloth_image, cloth_png
from loomready.cloth.tiles import level_count, shade_table, thread_tiles
from loomready.draft.draft import Draft, drawdown, lift_plan
from loomready.problems import BadInput, Impossible
from tests.strategies import drafts

from .samples import BLUE, OAT, RED, with_treadles


@settings(max_examples=40, deadline=None)
@given(drafts(), st.sampled_from(["left", "right"]))
def test_at_one_pixel_every_crossing_shows_the_thread_on_top(draft: Draft, end_1: str) -> None:
    picture = cloth_array(draft, 1, end_1=end_1)  # type: ignore[arg-type]
    up = drawdown(draft)
    for pick in range(draft.picks):
        for end in range(draft.ends):
            color = draft.warp_colors[end] if up[pick, end] else draft.weft_colors[pick]
            column = end if end_1 == "left" else draft.ends - 1 - end
            assert tuple(picture[pick, column].tolist()) == draft.palette[color]


@settings(max_examples=25, deadline=None)
@given(drafts(), st.tuples(st.integers(5, 17), st.integers(5, 17)))
def test_the_middle_of_a_cell_has_the_hue_of_the_thread_on_top(draft: Draft, cell: tuple[int, int]) -> None:
    picture = cloth_array(draft, cell, end_1="left")
    middles = to_light(picture[cell[1] // 2 :: cell[1], cell[0] // 2 :: cell[0]])
    plain = to_light(cloth_array(draft, 1, end_1="left"))
    # One share of light for all three parts, up to rounding and the gleam of a dark thread.
    shares = (middles * plain).sum(axis=2, keepdims=True) / (plain**2).sum(axis=2, keepdims=True).clip(1e-9)
    np.testing.assert_allclose(middles, (plain * shares).clip(0, 1), atol=0.06)
    bright = plain.max(axis=2) > 0.02
    assert (shares[..., 0][bright] > 0.75).all()


def test_end_1_lies_where_the_guild_reads_from(twill: Draft) -> None:
    right, left = cloth_array(twill, 1), cloth_array(twill, 1, end_1="left")
    assert tuple(right[0, -1].tolist()) == RED
    assert tuple(left[0, 0].tolist()) == RED
    np.testing.assert_array_equal(right, left[:, ::-1])


def test_a_thread_is_shaded_not_a_flat_square(twill: Draft) -> None:
    # Pick 1 lifts shafts 1 and 2: end 2 is up there and in pick 2, blue, seen from the left.
    cell = cloth_array(twill, 16, end_1="left")[:16, 16:32]
    light = to_light(cell).sum(axis=2)
    middle = light[8]
    assert middle.argmax() < 8, "lit from the left"
    assert middle[-1] < 0.4 * middle.max(), "dark at the far edge"
    assert light[0, 8] < 0.7 * light[12, 8], "dark where it comes from under the pick above"
    assert len(np.unique(cell.reshape(-1, 3), axis=0)) > 15


def test_a_float_runs_on_without_a_seam() -> None:
    warp_faced = lift_plan([1, 1], [[1], [1], []], palette=(BLUE, OAT))
    column = to_light(cloth_array(warp_faced, 9)[:, 4]).sum(axis=1)
    inside = column[6:12]
    assert inside.max() < 1.1 * inside.min()


def test_treadled_and_lift_plan_versions_of_one_cloth_look_the_same(twill: Draft) -> None:
    for version in (with_treadles(twill), with_treadles(twill, rising=False)):
        assert cloth_png(version, 7) == cloth_png(twill, 7)


def test_the_picture_tiles_when_the_draft_goes_round(twill: Draft) -> None:
    once = cloth_array(twill, 6)
    twice = cloth_array(twill, 6, picks=range(16), ends=range(24))
    np.testing.assert_array_equal(twice, np.tile(once, (2, 2, 1)))


def test_a_part_of_the_cloth_is_cut_from_the_whole(twill: Draft) -> None:
    part = cloth_array(twill, 5, picks=range(2, 5), ends=range(3, 9), end_1="left")
    np.testing.assert_array_equal(part, cloth_array(twill, 5, end_1="left")[10:25, 15:45])


def test_alike_picks_drawn_once_or_one_by_one_give_the_same_picture() -> None:
    numbers = np.random.default_rng(4)
    plan = [[int(s) + 1 for s in np.flatnonzero(numbers.random(6) < 0.5)] for _ in range(40)]
    varied = lift_plan(numbers.integers(0, 7, 30).tolist(), plan, palette=(BLUE, OAT, RED))
    weft = numbers.integers(0, 3, 40).astype(np.int16)
    varied = replace(varied, weft_colors=weft)
    once = cloth_array(varied, 6)
    thrice = cloth_array(varied, 6, picks=range(120))
    np.testing.assert_array_equal(thrice, np.tile(once, (3, 1, 1)))


@settings(max_examples=25, deadline=None)
@given(drafts(), st.integers(1, 9))
def test_the_png_holds_the_very_pixels(draft: Draft, cell: int) -> None:
    image = Image.open(io.BytesIO(cloth_png(draft, cell)))
    assert image.mode == "P"
    np.testing.assert_array_equal(np.asarray(image.convert("RGB")), cloth_array(draft, cell))


def test_many_colors_are_kept_in_full() -> None:
    palette = tuple((n, 255 - n, n // 2) for n in range(200))
    draft = lift_plan([1, 2] * 100, [[1], [2]], palette=palette, warp_colors=range(200), weft_colors=[0, 1])
    assert level_count(200, (8, 8)) == 40
    image = Image.open(io.BytesIO(cloth_png(draft, 8)))
    assert image.mode == "RGB"
    np.testing.assert_array_equal(np.asarray(image), cloth_array(draft, 8))


def test_cells_keep_the_proportions_of_the_cloth(twill: Draft) -> None:
    cloth = cloth_image(twill, mm_per_end=1.0, mm_per_pick=1.5, width_px=120)
    assert (cloth.width_mm, cloth.height_mm) == (12.0, 12.0)
    assert cloth.width_px <= 120
    assert Image.open(io.BytesIO(cloth.png)).size == (cloth.width_px, cloth.height_px)
    px_per_mm = (cloth.width_px / cloth.width_mm, cloth.height_px / cloth.height_mm)
    assert px_per_mm[0] == pytest.approx(px_per_mm[1], rel=0.05)


def test_too_large_a_picture_names_the_largest_cell_that_would_do() -> None:
    draft = lift_plan([1, 2] * 2500, [[1], [2]] * 1000)
    with pytest.raises(Impossible, match=r"40000 x 16000 pixels, over 100 million; a cell of 3 would do"):
        cloth_array(draft, 8)
    assert cloth_array(draft, 3).shape == (6000, 15000, 3)


def test_a_picture_too_large_at_any_cell_says_so() -> None:
    draft = lift_plan([1, 2] * 10_000, [[1], [2]] * 5000)
    with pytest.raises(Impossible, match="even a cell of 1 is too much"):
        cloth_png(draft, 1)


@pytest.mark.parametrize("cell", [0, -3, 401, True, 2.5])
def test_a_cell_that_is_no_size_is_refused(twill: Draft, cell: object) -> None:
    with pytest.raises(BadInput, match="expected a whole number from 1 to 400"):
        cloth_array(twill, cell)  # type: ignore[arg-type]


def test_nothing_to_picture_is_refused(twill: Draft) -> None:
    with pytest.raises(BadInput, match="no ends to picture"):
        cloth_array(twill, 4, ends=[])
    with pytest.raises(BadInput, match="a draft of 0 ends"):
        cloth_array(lift_plan([], [[1]]), 4)


def test_one_level_is_the_yarns_own_color() -> None:
    for levels in (1, 9, 12, 40):
        table = shade_table((RED, OAT), levels).reshape(2, levels, 3)
        assert RED in [tuple(color) for color in table[0].tolist()]
        assert OAT in [tuple(color) for color in table[1].tolist()]
        assert (np.diff(table.astype(int), axis=1) >= 0).all(), "shades rise"
    tiles = thread_tiles(8, 8, 40)
    assert tiles.top[:, 3:5, 3:5].all()
