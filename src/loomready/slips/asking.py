"""The question whose answer narrows most what one slip could be, like twenty questions.

Each question has a few answers, each of which is a tap. What it is worth is the information that its answer
is expected to give, in bits: the entropy of the answers, less what is lost to misreading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from loomready.slips import possible as states
from loomready.slips.possible import KINDS, MISREAD, SHOWS, SIGNS, Floats, Ints, Possible, Sign

SURE = 0.95  # of one possibility: nothing more is asked
_WINDOW = 4  # ends looked at together
_STRIPS = 4
_NARROW = 12  # ends in which a lift is worth a look
_LEAST_BITS = 0.02


@dataclass(frozen=True, slots=True)
class Where:
    """In which of these stretches, (first, last) end from 1, does the fault lie?

    Asked without stretches it stands for all such questions: nobody knows where.
    """

    stretches: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Looks:
    """How does it look?"""

    signs: tuple[Sign, ...]


@dataclass(frozen=True, slots=True)
class Lift:
    """Lift these shafts (from 1): which of these ends (from 1, counted on the loom) rise?

    ``patterns``: all answers that can be, the likeliest first, one bool for each end; ``masses``: how likely
    each is.
    """

    shafts: tuple[int, ...]
    ends: tuple[int, ...]
    patterns: tuple[tuple[bool, ...], ...]
    masses: tuple[float, ...]


Question = Where | Looks | Lift


def sure(possible: Possible) -> bool:
    place = int(possible.weight.argmax())
    return states.certainty(possible, place) >= SURE


def best(
    possible: Possible, lifts: Sequence[Sequence[int]], asked: Sequence[Question] = ()
) -> Question | None:
    """The question to ask next; None: one possibility is left, or no question would tell more.

    :param lifts: shafts (from 1) that can be lifted together, each a question that may be asked
    :param asked: what was asked already is not asked again
    """
    if sure(possible):
        return None
    first, last = _spread(possible)
    made: list[Question] = [Looks(SIGNS)]
    if last - first >= _NARROW:
        made.append(_where(possible, first, last))
    else:
        several = dict.fromkeys(tuple(sorted(each)) for each in lifts)
        for ends in _windows(possible):
            on = _on(possible, ends)
            made += [_lift(possible, each, ends, on) for each in several if each]
    worth = [(bits(possible, question), question) for question in made if not _known(question, asked)]
    most, question = max(worth, key=lambda each: each[0], default=(0.0, None))
    return question if most >= _LEAST_BITS else None


def bits(possible: Possible, question: Question) -> float:
    """The information that the answer is expected to give, in bits."""
    if isinstance(question, Where):
        sums = np.append(0.0, np.cumsum(_by_end(possible)))
        return _entropy(np.array([sums[last] - sums[first - 1] for first, last in question.stretches]))
    if isinstance(question, Looks):
        kinds = np.bincount(possible.kind, possible.weight, minlength=len(KINDS))
        lost = float(sum(share * _entropy(row) for share, row in zip(kinds.tolist(), SHOWS, strict=True)))
        return _entropy(kinds @ SHOWS) - lost
    misread = _entropy(np.array([MISREAD, 1 - MISREAD]))
    return _entropy(np.array(question.masses)) - len(question.ends) * misread


def _known(question: Question, asked: Sequence[Question]) -> bool:
    if isinstance(question, Lift):
        return any(
            isinstance(each, Lift) and (each.shafts, each.ends) == (question.shafts, question.ends)
            for each in asked
        )
    return any(type(each) is type(question) and each in (question, Where(())) for each in asked)


def _entropy(mass: Floats) -> float:
    share = mass[mass > 0] / mass.sum()
    return float(-(share * np.log2(share)).sum())


def _by_end(possible: Possible) -> Floats:
    """float[E + 1]: how likely the fault is at each end."""
    return np.bincount(possible.end, possible.weight, minlength=possible.ends + 1).astype(np.float64)


def _spread(possible: Possible) -> tuple[int, int]:
    """First and last end, from 0, between which the fault lies with 98 in 100."""
    sums = np.cumsum(_by_end(possible))
    last = min(int(np.searchsorted(sums, 0.99)), possible.ends - 1)
    return min(int(np.searchsorted(sums, 0.01)), last), last


def _where(possible: Possible, first: int, last: int) -> Where:
    """Stretches that are about equally likely; those at the edges reach as far as the fault may lie."""
    mass = _by_end(possible)
    while first > 0 and mass[first - 1] > mass[first] / 10:
        first -= 1
    while last + 1 < possible.ends and mass[last + 1] > mass[last] / 10:
        last += 1
    sums = np.cumsum(mass[first : last + 1])
    shares = np.arange(1, _STRIPS) / _STRIPS * sums[-1]
    cuts = sorted({first + int(cut) + 1 for cut in np.searchsorted(sums, shares)} - {last + 1})
    return Where(tuple((start + 1, stop) for start, stop in pairwise([first, *cuts, last + 1])))


def _windows(possible: Possible) -> list[tuple[int, ...]]:
    """The few ends, from 1, that the fault lies at most likely, and those beside them."""
    size = min(_WINDOW, possible.ends)
    sums = np.append(0.0, np.cumsum(_by_end(possible)[: possible.ends]))
    most = int(np.argmax(np.round(sums[size:] - sums[:-size], 12)))
    firsts = dict.fromkeys(min(max(most + step, 0), possible.ends - size) for step in (0, size, -size))
    return [tuple(range(first + 1, first + size + 1)) for first in firsts]


def _on(possible: Possible, ends: Sequence[int]) -> Ints:
    """int[N, H]: the shaft of each of these ends by each possibility."""
    return np.stack([possible.on(end - 1) for end in ends])


def _lift(possible: Possible, shafts: tuple[int, ...], ends: tuple[int, ...], on: Ints) -> Lift:
    rises = np.zeros(possible.shafts + 1, dtype=np.int64)
    rises[[shaft - 1 for shaft in shafts]] = 1
    code = (rises[on] << np.arange(len(ends))[:, None]).sum(axis=0)
    masses = np.bincount(code, possible.weight, minlength=1 << len(ends))
    order = [each for each in np.argsort(-masses, kind="stable").tolist() if masses[each] > 0]
    patterns = [tuple(bool(each >> place & 1) for place in range(len(ends))) for each in order]
    return Lift(shafts, ends, tuple(patterns), tuple(masses[order].tolist()))
