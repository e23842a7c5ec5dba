"""The fewest treadles that make a set of lifts, where a pick may press several: an exact search.

Shafts are bits of a whole number here, a lift the bits of what its treadles must add up to. With at
most q treadles a pick, some best tie-up has a simple shape:

- A lift either has a treadle of its own, tied to all of it, or it is the union of shared treadles.
- A shared treadle may be tied to all that its lifts have in common, so that it is the intersection of
  the lifts that press it; a treadle that a single lift presses may as well be that lift.

So only the lifts and their intersections are candidates, and most of those are dropped: one that no
q - 1 others fill up to the lift, one that fewer than two lifts can press, one that lies inside another
which the same lifts can press. What is left is a small covering problem without symmetry, solved and
proved by OR-Tools CP-SAT (one worker, a fixed start, a limit of effort and not of time: the same answer
on every machine).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import ceil, comb

_MOST_LIFTS = 600  # more are not searched: each keeps its treadle
_MOST_TREADLES_TRIED = 4_000  # shared treadles looked at
_MOST_PAIRS = 120_000  # pairs of a lift and a treadle inside it before pruning
_EFFORT = {2: 3.0, 3: 5.0}  # CP-SAT's deterministic time by feet: 10 and 20 seconds, seldom more
_SEED = 1


@dataclass(frozen=True, slots=True)
class FoundTreadles:
    """Treadles as bits of shafts, and a proved bound: no tie-up has fewer than ``at_least``."""

    treadles: tuple[int, ...]
    at_least: int


class Watch:
    """Follows a search and may end it; this one does neither, subclasses do."""

    def go_on(self) -> None:
        """Called between two steps; any exception it raises ends the search."""

    def between(self, at_least: int, found: int) -> None:
        """That many treadles are enough, and fewer than ``at_least`` are not. Must not raise."""

    def underway(self, stop: Callable[[], None]) -> None:
        """A step begins that ``stop`` can end early, from another thread too."""


_NOBODY = Watch()


@dataclass(frozen=True, slots=True)
class _Shared:
    """What may make each lift besides its own treadle: ``parts[l]`` lie inside l. ``all``: none left out."""

    parts: dict[int, set[int]]
    all: bool


def fewest(lifts: Iterable[int], feet: int, watch: Watch = _NOBODY, effort: float = 1.0) -> FoundTreadles:
    """The fewest treadles that make each of the lifts (different, none 0) with 1 to ``feet`` of them.

    :param effort: share of the usual limit of the search

    >>> sorted(fewest([0b01, 0b10, 0b11], 2).treadles)
    [1, 2]
    """
    wanted = sorted(set(lifts))
    own = FoundTreadles(tuple(wanted), len(wanted))
    if feet == 1 or len(wanted) < 3:
        return own
    best = own
    bound = _by_counting(len(wanted), feet)
    for so_many in range(2, feet + 1):
        watch.go_on()
        found = _search(wanted, so_many, best.treadles, watch, effort)
        watch.go_on()
        best = (
            found
            if len(found.treadles) < len(best.treadles)
            else FoundTreadles(best.treadles, found.at_least)
        )
    return FoundTreadles(best.treadles, max(bound, best.at_least))


def _by_counting(lifts: int, feet: int) -> int:
    """The number of treadles needed to have as many choices of 1 to ``feet`` of them as there are lifts."""
    treadles = 1
    while sum(comb(treadles, pressed) for pressed in range(1, feet + 1)) < lifts:
        treadles += 1
    return treadles


def pressed(lift: int, treadles: Sequence[int], feet: int) -> tuple[int, ...] | None:
    """The fewest of the treadles (their places) that make the lift, at most ``feet``; None: none do."""
    inside = [place for place, tied in enumerate(treadles) if tied & ~lift == 0]
    for so_many in range(1, feet + 1):
        for chosen in combinations(inside, so_many):
            made = 0
            for place in chosen:
                made |= treadles[place]
            if made == lift:
                return chosen
    return None


def _fills(rest: int, parts: Sequence[int] | set[int], so_many: int) -> bool:
    """Whether so many of the parts, at most, hold all of ``rest``."""
    if not rest:
        return True
    if so_many <= 1:
        return so_many == 1 and any(rest & ~part == 0 for part in parts)
    lowest = rest & -rest
    return any(part & lowest and _fills(rest & ~part, parts, so_many - 1) for part in parts)


def _maximal(parts: Iterable[int]) -> list[int]:
    found: list[int] = []
    for part in sorted(parts, key=lambda part: (-part.bit_count(), part)):
        if not any(part & ~other == 0 for other in found):
            found.append(part)
    return found


def _alone(lifts: list[int], feet: int) -> set[int]:
    """Lifts that must have a treadle of their own in any case."""
    alone: set[int] = set()
    settled = False
    while not settled:
        settled = True
        for lift in lifts:
            if lift in alone:
                continue
            parts = {lift & other for other in lifts if other != lift and other not in alone}
            parts |= {other for other in alone if other & ~lift == 0}
            parts.discard(0)
            if not _fills(lift, _maximal(parts), feet):
                alone.add(lift)
                settled = False
    return alone


def _intersections(lifts: list[int]) -> tuple[set[int], bool]:
    """Intersections of the lifts, themselves too, none empty; and whether these are all."""
    found, newest = set(lifts), set(lifts)
    while newest:
        fresh: set[int] = set()
        for part in sorted(newest):
            fresh.update(part & lift for lift in lifts)
            if len(found) + len(fresh) > _MOST_TREADLES_TRIED:
                return found, False
        newest = fresh - found - {0}
        found |= newest
    return found, True


def _shared(lifts: list[int], feet: int) -> _Shared:
    """Candidates for shared treadles, pruned until no more can be dropped."""
    if len(lifts) > _MOST_LIFTS:
        return _Shared({}, False)
    alone = _alone(lifts, feet)
    free = [lift for lift in lifts if lift not in alone]
    candidates, whole = _intersections(free)
    inside = sorted(candidates | alone)
    if len(free) * len(inside) > _MOST_PAIRS:
        inside, whole = sorted(free) + sorted(alone), False
        if len(free) * len(inside) > _MOST_PAIRS:
            return _Shared({}, False)
    parts = {lift: {part for part in inside if part & ~lift == 0 and part != lift} for lift in free}
    known = set(lifts)
    settled = False
    while not settled:
        settled = True
        for lift, its in parts.items():
            others = _maximal(its) if feet > 2 else its
            useless = {part for part in its if not _fills(lift & ~part, others, feet - 1)}
            its -= useless
            settled &= not useless
        users: dict[int, list[int]] = {}
        for lift, its in parts.items():
            for part in its:
                users.setdefault(part, []).append(lift)
        for part, lifting in users.items():
            if part in known:
                continue
            common = lifting[0]
            for lift in lifting:
                common &= lift
            # Fewer than two can press it, or what they have in common is a treadle just as good.
            if len(lifting) < 2 or (common != part and all(common in parts[lift] for lift in lifting)):
                for lift in lifting:
                    parts[lift].discard(part)
                settled = False
    return _Shared({lift: its for lift, its in parts.items() if its}, whole)


def _partners(rest: int, parts: list[int], feet: int) -> list[int]:
    """Parts of which one must be pressed beside a first part that leaves ``rest``.

    Those that hold a shaft of the rest and leave no more than the other feet can fill: the shaft with the
    fewest such parts is taken, because it narrows the search most.
    """
    able = [part for part in parts if part & rest and _fills(rest & ~part, parts, feet - 2)]
    shafts = [1 << place for place in range(rest.bit_length()) if rest >> place & 1]
    return min(([part for part in able if part & shaft] for shaft in shafts), key=len)


class _Near:
    """Reports the bound and the best tie-up whenever one of them changes."""

    def __init__(self, watch: Watch, found: int) -> None:
        self.watch, self.at_least, self.found = watch, 1, found

    def bound(self, at_least: float) -> None:
        self.at_least = max(self.at_least, ceil(at_least - 1e-6))
        self.watch.between(self.at_least, self.found)

    def tie_up(self, treadles: float) -> None:
        self.found = min(self.found, round(treadles))
        self.watch.between(self.at_least, self.found)


def _search(
    lifts: list[int], feet: int, start: tuple[int, ...], watch: Watch, effort: float
) -> FoundTreadles:
    """Cover the lifts with lifts and shared treadles; ``start`` is a tie-up that covers them."""
    shared = _shared(lifts, feet)
    if not any(shared.parts.values()):
        return FoundTreadles(tuple(lifts), len(lifts) if shared.all else 1)
    from ortools.sat.python import cp_model  # takes 0.3 s to import: only when there is something to share

    model = cp_model.CpModel()
    known = set(lifts)
    everything = sorted(set().union(known, *shared.parts.values()))
    tied = {part: model.new_bool_var(f"tied {part}") for part in everything}
    presses: dict[int, list[cp_model.IntVar]] = {part: [] for part in everything}
    begun = set(start)
    for part, is_tied in tied.items():
        model.add_hint(is_tied, part in begun)
    for lift in lifts:
        its = sorted(shared.parts.get(lift, ()))
        own = tied[lift]
        if not its:
            model.add(own == 1)
            continue
        first = () if lift in begun else pressed(lift, start, feet) or ()
        hinted = {start[place] for place in first}
        use = {part: model.new_bool_var(f"{lift} presses {part}") for part in its}
        for part, uses in use.items():
            model.add_implication(uses, tied[part])
            model.add_implication(own, ~uses)
            model.add_hint(uses, part in hinted)
            presses[part].append(uses)
            partners = _partners(lift & ~part, its, feet)
            model.add_bool_or([~uses, *(use[other] for other in partners)])
        model.add(sum(use.values()) + feet * own <= feet)
        rest = lift
        while rest:
            shaft = rest & -rest
            rest ^= shaft
            model.add_bool_or([own, *(uses for part, uses in use.items() if part & shaft)])
    for part, pressing in presses.items():
        if part not in known:  # a treadle for one lift alone may as well be that lift
            model.add(sum(pressing) >= 2 * tied[part])
    model.minimize(sum(tied.values()))
    solver = cp_model.CpSolver()
    settings = solver.parameters
    settings.num_workers = 1
    settings.random_seed = _SEED
    size = sum(map(len, shared.parts.values()))
    settings.max_deterministic_time = (
        effort * _EFFORT[feet] / (1 + size / 3_000)
    )  # a step costs more in a large model
    settings.linearization_level = 2
    settings.catch_sigint_signal = False
    near = _Near(watch, len(start))
    solver.best_bound_callback = near.bound
    watch.underway(solver.stop_search)

    class Reporter(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            near.tie_up(self.objective_value)

    status = solver.solve(model, Reporter())
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return FoundTreadles(tuple(lifts), 1)
    chosen = tuple(part for part in everything if solver.boolean_value(tied[part]))
    return FoundTreadles(chosen, round(solver.best_objective_bound) if shared.all else 1)
