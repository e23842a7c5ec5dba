"""The command as a script meets it: slips of a draft and of a warp's web, test picks, and bad input."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from loomready.cli import main
from loomready.draft.draft import Draft, lift_plan
from loomready.draft.structure import floats
from loomready.draft.wif import writer
from loomready.slips.as_json import Floats, floats_of
from tests.test_cli import GUILD

PICKS = ((1, 2), (1, 3), (2, 4), (1, 4), (2, 3), (3, 4))
POINT = lift_plan([1, 2, 3, 4, 3, 2] * 10, [[1, 2], [2, 3], [3, 4], [1, 4]], title="Point")


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """A folder with a draft, and a guild whose warp is threaded straight with floating selvedges."""
    writer.save(tmp_path / "point.wif", POINT)
    twill = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], title="Twill")
    writer.save(tmp_path / "twill.wif", twill)
    text = GUILD.format(gross="600 g") + "floating_selvedges = true\n"
    (tmp_path / "guild.toml").write_text(text)
    return tmp_path


def seen(path: Path, web: Sequence[int], picks: Sequence[Sequence[int]] = PICKS) -> Path:
    """Cells of a web on shafts from 1 (0: always down), as a CSV file."""
    rows = [
        ",".join([" ".join(map(str, lifted)), *("1" if shaft in lifted else "0" for shaft in web)])
        for lifted in picks
    ]
    path.write_text("\n".join(rows) + "\n")
    return path


def run(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    code = main([str(argument) for argument in arguments])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def document(capsys: pytest.CaptureFixture[str], *arguments: object) -> dict[str, Any]:
    code, out, err = run(capsys, *arguments, "--json")
    assert (code, err) == (0, "")
    found: dict[str, Any] = json.loads(out)
    return found


def web_of(draft: Draft) -> list[int]:
    return (draft.threading + 1).tolist()


def test_the_json_has_the_names_of_the_contract(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    web = web_of(POINT)
    web[20] = 1
    found = document(capsys, "slips", room / "point.wif", "--seen", seen(room / "seen.csv", web))
    (slip,) = found["slips"]
    odds = slip.pop("odds")
    assert slip == {"kind": "wrong shaft", "end": 21, "pick": None, "planned": 3, "found": 1}
    assert odds > 10
    assert found["explains"] == 1.0
    assert found["alternatives"] == []
    assert found["cannot_tell"] == []
    minutes = [each["minutes"] for each in found["mending"]]
    assert minutes == sorted(minutes)
    best = found["mending"][0]
    assert best["proved"] is True
    assert {"do", "ends", "minutes", "needs"} <= best["actions"][0].keys()
    assert best["actions"][0]["ends"] == [21, 21]
    assert best["actions"][0]["needs"] == {"repair_heddles": [3]}


def test_a_clean_web_has_nothing_to_mend(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = seen(room / "seen.csv", web_of(POINT))
    found = document(capsys, "slips", room / "point.wif", "--seen", path)
    assert (found["slips"], found["mending"], found["explains"]) == ([], [], 1.0)
    code, out, _ = run(capsys, "slips", room / "point.wif", "--seen", path)
    assert code == 0
    assert "0 slips in 60 ends" in out


def test_alternatives_name_the_slip_that_they_stand_for(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pairs = lift_plan([shaft for shaft in (1, 2, 3, 4) * 8 for _ in range(2)], [[1, 2], [3, 4]])
    writer.save(room / "pairs.wif", pairs)
    web = web_of(pairs)
    del web[11]
    found = document(capsys, "slips", room / "pairs.wif", "--seen", seen(room / "seen.csv", web))
    assert [(slip["kind"], slip["end"]) for slip in found["slips"]] == [("skipped", 11)]
    (other,) = found["alternatives"]
    assert (other["instead_of"], other["kind"], other["end"], other["planned"]) == (0, "skipped", 12, 2)


def test_shafts_that_the_picks_lift_alike_are_named_with_a_pick_that_would_tell(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picks = ((1, 2), (3, 4), (1, 2))
    path = seen(room / "seen.csv", web_of(POINT), picks)
    found = document(capsys, "slips", room / "point.wif", "--seen", path)
    assert found["cannot_tell"] == [[1, 2], [3, 4]]
    assert len(found["more_picks"]) == 1
    _, out, _ = run(capsys, "slips", room / "point.wif", "--seen", path)
    assert "cannot tell apart shafts 1 and 2, 3 and 4" in out
    assert "1 pick more would" in out


def test_with_a_warp_the_ends_are_those_of_the_web(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = document(capsys, "plan", room / "guild.toml")["warps"][0]
    web = list(plan["threading"])
    assert web[0] == web[-1] == 0
    web[100], web[101] = web[101], web[100]
    del web[200]
    path = seen(room / "seen.csv", web)
    text = path.read_text().splitlines()
    text[1] = text[1].replace(",0", ",1", 1)  # a floating selvedge lies as it was woven
    path.write_text("\n".join(text))
    found = document(capsys, "slips", room / "guild.toml", "--warp", "scarf", "--seen", path)
    assert [(slip["kind"], slip["end"]) for slip in found["slips"]] == [("crossed", 101), ("skipped", 201)]
    new = [action for action in found["mending"][0]["actions"] if "yarn" in action["needs"]]
    assert new[0]["needs"]["yarn"] == [{"key": "fern", "length_m": plan["warp_length_m"]}]


def test_the_test_picks_are_the_fewest_that_tell_the_used_shafts_apart(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = document(capsys, "slips", room / "point.wif", "--picks")
    assert found["proved"] is True
    assert len(found["picks"]) == 2
    codes = {tuple(shaft in pick for pick in found["picks"]) for shaft in range(1, 5)}
    assert len(codes) == 4


def test_test_picks_can_weave_a_cloth_or_be_many(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    woven = document(capsys, "slips", room / "point.wif", "--picks", "--floats", "3")
    assert max(woven["longest_float"].values()) <= 3
    many = document(capsys, "slips", room / "point.wif", "--picks", "--count", "16", "--floats", "3")
    assert len(many["picks"]) == 16
    assert many["apart"] >= 8


def test_what_the_drafts_own_picks_leave_alike_is_told(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    writer.save(room / "plain.wif", lift_plan([1, 2, 3, 4] * 4, [[1, 3], [2, 4]]))
    own = document(capsys, "slips", room / "plain.wif", "--picks")["own"]
    assert own["cannot_tell"] == [[1, 3], [2, 4]]
    assert len(own["more_picks"]) == 1


def test_every_part_of_the_answer_stands_in_the_text(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    web = web_of(POINT)
    web[20] = 0
    web[30], web[31] = web[31], web[30]
    web.insert(40, 1)
    picks = [set(pick) for pick in PICKS * 2]
    picks[3] = picks[3] ^ {2}
    path = seen(room / "seen.csv", web, [sorted(pick) for pick in picks])
    rows = path.read_text().splitlines()
    rows[3] = rows[3].replace(" ".join(map(str, sorted(picks[3]))), " ".join(map(str, PICKS[3])), 1)
    path.write_text("\n".join(rows))
    code, out, _ = run(capsys, "slips", room / "point.wif", "--seen", path)
    assert code == 0
    for said in (
        "4 slips in 60 ends",
        "End 21",
        "not threaded, planned on shaft 3",
        "Ends 31-32",
        "End 41",
        "one end too many before it, on shaft 1",
        "Pick 4",
        "shaft 2 rose",
        "Mend, about",
        "Or, about",
    ):
        assert said in out


def test_what_looks_the_same_is_told_with_what_differs(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    web = web_of(POINT)
    web.insert(10, web[10])
    _, out, _ = run(capsys, "slips", room / "point.wif", "--seen", seen(room / "seen.csv", web))
    assert "End 11  one end too many before it, on shaft 3" in out
    assert "or before end 12\n" in out


def test_a_wrong_tie_up_is_one_slip_of_several_picks(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = seen(room / "seen.csv", web_of(POINT), PICKS * 3)
    rows = path.read_text().splitlines()
    for row in (1, 7, 13):
        head, _, cells = rows[row].partition(",")
        there = cells.split(",")
        for end, shaft in enumerate(web_of(POINT)):
            there[end] = "0" if shaft == 3 else there[end]
        rows[row] = f"{head},{','.join(there)}"
    path.write_text("\n".join(rows))
    _, out, _ = run(capsys, "slips", room / "point.wif", "--seen", path)
    assert "1 slip in 60 ends" in out
    assert "Picks 2, 8, 14  shaft 3 did not rise, on every pick of this lift: the tie-up" in out
    assert "tie the treadle of picks 2, 8 and 14 again, so that shaft 3 rises: 3 min" in out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["point.wif"], "expected either --seen SEEN.csv or --picks"),
        (["point.wif", "--picks", "--seen", "seen.csv"], "expected either --seen"),
        (["point.wif", "--seen", "seen.csv", "--floats", "3"], "expected them with --picks"),
        (["guild.toml", "--picks"], "expected --warp KEY"),
        (["guild.toml", "--warp", "rug", "--picks"], 'no warp "rug"'),
        (
            ["point.wif", "--warp", "rug", "--picks"],
            "point.wif: is a draft; expected a guild file with --warp",
        ),
        (["point.wif", "--picks", "--floats", "1"], "plain weave"),
        (["point.wif", "--seen", "none.csv"], "none.csv: no such file"),
        (["point.wif", "--seen", "short.csv"], "short.csv: has cells for 3 ends, the threading has 60"),
        (["point.wif", "--seen", "empty.csv"], "empty.csv: is empty"),
        (["point.wif", "--seen", "shafts.csv"], "shafts.csv: line 1: lifts shaft 5"),
    ],
)
def test_bad_input_is_one_clear_line(
    room: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    arguments: list[str],
    says: str,
) -> None:
    monkeypatch.chdir(room)
    seen(room / "seen.csv", web_of(POINT))
    seen(room / "short.csv", [1, 2, 3])
    seen(room / "shafts.csv", web_of(POINT), [(1, 5)])
    (room / "empty.csv").write_text("\n")
    code, out, err = run(capsys, "slips", *arguments)
    assert (code, out) == (2, "")
    assert says in err
    assert err.count("\n") == 1


def test_a_web_that_is_another_threading_altogether_still_gets_an_answer(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    web = np.random.default_rng(3).integers(1, 5, 60).tolist()
    found = document(capsys, "slips", room / "point.wif", "--seen", seen(room / "seen.csv", web))
    assert found["slips"]
    assert len(found["mending"]) > 0


def test_warp_floats_are_those_of_the_picks_in_their_order() -> None:
    lifts = np.array([[1, 0, 0], [1, 1, 0], [1, 1, 1], [0, 1, 1], [0, 0, 1], [0, 1, 0]], dtype=bool)
    threading = np.arange(9) % 3
    assert floats_of(lifts, threading) == Floats(*floats.longest(lifts[:, threading]))
