"""``loomready tieup`` as a script meets it."""

import json

import numpy as np
import pytest

from loomready.cli import main
from loomready.draft.draft import drawdown, lift_plan
from loomready.draft.edit.blank import blank
from loomready.draft.wif import reader, writer

SINGLES_AND_PAIRS = [[1], [2], [3], [4], [1, 2], [2, 3], [3, 4], [1, 4], [], [1, 3]]


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "draft.wif"
    writer.save(path, lift_plan([1, 2, 3, 4, 3, 2], SINGLES_AND_PAIRS))
    return path


@pytest.mark.parametrize("shed", ["rising", "sinking", "countermarche"])
def test_the_written_file_weaves_the_same_cloth_with_the_treadles_that_were_told(
    file, tmp_path, capsys, shed
) -> None:
    out = tmp_path / "out.wif"
    assert main(["tieup", str(file), "--treadles", "9", "--shed", shed, "-o", str(out), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["possible"]
    assert told["proved_least"]
    woven = reader.read(out).draft
    assert woven.treadles == told["treadles"] == len(told["tieup"])
    assert woven.rising == (shed != "sinking")
    assert np.array_equal(drawdown(woven), drawdown(reader.read(file).draft))
    ties = [(np.flatnonzero(column) + 1).tolist() for column in woven.tieup.T]
    assert ties == told["tieup"]
    assert told["treadling"][8] == []
    for lifted, pressed in zip(SINGLES_AND_PAIRS, told["treadling"], strict=True):
        tied = {shaft for treadle in pressed for shaft in told["tieup"][treadle - 1]}
        assert (tied if shed != "sinking" or not pressed else {1, 2, 3, 4} - tied) == set(lifted)


def test_too_few_treadles_end_with_one_and_write_nothing(file, tmp_path, capsys) -> None:
    out = tmp_path / "out.wif"
    assert main(["tieup", str(file), "--treadles", "3", "--json", "-o", str(out)]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["treadles"] == 4
    assert not told["possible"]
    assert not out.exists()
    assert main(["tieup", str(file), "--treadles", "3"]) == 1
    assert "can't be woven with 3 treadles" in capsys.readouterr().out


def test_the_telling_lists_what_is_tied_and_pressed(file, capsys) -> None:
    assert main(["tieup", str(file), "--treadles", "4"]) == 0
    told = capsys.readouterr().out
    assert "4 treadles, proved least" in told
    assert "With one treadle per lift it takes 9." in told
    assert main(["tieup", str(file), "--treadles", "9", "--shed", "sinking"]) == 0
    assert "Sinks" in capsys.readouterr().out


@pytest.mark.parametrize(
    "options",
    [
        ["--treadles", "0"],
        ["--treadles", "65"],
        ["--treadles", "-1"],
        ["--treadles", "many"],
        [],
        ["--treadles", "4", "--feet", "4"],
        ["--treadles", "4", "--shed", "floating"],
    ],
)
def test_what_means_nothing_is_one_line_and_two(file, capsys, options) -> None:
    assert main(["tieup", str(file), *options]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("loomready: ")
    assert said.err.count("\n") == 1


@pytest.mark.parametrize("json_too", [[], ["--json"]])
def test_a_tie_up_that_ties_nothing_is_one_line(tmp_path, capsys, json_too) -> None:
    path, out = tmp_path / "untied.wif", tmp_path / "out.wif"
    writer.save(path, blank(4, 4, 4, 4, straight=False))
    assert main(["tieup", str(path), "--treadles", "4", "-o", str(out), *json_too]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.splitlines() == [
        f"loomready: {path}: the tie-up ties nothing: no treadle moves a shaft; expected a tie at least"
    ]
    assert not out.exists()


def test_a_lift_plan_that_lifts_nothing_takes_no_treadle(tmp_path, capsys) -> None:
    path = tmp_path / "still.wif"
    writer.save(path, lift_plan([1, 2], [[], []]))
    assert main(["tieup", str(path), "--treadles", "4", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told == {"possible": True, "treadles": 0, "proved_least": True, "tieup": [], "treadling": [[], []]}
