"""The cheapest way to mend what was found, all slips together.

Each slip can be mended where it is, or by rethreading a stretch of ends that holds several: up to an edge, or
from one slip to another that cancels it. Stretches do not overlap, so that the best set of them is found by
dynamic programming over the slips from end 1 on, with the next best sets beside it. The minutes are common
practice, no source; a guild that knows better gives its own :class:`Rates`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from loomready.slips.found import SLEYING, Slip

BEST = 3  # sets of actions that are told
_MOST_TOGETHER = 40  # slips in a stretch that reaches no edge


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
    """

    begin: float = 4.0
    rethread: float = 1.0
    resley: float = 0.5
    repair_heddle: float = 5.0
    new_end: float = 8.0
    take_out: float = 2.0
    retie: float = 3.0
    unweave: float = 0.5


@dataclass(frozen=True, slots=True)
class OnLoom:
    """What the loom and the shelf have; None: not known, so that what is needed is only listed.

    spare       heddles over on each shaft of the draft: at the side of end 1, at the other side
    yarn        key of the yarn of each end
    length_m    of the warp, for a new end
    even        its shafts hang in balance: half of them rise, the others sink (a counterbalance loom)
    """

    spare: tuple[tuple[int, int], ...] | None = None
    yarn: tuple[str, ...] | None = None
    length_m: float | None = None
    even: bool = False


@dataclass(frozen=True, slots=True)
class Needs:
    """A shaft (from 1) for each repair or spare heddle; for each new end its yarn's key, None: not known."""

    repair_heddles: tuple[int, ...] = ()
    spare_heddles: tuple[int, ...] = ()
    yarns: tuple[str | None, ...] = ()

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
    """A set of actions that mends everything. ``proved``: no other set of the ways known here is cheaper."""

    actions: tuple[Action, ...]
    minutes: float
    proved: bool


@dataclass(frozen=True, slots=True)
class Task:
    """What mending depends on: the slips from end 1 on, the threading (shafts from 1), the picks woven."""

    slips: tuple[Slip, ...]
    ends: int
    picks: int
    loom: OnLoom
    rates: Rates


def mend(
    slips: Sequence[Slip], ends: int, picks: int, loom: OnLoom | None = None, rates: Rates | None = None
) -> tuple[Mending, ...]:
    """The cheapest sets of actions, cheapest first; none where nothing is to mend.

    :param ends: in the web as planned
    :param picks: of test weave, for lifts that could be unwoven
    """
    if not slips:
        return ()
    task = Task(tuple(slips), ends, picks, loom or OnLoom(), rates or Rates())
    threading = [place for place, slip in enumerate(slips) if slip.end is not None]
    best = _best(task, sorted(threading, key=lambda place: slips[place].end or 0))
    for ways in _lifts(task):
        best = _cheapest(
            [
                (minutes + sum(action.minutes for action in way), (*actions, *way))
                for minutes, actions in best
                for way in ways
            ]
        )
    proved = len(threading) <= _MOST_TOGETHER
    return tuple(Mending(actions, minutes, proved) for minutes, actions in best)


_Set = tuple[float, tuple[Action, ...]]


def _cheapest(sets: list[_Set]) -> list[_Set]:
    return sorted(sets, key=lambda each: (each[0], len(each[1])))[:BEST]


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


def alone(task: Task, number: int) -> Iterator[Action]:
    """Ways to mend a slip of the threading where it is."""
    slip, rates = task.slips[number], task.rates
    end = slip.end or 1
    if slip.kind == "wrong shaft":
        yield Action(
            f"tie in a repair heddle on shaft {slip.planned} and thread end {end} through it",
            (end, end),
            rates.repair_heddle + rates.rethread,
            (number,),
            Needs(repair_heddles=(slip.planned or 0,)),
        )
    elif slip.kind == "crossed":
        yield Action(
            f"thread ends {end} and {end + 1} again, each through the other's heddle; if they cross between "
            "heddles and reed, only sley them again",
            (end, end + 1),
            rates.take_out + 2 * rates.rethread,
            (number,),
        )
    elif slip.kind == "skipped":
        yield Action(
            f"hang a new end {end} over the back beam from a weight, through a repair heddle on shaft "
            f"{slip.planned}, into the dent of a neighbor",
            (end, end),
            rates.new_end + rates.repair_heddle + rates.rethread,
            (number,),
            Needs(repair_heddles=(slip.planned or 0,), yarns=(_yarn(task, end),)),
        )
    elif slip.kind == "round its heddle":
        yield Action(
            f"take end {end} out and thread it again, through the eye of its heddle",
            (end, end),
            rates.take_out + rates.rethread,
            (number,),
        )
    elif slip.kind in SLEYING:
        yield _sleyed(task, (number,), *_to_nearer_edge(task, end))
    else:
        before = f"the end before end {end}" if end <= task.ends else f"the end after end {task.ends}"
        place = min(end, task.ends)
        yield Action(
            f"take out {before}; its place in the dent stays empty", (place, place), rates.take_out, (number,)
        )
        first, last = _to_nearer_edge(task, place)
        yield Action(
            f"take out {before} and sley again from there to the nearer edge",
            (first, last),
            rates.take_out + rates.begin + (last - first + 1) * rates.resley,
            (number,),
        )


