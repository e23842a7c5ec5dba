"""The command: its document against ``check`` on each offer's file, its limits, its words."""

from __future__ import annotations

import json
import signal
from pathlib import Path
from typing import Any

import pytest

from loomready.choose.drafts.columns import Setting
from loomready.choose.drafts.finding import ends_across, evened, mm_a_thread, setting_of, usual_setting
from loomready.choose.drafts.search import Search
from loomready.cli import main
from loomready.draft.draft import lift_plan
from loomready.draft.structure.analysis import analyze
from loomready.draft.wif import reader
from loomready.warp.plan import plan_guild
from tests import cast

Printed = pytest.CaptureFixture[str]


def run(capsys: Printed, *words: str) -> tuple[int, str, str]:
    code = main(["find", *words])
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def document(capsys: Printed, *words: str) -> dict[str, Any]:
    code, out, _ = run(capsys, *words, "--json")
    assert code == 0
    made: dict[str, Any] = json.loads(out)
    return made


@pytest.mark.parametrize(
    ("words", "shafts"),
    [
        (("--shafts", "16", "--picks", "10"), 16),
        (("--shafts", "8", "--picks", "16", "--max-float", "4", "--symmetric", "--plain-weave"), 8),
        (("--shafts", "4", "--picks", "8", "--treadles", "6", "--seed", "7"), 4),
        (("--shafts", "24", "--picks", "20", "--max-float", "5", "--levers"), 24),
    ],
)
def test_every_figure_is_what_check_says_of_the_offers_file(
    words: tuple[str, ...], shafts: int, tmp_path: Path, capsys: Printed
) -> None:
    made = document(capsys, *words, "--count", "20", "-o", str(tmp_path))
    assert len(made["offers"]) == 20
    files = sorted(tmp_path.glob("*.wif"))
    assert len(files) == 20
    for offer, path in zip(made["offers"], files, strict=True):
        assert main(["check", str(path), "--json"]) == 0
        checked = json.loads(capsys.readouterr().out)
        for name in ("repeat", "longest_float", "mirror", "plain_weave", "distinct_lifts", "lever_moves"):
            assert offer[name] == checked[name]
        assert offer["most_shafts_up"] == checked["most_shafts_up"]
        assert checked["holds_together"]
        assert checked["problems"] == []
        assert checked["shafts_used"] <= shafts
        draft = reader.read(path).draft
        assert (draft.threading + 1).tolist() == offer["threading"]
        assert [(row.nonzero()[0] + 1).tolist() for row in draft.lifts] == offer["lifts"]
        assert 0 < offer["contrast"] < 3
        if "--treadles" in words:
            assert draft.treadles is not None
            assert draft.treadles <= 6
            assert (draft.treadling.sum(axis=1) == 1).all()  # type: ignore[union-attr]


def test_the_same_seed_gives_the_same_document(capsys: Printed) -> None:
    words = ("--shafts", "6", "--picks", "8", "--count", "12", "--seed", "5")
    assert document(capsys, *words) == document(capsys, *words)


def test_the_search_counts_no_draft_twice(capsys: Printed) -> None:
    """On two shafts with two picks there are few drafts: the count stays small."""
    made = document(capsys, "--shafts", "2", "--picks", "2")
    assert {"ends": 2, "picks": 2} in [offer["repeat"] for offer in made["offers"]]  # plain weave
    assert made["searched"] < 30


def test_from_afar_less_is_seen(capsys: Printed) -> None:
    near = document(capsys, "--shafts", "4", "--picks", "4", "--count", "1", "--distance", "1 m")
    far = document(capsys, "--shafts", "4", "--picks", "4", "--count", "1", "--distance", "20 m")
    assert far["offers"][0]["contrast"] < near["offers"][0]["contrast"]


def test_offers_stand_in_the_order_of_a_column(capsys: Printed) -> None:
    made = document(capsys, "--shafts", "8", "--picks", "8", "--order", "contrast")
    seen = [offer["contrast"] for offer in made["offers"]]
    assert seen == sorted(seen, reverse=True)


