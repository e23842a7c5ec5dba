"""Files as they turn up, each oddity by name; and the drafts they are."""

from __future__ import annotations

import pytest

from loomready.draft.wif import reader
from tests.draft.wif.texts import (
    HEAD,
    THREADING,
    THREADS,
    TIEUP,
    TREADLING,
    WHOLE,
    codes,
    draft,
    lifts,
)

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
    for word in ("false", "no", "OFF", "0", "f", "N"):
        found = draft(WHOLE.replace("Shafts=4", f"Shafts=4\nRising Shed={word}"))
        assert lifts(found) == [[2, 4], [1, 3], [2, 4]]
        assert not found.rising


def test_a_rising_shed_is_assumed_and_may_be_said() -> None:
    for word in ("true", "Yes", "on", "1", "T", "y", "-1", ""):
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
    found = reader.parse((WHOLE + "[LIFTPLAN]\n1=1,3\n2=2,4\n3=1,3\n").encode())
    assert found.draft.treadles == 2
    assert found.warnings == ()


def test_treadles_that_disagree_with_the_lift_plan_are_dropped_with_a_word() -> None:
    found = reader.parse((WHOLE + "[LIFTPLAN]\n1=1,3\n2=2\n3=1,3\n").encode())
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
    messages = [problem.message for problem in reader.parse(text.encode()).warnings]
    assert [message.split(",")[0] for message in messages] == [
        "[CONTENTS] lists [LIFTPLAN]",
        "[CONTENTS] says that there is no [TIEUP]",
    ]


def test_title_and_notes_come_in_the_order_of_their_numbers() -> None:
    found = draft(WHOLE + "[TEXT]\nTITLE = Goose; eye = it\n[NOTES]\n2=two\n1=one = 1\n3=\n4=four\n")
    assert found.title == "Goose; eye = it"
    assert found.notes == "one = 1\ntwo\n\nfour"


def test_notes_without_numbers_are_kept() -> None:
    assert draft(WHOLE + "[NOTES]\nwound loosely\n\nbeaten hard\n").notes == "wound loosely\nbeaten hard"


def test_a_title_holds_no_control_characters() -> None:
    assert draft(WHOLE + "[TEXT]\nTitle=a\x07b\x1b[31mc\n").title == "a b [31mc"


@pytest.mark.parametrize(
    ("missing", "named"),
    [
        (1, "[LIFTPLAN]"),
        (3, "[LIFTPLAN, NOTES, TEXT]"),
        (4, "[LIFTPLAN, NOTES, TEXT, ...]"),
        (5, "[LIFTPLAN, NOTES, TEXT, ...]"),
    ],
)
def test_three_missing_sections_are_named_and_more_are_hinted_at(missing: int, named: str) -> None:
    absent = ["LIFTPLAN", "NOTES", "TEXT", "WARP COLORS", "WEFT COLORS"][:missing]
    contents = "[CONTENTS]\n" + "".join(f"{name}=yes\n" for name in absent)
    (warning,) = reader.parse(WHOLE.replace("[WEAVING]", contents + "[WEAVING]").encode()).warnings
    assert f"lists {named}, which is missing" in warning.message
