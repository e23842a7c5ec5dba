"""`loomready board` as a script meets it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from loomready.cli import main

BOARD = """\
[[boards]]
key = "hall"
start = "a"
cross = ["b", "c"]
pegs = [
  { name = "a", x = "0 cm", y = "80 cm" },
  { name = "b", x = "20 cm", y = "80 cm" },
  { name = "c", x = "40 cm", y = "80 cm" },
  { name = "d", x = "60 cm", y = "40 cm" },
  { name = "e", y = "40 cm" },
  { name = "f" },
]
"""


@pytest.fixture
def guild(tmp_path: Path) -> Path:
    file = tmp_path / "guild.toml"
    file.write_text(BOARD, "utf-8")
    return file


def test_the_answer_as_json_holds_path_length_excess_and_proof(
    guild: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["board", str(guild), "--board", "hall", "--length", "1 m", "--json"]) == 0
    said = capsys.readouterr()
    answer = json.loads(said.out)
    assert set(answer) == {"path", "length_mm", "excess_mm", "proved_least"}
    assert answer["path"][:3] == ["a", "b", "c"]
    assert answer["length_mm"] >= 1000
    assert answer["excess_mm"] == pytest.approx(answer["length_mm"] - 1000)
    assert answer["proved_least"] is True
    assert said.err == ""


def test_in_plain_text_it_tells_the_pegs_in_order(guild: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["board", str(guild), "--board", "hall", "--length", "1 m"]) == 0
    text = capsys.readouterr().out
    assert "Start at           a\n" in text
    assert "Cross between      b and c\n" in text
    assert "no other path is closer" in text


def test_a_length_that_no_path_makes_ends_with_1_and_the_longest_path(
    guild: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["board", str(guild), "--board", "hall", "--length", "9 yd", "--json"]) == 1
    said = capsys.readouterr()
    answer = json.loads(said.out)
    assert answer["excess_mm"] < 0
    assert answer["proved_least"] is True
    assert "no path over this board is 9 yd long; the longest is" in said.err


@pytest.mark.parametrize(
    ("was", "becomes", "line"),
    [
        ('cross = ["b", "c"]\n', "", "[boards 1] cross: is missing; expected a list of 2"),
        ('cross = ["b", "c"]', 'cross = ["b"]', "[boards 1] cross: the list holds 1; expected a list of 2"),
        ('cross = ["b", "c"]', 'cross = ["b", "z"]', '[boards 1] cross 2: there is no peg "z"'),
        ('cross = ["b", "c"]', 'cross = ["b", "b"]', '[boards 1] cross 2: "b" is cross 1 already'),
        ('start = "a"', 'start = "b"', '[boards 1] cross 1: "b" is start already'),
        ('start = "a"', 'start = "q"', '[boards 1] start: there is no peg "q"; expected one of a, b, c'),
        ('name = "f"', 'name = "e"', '[boards 1] pegs 6 name: "e" is already the name of peg 5'),
        (
            '{ name = "f" }',
            '{ name = "f", y = "400 mm" }',
            '[boards 1] pegs 6: "f" is at the same place as peg 5',
        ),
        ('y = "40 cm" },\n  { name = "f"', 'z = "4" },\n  { name = "f"', "[boards 1] pegs 5 z: unknown key"),
        (
            'name = "d", x = "60 cm", y = "40 cm"',
            'name = "d", x = "30 cm", y = "80.5 cm"',
            "the way from peg b to peg c passes within 10 mm of peg d",
        ),
    ],
)
def test_a_board_that_means_nothing_is_told_in_one_line(
    guild: Path, capsys: pytest.CaptureFixture[str], was: str, becomes: str, line: str
) -> None:
    assert was in BOARD
    guild.write_text(BOARD.replace(was, becomes), "utf-8")
    assert main(["board", str(guild), "--board", "hall", "--length", "2 yd"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(f"loomready: {guild}: ")
    assert line in said.err
    assert said.err.count("\n") == 1


@pytest.mark.parametrize("length", ["5", "0 yd", "-1 m", "2 yd/lb", "9**9 m", "2000 m", "nan m"])
def test_a_length_that_is_none_is_told_in_one_line(
    guild: Path, capsys: pytest.CaptureFixture[str], length: str
) -> None:
    assert main(["board", str(guild), "--board", "hall", "--length", length]) == 2
    said = capsys.readouterr()
    assert said.err.startswith("loomready: --length: ")
    assert said.err.count("\n") == 1


def test_a_board_that_is_not_there_is_told_with_those_that_are(
    guild: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["board", str(guild), "--board", "attic", "--length", "2 yd"]) == 2
    assert 'no board "attic"; expected one of: hall' in capsys.readouterr().err
