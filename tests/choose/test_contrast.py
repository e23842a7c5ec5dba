"""Contrast at a distance: closed forms, a brute-force picture, and laws that hold for every cloth."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter

from loomready.cloth import contrast as seeing
from loomready.draft.draft import Draft, drawdown, lift_plan
from loomready.draft.structure.analysis import analyze
from loomready.problems import BadInput

BLACK_WHITE = ((0, 0, 0), (255, 255, 255))
PLAIN = lift_plan([1, 2], [[1], [2]], palette=BLACK_WHITE)
STRIPES = lift_plan([1, 2], [[1]], palette=BLACK_WHITE)  # an end up for good beside one that is down


def seen(draft: Draft, distance_m: float, mm: float = 1.0) -> float:
    return seeing.contrast(draft, mm_per_end=mm, mm_per_pick=mm, distance_m=distance_m)


def square_wave(half_mm: float, sigma_mm: float) -> list[tuple[float, float]]:
    """Frequency per mm and amplitude, blurred, of each harmonic of a wave that is +1 and -1 in turn."""
    return [
        (
            odd / (2 * half_mm),
            4 / (math.pi * odd) * math.exp(-2 * (math.pi * sigma_mm * odd / (2 * half_mm)) ** 2),
        )
        for odd in range(1, 400, 2)
    ]


def test_one_arc_minute_is_the_full_width_at_half_the_height() -> None:
    half = 0.5 * 1000 * 10 * math.tan(math.pi / 10800)
    assert math.exp(-0.5 * (half / seeing.blur_mm(10)) ** 2) == pytest.approx(0.5)


@pytest.mark.parametrize("distance_m", [0.5, 3, 10, 30])
def test_stripes_fade_as_the_harmonics_of_a_square_wave(distance_m: float) -> None:
    sigma = seeing.blur_mm(distance_m)
    power = sum(amplitude**2 / 2 for _, amplitude in square_wave(2.0, sigma))
    assert seen(STRIPES, distance_m, 2.0) == pytest.approx(math.sqrt(power), rel=1e-9, abs=1e-7)


@pytest.mark.parametrize("distance_m", [0.5, 3, 10])
def test_a_checkerboard_fades_as_the_product_of_two_square_waves(distance_m: float) -> None:
    power = sum(amplitude**2 / 2 for _, amplitude in square_wave(1.5, seeing.blur_mm(distance_m)))
    assert seen(PLAIN, distance_m, 1.5) == pytest.approx(power, rel=1e-9, abs=1e-9)


def test_black_and_white_seen_close_by_have_the_contrast_one() -> None:
    assert seen(PLAIN, 0) == pytest.approx(1.0)
    assert seen(STRIPES, 0) == pytest.approx(1.0)


def test_a_cloth_of_one_color_has_none() -> None:
    assert seen(lift_plan([1, 2, 3], [[1], [2], [1, 3]], palette=((80, 90, 20),) * 2), 1) == 0
    assert seen(lift_plan([1, 2], [[1], [2]], palette=((0, 0, 0),) * 2), 1) == 0


drafts = st.builds(
    lambda threading, lifts, colors, seed: lift_plan(
        threading,
        [[shaft + 1 for shaft in range(4) if lift >> shaft & 1] for lift in lifts],
        shafts=4,
        palette=((20, 30, 90), (240, 230, 210), (200, 60, 40)),
        warp_colors=[colors >> end & 1 for end in range(len(threading))],
        weft_colors=[1 + (seed >> pick & 1) for pick in range(len(lifts))],
    ),
    st.lists(st.integers(0, 4), min_size=1, max_size=7),
    st.lists(st.integers(0, 15), min_size=1, max_size=6),
    st.integers(0, 127),
    st.integers(0, 63),
)


@settings(max_examples=40, deadline=None)
@given(drafts, st.sampled_from([2.0, 4.0, 12.0]))
def test_it_is_what_a_finely_drawn_and_blurred_picture_has(draft: Draft, distance_m: float) -> None:
    fine = 16
    ends, picks = analyze(draft).color_repeat
    assume(draft.ends % ends == 0 and draft.picks % picks == 0)  # a partial repeat would end the picture
    light = seeing.luminance(draft.palette)
    picture = np.where(drawdown(draft), light[draft.warp_colors], light[draft.weft_colors][:, None])
    picture = picture.repeat(fine, axis=0).repeat(fine, axis=1)
    blurred = gaussian_filter(
        picture,
        [seeing.blur_mm(distance_m) * fine / 0.8, seeing.blur_mm(distance_m) * fine],
        mode="wrap",
        truncate=9,
    )
    found = seeing.contrast(draft, mm_per_end=1.0, mm_per_pick=0.8, distance_m=distance_m)
    assert found == pytest.approx(blurred.std() / blurred.mean(), rel=2e-3, abs=1e-6)


@settings(max_examples=30, deadline=None)
@given(drafts)
def test_it_never_grows_with_the_distance(draft: Draft) -> None:
    assert seen(draft, 5) <= seen(draft, 1) + 1e-9


def test_many_color_choices_agree_with_one_at_a_time() -> None:
    draft = lift_plan(
        [1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [4, 1]], warp_colors=[0, 0, 2, 2], palette=((0, 0, 0),) * 3
    )
    masks = seeing.role_masks(draft, mm_per_end=1, mm_per_pick=1, distance_m=2)
    assert masks.warp_roles == (0, 2)
    assert masks.weft_roles == (1,)
    generator = np.random.default_rng(1)
    choices = generator.integers(0, 256, (20, 3, 3))  # 20 choices of 3 roles
    together = masks.contrast(seeing.luminance(choices))
    for choice, found in zip(choices.tolist(), together, strict=True):
        palette = [tuple(choice[0]), tuple(choice[2]), tuple(choice[1])]
        alone = seeing.contrast(draft, mm_per_end=1, mm_per_pick=1, distance_m=2, colors=palette)
        assert found == pytest.approx(alone)


@pytest.mark.parametrize(("mm", "distance"), [(0, 1), (1, -1), (math.nan, 1), (1, math.inf)])
def test_a_sett_or_distance_that_is_none_is_refused(mm: float, distance: float) -> None:
    with pytest.raises(BadInput, match="is no"):
        seeing.contrast(PLAIN, mm_per_end=mm, mm_per_pick=1, distance_m=distance)