def _to_nearer_edge(task: Task, end: int) -> tuple[int, int]:
    return (1, end) if end <= task.ends - end + 1 else (end, task.ends)


def _sleyed(task: Task, numbers: Sequence[int], first: int, last: int) -> Action:
    """These ends sleyed again, their heddles left as they are."""
    return Action(
        f"sley again from end {first} to end {last}",
        (first, last),
        task.rates.begin + (last - first + 1) * task.rates.resley,
        tuple(numbers),
    )


def _only_sleying(task: Task, numbers: Sequence[int]) -> bool:
    return all(task.slips[number].kind in SLEYING for number in numbers)


def to_one_another(task: Task, numbers: Sequence[int]) -> Action | None:
    """Rethread from the first of several slips to the last; ends that do not cancel are hung or taken out.

    None: dents do not cancel. Where only dents are wrong the ends stay in their heddles.
    """
    first, last = _span(task, numbers)
    kinds = Counter(task.slips[number].kind for number in numbers)
    if kinds["empty dent"] != kinds["crowded dent"]:
        return None
    if _only_sleying(task, numbers):
        return _sleyed(task, numbers, first, last)
    repairs = tuple(sorted(_lacking(task, numbers).elements()))
    missing = _missing(task, numbers)
    skipped = [task.slips[number].end or 1 for number in numbers if task.slips[number].kind == "skipped"]
    new = skipped[len(skipped) - max(0, missing) :]
    more = _with_repairs(repairs)
    if missing > 0:
        more += f"; hang {_ends(missing, 'new ')} from a weight, into the dents of neighbors"
    elif missing < 0:
        more += f"; take out {_ends(-missing)}, the places in the dents stay empty"
    return Action(
        f"thread and sley again from end {first} to end {last}{more}",
        (first, last),
        _rethreading(task, first, last)
        + len(repairs) * task.rates.repair_heddle
        + max(0, missing) * task.rates.new_end
        + max(0, -missing) * task.rates.take_out,
        tuple(numbers),
        Needs(repair_heddles=repairs, yarns=tuple(_yarn(task, end) for end in new)),
    )


def _ends(count: int, which: str = "") -> str:
    return f"{count} {which}{'end' if count == 1 else 'ends'}"


def to_edge(task: Task, numbers: Sequence[int], *, first: bool) -> Action:
    """Rethread from the slips to the edge at end 1 (``first``) or to the other edge."""
    rates = task.rates
    span = _span(task, numbers)
    start, stop = (1, span[1]) if first else (span[0], task.ends)
    if _only_sleying(task, numbers):
        return _sleyed(task, numbers, start, stop)
    spare, repairs = _heddles(task, _lacking(task, numbers), 0 if first else 1)
    missing = _missing(task, numbers)
    edge = [end if first else task.ends + 1 - end for end in range(1, missing + 1)]
    more = f"{_with_repairs(repairs)}"
    if missing > 0:
        more += f"; hang {_ends(missing, 'new ')} at the edge from a weight"
    elif missing < 0:
        more += f"; take out {_ends(-missing)} at the edge"
    return Action(
        f"thread and sley again from end {span[1] if first else start} to the edge at end "
        f"{1 if first else task.ends}{more}",
        (start, stop),
        _rethreading(task, start, stop)
        + len(repairs) * rates.repair_heddle
        + max(0, missing) * rates.new_end
        + max(0, -missing) * rates.take_out,
        tuple(numbers),
        Needs(repairs, spare, tuple(_yarn(task, end) for end in edge)),
    )


def _rethreading(task: Task, first: int, last: int) -> float:
    return task.rates.begin + (last - first + 1) * task.rates.rethread


