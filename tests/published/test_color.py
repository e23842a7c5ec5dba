"""Color checked against what others printed. Status: S seen in the source, C computed, M from memory."""

from __future__ import annotations

import numpy as np
import pytest
from coloraide import Color

from loomready.cloth import color as color_module
from loomready.cloth.color import (
    DEFICIENCIES,
    Deficiency,
    contrast_ratio,
    deficiency_matrix,
    delta_e_2000_lab,
    delta_e_2000_of,
    ink_on,
    lab,
    lab_of_light,
    mix_linear,
    oklab,
    to_code,
    to_light,
    with_deficiency,
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


# Of the pairs that Sharma and others printed: blue, half a circle of hue, small differences, a gray beside a
# color, a far pair. Status: the first three seen, computed; the others from memory, computed here.
SHARMA = (
    ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
    ((50, 2.49, -0.001), (50, -2.49, 0.0009), 7.1792),
    ((50, 2.5, 0), (73, 25, -18), 27.1492),
    ((50, 3.1571, -77.2803), (50, 0, -82.7485), 2.8615),
    ((50, 2.8361, -74.0200), (50, 0, -82.7485), 3.4412),
    ((50, 0, 0), (50, -1, 2), 2.3669),
    ((50, 2.49, -0.001), (50, -2.49, 0.0011), 7.2195),
    ((50, 2.5, 0), (50, 0, -2.5), 4.3065),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
)


@pytest.mark.parametrize(("one", "other", "printed"), SHARMA)
def test_ciede2000_rows_for_many_pairs_at_once(
    one: tuple[float, float, float], other: tuple[float, float, float], printed: float
) -> None:
    """Sharma, Wu, Dalal, Color Res. Appl. 30 (2005) 21-30, Table 1. Status: at ``SHARMA``."""
    assert delta_e_2000_of(one, other) == pytest.approx(printed, abs=5e-5)
    assert delta_e_2000_of([other, one], [one, one]).tolist() == pytest.approx([printed, 0.0], abs=5e-5)


def test_many_differences_agree_with_a_general_library() -> None:
    """CIEDE2000 of random colors and grays against coloraide. Status: computed."""
    rng = np.random.default_rng(5)
    labs = rng.uniform((0, -100, -100), (100, 100, 100), (60, 3))
    labs[:6, 1:] = 0.0
    table = delta_e_2000_of(labs[:, None], labs[None, :])
    for i, j in rng.integers(0, 60, (200, 2)).tolist():
        expected = delta_e_2000_lab(tuple(labs[i]), tuple(labs[j]))
        assert table[i, j] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("kind", "printed"),
    [("protan", (0.152286, 1.052583, -0.204868)), ("deutan", (0.367322, 0.860646, -0.227968))],
)
def test_color_vision_deficiency_rows(kind: Deficiency, printed: tuple[float, float, float]) -> None:
    """Machado, Oliveira, Fernandes, IEEE TVCG 15 (2009) 1291-8, severity 1, first rows. Status: computed."""
    assert deficiency_matrix(kind)[0].tolist() == pytest.approx(printed, abs=5e-7)


@pytest.mark.parametrize("kind", DEFICIENCIES)
def test_gray_stays_gray_with_any_deficiency(kind: Deficiency) -> None:
    """The rows of Machado and others sum to 1 as printed, to six places. Status: computed."""
    assert deficiency_matrix(kind).sum(axis=1).tolist() == pytest.approx([1, 1, 1], abs=2e-6)
    seen = with_deficiency([[0, 0, 0], [128, 128, 128], [255, 255, 255]], kind)
    np.testing.assert_allclose(seen, to_light([[0] * 3, [128] * 3, [255] * 3]), atol=2e-6)


def test_red_and_green_come_near_one_another_with_deutan_vision() -> None:
    """A weaver's madder red and fern green of about one lightness; the measure is ours. Status: computed."""
    madder, fern = (176, 74, 58), (108, 124, 50)
    whole = delta_e_2000_of(lab(madder), lab(fern))
    deutan = delta_e_2000_of(*lab_of_light(with_deficiency([madder, fern], "deutan")))
    tritan = delta_e_2000_of(*lab_of_light(with_deficiency([madder, fern], "tritan")))
    assert deutan < whole / 3 < tritan
