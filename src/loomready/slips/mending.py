"""The cheapest way to mend what was found, all slips together.

Each slip can be mended where it is, or by rethreading a stretch of ends that holds several: up to an edge, or
from one slip to another that cancels it. Stretches do not overlap, so that the best set of them is found by
dynamic programming over the slips from end 1 on, with the next best sets beside it. Only a stretch that is
sleyed again, every end left in its heddle, may lie over slips that are mended apart: each choice of wrong
dents for such stretches is tried. The minutes are common practice, no source; a guild that knows better gives
its own :class:`Rates`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from loomready.slips.actions import Action as Action
from loomready.slips.actions import Mending as Mending
from loomready.slips.actions import Needs as Needs
from loomready.slips.actions import OnLoom as OnLoom
from loomready.slips.actions import Rates as Rates
from loomready.slips.actions import Task as Task
from loomready.slips.mending_options import alone as alone
from loomready.slips.mending_options import of_lifts
from loomready.slips.mending_options import to_edge as to_edge
from loomready.slips.mending_options import to_one_another as to_one_another
from loomready.slips.result import SLEYING, Slip
from loomready.slips.wrong_lifts import Pressed

BEST = 3  # sets of actions that are told
_MOST_TOGETHER = 40  # slips in a stretch that reaches no edge
_MOST_DENTS = 6  # wrong dents beside slips in heddles that are tried in every way


def mend(
    slips: Sequence[Slip],
    ends: int,
    picks: int,
    loom: OnLoom | None = None,
    rates: Rates | None = None,
    *,
    pressed: Pressed = (),
) -> tuple[Mending, ...]:
    """The cheapest sets of actions, cheapest first; none where nothing is to mend.

    :param ends: in the web as planned
    :param picks: of test weave, for lifts that could be unwoven
    :param pressed: the treadles of each pick, for treadles that could be tied wrong
    """
    if not slips:
        return ()
    task = Task(tuple(slips), ends, picks, loom or OnLoom(), rates or Rates(), pressed)
    threading = [place for place, slip in enumerate(slips) if slip.end is not None]
    order = sorted(threading, key=lambda place: slips[place].end or 0)
    dents = [place for place in order if slips[place].kind in SLEYING]
    apart = len(dents) <= _MOST_DENTS or len(dents) == len(order)
    best = _best_with_dents(task, order, dents if apart else [])
    for ways in of_lifts(task):
        best = _cheapest(
            [
                (minutes + sum(action.minutes for action in way), (*actions, *way))
                for minutes, actions in best
                for way in ways
            ]
        )
    proved = apart and len(threading) <= _MOST_TOGETHER
    return tuple(Mending(actions, minutes, proved) for minutes, actions in best)


_Set = tuple[float, tuple[Action, ...]]


def _cheapest(sets: list[_Set]) -> list[_Set]:
    """The cheapest sets, each once."""
    found: dict[frozenset[tuple[str, tuple[int, ...]]], _Set] = {}
    for each in sorted(sets, key=lambda each: (each[0], len(each[1]))):
        found.setdefault(frozenset((action.do, action.slips) for action in each[1]), each)
    return list(found.values())[:BEST]


def _best_with_dents(task: Task, order: list[int], dents: list[int]) -> list[_Set]:
    """The best sets, whichever of these dents are sleyed again apart from what is done in the heddles."""
    best = _best(task, order)
    if len(dents) == len(order):
        return best
    for number in range(1, len(dents) + 1):
        for some in combinations(dents, number):
            heddles = _best(task, [place for place in order if place not in some])
            best = _cheapest(
                best + [_both(one, other) for one in heddles for other in _best(task, list(some))]
            )
    return best


def _both(one: _Set, other: _Set) -> _Set:
    actions = sorted((*one[1], *other[1]), key=lambda action: (*action.ends, *action.slips))
    return one[0] + other[0], tuple(actions)


def _best(task: Task, order: list[int]) -> list[_Set]:
    """The best sets for the slips of the threading, in the order of their ends."""
    number = len(order)
    rest: list[list[_Set]] = [[] for _ in range(number)] + [[(0.0, ())]]  # for the slips from each on
    for place in range(number - 1, -1, -1):
        for action, stop in _actions(task, order, place):
            rest[place] += [(action.minutes + minutes, (action, *more)) for minutes, more in rest[stop]]
        rest[place] = _cheapest(rest[place])
    found = list(rest[0])
    for stop in range(1, number + 1):
        action = to_edge(task, order[:stop], first=True)
        found += [(action.minutes + minutes, (action, *more)) for minutes, more in rest[stop]]
    return _cheapest(found)


def _actions(task: Task, order: list[int], place: int) -> Iterator[tuple[Action, int]]:
    """Ways to mend this slip, alone or with those after it, and the next slip that is left."""
    for action in alone(task, order[place]):
        yield action, place + 1
    for stop in range(place + 2, min(len(order), place + _MOST_TOGETHER) + 1):
        between = to_one_another(task, order[place:stop])
        if between is not None:
            yield between, stop
    yield to_edge(task, order[place:], first=False), len(order)
