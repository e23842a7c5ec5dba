"""Run every benchmark beside this file and print one table; exit 1 if a figure is over its limit.

A benchmark with a figure over its limit is run twice more, and the median counts. A figure in seconds is
divided by how much slower the machine is than the one of the limits (``benchmarks/timing.py``). "busy":
the machine was too unsteady to say whether it is over. That fails nothing; run it again later.
To run some only, name their files: ``python -m benchmarks planning fit``.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median_low

import benchmarks
from benchmarks.timing import Machine, Row, watched

_HEADINGS = ("name", "measured", "machine", "baseline", "ratio", "limit", "", "against")
TIMES = 3  # that a benchmark is run where a figure is over its limit


@dataclass(frozen=True, slots=True)
class Figure:
    """A row as measured, with the machine it was measured on."""

    row: Row
    machine: Machine

    @property
    def ratio(self) -> float:
        return self.row.ratio(self.machine)

    @property
    def verdict(self) -> str:
        return self.row.verdict(self.machine)


def figures(run: Callable[[], list[Row]], times: int = TIMES) -> list[Figure]:
    """The figures of a benchmark: of one run where none is over, else each the median of several runs."""
    runs = [_figures(run)]
    while len(runs) < times and any(figure.verdict != "ok" for figure in runs[0]):
        runs.append(_figures(run))
    found = []
    for several in zip(*runs, strict=True):
        middle = median_low(figure.ratio for figure in several)
        found.append(next(figure for figure in several if figure.ratio == middle))
    return found


def _figures(run: Callable[[], list[Row]]) -> list[Figure]:
    with watched() as machine:
        rows = run()
    return [Figure(row, machine) for row in rows]


def benchmarks_here() -> list[Callable[[], list[Row]]]:
    """``run`` of every module beside this one that offers it."""
    names = sorted(module.name for module in pkgutil.iter_modules(benchmarks.__path__))
    loaded = [importlib.import_module(f"benchmarks.{name}") for name in names if name != "__main__"]
    return [module.run for module in loaded if hasattr(module, "run")]


def _shown(value: float, unit: str) -> str:
    return _time(value) if unit == "s" else f"{value:.3g} {unit}"


def _time(seconds: float) -> str:
    for unit, size in (("s", 1.0), ("ms", 1e-3)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-6:.3g} µs"


def table(found: list[Figure]) -> str:
    """One line a figure; the column ``machine``: how many times slower the machine was, where that counts."""
    lines = [_HEADINGS] + [
        (
            row.name,
            _shown(row.measured_s, row.unit),
            f"÷ {figure.machine.slower:.2f}" if row.promise else "",
            _shown(row.baseline_s, row.unit),
            f"{figure.ratio:.3g}",
            f"{row.limit:.3g}",
            figure.verdict,
            row.against,
        )
        for figure in found
        for row in (figure.row,)
    ]
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    return "\n".join(
        "  ".join(cell.rjust(width) if 0 < place < 6 else cell.ljust(width) for place, (cell, width) in cells)
        for cells in (enumerate(zip(line, widths, strict=True)) for line in lines)
    )


def main() -> int:
    only = sys.argv[1:]
    runs = [run for run in benchmarks_here() if not only or run.__module__.split(".")[-1] in only]
    found = [figure for run in runs for figure in figures(run)]
    print(table(found))
    busy = sum(figure.verdict == "busy" for figure in found)
    if busy:
        print(f"Machine too busy: {busy} of {len(found)} figures not judged. Run it again when it is quiet.")
    return int(not found or any(figure.verdict == "over" for figure in found))


if __name__ == "__main__":
    sys.exit(main())
