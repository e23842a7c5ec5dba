"""Threads that a file spaces unevenly: crammed or spaced."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from loomready.draft.draft import Draft, Floats
from loomready.problems import Problem

ALIKE = 0.01  # spacings that differ by less, as a share of the wider, are the same one rounded (ours)
_KINDS_NAMED = 3  # different spacings that are named one by one
_RUNS_NAMED = 4  # runs of threads that are named for each


def uneven(draft: Draft) -> tuple[Problem, ...]:
    """uneven-spacing: for ends, then for picks, where the file's own spacing differs along the cloth."""
    sides = (
        ("end", draft.warp_spacing_mm, "A plan sleys them evenly."),
        ("pick", draft.weft_spacing_mm, "A plan spaces them evenly."),
    )
    return tuple(
        Problem("uneven-spacing", "warn", f"{said} {plans}")
        for noun, spacing_mm, plans in sides
        for said in uneven_side(noun, spacing_mm)
    )


def uneven_side(noun: str, spacing_mm: Floats | None) -> Iterator[str]:
    """One sentence on the threads of one side, if their spacing differs.

    :param noun: "end" or "pick"
    :param spacing_mm: float[n], or None where the file has none
    """
    if spacing_mm is None or not spacing_mm.size:
        return
    low, high = float(spacing_mm.min()), float(spacing_mm.max())
    if high - low <= ALIKE * high:
        return
    kinds, which = np.unique(spacing_mm, return_inverse=True)
    if len(kinds) > _KINDS_NAMED:
        how = f"from {low:.4g} to {high:.4g} mm"
    else:
        how = " and ".join(
            f"{kind:.4g} mm ({_named(noun, np.flatnonzero(which == number))})"
            for number, kind in enumerate(kinds.tolist())
        )
    yield f"The file spaces its {noun}s unevenly (crammed or spaced): {how}."


def _named(noun: str, threads: np.ndarray) -> str:
    """Threads (from 0) as runs named from 1.

    >>> _named("end", np.array([0, 1, 2, 6]))
    'ends 1-3, 7'
    """
    runs = np.split(threads, np.flatnonzero(np.diff(threads) > 1) + 1)
    more = len(runs) - _RUNS_NAMED if len(runs) > _RUNS_NAMED + 1 else 0
    said = ", ".join(
        f"{run[0] + 1}" if len(run) == 1 else f"{run[0] + 1}-{run[-1] + 1}"
        for run in runs[: len(runs) - more]
    )
    return f"{noun}{'' if len(threads) == 1 else 's'} {said}{f' and {more} more runs' if more else ''}"
