"""What mending is made of: actions with their minutes and needs, sets of them, and what they depend on."""

from __future__ import annotations

from dataclasses import dataclass, field

from loomready.slips.result import Slip


@dataclass(frozen=True, slots=True)
class Rates:
    """Minutes (common practice, no source).

    begin          to untie a bout and pull it out of the reed, and to tie it on again
    rethread       for each end: out of its heddle, into the right one, sleyed
    resley         for each end that is sleyed again only
    repair_heddle  to tie one in
    new_end        to hang one over the back beam from a weight and bring it to the heddles
    take_out       to pull out an end
    retie          to tie a treadle again
    unweave        for each pick
    cut_off        to cut a heddle off its shaft, before it is tied in again elsewhere
    carry          to move a heddle beyond the edge of the web from one shaft to another
    """

    begin: float = 4.0
    rethread: float = 1.0
    resley: float = 0.5
    repair_heddle: float = 5.0
    new_end: float = 8.0
    take_out: float = 2.0
    retie: float = 3.0
    unweave: float = 0.5
    cut_off: float = 1.0
    carry: float = 1.0


@dataclass(frozen=True, slots=True)
class OnLoom:
    """What the loom and the shelf have; None: not known, so that what is needed is only listed.

    spare       heddles over on each shaft of the draft: at the side of end 1, at the other side
    yarn        key of the yarn of each end
    length_m    of the warp, for a new end
    even        its shafts hang in balance: half of them rise, the others sink (a counterbalance loom)
    ties        lifts (shafts from 1) with the treadles (from 1) that make them; none: levers, or not known
    """

    spare: tuple[tuple[int, int], ...] | None = None
    yarn: tuple[str, ...] | None = None
    length_m: float | None = None
    even: bool = False
    ties: tuple[tuple[tuple[int, ...], tuple[int, ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class Needs:
    """What an action needs.

    repair_heddles  a shaft (from 1) for each
    spare_heddles   a shaft for each, at the edge that is rethreaded
    moves           heddles to carry there first: (from shaft, to shaft, how many)
    yarns           its yarn's key for each new end, None: not known
    """

    repair_heddles: tuple[int, ...] = ()
    spare_heddles: tuple[int, ...] = ()
    yarns: tuple[str | None, ...] = ()
    moves: tuple[tuple[int, int, int], ...] = ()

    @property
    def weights(self) -> int:
        """One for each new end."""
        return len(self.yarns)


@dataclass(frozen=True, slots=True)
class Action:
    """Something to do between two ends, from 1; ``slips``: the places of those that it mends."""

    do: str
    ends: tuple[int, int]
    minutes: float
    slips: tuple[int, ...]
    needs: Needs = field(default_factory=Needs)


@dataclass(frozen=True, slots=True)
class Mending:
    """A set of actions that mends everything. ``proved``: no set is cheaper but those told before it."""

    actions: tuple[Action, ...]
    minutes: float
    proved: bool


@dataclass(frozen=True, slots=True)
class Task:
    """What mending depends on: the slips from end 1 on, the threading (shafts from 1), the picks woven.

    pressed  the treadles (from 1) of each pick, none for levers; empty: not known
    """

    slips: tuple[Slip, ...]
    ends: int
    picks: int
    loom: OnLoom
    rates: Rates
    pressed: tuple[tuple[int, ...], ...] = ()
