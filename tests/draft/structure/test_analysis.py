import itertools
import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from networkx import number_strongly_connected_components

from loomready.draft.draft import Bools, Draft, drawdown, lift_plan, lifts_of
from loomready.draft.structure import analysis
from loomready.problems import BadInput
from tests.draft.brute import draft, drafts, has_mirror, lies_over, line_period, longest_float


def codes(of: Draft) -> list[str]:
    return [problem.code for problem in analysis.analyze(of).problems]


def message(of: Draft, code: str) -> str:
    return next(problem.message for problem in analysis.analyze(of).problems if problem.code == code)


def repeat_block(of: Draft) -> Bools:
    cloth = drawdown(of)
    return cloth[: line_period(cloth.tolist()), : line_period(cloth.T.tolist())]


def tabby_by_trying(threading: list[int], shafts: int) -> bool:
    period = threading[: line_period(threading)]
    for up in itertools.product([False, True], repeat=shafts):
        one = [shaft >= 0 and up[shaft] for shaft in period]
        other = [shaft >= 0 and not up[shaft] for shaft in period]
        if all(shed[i] != shed[i - 1] for shed in (one, other) for i in range(len(period))):
            return True
    return False


@given(drafts())
@settings(max_examples=250)
def test_every_figure_is_what_its_definition_says(of: Draft) -> None:
    found = analysis.as_json(analysis.analyze(of))
    cloth, block = drawdown(of), repeat_block(of)
    threading = of.threading.tolist()
    used = sorted({shaft for shaft in threading if shaft >= 0})
    lifts = [[bool(lift[shaft]) for shaft in used] for lift in of.lifts]
    columns = list(zip(cloth.T.tolist(), of.warp_colors.tolist(), strict=True))
    rows = list(zip(cloth.tolist(), of.weft_colors.tolist(), strict=True))
    parts = number_strongly_connected_components(lies_over(block))
    del found["problems"]
    assert found == {
        "title": None,
        "shafts": of.shafts,
        "treadles": None,
        "ends": len(threading),
        "picks": len(lifts),
        "shafts_used": len(used),
        "heddles": [threading.count(shaft) for shaft in range(of.shafts)],
        "repeat": {"ends": block.shape[1], "picks": block.shape[0]},
        "color_repeat": {"ends": line_period(columns), "picks": line_period(rows)},
        "longest_float": {"warp": longest_float(block.T), "weft": longest_float(block)},
        "holds_together": parts == 1,
        "parts": parts,
        "plain_weave": tabby_by_trying(threading, of.shafts),
        "mirror": {"ends": has_mirror(block.T.tolist()), "picks": has_mirror(block.tolist())},
        "distinct_lifts": len({tuple(lift) for lift in lifts}),
        "lever_moves": sum(
            a != b for i, lift in enumerate(lifts) for a, b in zip(lift, lifts[i - 1], strict=True)
        ),
        "most_shafts_up": max(map(sum, lifts)),
    }


@given(drafts())
def test_the_document_is_plain_json(of: Draft) -> None:
    document = analysis.as_json(analysis.analyze(of))
    assert json.loads(json.dumps(document)) == document


@given(drafts())
def test_problems_are_told_just_when_there_are_some(of: Draft) -> None:
    found, cloth = analysis.analyze(of), drawdown(of)
    told = {problem.code for problem in found.problems}
    assert {problem.level for problem in found.problems} <= {"warn"}
    assert ("falls-apart" in told) is (not found.holds_together)
    assert ("no-shed" in told) is any(len(set(pick.tolist())) == 1 for pick in cloth)
    assert ("loose-thread" in told) is (None in (found.longest_warp_float, found.longest_weft_float))
    assert "long-float" not in told


@given(drafts())
def test_interlacements_count_the_face_changes_along_the_picks_of_the_repeat(of: Draft) -> None:
    block = repeat_block(of)
    changes = sum(pick[end] != pick[end - 1] for pick in block.tolist() for end in range(len(pick)))
    assert analysis.interlacements(of) == (block.shape[1], block.shape[0], changes)


PLAIN = lift_plan([1, 2] * 3, [[1], [2]] * 2, title="Plain")
TWILL = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [4, 1]])


