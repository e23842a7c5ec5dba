"""The alignment against every way there is: all sequences of moves on small webs."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from loomready.slips import align
from loomready.slips.forward_backward import Sums

SHAFTS = 3


Way = tuple[float, tuple[tuple[str, int, int], ...]]


def every_way(
    fits: np.ndarray, planned: np.ndarray, rare: align.Costs, column: int = 0, end: int = 0, last: str = ""
) -> Iterator[Way]:
    """Each sequence of moves from here: its logarithm, and its slips as (kind, end, shaft)."""
    if column == len(fits) and end == len(planned):
        yield 0.0, ()
        return

    def on(weight: float, slip: tuple[str, int, int] | None, columns: int, ends: int) -> Iterator[Way]:
        kind = slip[0] if slip else ""
        for score, slips in every_way(fits, planned, rare, column + columns, end + ends, kind):
            yield weight + score, slips if slip is None else (slip, *slips)

    if end < len(planned) and last != "extra":
        yield from on(rare.slip, ("skipped", end, -1), 0, 1)
    if column < len(fits) and last != "skipped":
        for shaft in range(SHAFTS + 1):
            weight = fits[column, shaft] + rare.any_shaft[shaft] + rare.slip
            yield from on(weight, ("extra", end, shaft), 1, 0)
    if column < len(fits) and end < len(planned):
        yield from on(fits[column, planned[end]], None, 1, 1)
        for shaft in range(SHAFTS + 1):
            if shaft != planned[end]:
                weight = fits[column, shaft] + rare.shaft[planned[end], shaft] + rare.slip
                yield from on(weight, ("wrong shaft", end, shaft), 1, 1)
    if column + 1 < len(fits) and end + 1 < len(planned) and planned[end] != planned[end + 1]:
        weight = fits[column, planned[end + 1]] + fits[column + 1, planned[end]] + rare.slip
        yield from on(weight, ("crossed", end, int(planned[end + 1])), 2, 2)


def question(seed: int, columns: int, ends: int) -> tuple[np.ndarray, np.ndarray, align.Costs]:
    random = np.random.default_rng(seed)
    planned = random.integers(0, SHAFTS, ends)
    fits = -2.0 * random.integers(0, 4, (columns, SHAFTS + 1)).astype(float)
    return fits, planned, align.costs(ends, np.arange(SHAFTS), SHAFTS)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize(("columns", "ends"), [(3, 3), (3, 4), (4, 3), (2, 4)])
def test_the_best_path_and_every_probability_agree_with_all_ways(seed: int, columns: int, ends: int) -> None:
    fits, planned, rare = question(seed, columns, ends)
    lattice = align.Lattice(fits, np.zeros(columns), planned, np.zeros(ends, dtype=bool), rare)
    ways = list(every_way(fits, planned, rare))
    path = lattice.best()
    assert path.score == pytest.approx(max(score for score, _ in ways))
    slips = tuple((move.kind, move.end, move.shaft) for move in path.moves)
    assert any(score == pytest.approx(path.score) and slips == found for score, found in ways)

    sums = Sums(lattice)
    total = np.logaddexp.reduce([score for score, _ in ways])
    assert sums.total + sums.top.sum() == pytest.approx(total)
    for end in range(ends):
        skipped = sum(np.exp(score - total) for score, found in ways if ("skipped", end, -1) in found)
        assert sums.skipped_end(end) == pytest.approx(skipped, abs=1e-9)
        for shaft in range(SHAFTS + 1):
            wrong = sum(
                np.exp(score - total) for score, found in ways if ("wrong shaft", end, shaft) in found
            )
            by_column = (
                sums.wrong(end, column, [shaft]) for column in range(columns) if shaft != planned[end]
            )
            assert sum(by_column) == pytest.approx(wrong, abs=1e-9)
    for end in range(ends + 1):
        for shaft in range(SHAFTS + 1):
            often = sum(np.exp(score - total) * found.count(("extra", end, shaft)) for score, found in ways)
            by_column = (sums.extra_before(end, column, [shaft]) for column in range(columns))
            assert sum(by_column) == pytest.approx(often, abs=1e-9)
    for end in range(ends - 1):
        crossed = sum(
            np.exp(score - total)
            for score, found in ways
            if any(kind == "crossed" and at == end for kind, at, _ in found)
        )
        assert sum(sums.crossed(end, column) for column in range(columns - 1)) == pytest.approx(
            crossed, abs=1e-9
        )


def test_the_path_gives_each_column_its_planned_end() -> None:
    fits = np.array([[0, -9, -9, -9], [-9, -9, 0, -9], [-9, 0, -9, -9]], dtype=float)
    planned = np.array([0, 1, 2, 1])
    rare = align.costs(4, np.arange(3), 3)
    path = align.Lattice(fits, np.zeros(3), planned, np.zeros(4, dtype=bool), rare).best()
    assert [(move.kind, move.end) for move in path.moves] == [("skipped", 1)]
    assert path.end.tolist() == [0, 2, 3]
