"""The stretch pulled straight and followed: on pictures whose places are known by how they were drawn."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage

from loomready.slips.photo import features, learning, tracking
from loomready.slips.photo.picture import Picture
from loomready.slips.photo.rectify import ABOVE, BESIDE, SCALE, rectify

ENDS, PICKS = 30, 12
WIDE, HIGH = (ENDS - 1 + 2 * BESIDE) * SCALE, (PICKS - 1 + 2 * ABOVE) * SCALE


def ramps(wide: int, high: int) -> Picture:
    """Red grows to the right, green downward: the color of a point says where it lies."""
    red = np.linspace(0, 255, wide)[None, :].repeat(high, axis=0)
    green = np.linspace(0, 255, high)[:, None].repeat(wide, axis=1)
    image = Image.fromarray(np.stack([red, green, 0 * red + 90], axis=-1).round().astype(np.uint8))
    return Picture(image, (wide, high))


def across_photo(x: float, y: float, corners: np.ndarray) -> np.ndarray:
    """The point of end x and pick y, from the definition: along both sides, then across between them."""
    u, v = x / (ENDS - 1), y / (PICKS - 1)
    left = corners[0] + v * (corners[2] - corners[0])
    right = corners[1] + v * (corners[3] - corners[1])
    return np.asarray(left + u * (right - left))


@pytest.mark.parametrize(
    "taps",
    [
        ((100, 40), (900, 60), (120, 340), (870, 320)),
        ((900, 360), (110, 340), (880, 50), (90, 30)),  # end 1 on the right, the first pick below
    ],
)
@pytest.mark.parametrize("reduced", [1, 2])
def test_a_strip_shows_each_end_and_pick_where_the_taps_put_it(
    taps: tuple[tuple[float, float], ...], reduced: int
) -> None:
    picture = ramps(1000, 400)
    if reduced > 1:
        picture = Picture(picture.image.reduce(reduced), picture.full)
    corners = (taps[0], taps[1], taps[2], taps[3])
    strip = rectify(picture, corners, ENDS, PICKS)
    assert strip.light.shape == (3, HIGH, WIDE)
    shown = np.exp(strip.light)
    places = [(end, pick) for end in (0, 7, ENDS - 1) for pick in (0, 5, PICKS - 1)]
    for end, pick in places:
        at = (ABOVE + pick) * SCALE, (BESIDE + end) * SCALE
        x, y = across_photo(end, pick, np.array(taps))
        to_x, to_y = strip.to_photo(np.array(float(at[1])), np.array(float(at[0])))
        assert (float(to_x), float(to_y)) == pytest.approx((x, y))
        red, green = shown[0][at], shown[1][at]
        lighter = 0.02  # added, so that black has a logarithm
        assert red - lighter == pytest.approx(x / 999, abs=0.006)
        assert green - lighter == pytest.approx(y / 399, abs=0.012)


def weave(lean_left: float, lean_right: float) -> np.ndarray:
    """A picture of ends that lean: below to one side, above to the other, by so many pixels in all."""
    x, y = np.arange(WIDE)[None, :], np.arange(HIGH)[:, None]
    middle, span = (HIGH - 1) / 2, (PICKS - 1) * SCALE + SCALE
    slope = lean_left + (lean_right - lean_left) * x / WIDE
    noise = np.random.default_rng(3).normal(0, 0.2, (HIGH, WIDE))
    gray = np.sin(2 * np.pi * (x - slope * (y - middle) / span) / SCALE + 1.0) + ndimage.gaussian_filter(
        noise, 0.7
    )
    return np.stack([gray, gray, gray])


@pytest.mark.parametrize(("left", "right"), [(0.0, 0.0), (6.0, 6.0), (-5.0, -5.0), (5.0, 1.0), (-2.0, 4.0)])
def test_the_lean_of_the_ends_is_found_at_both_sides(left: float, right: float) -> None:
    found = features.lean(features.even_light(weave(left, right)))
    top, bottom = ABOVE * SCALE, HIGH - 1 - ABOVE * SCALE
    share = (bottom - top) / ((PICKS - 1) * SCALE + SCALE)
    for at, slope in ((WIDE // 6, left + (right - left) / 6), (5 * WIDE // 6, left + (right - left) * 5 / 6)):
        assert found[bottom, at] - found[top, at] == pytest.approx(slope * share, abs=1.3)
    assert np.abs(found[HIGH // 2]).max() < 0.2  # each end is where it is at the middle pick


def test_light_that_falls_off_to_one_side_is_evened_out() -> None:
    cloth = np.tile(weave(0.0, 0.0), (1, 1, 4))
    dark = np.linspace(0.0, -3.0, 4 * WIDE)[None, None, :]
    even = features.even_light(cloth + dark)
    inside = even[:, ABOVE * SCALE : -ABOVE * SCALE, BESIDE * SCALE : -BESIDE * SCALE]
    shown = dark[..., BESIDE * SCALE : -BESIDE * SCALE]
    third = inside.shape[2] // 3
    fell = shown[..., :third].mean() - shown[..., -third:].mean()
    left = inside[..., :third].mean() - inside[..., -third:].mean()
    assert abs(left) < 0.2 * fell
    assert inside.std() == pytest.approx(cloth.std(), rel=0.15)
    made = features.features(even)
    measured = made[:, ABOVE * SCALE : -ABOVE * SCALE, BESIDE * SCALE : -BESIDE * SCALE]
    assert np.allclose(measured[features.LIGHT].std(), 1.0)
    assert np.allclose(measured.mean(axis=(1, 2)), 0.0, atol=1e-9)


def bent(
    x_off: float, y_off: float
) -> tuple[tracking.Grid, tracking.Grid, np.ndarray, np.ndarray, np.ndarray]:
    """Cells that lie off their even places by up to so much, in a wave across the strip, and as even()."""
    random = np.random.default_rng(8)
    up = random.random((PICKS, ENDS)) < 0.5
    columns = (BESIDE + np.arange(ENDS)) * SCALE
    even = tracking.even(PICKS, np.zeros((HIGH, WIDE)))
    wave = np.sin(2 * np.pi * np.arange(WIDE) / WIDE)
    there = tracking.Grid(even.x + x_off * wave, even.y + y_off * wave)
    told = np.zeros((HIGH, WIDE))
    rows, across = np.mgrid[0:HIGH, 0:WIDE]
    nearest = np.full((HIGH, WIDE), np.inf)
    for pick in range(PICKS):
        for end, column in enumerate(columns):
            away = np.hypot(rows - there.y[pick, column], across - there.x[pick, column])
            closer = away < nearest
            told[closer] = 4.0 if up[pick, end] else -4.0
            nearest[closer] = away[closer]
    return even, there, told, columns, up


@pytest.mark.parametrize(("x_off", "y_off"), [(0.0, 0.0), (0.0, 3.0), (2.5, 0.0), (-2.0, -2.5)])
def test_picks_that_bend_and_ends_that_drift_are_followed(x_off: float, y_off: float) -> None:
    even, there, told, columns, up = bent(x_off, y_off)
    grid = even
    for _ in range(3):
        grid = tracking.followed(grid, told, columns, up)
    before = np.abs(even.y - there.y)[:, columns].mean() + np.abs(even.x - there.x)[:, columns].mean()
    after = np.abs(grid.y - there.y)[:, columns].mean() + np.abs(grid.x - there.x)[:, columns].mean()
    assert after < max(0.6, 0.55 * before)  # pixels, of eight for an end
    cells = grid.sample(told[None])[:, columns, 0] > 0
    assert (cells == up).mean() > 0.985


def test_a_rule_is_learned_though_some_labels_are_wrong() -> None:
    random = np.random.default_rng(5)
    up = random.random(4000) < 0.3
    told = np.where(up, 1.0, -1.0)
    seen = np.stack([told + random.normal(0, 0.7, 4000), random.normal(0, 1, 4000)], axis=-1)
    labels = up ^ (random.random(4000) < 0.02)
    rule = learning.learned(seen, labels)
    assert ((rule(seen) > 0) == up).mean() > 0.9
    assert abs(rule.weights[1]) < 0.1 * rule.weights[0]
    # Likeliest for the cells as they came: more weft than warp on top, so a cell that says nothing is weft.
    assert rule(np.zeros(2)) < 0