def test_plain_weave_and_twill_are_known_for_what_they_are() -> None:
    plain, twill = analysis.analyze(PLAIN), analysis.analyze(TWILL)
    assert (plain.title, plain.repeat, plain.longest_warp_float, plain.parts) == ("Plain", (2, 2), 1, 1)
    assert plain.mirror_ends
    assert (twill.longest_warp_float, twill.longest_weft_float, twill.mirror_ends) == (2, 2, False)
    assert twill.plain_weave
    assert codes(PLAIN) == codes(TWILL) == []
    assert analysis.interlacements(PLAIN) == (2, 2, 4)
    assert analysis.interlacements(TWILL) == (4, 4, 8)


@pytest.mark.parametrize(
    ("threading", "weaves"),
    [
        ([1, 2, 3, 4, 3, 2], True),  # a point draw of even length
        ([1, 2, 3, 4, 3, 2, 1], True),  # the same with its balancing end
        ([1, 2, 3], False),  # three shafts in a straight draw cannot alternate as a continuous repeat
        ([1, 2, 3, 4, 4, 3, 2, 1], False),  # two neighbors on one shaft
        ([1, 2, 1, 3], True),
        ([1], False),
        ([0, 1, 0, 2], False),  # ends not threaded are never up, and tabby wants every end up in turn
        ([0, 0, 1], False),
    ],
)
def test_a_threading_weaves_tabby_when_neighbors_can_alternate(threading: list[int], weaves: bool) -> None:
    assert analysis.weaves_plain(lift_plan(threading, [[1]]).threading) is weaves


def test_double_cloth_is_said_to_come_apart_with_the_ends_and_picks_of_its_upper_layer() -> None:
    double = draft([0, 1, 2, 3], [[1, 0, 0, 0], [1, 1, 1, 0], [0, 0, 1, 0], [1, 0, 1, 1]])
    assert codes(double) == ["falls-apart"]
    said = message(double, "falls-apart")
    assert "2 parts: ends 1, 3 and picks 1, 3 lift off as a separate cloth" in said
    assert "below lie ends 2, 4 and picks 2, 4" in said


def test_parts_are_counted_in_the_first_repeat_and_long_lists_are_shortened() -> None:
    layers = np.array([[1, 0, 0, 0], [1, 1, 1, 0], [0, 0, 1, 0], [1, 0, 1, 1]])
    wide = draft(np.tile(np.repeat(np.arange(4), 10), 2), layers)
    said = message(wide, "falls-apart")
    assert "in the first repeat of 40 ends and 4 picks" in said
    assert "ends 1, 2, 3, 4, 5, 6 and 14 more and picks 1, 3 lift off" in said


def test_many_parts_are_not_all_listed() -> None:
    said = message(draft(range(9), np.eye(1, 9)), "falls-apart")
    assert "in 10 parts" in said
    assert "end 1 lifts off alone; below lies pick 1" in said
    assert "below that are 6 more parts" in said


def test_threads_that_never_interlace_are_named() -> None:
    loose = draft([0, 1, 0, 1, -1], [[1, 0], [0, 1], [0, 0]])
    said = message(loose, "loose-thread")
    assert said.startswith("End 5 and pick 3 never interlace")
    one = draft([0, 1, -1], [[1, 0], [0, 1]])
    assert message(one, "loose-thread").startswith("End 3 never interlaces: it lies")


def test_a_pick_without_shed_is_named_whether_it_lifts_nothing_or_everything() -> None:
    said = message(draft([0, 1], [[1, 0], [0, 1], [0, 0], [1, 1]]), "no-shed")
    assert said.startswith("Pick 3 lifts no end; pick 4 lifts every end")


def test_lifting_only_shafts_without_ends_makes_no_shed() -> None:
    empty = draft([0, 1], [[1, 0, 0], [0, 1, 0], [0, 0, 1]])
    assert message(empty, "no-shed").startswith("Pick 3 lifts no end")
    found = analysis.analyze(empty)
    assert (found.shafts, found.shafts_used, found.lever_moves, found.most_shafts_up) == (3, 2, 4, 1)


@pytest.mark.parametrize("rising", [True, False])
def test_a_pick_without_treadle_makes_no_shed_on_either_kind_of_loom(rising: bool) -> None:
    tieup, treadling = np.eye(2, dtype=bool), np.array([[1, 0], [0, 1], [0, 0]], dtype=bool)
    treadled = Draft(
        threading=np.array([0, 1], np.int16),
        lifts=lifts_of(tieup, treadling, rising),
        tieup=tieup,
        treadling=treadling,
        rising=rising,
        palette=((0, 0, 0),),
        warp_colors=np.zeros(2, np.int16),
        weft_colors=np.zeros(3, np.int16),
    )
    assert "Pick 3 has no treadle" in message(treadled, "no-shed")
    assert analysis.analyze(treadled).treadles == 2
    assert analysis.analyze(treadled).longest_weft_float is None


