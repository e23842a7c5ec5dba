"""``loomready fit`` as a script meets it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from loomready.cli import main

ROOT = Path(__file__).parents[3]
DEMO = ROOT / "demo" / "guild.toml"


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(list(arguments))
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def changed(tmp_path: Path, before: str, after: str) -> Path:
    """The demo guild with one place in its file changed."""
    text = DEMO.read_text(encoding="utf-8")
    assert before in text
    path = tmp_path / "guild.toml"
    path.write_text(text.replace(before, after), encoding="utf-8")
    shutil.copytree(DEMO.parent / "drafts", tmp_path / "drafts")
    return path


def test_the_points_have_the_keys_that_scripts_lean_on(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "fit", str(DEMO), "--warp", "towels", "--json")
    document = json.loads(out)
    assert (code, err, document["none_because"], document["problems"]) == (0, "", [], [])
    for point in document["points"]:
        assert set(point) == {
            "repeats", "ends", "width_in_reed_mm", "sets", "warp_length_m", "left_m", "binding",
        }  # fmt: skip
        assert set(point["left_m"]) == {"cottolin-green", "cottolin-cream", "linen-blue"}
        assert min(point["left_m"].values()) >= 0
    repeats = [point["repeats"] for point in document["points"]]
    sets = [point["sets"] for point in document["points"]]
    assert repeats == sorted(set(repeats))
    assert sets == sorted(set(sets), reverse=True)
    assert document["points"][0]["binding"] == "cottolin-green"


def test_the_table_names_every_size_and_what_binds(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "fit", str(DEMO), "--warp", "cushions")
    assert code == 0
    assert "the loom's heddles" in out
    assert "Planned: 8 repeats, one set; that fits." in out


def test_a_cone_taken_away_leaves_no_size_and_ends_with_1(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = changed(tmp_path, 'gross = "0.5 lb"', 'gross = "1.4 oz"')
    code, out, _ = run(capsys, "fit", str(path), "--warp", "towels")
    assert code == 1
    assert "None. Even one repeat wide and woven once:" in out
    assert "Cottolin, cream is short" in out
    code, out, _ = run(capsys, "fit", str(path), "--warp", "towels", "--json")
    assert code == 1
    assert json.loads(out)["points"] == []
    assert json.loads(out)["none_because"]


def test_an_unknown_warp_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "fit", str(DEMO), "--warp", "tea")
    assert (code, out) == (2, "")
    assert err == f'loomready: {DEMO}: no warp "tea"; expected one of: scarves, cushions, towels\n'
