"""The draws that a search tries: as the trade writes them, each its own repeat, on all of the shafts."""

from __future__ import annotations

import numpy as np
import pytest

from loomready.choose.drafts.threadings import MOST_ENDS, Threading, draws, settled


def of_name(made: list[Threading], name: str) -> list[list[int]]:
    """Shafts from 1."""
    return [(each.shafts + 1).tolist() for each in made if str(each.name) == name]


def wild(shafts: int, many: int = 60, seed: int = 2) -> list[Threading]:
    known = {each.shafts.tobytes() for each in draws(shafts, np.random.default_rng(seed), 0)}
    made = draws(shafts, np.random.default_rng(seed), many)
    return [each for each in made if each.shafts.tobytes() not in known]


def written(*rows: str) -> list[list[int]]:
    return [[int(shaft) for shaft in row.split()] for row in rows]


# Common practice, no source: the draws are what their names say; the search begins each on shaft 1.
ON_FOUR = {
    "straight draw": written("1 2 3 4"),
    "point draw": written("1 2 3 4 3 2"),
    "rosepath draw": written("1 2 3 4 1 4 3 2"),
    "extended point draw": written(  # to shaft 4 of the next round, to its middle, to 4 of the one after that
        "1 2 3 4 1 2 3 4 3 2 1 4 3 2",
        "1 2 3 4 1 2 1 4 3 2",
        "1 2 3 4 1 2 3 4 1 2 3 4 3 2 1 4 3 2 1 4 3 2",
    ),
    "broken draw": written("1 2 3 4 2 1 4 3", "1 2 4 3"),
    "undulating draw": written("1 2 2 3 3 4"),
    "undulating point draw": written("1 2 2 3 3 4 3 3 2 2"),
}


def test_the_draws_of_four_shafts_are_those_of_the_trade() -> None:
    made = draws(4, np.random.default_rng(0), 0)
    for name, rows in ON_FOUR.items():
        assert of_name(made, name) == rows
    assert {str(each.name) for each in made} == {*ON_FOUR, "advancing draw", "advancing points"}


def test_two_and_three_shafts_have_their_few_draws() -> None:
    assert of_name(draws(2, np.random.default_rng(0), 0), "straight draw") == [[1, 2]]
    three = draws(3, np.random.default_rng(0), 0)
    assert [(each.shafts + 1).tolist() for each in three] == [[1, 2, 3], [1, 2, 3, 2], [1, 2, 3, 1, 3, 2]]


@pytest.mark.parametrize("shafts", range(2, 25))
def test_every_draw_uses_all_the_shafts_and_is_its_own_repeat(shafts: int) -> None:
    made = draws(shafts, np.random.default_rng(shafts), 12)
    assert len({each.shafts.tobytes() for each in made}) == len(made)
    for each in made:
        line = each.shafts.tolist()
        assert sorted(set(line)) == list(range(shafts))
        assert 2 <= len(line) <= MOST_ENDS
        assert all(line[turn:] + line[:turn] != line for turn in range(1, len(line)))
        # Nothing of it looks like the beginning of another repeat.
        assert all(line[-part:] != line[:part] for part in range(1, len(line)))


@pytest.mark.parametrize("shafts", [5, 6, 8, 12])
def test_points_have_a_mirror_line_and_straight_draws_none(shafts: int) -> None:
    made = [*draws(shafts, np.random.default_rng(0), 0), *wild(shafts)]
    pointed = {"point draw", "rosepath draw", "extended point draw", "undulating point draw", "uneven points"}
    for each in made:
        line = each.shafts.tolist()
        mirrored = any((line[turn:] + line[:turn])[::-1] == line for turn in range(len(line)))
        assert each.symmetric == mirrored
        if str(each.name) in pointed:
            assert mirrored
        if str(each.name) in ("straight draw", "advancing draw"):
            assert not mirrored


@pytest.mark.parametrize("shafts", [4, 6, 8, 12])
def test_broken_draws_go_up_and_down_and_break_by_half_the_shafts(shafts: int) -> None:
    long, short = of_name(draws(shafts, np.random.default_rng(0), 0), "broken draw")
    half = shafts // 2
    for line, run in ((long, shafts), (short, half)):
        steps = np.diff([*line, line[0]]) % shafts
        assert len(line) == 2 * run
        assert (steps[: run - 1] == 1).all()
        assert (steps[run : 2 * run - 1] == shafts - 1).all()
        assert steps[run - 1] == half


@pytest.mark.parametrize("shafts", [4, 5, 6, 8, 12])
def test_advancing_draws_are_runs_that_start_further_on_each_time(shafts: int) -> None:
    """Every one can be cut into equal straight runs, each as many shafts on from the one before."""
    made = of_name(draws(shafts, np.random.default_rng(0), 0), "advancing draw")
    assert len(made) >= 3
    for line in made:
        shaft = np.array(line)
        assert any(
            (
                (np.diff(runs, axis=1) % shafts == 1).all()
                and len(set((np.diff([*runs[:, 0], runs[0, 0]]) % shafts))) == 1
            )
            for start in range(len(line))
            for size in range(2, len(line))
            if len(line) % size == 0
            for runs in [np.roll(shaft, -start).reshape(-1, size)]
        ), line


