"""From the cells of a test weave to the slips that made them.

Ends are aligned with the planned threading (:mod:`align`). Lifts are looked at too: where all ends of a shaft
differ from the plan on one pick, or on every pick that should lift the same shafts, the lift was wrong and
not the threading. How many cells are misread is found from the cells: the rate that explains them best.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools
from loomready.slips import align
from loomready.slips.forward_backward import Mixed, Sums
from loomready.slips.naming import Naming
from loomready.slips.result import MOST_ODDS, Alternative, FoundSlips, Slip
from loomready.slips.test_picks import cannot_tell, used_shafts

AnyInts = npt.NDArray[np.integer]
Cells = npt.NDArray[np.int8]

UNSEEN = -1
MISREAD = 0.01  # share of the cells that are read wrongly, to begin with (common practice, no source)
_LEAST_MISREAD, _MOST_MISREAD = 1e-5, 0.2
_FEW_MISREAD = 10  # cells: so few may all be slips
_ROUNDS = 6  # of finding lifts and aligning again


@dataclass(frozen=True, slots=True, eq=False)
class _Web:
    """The question: cells with their sums, lifts as planned, the threading, and which ends say nothing."""

    up: npt.NDArray[np.float64]  # float[C, P]: seen with the warp on top
    down: npt.NDArray[np.float64]
    lifts: Bools
    planned: npt.NDArray[np.int64]  # int[E] in 0...S
    free: npt.NDArray[np.bool_]
    rare: align.Costs

    @property
    def seen(self) -> float:
        return float(self.up.sum() + self.down.sum())


@dataclass(frozen=True, slots=True, eq=False)
class _Answer:
    lifts: Bools
    misread: float
    path: align.Path
    score: float


def infer(
    cells: Cells,
    lifts: Bools,
    threading: AnyInts,
    free: npt.NDArray[np.bool_] | None = None,
    *,
    rare_in: int | None = None,
) -> FoundSlips:
    """The likeliest slips.

    :param cells: int8[P, C]: 1 warp on top, 0 weft on top, -1 unseen; C may differ from the number of ends
    :param lifts: bool[P, S], as they should have been
    :param threading: int[E], shafts from 0, as planned; -1: not threaded, always down
    :param free: bool[E], ends whose cells say nothing, like floating selvedges
    :param rare_in: ends of the whole web, of which this is a part: slips are as rare as there
    """
    shafts = lifts.shape[1]
    planned = np.where(threading < 0, shafts, threading).astype(np.int64)
    web = _Web(
        up=(cells == 1).T.astype(np.float64),
        down=(cells == 0).T.astype(np.float64),
        lifts=lifts,
        planned=planned,
        free=np.zeros(len(planned), dtype=np.bool_) if free is None else free,
        rare=align.costs(rare_in or len(planned), np.array(used_shafts(threading), dtype=np.int64), shafts),
    )
    return _told(web, _best(web))


def _codes(lifts: Bools) -> npt.NDArray[np.float64]:
    """float[P, S + 1]: each shaft's column of the lifts; the last, not threaded, is always down."""
    return np.pad(lifts, ((0, 0), (0, 1))).astype(np.float64)


def _misses(web: _Web, lifts: Bools) -> npt.NDArray[np.float64]:
    """float[C, S + 1]: seen cells of each column that differ from each shaft's lifts."""
    codes = _codes(lifts)
    misses: npt.NDArray[np.float64] = web.up @ (1.0 - codes) + web.down @ codes
    return misses


def _lattice(web: _Web, lifts: Bools, misread: float) -> align.Lattice:
    weight = math.log((1 - misread) / misread)
    loose = (web.up + web.down).sum(axis=1) * math.log(0.5 / (1 - misread))
    return align.Lattice(-weight * _misses(web, lifts), loose, web.planned, web.free, web.rare)