def test_limits_that_nothing_meets_end_with_1_and_the_nearest(capsys: Printed) -> None:
    code, out, _ = run(capsys, "--shafts", "4", "--picks", "8", "--treadles", "1")
    assert code == 1
    assert "the treadles, at most 1; 2 does not" in out
    code, out, _ = run(capsys, "--shafts", "3", "--picks", "1", "--json")
    assert code == 1
    made = json.loads(out)
    assert made["offers"] == []
    assert made["nothing"] == [{"limits": ["picks"], "nearest": {"picks": 2}}]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--shafts", "1", "--picks", "8"), "--shafts: 1 is not possible; expected 2 to 40"),
        (("--shafts", "8", "--picks", "100000"), "--picks: 100000 is not possible; expected 1 to 400"),
        (("--shafts", "8", "--picks", "8", "--max-float", "0"), "--max-float: 0 is not possible"),
        (("--shafts", "8", "--picks", "8", "--max-float", "wide"), '--max-float: "wide" is not a quantity'),
        (
            ("--shafts", "8", "--picks", "8", "--distance", "9**9 m"),
            '--distance: "**9 m" is not a unit of length',
        ),
        (("--shafts", "8", "--picks", "8", "--distance", "-3 m"), "--distance: is not above 0"),
        (("--shafts", "8", "--picks", "8", "--sett", "0 /in"), "--sett: is not above 0"),
        (("--shafts", "8", "--picks", "8", "--levers", "--treadles", "4"), "expected one of them"),
        (("--shafts", "8", "--picks", "8", "--order", "beauty"), "expected one of: contrast"),
        (("--shafts", "many", "--picks", "8"), "Try: loomready --help"),
    ],
)
def test_what_means_nothing_is_one_line_and_ends_with_2(
    words: tuple[str, ...], says: str, capsys: Printed
) -> None:
    code, out, error = run(capsys, *words)
    assert code == 2
    assert out == ""
    assert says in error
    assert error.count("\n") == 1


def test_ctrl_c_ends_the_search_and_tells_what_was_found(
    capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    step, done, before = Search.step, 0, signal.getsignal(signal.SIGINT)

    def interrupted(search: Search) -> None:
        nonlocal done
        step(search)
        done += 1
        signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(Search, "step", interrupted)
    code, out, error = run(capsys, "--shafts", "8", "--picks", "8", "--count", "6", "--json")
    assert (code, done) == (0, 1)
    assert len(json.loads(out)["offers"]) == 6
    assert error == "stopped; found so far:\n"
    code, out, _ = run(capsys, "--shafts", "8", "--picks", "1")
    assert code == 130
    assert out == "Nothing found; 0 drafts searched.\n"
    assert signal.getsignal(signal.SIGINT) is before


def test_a_symmetric_draft_grows_the_ends_that_make_both_edges_alike() -> None:
    point = lift_plan([2, 3, 4, 3, 2, 1], [[1, 2], [2, 3], [3, 4], [1, 4]])
    made = evened(point)
    assert (made.threading + 1).tolist() == [2, 3, 4, 3, 2, 1, 2, 3, 4, 3, 2]
    assert analyze(made).repeat == analyze(point).repeat
    straight = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]])
    assert evened(straight) is straight


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path: Path, capsys: Printed) -> None:
    (tmp_path / "there").write_text("a file")
    words = ("--shafts", "2", "--picks", "2", "-o", str(tmp_path / "there" / "below"))
    code, _, error = run(capsys, *words)
    assert code == 2
    assert "cannot be made" in error


def test_the_offers_are_told_in_words(capsys: Printed) -> None:
    code, out, _ = run(capsys, "--shafts", "4", "--picks", "4", "--count", "5")
    assert code == 0
    assert "5 drafts of " in out
    assert "at 3 m" in out


def test_a_warp_gives_its_search_the_finished_cloth() -> None:
    """40 cm of 372 ends; 8 picks per cm at the loom, which shrink by 8 %."""
    plan = plan_guild(cast.guild(cast.order()), cast.drafts()).warps[0]
    warp, weft = (10, 20, 30), (200, 210, 220)
    setting = setting_of(plan, 8, 2.5, (warp, weft))
    assert setting == Setting(
        8,
        mm_per_end=pytest.approx(plan.finished_width_mm / plan.web.ends),
        mm_per_pick=pytest.approx(10 / 8 * (1 - plan.order.shrink_length)),
        distance_m=2.5,
        warp_color=warp,
        weft_color=weft,
    )
    assert setting.mm_per_end == pytest.approx(400 / 372, rel=0.01)
    assert ends_across(plan.finished_width_mm, setting) == plan.web.ends


def test_twenty_to_the_inch_are_the_usual_setting() -> None:
    setting = usual_setting(4)
    assert setting.mm_per_end == setting.mm_per_pick == pytest.approx(25.4 / 20)
    assert mm_a_thread(8.0) == pytest.approx(1.25)
    assert ends_across(254.0, setting) == 200
    assert ends_across(0.1, setting) == 1
