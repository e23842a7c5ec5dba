"""What was found, and test picks, as the JSON documents of the command line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools
from loomready.draft.structure import floats
from loomready.slips.cells_csv import Seen
from loomready.slips.infer import infer
from loomready.slips.mending import Action, Mending, OnLoom, mend
from loomready.slips.result import FoundSlips, Slip
from loomready.slips.test_picks import TestPicks, cannot_tell, more_picks, shafts_up, used_shafts
from loomready.slips.tied_treadles import TiedTreadles, ways
from loomready.slips.wrong_lifts import pressed_for

Json = dict[str, Any]
AnyInts = npt.NDArray[np.integer]


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """The web that should be on the loom.

    name       of the draft or the warp
    threading  int[E], shafts from 0; -1: not threaded
    free       bool[E], ends whose cells say nothing: floating selvedges
    lifts      bool[P, S] of the draft, for what the cloth will be
    tied       what the treadles of its loom make; None: levers, or not known
    """

    name: str
    threading: AnyInts
    free: npt.NDArray[np.bool_]
    lifts: Bools
    loom: OnLoom
    tied: TiedTreadles | None = None


@dataclass(frozen=True, slots=True)
class Floats:
    """Longest warp and weft float, the threads spanned; None: a thread never interlaces."""

    warp: int | None
    weft: int | None


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """Slips, how to mend them, and what the cloth of the draft would be if all is left.

    more  picks that would tell apart what these cannot
    """

    planned: Planned
    seen: Seen
    found: FoundSlips
    mending: tuple[Mending, ...]
    more: tuple[tuple[int, ...], ...]
    floats_planned: Floats
    floats_left: Floats


def answer(planned: Planned, seen: Seen) -> Answer:
    """From cells to slips, and from slips to what to do."""
    found = infer(seen.cells, seen.lifts, planned.threading, planned.free)
    picks = len(seen.lifts)
    return Answer(
        planned=planned,
        seen=seen,
        found=found,
        mending=mend(
            found.slips,
            len(planned.threading),
            picks,
            planned.loom,
            pressed=pressed_for(planned.loom.ties, shafts_up(seen.lifts)),
        ),
        more=shafts_up(more_picks(seen.lifts, used_shafts(planned.threading))),
        floats_planned=floats_of(planned.lifts, planned.threading),
        floats_left=floats_of(planned.lifts, found.threading),
    )


def floats_of(lifts: Bools, threading: AnyInts) -> Floats:
    """Floats of the ends in heddles, as a continuous repeat."""
    threaded = threading[threading >= 0].astype(np.int16)
    if not threaded.size or not lifts.size:
        return Floats(None, None)
    return Floats(
        floats.warp(lifts, threaded).or_none, floats.weft(np.unique(lifts, axis=0), threaded).or_none
    )


def slips_as_json(made: Answer) -> Json:
    found = made.found
    return {
        "slips": [_slip(slip) for slip in found.slips],
        "explains": found.explains,
        "alternatives": [{"instead_of": each.instead_of, **_slip(each.slip)} for each in found.alternatives],
        "cannot_tell": [list(pair) for pair in found.cannot_tell],
        "more_picks": [list(pick) for pick in made.more],
        "misread": found.misread,
        "mending": [
            {
                "actions": [_action(action, made.planned.loom) for action in each.actions],
                "minutes": each.minutes,
                "proved": each.proved,
            }
            for each in made.mending
        ],
        "longest_float": {
            "planned": _as_json(made.floats_planned),
            "if_left": _as_json(made.floats_left),
        },
    }


def picks_as_json(
    picks: TestPicks, own: Bools, used: Sequence[int], tied: TiedTreadles | None = None
) -> Json:
    """Test picks, the treadles of each where they are tied, and what the draft's own lifts bool[P, S] leave
    untold."""
    treadles = [
        {"pressed": list(way.pressed), "tie_first": way.to_tie}
        for way in (ways(tied, picks.picks) if tied else ())
    ]
    return ({"treadles": treadles} if tied else {}) | {
        "picks": [list(pick) for pick in picks.picks],
        "proved": picks.proved,
        "apart": picks.apart,
        "longest_float": _as_json(Floats(picks.longest_warp_float, picks.longest_weft_float)),
        "own": {
            "cannot_tell": [[one + 1, other + 1] for one, other in cannot_tell(own, used)],
            "more_picks": [list(pick) for pick in shafts_up(more_picks(own, used))],
        },
    }


def _as_json(longest: Floats) -> Json:
    return {"warp": longest.warp, "weft": longest.weft}


def _slip(slip: Slip) -> Json:
    told: Json = {
        "kind": slip.kind,
        "end": slip.end,
        "pick": slip.pick,
        "planned": slip.planned,
        "found": slip.found,
        "odds": float(f"{slip.odds:.3g}"),
    }
    return told | {"tie_up": slip.tied} if slip.kind == "wrong lift" else told


def _action(action: Action, loom: OnLoom) -> Json:
    needs: Json = {}
    if action.needs.repair_heddles:
        needs["repair_heddles"] = list(action.needs.repair_heddles)
    if action.needs.spare_heddles:
        needs["spare_heddles"] = list(action.needs.spare_heddles)
    if action.needs.moves:
        needs["moves"] = [
            {"from": giver, "to": taker, "count": count} for giver, taker, count in action.needs.moves
        ]
    if action.needs.yarns:
        needs["weights"] = action.needs.weights
        needs["yarn"] = [{"key": key, "length_m": loom.length_m} for key in action.needs.yarns]
    return {
        "do": action.do,
        "ends": list(action.ends),
        "minutes": action.minutes,
        "slips": list(action.slips),
        "needs": needs,
    }
