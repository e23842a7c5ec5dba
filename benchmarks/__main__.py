"""Run every benchmark beside this file and print one table; exit 1 if a figure is over its limit."""

from __future__ import annotations

import importlib
import pkgutil
import sys

import benchmarks
from benchmarks.timing import Row

_HEADINGS = ("name", "measured", "baseline", "ratio", "limit", "", "against")


def rows() -> list[Row]:
    """The rows of every module that offers ``run()``."""
    found: list[Row] = []
    for module in sorted(pkgutil.iter_modules(benchmarks.__path__), key=lambda module: module.name):
        if module.name != "__main__":
            run = getattr(importlib.import_module(f"benchmarks.{module.name}"), "run", None)
            found += run() if run else []
    return found


def _shown(value: float, unit: str) -> str:
    return _time(value) if unit == "s" else f"{value:.3g} {unit}"


def _time(seconds: float) -> str:
    for unit, size in (("s", 1.0), ("ms", 1e-3)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-6:.3g} µs"


def table(rows: list[Row]) -> str:
    lines = [_HEADINGS] + [
        (
            row.name,
            _shown(row.measured_s, row.unit),
            _shown(row.baseline_s, row.unit),
            f"{row.ratio:.3g}",
            f"{row.limit:.3g}",
            "over" if row.over else "ok",
            row.against,
        )
        for row in rows
    ]
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    return "\n".join(
        "  ".join(cell.rjust(width) if 0 < place < 5 else cell.ljust(width) for place, (cell, width) in cells)
        for cells in (enumerate(zip(line, widths, strict=True)) for line in lines)
    )


def main() -> int:
    found = rows()
    print(table(found))
    return int(not found or any(row.over for row in found))


if __name__ == "__main__":
    sys.exit(main())