def _align(web: _Web, lifts: Bools, misread: float) -> _Answer:
    """``score``: the path's with all seen cells; a rate above the usual one is the less likely the higher."""
    path = _lattice(web, lifts, misread).best()
    score = path.score + web.seen * math.log1p(-misread) - max(0.0, math.log(misread / MISREAD))
    return _Answer(lifts, misread, path, score)


def _best(web: _Web) -> _Answer:
    best = _with_lifts(web, MISREAD)
    seen = max(web.seen, 1.0)
    found = min(max(_wrong_cells(web, best) / seen, _LEAST_MISREAD), _MOST_MISREAD)
    rates = {_LEAST_MISREAD} if found * seen <= _FEW_MISREAD else set()
    for rate in sorted(rates if 0.5 < found / MISREAD < 2 else {*rates, found}):
        other = _with_lifts(web, rate)
        if other.score > best.score:
            best = other
    return best


def _with_lifts(web: _Web, misread: float) -> _Answer:
    """Align, change the lifts that nearly all ends of a shaft contradict, align again."""
    price = math.log(max(web.lifts.size, 2)) + math.log(100)
    best = _align(web, web.lifts, misread)
    for _ in range(_ROUNDS):
        flips = _contradicted(web, best, price)
        if not flips.any():
            break
        other = _align(web, best.lifts ^ flips, misread)
        other = replace(other, score=other.score - price * _lift_slips(web, other.lifts))
        if other.score <= best.score:
            break
        best = other
    return best


def _lift_slips(web: _Web, lifts: Bools) -> int:
    """Wrong lifts; one shaft on every pick that should lift the same counts once."""
    wrong = lifts ^ web.lifts
    tied = _tied(web.lifts, wrong)
    alone = int((wrong & ~tied).sum())
    once = np.unique(web.lifts, axis=0, return_index=True)[1]
    return alone + int(tied[once].sum())


def _tied(lifts: Bools, wrong: Bools) -> Bools:
    """Wrong lifts that recur on every pick, of two or more, that should lift the same shafts."""
    _, group, count = np.unique(lifts, axis=0, return_inverse=True, return_counts=True)
    group = group.reshape(-1)
    every = np.ones((len(count), lifts.shape[1]), dtype=np.bool_)
    np.logical_and.at(every, group, wrong)
    tied: Bools = every[group] & (count[group] > 1)[:, None]
    return tied


def _contradicted(web: _Web, answer: _Answer, price: float) -> Bools:
    """Lifts, bool[P, S], that the cells speak against by more than the price of a wrong lift."""
    shafts = web.lifts.shape[1]
    there = answer.path.end >= 0
    of = web.planned[answer.path.end[there]]
    known = (of < shafts) & ~web.free[answer.path.end[there]]
    ends = np.zeros((int(known.sum()), shafts))
    ends[np.arange(len(ends)), of[known]] = 1.0
    up, down = web.up[there][known].T @ ends, web.down[there][known].T @ ends
    against = np.where(answer.lifts, down - up, up - down) * math.log((1 - answer.misread) / answer.misread)
    flips: Bools = against > price
    _, group = np.unique(web.lifts, axis=0, return_inverse=True)
    group = group.reshape(-1)
    summed = np.zeros((int(group.max(initial=-1)) + 1, shafts))
    np.add.at(summed, group, against)
    least = np.full_like(summed, np.inf)
    np.minimum.at(least, group, against)
    flips |= ((summed > price) & (least > 0))[group]
    return flips


def _wrong_cells(web: _Web, answer: _Answer) -> float:
    """Seen cells that differ from the plan with its slips."""
    shaft = _as_found(web, answer)
    misses = _misses(web, answer.lifts)[np.arange(len(shaft)), shaft]
    floating = (answer.path.end >= 0) & web.free[np.maximum(answer.path.end, 0)]
    return float(misses[~floating].sum())


def _as_found(web: _Web, answer: _Answer) -> npt.NDArray[np.int64]:
    """The shaft, 0...S, of each column."""
    shaft = np.where(answer.path.end >= 0, web.planned[np.maximum(answer.path.end, 0)], 0)
    for move in answer.path.moves:
        if move.kind in ("wrong shaft", "extra"):
            shaft[move.column] = move.shaft
        elif move.kind == "crossed":
            shaft[move.column], shaft[move.column + 1] = web.planned[move.end + 1], web.planned[move.end]
    return shaft