def spaced(warp_mm: list[float] | None, weft_mm: list[float] | None) -> Draft:
    """A 1/3 twill of 8 ends and 4 picks: warp floats of 3 at the back, weft floats of 3 on the face."""
    more = {"warp_spacing_mm": warp_mm, "weft_spacing_mm": weft_mm}
    return draft([0, 1, 2, 3] * 2, np.eye(4), **{name: mm for name, mm in more.items() if mm})


def test_floats_are_measured_only_where_the_file_gives_the_spacing() -> None:
    assert codes(spaced(None, None)) == []
    assert codes(spaced([3.3] * 8, [3.3] * 4)) == []  # 9.9 mm
    said = message(spaced([3.5] * 8, None), "long-float")
    assert "picks 1, 2, 3, 4 over up to 10.5 mm of ends" in said
    assert "of picks" not in said
    assert "ends 1, 2, 3, 4, 5, 6 and 2 more over up to 12.0 mm of picks" in message(
        spaced(None, [4.0] * 4), "long-float"
    )


def test_a_float_is_as_long_as_the_spacing_that_it_really_passes() -> None:
    # Picks 1 to 4 pass 3 + 3 + 6, 3 + 6 + 1, 6 + 1 + 1 and, over the edge of the repeat, 1 + 3 + 3 mm.
    said = message(spaced([3, 3, 3, 6, 1, 1, 1, 1], None), "long-float")
    assert "pick 1 over up to 12.0 mm of ends" in said


def test_a_float_of_just_ten_millimeters_is_not_yet_long() -> None:
    hundred_up = draft([0] * 100 + [1], [[1, 0], [0, 1]], warp_spacing_mm=[0.1] * 101)
    assert codes(hundred_up) == []
    one_more = draft([0] * 101 + [1], [[1, 0], [0, 1]], warp_spacing_mm=[0.1] * 102)
    assert "picks 1, 2 over up to 10.1 mm" in message(one_more, "long-float")


@given(drafts(), st.integers(2, 3), st.integers(2, 3))
def test_weaving_more_of_the_repeat_changes_nothing_in_the_cloth(of: Draft, along: int, down: int) -> None:
    one = analysis.as_json(analysis.analyze(of))
    threading, lifts = of.threading[: one["repeat"]["ends"]], of.lifts[: one["repeat"]["picks"]]
    often = draft(np.tile(threading, along), np.tile(lifts, (down, 1)))
    many = analysis.as_json(analysis.analyze(often))
    for key in ("repeat", "longest_float", "holds_together", "parts", "mirror", "distinct_lifts"):
        assert one[key] == many[key], key
    assert analysis.interlacements(of) == analysis.interlacements(often)


@given(drafts())
def test_the_back_of_the_cloth_holds_and_floats_as_its_face(of: Draft) -> None:
    heddled = draft(np.maximum(of.threading, 0), of.lifts)
    face, back = (
        analysis.as_json(analysis.analyze(side)) for side in (heddled, draft(heddled.threading, ~of.lifts))
    )
    for key in ("repeat", "longest_float", "holds_together", "parts", "mirror", "lever_moves", "plain_weave"):
        assert face[key] == back[key], key


def test_a_draft_without_threads_is_refused() -> None:
    for empty in (draft([], [[1]]), draft([0], np.zeros((0, 1)))):
        with pytest.raises(BadInput, match="no ends or no picks"):
            analysis.analyze(empty)


def test_a_draft_as_large_as_may_be_needs_no_drawdown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("loomready.draft.draft.drawdown", None)
    monkeypatch.setattr("loomready.draft.structure.findings.shed", None)
    rng = np.random.default_rng(1)
    threading = rng.integers(0, 63, 20_000)
    threading[0] = 63  # met once: no part of the threading repeats
    large = draft(threading, rng.random((20_000, 64)) < 0.5)
    found = analysis.analyze(large)
    assert found.repeat == (20_000, 20_000)
    assert found.holds_together
