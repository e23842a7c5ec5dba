"""Drafts turned to treadles and balanced, told in plain text."""

from __future__ import annotations

import numpy as np

from loomready.draft.draft import Bools
from loomready.draft.shedding import Tieup


def tell_tieup(made: Tieup, name: str, within: int) -> str:
    """The tie-up with the fewest treadles: what is tied, what is pressed."""
    least = _some(made.treadles, "treadle")
    fits = made.treadles <= within
    proof = "proved least" if made.proved_least else f"not proved least: {made.at_least} are a lower bound"
    lines = [f"{name}: {least}, {proof}"]
    if not fits and made.at_least > within:
        lines.append(f"It cannot be woven with {_some(within, 'treadle')} on this shed.")
    elif not fits:
        lines.append(f"No tie-up with {_some(within, 'treadle')} was found; that none exists is not proved.")
    lines.append(f"With a treadle for each lift it takes {made.own}.")
    lines += ["", f"  Treadle  {'Sinks' if made.shed == 'sinking' else 'Lifts'}"]
    lines += [f"  {place:>7}  {tied}" for place, tied in enumerate(map(_places, made.tieup.T), start=1)]
    lines += ["", "  Pick     Treadles"]
    lines += [
        f"  {place:>7}  {pressed}" for place, pressed in enumerate(map(_places, made.treadling), start=1)
    ]
    return "\n".join(lines) + "\n"


def _places(row: Bools) -> str:
    return " ".join(map(str, (np.flatnonzero(row) + 1).tolist())) or "none"


def _some(count: int, noun: str) -> str:
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"
