"""Files that are refused: one line that names section, key and line of the file."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from loomready.draft.wif import reader
from loomready.problems import BadInput
from tests.draft.wif.texts import (
    HEAD,
    THREADING,
    TIEUP,
    TREADLING,
    WHOLE,
    refused,
)

# --- what is refused --------------------------------------------------------------------------------


def test_an_end_on_two_shafts_is_named() -> None:
    error = refused(WHOLE.replace("3=3\n", "3=1,3\n"))
    assert error.line() == "line 13: [THREADING] 3: end 3 is on shafts 1 and 3; an end goes in one heddle"
    assert "shafts 1, 2 and 4;" in refused(WHOLE.replace("3=3\n", "3=4,1,2\n")).what


def test_a_number_past_the_end_names_section_key_and_line() -> None:
    error = refused(WHOLE.replace("4=4\n", "4=4\n5=1\n"))
    assert error.line() == "line 15: [THREADING] 5: end 5 is past the end; [WARP] Threads is 4"
    assert "pick 4 is past the end" in refused(WHOLE + "[WEFT COLORS]\n4=1\n").what


def test_a_key_with_two_values_names_both_lines() -> None:
    error = refused(WHOLE.replace("2=2\n3=3", "2=2\n2=3\n3=3"))
    assert error.line() == "line 13: [THREADING] 2: has another value in line 12; expected one value"
    assert (
        "[WEAVING] Shafts: has another value"
        in refused(WHOLE.replace("Shafts=4", "Shafts=4\nShafts=5")).line()
    )
    assert "[TIEUP] 1: has another value" in refused(WHOLE + "[TIEUP]\n1=4\n").line()


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
def test_numbers_that_mean_nothing_are_refused_by_line_section_and_key(old: str, new: str, line: int) -> None:
    text = WHOLE.replace(old, new, 1)
    error = refused(text)
    if new.startswith("[WEAVING") or new == "[]":  # a header that is none stands in no section
        assert error.where == f"line {line}"
        return
    lines = text.splitlines()
    section = next(each for each in reversed(lines[:line]) if each.startswith("["))
    key, equals, _ = lines[line - 1].partition("=")
    assert error.where == f"line {line}: {section}{f' {key}' if equals else ''}"
    assert "[" not in error.what.partition(";")[0]


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
    assert "8 MB" in refused(WHOLE.encode() + b" " * reader.MAX_BYTES).what
    assert "lines" in refused(WHOLE + "\n" * 500_000).what
    assert "sections" in refused(WHOLE + "[X]\n" * 2_000).what
    assert "characters" in refused(WHOLE.replace("4=4", "4=" + "4," * 5_000)).what
    assert "lines" in refused(WHOLE + "[TEXT]\n" + "a=1\n" * 6_000).what


# --- from disk --------------------------------------------------------------------------------------


def test_a_file_is_read_and_its_errors_name_it(tmp_path: Path) -> None:
    path = tmp_path / "goose.wif"
    path.write_bytes(WHOLE.encode())
    assert reader.read(path).draft.ends == 4
    path.write_bytes(WHOLE.replace("4=4", "4=1,4").encode())
    with pytest.raises(BadInput) as caught:
        reader.read(path)
    says = "line 14: [THREADING] 4: end 4 is on shafts 1 and 4; an end goes in one heddle"
    assert caught.value.line() == f"{path}: {says}"


def test_what_is_no_readable_file_is_one_clear_line(tmp_path: Path) -> None:
    pipe, large, odd = tmp_path / "pipe", tmp_path / "large.wif", tmp_path / "a\nb.wif"
    os.mkfifo(pipe)
    with large.open("wb") as stream:
        stream.truncate(200_000_000)
    cases = {
        tmp_path: "is a folder",
        tmp_path / "none.wif": "no such file",
        pipe: "not a regular file",
        Path("/dev/zero"): "not a regular file",
        large: "has 200 MB",
        odd: "no such file",
        Path("a\0b"): "cannot be read",
        tmp_path / ("x" * 300): "cannot be read",
    }
    for path, expected in cases.items():
        with pytest.raises(BadInput, match=expected) as caught:
            reader.read(path)
        assert caught.value.line().isprintable()
        assert caught.value.file
