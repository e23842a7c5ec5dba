"""Color checked against what others printed. Status: S seen in the source, C computed, M from memory."""

from __future__ import annotations

import numpy as np
import pytest
from coloraide import Color

from loomready.cloth import color as color_module
from loomready.cloth.color import (
    contrast_ratio,
    delta_e_2000_lab,
    ink_on,
    mix_linear,
    oklab,
    to_code,
    to_light,
)
from loomready.colors import RGB

BLACK: RGB = (0, 0, 0)
WHITE: RGB = (255, 255, 255)


@pytest.mark.parametrize(
    ("one", "other", "printed"),
    [
        ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
        ((50, 2.49, -0.001), (50, -2.49, 0.0009), 7.1792),
        ((50, 2.5, 0), (73, 25, -18), 27.1492),
    ],
)
def test_ciede2000_rows(
    one: tuple[float, float, float], other: tuple[float, float, float], printed: float
) -> None:
    """Sharma, Wu, Dalal, Color Res. Appl. 30 (2005) 21-30, Table 1. Status: seen, computed."""
    assert delta_e_2000_lab(one, other) == pytest.approx(printed, abs=5e-5)


@pytest.mark.parametrize(
    ("color", "printed"), [(BLACK, 21.0), ((0x77,) * 3, 4.478), ((255, 0, 0), 3.998), ((0, 0, 255), 8.592)]
)
def test_wcag_contrast_on_white(color: RGB, printed: float) -> None:
    """W3C, WCAG 2.2, contrast ratio. Status: definition seen in a stored copy, rows computed."""
    assert contrast_ratio(color, WHITE) == pytest.approx(printed, abs=5e-4)
    assert contrast_ratio(WHITE, color) == contrast_ratio(color, WHITE)


@pytest.mark.parametrize(
    ("color", "expected"),
    [((255, 0, 0), (0.62796, 0.22486, 0.12585)), ((0x80,) * 3, (0.59987, 0.0, 0.0))],
)
def test_oklab_rows(color: RGB, expected: tuple[float, float, float]) -> None:
    """B. Ottosson, A perceptual color space for image processing (2020). Status: computed."""
    assert oklab(color) == pytest.approx(expected, abs=6e-6)


def test_a_fine_check_of_black_and_white_looks_like_half_the_light() -> None:
    """Half of linear light in sRGB is about #bcbcbc. Status: computed."""
    assert mix_linear([BLACK, WHITE], [1, 1]) == (0xBC, 0xBC, 0xBC)
    assert mix_linear([BLACK, WHITE], [3, 3]) == (0xBC, 0xBC, 0xBC)


def test_light_agrees_with_a_general_library_on_every_code_value() -> None:
    """sRGB transfer function, IEC 61966-2-1 (from memory), against coloraide. Status: computed."""
    codes = np.concatenate([np.arange(256), np.linspace(10, 11, 101)])  # and about the knee of the curve
    oracle = [Color("srgb", [code / 255] * 3).convert("srgb-linear").coords()[0] for code in codes.tolist()]
    np.testing.assert_allclose(to_light(codes), oracle, rtol=1e-9, atol=1e-12)
    np.testing.assert_array_equal(to_code(oracle), np.rint(codes))
    fine = np.linspace(0, 1, 4001)
    shown = [Color("srgb-linear", [light] * 3).convert("srgb").coords()[0] for light in fine.tolist()]
    np.testing.assert_array_equal(to_code(fine), np.rint(np.array(shown) * 255))


def test_ink_can_be_read_on_every_color() -> None:
    """WCAG 2.2 asks 3 to 1 for large text and graphics, 4.5 for text. Status: seen in a stored copy."""
    steps = range(0, 256, 17)
    worst = min(
        contrast_ratio(ink_on(c), c) for c in ((r, g, b) for r in steps for g in steps for b in steps)
    )
    assert worst >= 3.9


@pytest.mark.parametrize("name", ["KNEE", "SLOPE", "OFFSET", "POWER"])
@pytest.mark.parametrize("off", [0.99, 1.01])
def test_a_curve_that_is_off_by_one_percent_is_noticed(
    name: str, off: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The check above bites."""
    monkeypatch.setattr(color_module, name, getattr(color_module, name) * off)
    with pytest.raises(AssertionError):
        test_light_agrees_with_a_general_library_on_every_code_value()


@pytest.mark.parametrize("name", ["RED_SHARE", "GREEN_SHARE", "BLUE_SHARE", "FLARE"])
@pytest.mark.parametrize("off", [0.99, 1.01])
def test_a_contrast_that_is_off_by_one_percent_is_noticed(
    name: str, off: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rows above bite, taken together."""
    monkeypatch.setattr(color_module, name, getattr(color_module, name) * off)
    rows = [(BLACK, 21.0), ((0x77,) * 3, 4.478), ((255, 0, 0), 3.998), ((0, 0, 255), 8.592)]
    seen = [contrast_ratio(color, WHITE) for color, _ in rows]
    assert seen != pytest.approx([printed for _, printed in rows], abs=5e-4)