def _told(web: _Web, answer: _Answer) -> FoundSlips:
    shafts = web.lifts.shape[1]
    lattice = _lattice(web, answer.lifts, answer.misread)
    sums = _mixed(web, answer) if answer.path.moves else None
    slips: list[Slip] = []
    others: list[list[Slip]] = []
    for move in answer.path.moves:
        assert sums is not None
        taken = frozenset(other.end for other in answer.path.moves if other is not move)
        named, rest = Naming(lattice, sums, answer.path.end, taken).slip(move)
        slips.append(named)
        others.append(rest)
    for lift in _lift_slips_told(web, answer):
        slips.append(lift)
        others.append([])
    order = sorted(
        range(len(slips)), key=lambda n: (slips[n].end is None, slips[n].end or slips[n].pick or 0)
    )
    shaft = _as_found(web, answer)
    used = used_shafts(np.where(web.planned == shafts, -1, web.planned))
    return FoundSlips(
        slips=tuple(slips[n] for n in order),
        alternatives=tuple(Alternative(place, other) for place, n in enumerate(order) for other in others[n]),
        explains=1.0 - _wrong_cells(web, answer) / max(web.seen, 1.0),
        misread=answer.misread,
        cannot_tell=tuple((one + 1, other + 1) for one, other in cannot_tell(web.lifts, used)),
        threading=np.where(shaft == shafts, -1, shaft),
        score=answer.score,
    )


def _rates(answer: _Answer) -> list[float]:
    """Rates of misread cells that may be so: the likeliest, and the usual one.

    A few cells that all agree do not prove that nobody ever misreads one: odds are averages over both.
    """
    return sorted({answer.misread, MISREAD})


def _mixed(web: _Web, answer: _Answer) -> Mixed:
    rates = _rates(answer)
    sums = [Sums(_lattice(web, answer.lifts, rate)) for rate in rates]
    logs = np.array(
        [
            each.total + float(each.top.sum()) + web.seen * math.log1p(-rate)
            for each, rate in zip(sums, rates, strict=True)
        ]
    )
    shares = np.exp(logs - logs.max())
    return Mixed(tuple(zip((shares / shares.sum()).tolist(), sums, strict=True)))


def _lift_slips_told(web: _Web, answer: _Answer) -> list[Slip]:
    wrong = answer.lifts ^ web.lifts
    if not wrong.any():
        return []
    tied = _tied(web.lifts, wrong)
    price = math.log(max(web.lifts.size, 2)) + math.log(100)
    told = []
    for pick, shaft in np.argwhere(wrong).tolist():
        back = answer.lifts.copy()
        back[pick, shaft] ^= True
        if tied[pick, shaft]:
            back[(web.lifts == web.lifts[pick]).all(axis=1), shaft] = web.lifts[pick, shaft]
        likely = _lift_odds(web, answer, back, price)
        rises = bool(web.lifts[pick, shaft])
        told.append(
            Slip(
                "wrong lift",
                None,
                pick + 1,
                shaft + 1 if rises else None,
                None if rises else shaft + 1,
                likely,
                tied=bool(tied[pick, shaft]),
            )
        )
    return told


def _lift_odds(web: _Web, answer: _Answer, back: Bools, price: float) -> float:
    """The answer's lifts against these, on the same path and over the rates of misread cells."""
    wrong = [_wrong_cells(web, each) for each in (answer, replace(answer, lifts=back))]
    logs = np.array(
        [
            [web.seen * math.log1p(-rate) - count * math.log((1 - rate) / rate) for count in wrong]
            for rate in _rates(answer)
        ]
    )
    with_slip, without = np.logaddexp.reduce(logs, axis=0).tolist()
    return min(MOST_ODDS, math.exp(min(with_slip - price - without, 50.0)))
