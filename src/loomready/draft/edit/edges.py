"""Whether the weft is caught at the edges of a web, with one shuttle going to and fro.

Between two picks the shuttle turns at one side. The edge end there holds the weft only if it changes
face between them; else the weft slips back to the next end that does.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loomready.draft.draft import Bools, Draft, Ints, shed


@dataclass(frozen=True, slots=True)
class Edge:
    """One edge: the end there (from 0), and the picks (from 0) after which the weft is not caught."""

    end: int
    missed: tuple[int, ...]
    turns: int


@dataclass(frozen=True, slots=True)
class Edges:
    """The edge of end 1 and that of the last end, for the start of the shuttle that misses fewer turns.

    starts_at_end_1  pick 1 enters at end 1's side, so that the first turn is at the last end
    """

    starts_at_end_1: bool
    edges: tuple[Edge, Edge]

    @property
    def missed(self) -> int:
        return sum(len(edge.missed) for edge in self.edges)


def edges(draft: Draft) -> Edges:
    """Edges of the web as written, its picks woven again and again.

    With an odd number of picks the shuttle starts on the other side in the second repeat: both are counted.
    """
    return edges_between(draft.lifts, draft.threading[[0, -1]], draft.ends)


def edges_between(lifts: Bools, outer: Ints, ends: int) -> Edges:
    """The same of a web of so many ends; ``outer``: the shafts of its first and last end."""
    picks = len(lifts)
    columns = shed(lifts, outer)
    turns = picks if picks % 2 == 0 else 2 * picks
    turn = np.arange(turns)
    held = columns[turn % picks] != columns[(turn + 1) % picks]
    found = []
    for first in (1, 0):  # where the first turn is: at the last end, or at end 1
        at_last_end = (turn + 1 - first) % 2 == 0
        sides = (~at_last_end, at_last_end)
        made = tuple(
            Edge(
                end,
                tuple(sorted({*(turn[side & ~held[:, number]] % picks).tolist()})),
                int(np.count_nonzero(side)),
            )
            for number, (end, side) in enumerate(zip((0, ends - 1), sides, strict=True))
        )
        found.append(Edges(first == 1, (made[0], made[1])))
    return min(found, key=lambda each: each.missed)
