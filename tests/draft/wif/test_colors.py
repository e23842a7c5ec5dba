"""Colors, spacing and thickness as files tell them."""

from __future__ import annotations

import pytest

from loomready.draft.draft import DARK, LIGHT
from tests.draft.wif.texts import (
    TABLE,
    WHOLE,
    codes,
    draft,
    refused,
)

# --- colors -----------------------------------------------------------------------------------------


def shown(text: str) -> tuple[list[tuple[int, int, int]], list[tuple[int, int, int]]]:
    found = draft(text)
    return [found.palette[i] for i in found.warp_colors], [found.palette[i] for i in found.weft_colors]


def test_without_colors_a_dark_warp_crosses_a_light_weft() -> None:
    found = draft(WHOLE)
    assert found.palette == (DARK, LIGHT)
    assert found.warp_colors.tolist() == [0] * 4
    assert found.weft_colors.tolist() == [1] * 3


def test_threads_without_a_color_take_the_default_of_their_side() -> None:
    text = WHOLE.replace("Threads=4", "Threads=4\nColor=3").replace("Threads=3", "Threads=3\nColor=2,9,9,9")
    found = draft(text + TABLE + "[WARP COLORS]\n2=1\n3=0\n4=\n")
    assert found.warp_colors.tolist() == [2, 0, 2, 2]
    assert found.weft_colors.tolist() == [1, 1, 1]


@pytest.mark.parametrize(
    ("span", "row", "expected"),
    [
        ("0,255", "10,20,255", (10, 20, 255)),
        ("0,999", "999,500,0", (255, 128, 0)),
        ("0,65535", "65535,32896,0", (255, 128, 0)),
        ("100, 200", "200,150,100", (255, 128, 0)),
        ("", "999,500,0", (255, 128, 0)),
        ("", "40000,0,65535", (156, 0, 255)),
    ],
)
def test_a_palette_is_scaled_from_its_range(span: str, row: str, expected: tuple[int, int, int]) -> None:
    text = WHOLE + f"[COLOR PALETTE]\nEntries=1\nForm=RGB\nRange={span}\n[COLOR TABLE]\n1={row}\n"
    assert draft(text).palette == (expected,)


def test_a_color_beyond_its_range_is_cut_off_with_a_word() -> None:
    text = WHOLE + "[COLOR PALETTE]\nRange=0,255\n[COLOR TABLE]\n1=256,0,0\n"
    assert draft(text).palette == ((255, 0, 0),)
    assert codes(text) == ["wif-colors"]


def test_a_side_without_color_stands_out_from_the_other() -> None:
    assert shown(WHOLE + TABLE)[1] == [(255, 255, 255)] * 3
    dark_weft = WHOLE.replace("Threads=3", "Threads=3\nColor=1") + TABLE
    assert shown(dark_weft)[0] == [(255, 255, 255)] * 4
    assert shown(WHOLE + TABLE + "[WARP COLORS]\n1=2\n2=2\n3=2\n4=2\n")[1] == [(0, 0, 0)] * 3


def test_a_color_beside_its_number_counts_where_there_is_no_table() -> None:
    text = WHOLE.replace("Threads=4", "Threads=4\nColor=1,20,30,40")
    warp, weft = shown(text)
    assert warp == [(20, 30, 40)] * 4
    assert weft == [LIGHT] * 3
    assert shown(text.replace("1,20,30,40", "250,250,250"))[1] == [DARK] * 3


def test_two_colors_under_one_number_stay_two_where_there_is_no_table() -> None:
    text = WHOLE.replace("Threads=4", "Threads=4\nColor=1,20,30,40").replace(
        "Threads=3", "Threads=3\nColor=1,9,9,9"
    )
    assert shown(text) == ([(20, 30, 40)] * 4, [(9, 9, 9)] * 3)
    assert shown(text.replace("Color=1,9", "Color=0,9")) == shown(text.replace("Color=1,9", "Color=9"))
    assert shown(text + TABLE) == ([(0, 0, 0)] * 4, [(0, 0, 0)] * 3)


def test_stripes_without_a_table_are_shown_in_colors_of_ours() -> None:
    text = WHOLE + "[WARP COLORS]\n1=1\n2=3\n3=4\n4=1\n"
    warp, weft = shown(text)
    assert warp[0] == warp[3] == DARK
    assert len({*warp, *weft}) == 4
    assert codes(text) == ["wif-colors"]


def test_a_gap_in_the_table_is_gray_with_a_word() -> None:
    text = WHOLE + "[COLOR PALETTE]\nEntries=6\n" + TABLE + "[WARP COLORS]\n1=5\n"
    assert len(draft(text).palette) == 5
    assert codes(text) == ["wif-colors"]


def test_a_color_past_the_table_is_refused_by_name() -> None:
    error = refused(WHOLE + TABLE + "[WEFT COLORS]\n2=8\n")
    assert error.what == "pick 2 has color 8; the color table ends at 3"
    assert error.where == "line 27: [WEFT COLORS] 2"


# --- spacing and thickness --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("unit", "length", "mm"),
    [
        ("Decipoints", "144", 5.08),
        ("inches", ".25", 6.35),
        ("CENTIMETERS", "0,212", 2.12),
        ("cm", "1e-1", 1.0),
    ],
)
def test_spacing_is_in_millimeters_whatever_the_unit(unit: str, length: str, mm: float) -> None:
    head = f"Threads=4\nUnits={unit}\nSpacing={length}\nThickness={length}"
    found = draft(WHOLE.replace("Threads=4", head) + "[WARP SPACING]\n2=0\n")
    assert found.warp_spacing_mm is not None
    assert found.warp_thickness_mm is not None
    assert found.warp_spacing_mm.tolist() == pytest.approx([mm, 0, mm, mm])
    assert found.warp_thickness_mm.tolist() == pytest.approx([mm] * 4)
    assert found.weft_spacing_mm is None


def test_spacing_of_some_threads_without_a_default_is_filled_with_a_word() -> None:
    text = WHOLE.replace("Threads=3", "Threads=3\nUnits=inches") + "[WEFT THICKNESS]\n1=1\n2=1\n"
    found = draft(text).weft_thickness_mm
    assert found is not None
    assert found.tolist() == [25.4] * 3
    assert codes(text) == ["wif-spacing"]


def test_spacing_without_a_unit_is_left_out_with_a_word() -> None:
    text = WHOLE.replace("Threads=4", "Threads=4\nSpacing=0.1")
    assert draft(text).warp_spacing_mm is None
    assert codes(text) == ["wif-units"]
