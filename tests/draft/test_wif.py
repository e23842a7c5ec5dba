"""Files as they turn up, each oddity by name; and the drafts they are."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from loomready.draft import wif
from loomready.draft.draft import DARK, LIGHT, Draft
from loomready.problems import BadInput

HEAD = "[WIF]\nVersion=1.1\n"
THREADS = "[WEAVING]\nShafts=4\nTreadles=2\n[WARP]\nThreads=4\n[WEFT]\nThreads=3\n"
THREADING = "[THREADING]\n1=1\n2=2\n3=3\n4=4\n"
TIEUP = "[TIEUP]\n1=1,3\n2=2,4\n"
TREADLING = "[TREADLING]\n1=1\n2=2\n3=1\n"
WHOLE = HEAD + THREADS + THREADING + TIEUP + TREADLING
TABLE = "[COLOR TABLE]\n1=0,0,0\n2=255,255,255\n3=255,0,0\n"


def draft(text: str | bytes) -> Draft:
    return wif.parse(text if isinstance(text, bytes) else text.encode()).draft


def codes(text: str) -> list[str]:
    return [problem.code for problem in wif.parse(text.encode()).warnings]


def refused(text: str | bytes) -> BadInput:
    with pytest.raises(BadInput) as caught:
        draft(text)
    assert caught.value.line().isprintable()
    return caught.value


def lifts(found: Draft) -> list[list[int]]:
    return [(np.flatnonzero(row) + 1).tolist() for row in found.lifts]


# --- the draft itself -------------------------------------------------------------------------------


def test_a_treadled_draft_is_read_as_it_is_tied_and_trodden() -> None:
    found = draft(WHOLE)
    assert found.threading.tolist() == [0, 1, 2, 3]
    assert lifts(found) == [[1, 3], [2, 4], [1, 3]]
    assert (found.ends, found.picks, found.shafts, found.treadles) == (4, 3, 4, 2)
    assert found.rising
    assert codes(WHOLE) == []


def test_two_treadles_in_a_pick_lift_the_union() -> None:
    assert lifts(draft(WHOLE.replace("3=1\n", "3=1,2\n")))[2] == [1, 2, 3, 4]


def test_a_sinking_shed_lifts_what_is_not_tied() -> None:
    for word in ("false", "no", "OFF", "0"):
        found = draft(WHOLE.replace("Shafts=4", f"Shafts=4\nRising Shed={word}"))
        assert lifts(found) == [[2, 4], [1, 3], [2, 4]]
        assert not found.rising


def test_a_rising_shed_is_assumed_and_may_be_said() -> None:
    for word in ("true", "Yes", "on", "1", ""):
        assert draft(WHOLE.replace("Shafts=4", f"Shafts=4\nRISING  SHED = {word}")).rising


def test_a_lift_plan_names_what_is_up_even_on_a_sinking_shed() -> None:
    text = HEAD + THREADS.replace("Shafts", "Rising Shed=no\nShafts") + THREADING + "[LIFTPLAN]\n1=1,4\n2=2\n"
    found = draft(text)
    assert lifts(found) == [[1, 4], [2], []]
    assert found.tieup is None
    assert found.treadles is None


def test_missing_keys_are_an_empty_heddle_an_empty_shed_and_an_untied_treadle() -> None:
    text = (
        WHOLE.replace("2=2\n3=3\n", "").replace("2=2,4\n", "").replace("[TREADLING]\n1=1\n", "[TREADLING]\n")
    )
    found = draft(text)
    assert found.threading.tolist() == [0, -1, -1, 3]
    assert lifts(found) == [[], [], [1, 3]]


def test_zero_and_blank_mean_none() -> None:
    found = draft(WHOLE.replace("2=2\n3=3", "2=0\n3=").replace("2=2\n3=1", "2=0\n3="))
    assert found.threading.tolist() == [0, -1, -1, 3]
    assert lifts(found) == [[1, 3], [], []]


def test_shafts_and_treadles_are_the_greater_of_declared_and_used() -> None:
    assert draft(WHOLE.replace("Shafts=4", "Shafts=12")).shafts == 12
    assert draft(WHOLE.replace("Shafts=4", "Shafts=2")).shafts == 4
    assert draft(WHOLE.replace("Shafts=4\n", "")).shafts == 4
    assert draft(WHOLE.replace("2=2,4", "2=2,9")).shafts == 9
    assert draft(WHOLE.replace("Treadles=2", "Treadles=6")).treadles == 6
    assert draft(WHOLE.replace("Treadles=2\n", "").replace("3=1\n", "3=5\n")).treadles == 5
    assert draft(HEAD + THREADS + THREADING + "[LIFTPLAN]\n1=7\n").shafts == 7


def test_without_a_count_the_greatest_number_used_counts_the_threads() -> None:
    found = draft(WHOLE.replace("Threads=4\n", "Threads=\n").replace("Threads=3\n", "").replace("4=4", "9=4"))
    assert (found.ends, found.picks) == (9, 3)


def test_keys_may_stand_in_any_order() -> None:
    text = WHOLE.replace("1=1\n2=2\n3=3\n4=4\n", "4=4\n1=1\n3=3\n2=2\n")
    assert draft(text).threading.tolist() == [0, 1, 2, 3]


# --- both lift plan and treadling -------------------------------------------------------------------


def test_treadles_that_agree_with_the_lift_plan_are_kept() -> None:
    found = wif.parse((WHOLE + "[LIFTPLAN]\n1=1,3\n2=2,4\n3=1,3\n").encode())
    assert found.draft.treadles == 2
    assert found.warnings == ()


def test_treadles_that_disagree_with_the_lift_plan_are_dropped_with_a_word() -> None:
    found = wif.parse((WHOLE + "[LIFTPLAN]\n1=1,3\n2=2\n3=1,3\n").encode())
    assert lifts(found.draft) == [[1, 3], [2], [1, 3]]
    assert found.draft.treadles is None
    assert "first in pick 2" in found.warnings[0].message


def test_an_empty_lift_plan_beside_a_treadling_is_no_lift_plan() -> None:
    assert lifts(draft(WHOLE + "[LIFTPLAN]\n")) == [[1, 3], [2, 4], [1, 3]]


def test_an_empty_treadling_beside_a_lift_plan_is_no_treadling() -> None:
    text = WHOLE.replace(TREADLING, "[TREADLING]\n") + "[LIFTPLAN]\n1=1\n"
    assert draft(text).treadles is None
    assert codes(text) == []


def test_a_treadling_without_tieup_gives_way_to_the_lift_plan() -> None:
    text = WHOLE.replace(TIEUP, "") + "[LIFTPLAN]\n1=1\n"
    assert lifts(draft(text)) == [[1], [], []]
    assert codes(text) == ["wif-lift-plan"]


# --- how files are written in the wild --------------------------------------------------------------


def test_names_count_without_regard_to_case_and_blanks() -> None:
    text = WHOLE.replace("[THREADING]", "  [Threading] ; the draw").replace("Threads=4", "tHReaDS =  4 ")
    assert draft(text.replace("[WARP]", "[warp]").replace("2=2,4", " 2 = 2 , 4 ")).threading.tolist() == [
        0,
        1,
        2,
        3,
    ]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\r\r\n"])
def test_lines_may_end_in_any_way(end: str) -> None:
    assert lifts(draft(WHOLE.replace("\n", end))) == [[1, 3], [2, 4], [1, 3]]


@pytest.mark.parametrize("code", ["cp1252", "utf-8", "utf-8-sig", "utf-16"])
def test_accents_arrive_in_every_encoding(code: str) -> None:
    text = WHOLE + "[TEXT]\nTitle=Rosengång – blå\n[NOTES]\n1=Größe\n"
    found = draft(text.encode(code))
    assert found.title == "Rosengång – blå"
    assert found.notes == "Größe"


def test_utf_16_with_the_other_byte_order_is_read() -> None:
    assert draft(b"\xfe\xff" + WHOLE.encode("utf-16-be")).ends == 4


def test_comments_are_passed_over() -> None:
    text = WHOLE.replace("2=2\n3=3", "; 2=9\n2=2 ; second\n;\n3=3;third").replace(
        "Shafts=4", "Shafts=4 ; four"
    )
    assert draft("; made by hand\n" + text).threading.tolist() == [0, 1, 2, 3]
    assert codes("; made by hand\n" + text) == []


def test_text_before_the_first_section_is_passed_over_with_a_word() -> None:
    assert codes("Hello\n" + WHOLE) == ["wif-preamble"]


def test_a_repeated_key_with_one_value_is_no_matter() -> None:
    assert draft(WHOLE.replace("2=2\n3=3", "2=2\n2=2\n3=3\n3=")).threading.tolist() == [0, 1, 2, 3]
    assert lifts(draft(WHOLE.replace("2=2,4", "2=2,4\n2=2, 4")))[1] == [2, 4]


def test_a_section_in_two_parts_is_joined() -> None:
    text = WHOLE.replace("[THREADING]\n1=1\n2=2\n", "[THREADING]\n") + "[threading]\n1=1\n2=2\n"
    assert draft(text).threading.tolist() == [0, 1, 2, 3]


def test_the_same_shaft_twice_or_with_none_is_one_shaft() -> None:
    assert draft(WHOLE.replace("2=2\n3=3", "2=2,2\n3=3,0")).threading.tolist() == [0, 1, 2, 3]


@pytest.mark.parametrize(
    ("version", "expected"), [("1.1", []), ("1.0", []), ("2", ["wif-version"]), ("", ["wif-version"])]
)
def test_another_version_is_read_with_a_word(version: str, expected: list[str]) -> None:
    assert codes(WHOLE.replace("Version=1.1", f"Version={version}")) == expected


def test_contents_that_lie_are_said_and_the_sections_count() -> None:
    text = WHOLE.replace("[WEAVING]", "[CONTENTS]\nLIFTPLAN=yes\nTieup=FALSE\nTHREADING=on\n[WEAVING]")
    assert draft(text).treadles == 2
    messages = [problem.message for problem in wif.parse(text.encode()).warnings]
    assert [message.split(",")[0] for message in messages] == [
        "[CONTENTS] promises [LIFTPLAN]",
        "[CONTENTS] denies [TIEUP]",
    ]


def test_title_and_notes_come_in_the_order_of_their_numbers() -> None:
    found = draft(WHOLE + "[TEXT]\nTITLE = Goose; eye = it\n[NOTES]\n2=two\n1=one = 1\n3=\n4=four\n")
    assert found.title == "Goose; eye = it"
    assert found.notes == "one = 1\ntwo\n\nfour"


def test_notes_without_numbers_are_kept() -> None:
    assert draft(WHOLE + "[NOTES]\nwound loosely\n\nbeaten hard\n").notes == "wound loosely\nbeaten hard"


def test_a_title_holds_no_control_characters() -> None:
    assert draft(WHOLE + "[TEXT]\nTitle=a\x07b\x1b[31mc\n").title == "a b [31mc"


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
    assert error.where == "line 27"


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


# --- what is refused --------------------------------------------------------------------------------


def test_an_end_on_two_shafts_is_named() -> None:
    error = refused(WHOLE.replace("3=3\n", "3=1,3\n"))
    assert error.line() == "line 13: end 3 is on shafts 1 and 3; an end goes in one heddle"
    assert "shafts 1, 2 and 4;" in refused(WHOLE.replace("3=3\n", "3=4,1,2\n")).what


def test_a_number_past_the_end_names_section_key_and_line() -> None:
    error = refused(WHOLE.replace("4=4\n", "4=4\n5=1\n"))
    assert error.line() == "line 15: [THREADING] end 5 is past the end; [WARP] Threads is 4"
    assert "pick 4 is past the end" in refused(WHOLE + "[WEFT COLORS]\n4=1\n").what


def test_a_key_with_two_values_names_both_lines() -> None:
    error = refused(WHOLE.replace("2=2\n3=3", "2=2\n2=3\n3=3"))
    assert error.line() == "line 13: [THREADING] 2 has another value in line 12; expected one value"
    assert "Shafts has another value" in refused(WHOLE.replace("Shafts=4", "Shafts=4\nShafts=5")).what
    assert "[TIEUP] 1 has another value" in refused(WHOLE + "[TIEUP]\n1=4\n").what


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("4=4", "4=65", 14),
        ("4=4", "4=-1", 14),
        ("4=4", "4=1.5", 14),
        ("4=4", "4=four", 14),
        ("4=4", "4=99999999999999999999", 14),
        ("4=4", "0=4", 14),
        ("4=4", "-4=4", 14),
        ("4=4", "x=4", 14),
        ("4=4", "4=٤", 14),
        ("4=4", "junk", 14),
        ("2=2,4", "65=1", 17),
        ("2=2,4", "2=2,65", 17),
        ("3=1\n", "3=65\n", 21),
        ("Threads=4", "Threads=10000000", 7),
        ("Threads=4", "Threads=20001", 7),
        ("Threads=4", "Threads=0", 7),
        ("Threads=4", "Threads=-4", 7),
        ("Threads=3", "Threads=99999999999999", 9),
        ("Shafts=4", "Shafts=65", 4),
        ("Shafts=4", "Shafts=9**9", 4),
        ("Shafts=4", "Rising Shed=perhaps", 4),
        ("Treadles=2", "Treadles=65", 5),
        ("Threads=4", "Threads=4\nColor=1,2", 8),
        ("Threads=4", "Threads=4\nUnits=ells\nSpacing=1", 8),
        ("Threads=4", "Threads=4\nUnits=inches\nSpacing=-1", 9),
        ("Threads=4", "Threads=4\nUnits=inches\nSpacing=1e99", 9),
        ("[WEAVING]", "[]", 3),
        ("[WEAVING]", "[WEAVING", 3),
        ("[WEAVING]", "[COLOR PALETTE]\nRange=9,9\n[WEAVING]", 4),
        ("[WEAVING]", "[COLOR TABLE]\n1=1,2\n[WEAVING]", 4),
    ],
)
def test_numbers_that_mean_nothing_are_refused_by_line(old: str, new: str, line: int) -> None:
    assert refused(WHOLE.replace(old, new, 1)).where == f"line {line}"


@pytest.mark.parametrize(
    ("text", "where"),
    [
        (WHOLE.replace(THREADING, ""), "[THREADING]"),
        (WHOLE.replace(TIEUP, ""), "[TIEUP]"),
        (WHOLE.replace(TREADLING, ""), "[TREADLING]"),
        (HEAD + "[WEFT]\nThreads=1\n[THREADING]\n[LIFTPLAN]\n1=1\n", "[WARP]"),
        (HEAD + "[WARP]\nThreads=1\n[THREADING]\n[LIFTPLAN]\n", "[WEFT]"),
        (HEAD + "[WARP]\nThreads=1\n[WEFT]\nThreads=1\n[THREADING]\n[LIFTPLAN]\n", "[WEAVING] Shafts"),
    ],
)
def test_a_draft_without_threads_or_sheds_is_refused_by_section(text: str, where: str) -> None:
    assert refused(text).where == where


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\x00" * 100,
        b"\x89PNG\r\n\x1a\n\x00",
        b"PK\x03\x04zip",
        b"[WIFE]\n",
        b"[[[[",
        b"\xff\xfe\x00",
        bytes(range(256)),
    ],
)
def test_what_is_no_wif_file_is_called_so(data: bytes) -> None:
    assert refused(data).what.startswith("not a WIF file: ")


def test_a_section_that_lacks_its_header_line_is_no_wif_file() -> None:
    assert refused("Version=1.1\n" + THREADING).line() == "not a WIF file: no [WIF] section; expected one"


def test_too_much_of_anything_is_refused_at_once() -> None:
    assert "8 MB" in refused(WHOLE.encode() + b" " * wif.MAX_BYTES).what
    assert "lines" in refused(WHOLE + "\n" * 500_000).what
    assert "sections" in refused(WHOLE + "[X]\n" * 2_000).what
    assert "characters" in refused(WHOLE.replace("4=4", "4=" + "4," * 5_000)).what
    assert "lines" in refused(WHOLE + "[TEXT]\n" + "a=1\n" * 6_000).what


# --- from disk --------------------------------------------------------------------------------------


def test_a_file_is_read_and_its_errors_name_it(tmp_path: Path) -> None:
    path = tmp_path / "goose.wif"
    path.write_bytes(WHOLE.encode())
    assert wif.read(path).draft.ends == 4
    path.write_bytes(WHOLE.replace("4=4", "4=1,4").encode())
    with pytest.raises(BadInput) as caught:
        wif.read(path)
    assert caught.value.line() == f"{path}: line 14: end 4 is on shafts 1 and 4; an end goes in one heddle"


def test_what_is_no_readable_file_is_one_clear_line(tmp_path: Path) -> None:
    pipe, large, odd = tmp_path / "pipe", tmp_path / "large.wif", tmp_path / "a\nb.wif"
    os.mkfifo(pipe)
    with large.open("wb") as stream:
        stream.truncate(200_000_000)
    cases = {
        tmp_path: "is a folder",
        tmp_path / "none.wif": "no such file",
        pipe: "no ordinary file",
        Path("/dev/zero"): "no ordinary file",
        large: "has 200 MB",
        odd: "no such file",
        Path("a\0b"): "cannot be read",
        tmp_path / ("x" * 300): "cannot be read",
    }
    for path, expected in cases.items():
        with pytest.raises(BadInput, match=expected) as caught:
            wif.read(path)
        assert caught.value.line().isprintable()
        assert caught.value.file
