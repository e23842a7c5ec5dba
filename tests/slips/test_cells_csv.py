"""Cells from a CSV file, and one clear line for what is none."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.problems import BadInput
from loomready.slips import cells_csv


def refused(text: str | bytes, shafts: int = 4, ends: int = 4) -> str:
    with pytest.raises(BadInput) as caught:
        cells_csv.parse(text if isinstance(text, bytes) else text.encode(), shafts, ends)
    line = caught.value.line()
    assert "\n" not in line
    return line


def test_rows_are_lifted_shafts_and_a_cell_for_each_end() -> None:
    found = cells_csv.parse(b"1 3,1,0,1,0\n2,0,1,,0\n", 4, 4)
    assert found.lifts.astype(int).tolist() == [[1, 0, 1, 0], [0, 1, 0, 0]]
    assert found.cells.tolist() == [[1, 0, 1, 0], [0, 1, -1, 0]]


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff1 3,1,0,1,0\r\n\r\n2,0,1,,0\r\n",
        "1 3;1;0;1;0\n2;0;1;;0\n",
        "1 3\t1\t0\t1\t0\n2\t0\t1\t\t0",
        '"1,3",1, 0,1,0\n2 ,0,1,,0\n,,,,\n',
        "1 3,1,0,1,0,,\n2,0,1,,0,,\n",
        "# seen on Tuesday, ;;;\n1 3,1,0,1,0\n# and\n2,0,1,,0\n",
    ],
)
def test_what_spreadsheets_write_is_read_alike(text: str) -> None:
    found = cells_csv.parse(text.encode(), 4, 4)
    assert found.cells.tolist() == [[1, 0, 1, 0], [0, 1, -1, 0]]


def test_an_end_more_or_fewer_is_taken_for_an_extra_or_missing_one() -> None:
    assert cells_csv.parse(b"1,1,0,1\n", 4, 4).cells.shape == (1, 3)
    assert cells_csv.parse(b"1,1,0,1,0,1\n", 4, 4).cells.shape == (1, 5)


def test_cells_for_another_number_of_ends_are_refused_with_that_number() -> None:
    line = refused("1,1,0\n")
    assert "cells for 2 ends" in line
    assert "threading has 4" in line


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is empty"),
        (" \n,,,,\n", "is empty"),
        ("1,,,,\n2,,,,\n", "every cell is blank"),
        ("warp,1,0,1,0\n", 'line 1: "warp" is not a list of shafts'),
        (",1,0,1,0\n", "line 1: no lifted shafts"),
        ("1,1,0,1,0\n0,1,0,1,0\n", "line 2: lifts shaft 0"),
        ("1 5,1,0,1,0\n", "line 1: lifts shaft 5; expected shafts from 1 to 4"),
        ("1-3,1,0,1,0\n", "line 1"),
        ("1,1,0,2,0\n", 'line 1: end 3 has "2"'),
        ("1,1,0,1/0,0\n", "end 3 has both 1 and 0"),
        ("1,1,0,1,0\n2,1,0,1\n", "line 2: cells for 3 ends, and for 4"),
        ("1\n", "cells for 0 ends"),
        (b"\xff\xfe1", "UTF-8"),
        (b"1,\0", "binary"),
        ("1,1,0,1,0\n1,0,1,0,1\n", "line 2: lifts the same shafts as line 1"),
        ("1,1,0,1,0\n" * 401, "line 401: more than 400 picks"),
    ],
)
def test_what_is_no_test_weave_is_refused_in_one_line(text: str | bytes, says: str) -> None:
    assert says in refused(text)


def test_a_file_of_50_mb_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "seen.csv"
    with path.open("wb") as stream:
        stream.truncate(50_000_000)
    with pytest.raises(BadInput, match="has 50 MB") as caught:
        cells_csv.read(path, 4, 4)
    assert caught.value.file == str(path)


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no such file"):
        cells_csv.read(tmp_path / "seen.csv", 4, 4)
    with pytest.raises(BadInput, match="is a folder"):
        cells_csv.read(tmp_path, 4, 4)


@given(st.one_of(st.binary(max_size=60), st.text('01 ,;"\n\r23\t-', max_size=60).map(str.encode)))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    try:
        found = cells_csv.parse(data, 4, 4)
    except BadInput:
        return
    assert found.cells.shape[0] == found.lifts.shape[0] > 0
