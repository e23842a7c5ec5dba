"""From lifts to treadles: the tie-up with the fewest treadles that weaves a draft, proved least.

On a rising shed two treadles together lift the union of what they are tied to, on a sinking one they
sink the union of their sinks. A countermarche treadle raises some shafts, sinks others and leaves the rest
alone; the treadles of a pick must move every shaft one way, and none both ways. So each shaft counts
twice there, as one that rises and as one that sinks, and the treadles of a pick must add up to both
(common practice, no source). Two feet press two treadles, or more where one foot takes two neighbors:
``feet`` is the greatest number of treadles pressed in one pick.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Literal, get_args

import numpy as np

from loomready.draft.draft import Bools, Draft, lifts_of
from loomready.draft.shedding.treadle_order import order
from loomready.draft.shedding.treadle_search import Watch, fewest, pressed
from loomready.draft.structure.periods import number_columns, number_rows
from loomready.phrases import listed, phrase
from loomready.problems import BadInput

Shed = Literal["rising", "sinking", "countermarche"]
SHEDS: tuple[Shed, ...] = get_args(Shed)
MOST_TREADLES = 64
MOST_FEET = 3


@dataclass(frozen=True, slots=True, eq=False)
class Tieup:
    """A tie-up with its treadling for a draft's cloth.

    shed       what the treadles do
    feet       treadles that a pick may press
    tieup      bool[S, T], what is tied: shafts that rise; on a sinking shed, shafts that sink
    sinks      bool[S, T] on a countermarche: shafts tied to sink, the others are left untied; else None
    treadling  bool[P, T]; a pick that lifts nothing presses none
    at_least   no tie-up has fewer treadles: equal to ``treadles`` where this one is proved least
    own        how many treadles it takes with one for each lift
    """

    shed: Shed
    feet: int
    tieup: Bools
    treadling: Bools
    at_least: int
    own: int
    sinks: Bools | None = None

    @property
    def treadles(self) -> int:
        return int(self.tieup.shape[1])

    @property
    def proved_least(self) -> bool:
        return self.at_least == self.treadles

    @property
    def most_pressed(self) -> int:
        """Treadles pressed in any pick, at most."""
        return int(self.treadling.sum(axis=1).max(initial=0))


def fewest_treadles(
    draft: Draft,
    *,
    feet: int = 2,
    shed: Shed = "rising",
    watch: Watch | None = None,
    working: Bools | None = None,
    effort: float = 1.0,
) -> Tieup:
    """The tie-up with the fewest treadles that weaves the draft's cloth, in the best order for the feet.

    Only shafts that hold ends matter, and only they are tied. On a sinking shed a pick that lifts every
    shaft takes a treadle tied to nothing. ``watch`` receives the progress of the search and may end it.

    :param working: bool[S], the shafts that hold ends, where the web has more of them than the draft
    :param effort: share of the search's usual limit
    :raises BadInput: feet other than 1 to 3, a shed of another kind, a draft whose tie-up ties nothing
    """
    if draft.tieup is not None and not draft.tieup.any():
        raise BadInput(phrase("the tie-up ties nothing: no treadle moves a shaft; expected a tie at least"))
    if not 1 <= feet <= MOST_FEET:
        raise BadInput(
            phrase("{treadles} treadles in a pick; expected 1 to {most} feet", treadles=feet, most=MOST_FEET)
        )
    if shed not in SHEDS:
        raise BadInput(
            phrase('"{shed}" is not a kind of shed; expected one of: {sheds}', shed=shed, sheds=listed(SHEDS))
        )
    both_ways = shed == "countermarche"
    used = working_shafts(draft) if working is None else working
    lifts = draft.lifts[:, used]
    moved = ~lifts if shed == "sinking" else lifts
    # Shafts that always move together count as one, and so do equal picks.
    alike = number_columns(moved)
    rows = number_rows(lifts)
    kinds = moved[np.ix_(rows.first, alike.first)]
    if both_ways:
        kinds = np.concatenate([kinds, ~kinds], axis=1)
    opens = set(np.flatnonzero(lifts[rows.first].any(axis=1)).tolist())
    wanted = [_bits(row) if place in opens else None for place, row in enumerate(kinds)]
    ties = sorted({bits for bits in wanted if bits})
    found = fewest(ties, feet, watch or Watch(), effort)
    nothing = int(0 in wanted)  # a treadle that sinks nothing lifts all
    treadles = [*found.treadles, *([0] * nothing)]
    presses = np.zeros((rows.count, len(treadles)), dtype=np.bool_)
    for row, bits in enumerate(wanted):
        if bits is None:
            continue
        chosen = pressed(bits, treadles, feet)
        if chosen is None:
            raise AssertionError("the tie-up does not make a lift")
        presses[row, list(chosen)] = True
    treadling = presses[rows.ids]
    in_order = order(treadling)
    tieup, sinks = (np.zeros((draft.shafts, len(treadles)), dtype=np.bool_) for _ in range(2))
    for treadle, place in enumerate(in_order):
        tied = [bool(treadles[place] >> kind & 1) for kind in range(2 * alike.count)]
        told = np.array(tied, dtype=np.bool_)
        tieup[used, treadle] = told[: alike.count][alike.ids]
        sinks[used, treadle] = told[alike.count :][alike.ids]
    return Tieup(
        shed=shed,
        feet=feet,
        tieup=tieup,
        treadling=treadling[:, in_order],
        at_least=found.at_least + nothing if ties else nothing,
        own=len(ties) + nothing,
        sinks=sinks if both_ways else None,
    )


def on_treadles(draft: Draft, made: Tieup) -> Draft:
    """The draft woven with the treadles of a tie-up made for it: the same cloth."""
    rising = made.shed != "sinking"
    return replace(
        draft,
        lifts=lifts_of(made.tieup, made.treadling, rising),
        tieup=made.tieup,
        treadling=made.treadling,
        rising=rising,
    )


def working_shafts(draft: Draft) -> Bools:
    """Shafts that hold ends, bool[S]."""
    working = np.zeros(draft.shafts, dtype=np.bool_)
    working[draft.threading[draft.threading >= 0]] = True
    return working


def as_json(made: Tieup, within: int) -> dict[str, Any]:
    """The document that ``tieup --json`` prints; shafts and treadles from 1."""
    return {
        "possible": made.treadles <= within,
        "treadles": made.treadles,
        "proved_least": made.proved_least,
        "tieup": _listed(made.tieup.T),
        **({} if made.sinks is None else {"sinks": _listed(made.sinks.T)}),
        "treadling": _listed(made.treadling),
    }


def _listed(table: Bools) -> list[list[int]]:
    return [(np.flatnonzero(row) + 1).tolist() for row in table]


def _bits(row: Bools) -> int:
    return int.from_bytes(np.packbits(row, bitorder="little").tobytes(), "little")