@pytest.mark.parametrize("shafts", [4, 8, 12])
def test_advancing_points_are_points_that_start_further_on_each_time(shafts: int) -> None:
    made = of_name(draws(shafts, np.random.default_rng(0), 0), "advancing points")
    assert made
    for line in made:
        shaft = np.array(line)

        def cut(start: int, size: int, shaft: np.ndarray = shaft) -> bool:
            points = np.roll(shaft, -start).reshape(-1, size)
            first = points - points[:, :1]
            steps = np.diff([*points[:, 0], points[0, 0]]) % shafts
            up = np.arange(size // 2 + 1)
            point = np.concatenate([up, up[-2:0:-1]])
            return len(set(steps.tolist())) == 1 and bool((first % shafts == point % shafts).all())

        # A point spans fewer shafts than there are, else it turns back on the shaft that it began on.
        sizes = [size for size in range(4, min(len(line), 2 * shafts), 2) if len(line) % size == 0]
        assert any(cut(start, size) for start in range(len(line)) for size in sizes), line


@pytest.mark.parametrize(
    ("shafts", "units"), [(8, {4}), (12, {3, 4, 6}), (16, {4, 8}), (24, {3, 4, 6, 8}), (7, set())]
)
def test_blocks_are_straight_draws_each_on_shafts_of_its_own(shafts: int, units: set[int]) -> None:
    made = of_name(draws(shafts, np.random.default_rng(0), 0), "blocks")
    found = set()
    for line in made:
        fitting = {unit for unit in units if is_blocks(line, unit)}
        assert fitting, line
        found |= fitting
    assert found == units


def is_blocks(line: list[int], unit: int) -> bool:
    firsts = line[::unit]
    straight = [first + step for first in firsts for step in range(unit)]
    return line == straight and all(first % unit == 1 for first in firsts)


def test_two_blocks_are_the_even_profile_and_the_one_with_a_wider_block() -> None:
    a, b = [1, 2, 3, 4], [5, 6, 7, 8]
    # The profile A B is the straight draw itself, and so are its points.
    assert of_name(draws(8, np.random.default_rng(0), 0), "blocks") == [a + a + b + b + b]
    abc = [list(range(first, first + 4)) for first in (1, 5, 9)]
    one, two, three = abc
    made = of_name(draws(12, np.random.default_rng(0), 0), "blocks")
    for profile in (
        one + two + three + two,
        one + one + two + two + three + three + three,
        one + two + one + three,
        one + two + three + two + one + three,
    ):
        assert profile in made


@pytest.mark.parametrize("shafts", [8, 12, 20])
def test_a_curve_keeps_to_its_network(shafts: int) -> None:
    """On a network of four, each end is on the next shaft of four; the line moves in whole fours."""
    curves = [each.shafts for each in wild(shafts) if str(each.name) == "curve"]
    assert len(curves) >= 10
    for line in curves:
        assert len(line) % 4 == 0
        assert (np.diff(np.append(line, line[0])) % 4 == 1).all()


def test_curves_need_eight_shafts_and_points_four() -> None:
    names = {shafts: {str(each.name) for each in wild(shafts)} for shafts in (3, 4, 7, 8)}
    assert names == {
        3: {"grouped draw"},
        4: {"uneven points"},
        7: {"uneven points"},
        8: {"uneven points", "curve"},
    }


@pytest.mark.parametrize("shafts", [2, 3])
def test_grouped_draws_are_straight_with_up_to_three_neighbors_on_a_shaft(shafts: int) -> None:
    most = 0
    for each in wild(shafts):
        steps = np.diff(np.append(each.shafts, each.shafts[0])) % shafts
        assert set(steps.tolist()) <= {0, 1}
        groups = "".join(map(str, [*steps, *steps])).split("1")
        most = max(most, 1 + max(map(len, groups)))
    assert most == 3


def test_uneven_points_run_straight_between_their_turns() -> None:
    for shafts in (4, 6, 11):
        for each in wild(shafts):
            if str(each.name) == "uneven points":
                steps = np.diff(np.append(each.shafts, each.shafts[0])) % shafts
                assert set(steps.tolist()) <= {1, shafts - 1}


def test_a_repeat_is_reduced_and_turned_to_begin_once() -> None:
    assert settled([0, 1, 2, 0, 1, 2]) is not None
    assert (settled([0, 1, 2, 0, 1, 2]) == [0, 1, 2]).all()  # type: ignore[union-attr]
    assert (settled([0, 1, 0]) == [0, 0, 1]).all()  # type: ignore[union-attr]
    assert settled([0, 0, 0]) is None
    assert settled([0, *range(1, MOST_ENDS)]) is not None
    assert settled([0, *range(1, MOST_ENDS + 1)]) is None
