"""The ways to mend slips: one where it is, several from one to another, several up to an edge."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from loomready.slips.actions import Action, Needs, Task
from loomready.slips.result import SLEYING
from loomready.slips.sentences import counted, in_order, sentence
from loomready.slips.wrong_lifts import of_treadles


def alone(task: Task, number: int) -> Iterator[Action]:
    """Ways to mend a slip of the threading where it is."""
    slip, rates = task.slips[number], task.rates
    end = slip.end or 1
    if slip.kind == "wrong shaft":
        yield Action(
            sentence("repair", planned=slip.planned, end=end),
            (end, end),
            rates.repair_heddle + rates.rethread,
            (number,),
            Needs(repair_heddles=(slip.planned or 0,)),
        )
        if slip.found:
            yield Action(
                sentence("cut", end=end, found=slip.found, planned=slip.planned),
                (end, end),
                rates.cut_off + rates.repair_heddle + rates.rethread,
                (number,),
            )
    elif slip.kind == "crossed":
        yield Action(
            sentence("cross", end=end, next=end + 1),
            (end, end + 1),
            rates.take_out + 2 * rates.rethread,
            (number,),
        )
    elif slip.kind == "skipped":
        yield Action(
            sentence("hang", end=end, planned=slip.planned),
            (end, end),
            rates.new_end + rates.repair_heddle + rates.rethread,
            (number,),
            Needs(repair_heddles=(slip.planned or 0,), yarns=(_yarn(task, end),)),
        )
    elif slip.kind == "round its heddle":
        yield Action(sentence("eye", end=end), (end, end), rates.take_out + rates.rethread, (number,))
    elif slip.kind in SLEYING:
        yield _sleyed(task, (number,), *_to_nearer_edge(task, end))
    else:
        place = min(end, task.ends)
        which = "before" if end <= task.ends else "after"
        yield Action(sentence(f"out_{which}", end=place), (place, place), rates.take_out, (number,))
        first, last = _to_nearer_edge(task, place)
        yield Action(
            sentence(f"close_{which}", end=place),
            (first, last),
            rates.take_out + rates.begin + (last - first + 1) * rates.resley,
            (number,),
        )


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
    steps = [sentence("rethread", first=first, last=last), *_with_repairs(repairs)]
    if missing:
        steps.append(counted("new" if missing > 0 else "out", abs(missing)))
    return Action(
        "; ".join(steps),
        (first, last),
        _rethreading(task, first, last) + _more(task, len(repairs), missing),
        tuple(numbers),
        Needs(repair_heddles=repairs, yarns=tuple(_yarn(task, end) for end in new)),
    )


def to_edge(task: Task, numbers: Sequence[int], *, first: bool) -> Action:
    """Rethread from the slips to the edge at end 1 (``first``) or to the other edge."""
    span = _span(task, numbers)
    start, stop = (1, span[1]) if first else (span[0], task.ends)
    if _only_sleying(task, numbers):
        return _sleyed(task, numbers, start, stop)
    heddles = _heddles(task, _lacking(task, numbers), 0 if first else 1)
    missing = _missing(task, numbers)
    edge = [end if first else task.ends + 1 - end for end in range(1, missing + 1)]
    moved = sum(count for _from, _to, count in heddles.moves)
    steps = [
        *(
            sentence("carry", count=count, planned=giver, found=taker)
            for giver, taker, count in heddles.moves
        ),
        sentence("rethread_edge", first=span[1] if first else start, last=1 if first else task.ends),
        *_with_repairs(heddles.repairs),
    ]
    if missing:
        steps.append(counted("new_edge" if missing > 0 else "out_edge", abs(missing)))
    return Action(
        "; ".join(steps),
        (start, stop),
        _rethreading(task, start, stop)
        + _more(task, len(heddles.repairs), missing)
        + moved * task.rates.carry,
        tuple(numbers),
        Needs(heddles.repairs, heddles.spare, tuple(_yarn(task, end) for end in edge), heddles.moves),
    )


def _rethreading(task: Task, first: int, last: int) -> float:
    return task.rates.begin + (last - first + 1) * task.rates.rethread


def _more(task: Task, repairs: int, missing: int) -> float:
    """Minutes for repair heddles and for ends that are hung or taken out."""
    ends = missing * task.rates.new_end if missing > 0 else -missing * task.rates.take_out
    return repairs * task.rates.repair_heddle + ends


def _to_nearer_edge(task: Task, end: int) -> tuple[int, int]:
    return (1, end) if end <= task.ends - end + 1 else (end, task.ends)


def _sleyed(task: Task, numbers: Sequence[int], first: int, last: int) -> Action:
    """These ends sleyed again, their heddles left as they are."""
    return Action(
        sentence("sley", first=first, last=last),
        (first, last),
        task.rates.begin + (last - first + 1) * task.rates.resley,
        tuple(numbers),
    )


def _only_sleying(task: Task, numbers: Sequence[int]) -> bool:
    return all(task.slips[number].kind in SLEYING for number in numbers)


def _with_repairs(shafts: tuple[int, ...]) -> list[str]:
    if not shafts:
        return []
    return [sentence("repairs_one" if len(shafts) == 1 else "repairs", shafts=in_order(shafts))]


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


@dataclass(frozen=True, slots=True)
class _Heddles:
    """Spare and repair heddles, a shaft for each; heddles carried: (from, to, how many)."""

    spare: tuple[int, ...]
    repairs: tuple[int, ...]
    moves: tuple[tuple[int, int, int], ...]


def _heddles(task: Task, lacking: Counter[int], side: int) -> _Heddles:
    """Where the heddles of a stretch up to an edge come from: spare ones there, ones carried there, new ones.

    Heddles are carried from the shafts that have most of them left beyond that edge.
    """
    spare = task.loom.spare
    if spare is None:
        return _Heddles(tuple(sorted(lacking.elements())), (), ())
    over = {shaft: beside[side] for shaft, beside in enumerate(spare, start=1)}
    there = {shaft: min(count, over.get(shaft, 0)) for shaft, count in lacking.items()}
    for shaft, count in there.items():
        if count:
            over[shaft] -= count
    moves: Counter[tuple[int, int]] = Counter()
    repairs: list[int] = []
    for shaft in sorted(lacking):
        for _heddle in range(lacking[shaft] - there[shaft]):
            giver = max(over, key=lambda each: (over[each], -each), default=0)
            if over.get(giver, 0) > 0:
                over[giver] -= 1
                moves[giver, shaft] += 1
            else:
                repairs.append(shaft)
    return _Heddles(
        tuple(sorted(Counter(there).elements())),
        tuple(repairs),
        tuple((giver, taker, count) for (giver, taker), count in sorted(moves.items())),
    )


def _yarn(task: Task, end: int) -> str | None:
    return task.loom.yarn[end - 1] if task.loom.yarn else None


def of_lifts(task: Task) -> Iterator[tuple[tuple[Action, ...], ...]]:
    """Ways to mend the wrong lifts, each a set of actions: the web is not touched."""
    rates, whole = task.rates, (1, task.ends)
    by_treadles, mended = of_treadles(task)
    for action in by_treadles:
        yield ((action,),)
    tied: dict[tuple[int | None, int | None], list[int]] = {}
    single: dict[int, list[int]] = {}  # by pick
    for number, slip in enumerate(task.slips):
        if slip.kind == "wrong lift" and slip.pick is not None and number not in mended:
            group = tied.setdefault((slip.planned, slip.found), []) if slip.tied else None
            (single.setdefault(slip.pick, []) if group is None else group).append(number)
    for (planned, found), numbers in tied.items():
        picks = in_order([task.slips[number].pick or 0 for number in numbers])
        do = sentence("tie_rises" if planned else "tie_sinks", picks=picks, shaft=planned or found)
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
    do = sentence("leave_one" if len(picks) == 1 else "leave", picks=in_order(picks))
    slips = tuple(sorted(number for pick in picks for number in single[pick]))
    return Action(do, (1, task.ends), 0.0, slips)


def _unwoven(task: Task, single: dict[int, list[int]], picks: Sequence[int]) -> Action:
    """Back to the first of these picks, which are woven again with all that follow."""
    count = task.picks - min(picks) + 1
    slips = tuple(sorted(number for pick in picks for number in single[pick]))
    do = sentence("unweave_one" if count == 1 else "unweave", count=count, pick=min(picks))
    return Action(do, (1, task.ends), count * task.rates.unweave, slips)
