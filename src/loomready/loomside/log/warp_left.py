"""Is there enough warp left: warp and weft left, what is still to weave, and where a border must start.

Woven cloth takes up warp: it uses its length times (1 + take-up). A pick takes the width in the reed times
(1 + weft take-up). What was measured at the loom replaces what was planned.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from loomready.loomside.steps.weaving import weaving
from loomready.phrases import listed, phrase
from loomready.problems import BadInput
from loomready.warp.result import WarpPlan


@dataclass(frozen=True, slots=True)
class Figures:
    """What the calculation needs of a plan.

    warp_mm   warp that can be woven off: its length less what this loom cannot weave
    take_up   share added to what is woven
    stretches (first pick, last pick, mm a pick); pieces (first pick, last pick, border picks, mm of
              warp for its fringes and header)
    pick_m    one strand of weft in a pick, m; wefts  (first pick, last pick, yarn of each pick until they
              begin again, strands in a pick)
    """

    warp_mm: float
    take_up: float
    stretches: tuple[tuple[int, int, float], ...]
    pieces: tuple[tuple[int, int, int, float], ...]
    pick_m: float
    wefts: tuple[tuple[int, int, tuple[str, ...], int], ...]
    grams_per_m: dict[str, float]


@dataclass(frozen=True, slots=True)
class Reach:
    """``spare_mm``: warp left over at the end, negative where it is short. ``last_pick``: the last that the
    warp gives. ``border_from``: the pick with which this piece's closing border must start.
    ``weft``: (yarn, g still needed, g there, enough) for each yarn that was weighed.
    """

    woven_mm: float
    to_weave_mm: float
    spare_mm: float
    last_pick: int
    reaches: bool
    border_from: int
    weft: tuple[tuple[str, float, float, bool], ...]


def figures(plan: WarpPlan) -> Figures:
    job = weaving(plan)
    keys = dict.fromkeys(key for stretch in job.stretches for key in stretch.yarns)
    return Figures(
        warp_mm=(plan.warp_length_m - plan.lengths.left_over_m) * 1000,
        take_up=plan.order.take_up,
        stretches=tuple((each.first, each.last, each.mm_per_pick) for each in job.stretches),
        pieces=tuple(
            (
                each.first,
                each.last,
                each.border,
                (each.fringe_m + each.header_m * (1 + plan.order.take_up)) * 1000,
            )
            for each in job.pieces
        ),
        pick_m=plan.width_in_reed_mm / 1000 * (1 + plan.order.weft_take_up),
        wefts=tuple((each.first, each.last, each.yarns, each.strands) for each in job.stretches),
        grams_per_m={key: plan.guild.yarn(key).tex / 1000 for key in keys},
    )


def reach(
    of: Figures,
    picks: int,
    *,
    woven_mm: float | None = None,
    warp_left_mm: float | None = None,
    border: int | None = None,
    weft_left_g: dict[str, float] | None = None,
) -> Reach:
    """
    :param picks: woven so far
    :param woven_mm: what they measure on the loom, tension off; None: as planned
    :param warp_left_mm: from the fell to where this loom stops; None: calculated from what was woven
    :param border: picks of the closing border; None: the piece's hem
    :param weft_left_g: yarn key to grams there
    :raises BadInput: a measure that is not valid
    """
    total = of.stretches[-1][1]
    if not 0 <= picks <= total:
        raise BadInput(phrase("{picks} picks; expected 0 to {total}", picks=picks, total=total))
    planned_mm = _length(of, 1, picks)
    if woven_mm is not None and not 0 < woven_mm < 1e7:
        raise BadInput(phrase("what is woven has no length; expected more than 0"))
    if warp_left_mm is not None and not 0 <= warp_left_mm < 1e7:
        raise BadInput(phrase("the warp that is left has no length; expected 0 or more"))
    stretch = woven_mm / planned_mm if woven_mm is not None and planned_mm else 1.0
    done_mm = planned_mm * stretch
    to_weave_mm = _length(of, picks + 1, total) * stretch
    fringe_mm = sum(fringe for _, last, _, fringe in of.pieces if last > picks)
    passed_mm = sum(fringe for _, last, _, fringe in of.pieces if last <= picks)
    if warp_left_mm is None:
        warp_left_mm = of.warp_mm - done_mm * (1 + of.take_up) - passed_mm
    spare_mm = warp_left_mm - to_weave_mm * (1 + of.take_up) - fringe_mm
    # Each piece rounds its picks up: less than a pick per piece is not a shortage.
    slack_mm = sum(mm for _, _, mm in of.stretches) * stretch * (1 + of.take_up)
    last_pick = total if spare_mm > -slack_mm else _last_pick(of, picks, warp_left_mm, stretch)
    piece = next((each for each in of.pieces if each[1] > picks), of.pieces[-1])
    closing = piece[2] if border is None else border
    return Reach(
        woven_mm=done_mm,
        to_weave_mm=to_weave_mm,
        spare_mm=spare_mm,
        last_pick=last_pick,
        reaches=last_pick >= total,
        border_from=max(piece[0], min(piece[1], last_pick) - closing + 1),
        weft=tuple(_weft(of, picks, key, there) for key, there in (weft_left_g or {}).items()),
    )


def _length(of: Figures, first: int, last: int) -> float:
    return sum(max(0, min(last, stop) - max(first, start) + 1) * mm for start, stop, mm in of.stretches)


def _last_pick(of: Figures, picks: int, left_mm: float, stretch: float) -> int:
    """The last pick that the warp gives, fringes of the pieces begun so far kept free."""
    low, high = picks, of.stretches[-1][1]
    while low < high:
        middle = (low + high + 1) // 2
        fringe = sum(each for first, last, _, each in of.pieces if last > picks and first <= middle)
        needed = _length(of, picks + 1, middle) * stretch * (1 + of.take_up) + fringe
        low, high = (middle, high) if needed <= left_mm + 1e-6 else (low, middle - 1)
    return low


def _weft(of: Figures, picks: int, key: str, there_g: float) -> tuple[str, float, float, bool]:
    if key not in of.grams_per_m:
        raise BadInput(
            phrase(
                'no pick is woven with "{key}"; expected one of {yarns}',
                key=key,
                yarns=listed(of.grams_per_m),
            )
        )
    if not 0 <= there_g < 1e7 or not math.isfinite(there_g):
        raise BadInput(phrase("the weft that is left has no weight; expected 0 or more"))
    count = 0
    for first, last, repeat, strands in of.wefts:
        woven = max(0, min(picks, last) - first + 1)
        count += strands * (_times(repeat, key, last - first + 1) - _times(repeat, key, woven))
    needed = count * of.pick_m * of.grams_per_m[key]
    return key, needed, there_g, needed <= there_g + 1e-9


def _times(repeat: tuple[str, ...], key: str, picks: int) -> int:
    whole, part = divmod(picks, len(repeat))
    return whole * repeat.count(key) + repeat[:part].count(key)
