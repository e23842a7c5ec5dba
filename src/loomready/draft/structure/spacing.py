"""Threads that a file spaces unevenly: crammed or spaced."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from loomready.draft.draft import Draft, Floats
from loomready.phrases import Phrase, joined, phrase, word
from loomready.problems import Problem

ALIKE = 0.01  # spacings that differ by less, as a share of the wider, are the same one rounded (ours)
_KINDS_NAMED = 3  # different spacings that are named one by one
_RUNS_NAMED = 4  # runs of threads that are named for each


def uneven(draft: Draft) -> tuple[Problem, ...]:
    """uneven-spacing: for ends, then for picks, where the file's own spacing differs along the cloth."""
    sides = (
        ("end", draft.warp_spacing_mm, phrase("A plan sleys them evenly.")),
        ("pick", draft.weft_spacing_mm, phrase("A plan spaces them evenly.")),
    )
    return tuple(
        Problem("uneven-spacing", "warn", phrase("{uneven} {plans}", uneven=said, plans=plans))
        for noun, spacing_mm, plans in sides
        for said in uneven_side(noun, spacing_mm)
    )


def uneven_side(noun: str, spacing_mm: Floats | None) -> Iterator[Phrase]:
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
        how = phrase("from {low:.4g} to {high:.4g} mm", low=low, high=high)
    else:
        how = joined(
            phrase(" and "),
            (
                phrase(
                    "{width:.4g} mm ({threads})",
                    width=kind,
                    threads=_named(noun, np.flatnonzero(which == number)),
                )
                for number, kind in enumerate(kinds.tolist())
            ),
        )
    yield phrase(
        "The file spaces its {threads} unevenly (crammed or spaced): {spacing}.",
        threads=word(f"{noun}s"),
        spacing=how,
    )


def _named(noun: str, threads: np.ndarray) -> Phrase:
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
    kind = word(noun if len(threads) == 1 else f"{noun}s")
    if more:
        return phrase("{ends_or_picks} {runs} and {more} more runs", ends_or_picks=kind, runs=said, more=more)
    return phrase("{ends_or_picks} {runs}", ends_or_picks=kind, runs=said)