def _with_repairs(shafts: tuple[int, ...]) -> str:
    if not shafts:
        return ""
    heddles = "a repair heddle" if len(shafts) == 1 else "repair heddles"
    return f", with {heddles} on {_shaft(shafts)} {_listed(shafts)}"


def _shaft(shafts: tuple[int, ...]) -> str:
    return "shaft" if len(shafts) == 1 else "shafts"


def _span(task: Task, numbers: Sequence[int]) -> tuple[int, int]:
    """The first and the last planned end that these slips touch."""
    slips = [task.slips[number] for number in numbers]
    last = max((slip.end or 1) + (slip.kind == "crossed") for slip in slips)
    return min(min(slip.end or 1 for slip in slips), task.ends), min(last, task.ends)


def _missing(task: Task, numbers: Sequence[int]) -> int:
    """Ends that are missing among these slips, less those too many."""
    kinds = Counter(task.slips[number].kind for number in numbers)
    return kinds["skipped"] - kinds["extra"]


def _lacking(task: Task, numbers: Sequence[int]) -> Counter[int]:
    """Heddles that a stretch with these slips lacks on each shaft, once all its heddles are used again."""
    lacking: Counter[int] = Counter()
    for number in numbers:
        slip = task.slips[number]
        if slip.kind in ("wrong shaft", "skipped") and slip.planned:
            lacking[slip.planned] += 1
        if slip.kind in ("wrong shaft", "extra") and slip.found:
            lacking[slip.found] -= 1
    return +lacking


def _heddles(task: Task, lacking: Counter[int], side: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Shafts of the spare heddles at this side that serve, and of the repair heddles that are needed."""
    spare = task.loom.spare
    there = lacking
    if spare is not None:
        there = Counter({shaft: min(count, spare[shaft - 1][side]) for shaft, count in lacking.items()})
    return tuple(sorted(there.elements())), tuple(sorted((lacking - there).elements()))


def _yarn(task: Task, end: int) -> str | None:
    return task.loom.yarn[end - 1] if task.loom.yarn else None


def _lifts(task: Task) -> Iterator[tuple[tuple[Action, ...], ...]]:
    """Ways to mend the wrong lifts, each a set of actions: the web is not touched."""
    rates, whole = task.rates, (1, task.ends)
    tied: dict[tuple[int | None, int | None], list[int]] = {}
    single: dict[int, list[int]] = {}  # by pick
    for number, slip in enumerate(task.slips):
        if slip.kind == "wrong lift" and slip.pick is not None:
            group = tied.setdefault((slip.planned, slip.found), []) if slip.tied else None
            (single.setdefault(slip.pick, []) if group is None else group).append(number)
    for (planned, found), numbers in tied.items():
        picks = _listed([task.slips[number].pick or 0 for number in numbers])
        so = "rises" if planned else "stays down"
        do = f"tie the treadle of picks {picks} again, so that shaft {planned or found} {so}"
        yield ((Action(do, whole, rates.retie, tuple(numbers)),),)
    if single:
        picks_wrong = sorted(single, reverse=True)
        yield (
            (_left(task, single, picks_wrong),),
            *(
                (
                    *((_left(task, single, picks_wrong[place + 1 :]),) if picks_wrong[place + 1 :] else ()),
                    _unwoven(task, single, picks_wrong[: place + 1]),
                )
                for place in range(len(picks_wrong))
            ),
        )


def _left(task: Task, single: dict[int, list[int]], picks: Sequence[int]) -> Action:
    one = len(picks) == 1
    do = f"leave {'pick' if one else 'picks'} {_listed(picks)} as {'it is' if one else 'they are'}"
    slips = tuple(sorted(number for pick in picks for number in single[pick]))
    return Action(f"{do}: it is test weave", (1, task.ends), 0.0, slips)


def _unwoven(task: Task, single: dict[int, list[int]], picks: Sequence[int]) -> Action:
    """Back to the first of these picks, which are woven again with all that follow."""
    count = task.picks - min(picks) + 1
    slips = tuple(sorted(number for pick in picks for number in single[pick]))
    do = f"unweave {count} {'pick' if count == 1 else 'picks'} and weave again from pick {min(picks)}"
    return Action(do, (1, task.ends), count * task.rates.unweave, slips)


def _listed(numbers: Sequence[int]) -> str:
    said = [str(number) for number in sorted(numbers)]
    return " and ".join([", ".join(said[:-1]), said[-1]] if said[1:] else said)
