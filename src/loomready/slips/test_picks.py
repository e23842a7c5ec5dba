"""Test picks: lifts that tell the shafts of a threading apart.

In a set of picks each shaft has a code: up or down in each of them. Two shafts can be told apart in the cloth
exactly when their codes differ, so k picks tell at most 2^k shafts apart and ceil(log2 S) picks are needed
for S shafts. That many are enough, since any S different codes will do: a separating system of sets (A.
Renyi, 1961; G. Katona, *J. Combinatorial Theory* 1 (1966) 174-194; both from memory).

Where all codes differ, every single slip changes the cloth: a wrong shaft one end, crossed neighbors two, a
skipped or extra end the number of ends from there on. What stays open is only which end of a run on one shaft
is missing or is one too many. So picks that tell the shafts apart tell these slips apart too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools
from loomready.draft.structure import floats as measured
from loomready.phrases import phrase
from loomready.problems import Impossible

AnyInts = npt.NDArray[np.integer]

MOST_PICKS = 24
USUAL_FLOATS = 6  # threads: a test weave may be loose (common practice, no source)
_EFFORT = 4.0  # CP-SAT's deterministic time for each number of picks
_SEED = 1
_CODES_TRIED = 60_000
_STARTS = 6  # beginnings of the search for codes that differ much


@dataclass(frozen=True, slots=True, eq=False)
class TestPicks:
    """Picks of test weave.

    lifts           bool[P, S], true where a shaft is up
    proved          no fewer picks do it
    apart           in how many picks any two used shafts differ at least; 0: some two are the same
    longest_*_float of the threading woven so, the picks repeated; None: a thread never interlaces
    """

    __test__ = False  # a name that begins with Test is not a case for pytest

    lifts: Bools
    proved: bool
    apart: int
    longest_warp_float: int | None
    longest_weft_float: int | None

    def __post_init__(self) -> None:
        self.lifts.flags.writeable = False

    @property
    def picks(self) -> tuple[tuple[int, ...], ...]:
        """The shafts of each pick, from 1."""
        return shafts_up(self.lifts)


def shafts_up(lifts: Bools) -> tuple[tuple[int, ...], ...]:
    """The shafts up in each pick, from 1."""
    return tuple(tuple((np.flatnonzero(row) + 1).tolist()) for row in lifts)


def used_shafts(threading: AnyInts) -> tuple[int, ...]:
    """Shafts (from 0) that hold an end."""
    return tuple(np.unique(threading[threading >= 0]).tolist())


def fewest(threading: AnyInts, shafts: int) -> TestPicks:
    """The fewest lifts by which every two used shafts differ: ceil(log2 S) of them, proved by counting.

    Shafts get codes in pairs, each the opposite of the other, so that every pick lifts about half of them.

    :param threading: int[E], shafts from 0, -1: not threaded
    """
    used = used_shafts(threading)
    bits = (len(used) - 1).bit_length() if used else 0
    lifts = np.zeros((bits, shafts), dtype=np.bool_)
    for place, shaft in enumerate(used):
        code = place // 2 if place % 2 else ~(place // 2)
        for pick in range(bits):
            lifts[pick, shaft] = code >> (bits - 1 - pick) & 1
    return told(lifts, threading, proved=True)


def fewest_woven(threading: AnyInts, shafts: int, most: int, effort: float = 1.0) -> TestPicks:
    """The fewest picks that tell the shafts apart and weave a cloth with floats of at most ``most`` threads.

    Picks repeat. A run of ends on one shaft floats in the weft over all of them whatever is lifted: such runs
    are let pass.

    :param effort: share of the usual limit of each search
    :raises Impossible: no number of picks does it
    """
    used = used_shafts(threading)
    _possible(used, most)
    windows = _windows(threading, most)
    proved, looked = True, False
    for picks in range(max(2, (len(used) - 1).bit_length()), MOST_PICKS + 1):
        if picks <= 16 and _codes(picks, most).size < len(used):
            continue
        found, decided = _search(used, shafts, picks, most, windows, effort)
        if found is not None:
            return told(found, threading, proved=proved)
        proved &= decided
        if not looked:
            _all_told_by_some_pick(used, windows, most)
            looked = True
    raise Impossible(
        phrase(
            "no {picks} picks with floats of at most {most} were found; expected longer floats",
            picks=MOST_PICKS,
            most=most,
        )
    )


def well_apart(threading: AnyInts, shafts: int, picks: int, most: int) -> TestPicks:
    """So many picks in which the used shafts differ as often as a search finds: some cells may be misread.

    Floats are at most ``most`` threads, the picks repeated, but for runs of ends on one shaft. A search from
    fixed beginnings: the best that it finds, not proved.

    :raises Impossible: so few picks do not tell the shafts apart with such floats
    """
    used = used_shafts(threading)
    _possible(used, most)
    windows = _windows(threading, most)
    if picks > 16:
        random = np.random.default_rng(_SEED)
        codes = _short_runs(random.integers(0, 1 << min(picks, 62), 8 * _CODES_TRIED), picks, most)
    else:
        codes = _codes(picks, most)
    best: npt.NDArray[np.int64] | None = None
    distance = 0
    for start in range(_STARTS):
        found = _far_codes(used, codes, picks, windows, start)
        if found is not None:
            least = _least_distance(found)
            if best is None or least > distance:
                best, distance = found, least
    if best is not None and distance > 0:
        lifts = np.zeros((picks, shafts), dtype=np.bool_)
        lifts[:, list(used)] = _bits(best, picks).T
        return told(lifts, threading)
    _all_told_by_some_pick(used, windows, most)
    found_lifts, _ = _search(used, shafts, picks, most, windows, 1.0) if picks > 1 else (None, True)
    if found_lifts is None:
        raise Impossible(
            phrase(
                "{picks} picks with floats of at most {most} were not found to tell {shafts} shafts apart; "
                "expected more picks or longer floats",
                picks=picks,
                most=most,
                shafts=len(used),
            )
        )
    return told(found_lifts, threading)


def apart(lifts: Bools, used: Sequence[int]) -> int:
    """In how many picks any two of the shafts differ at least; with fewer than two shafts, all picks."""
    if len(used) < 2:
        return len(lifts)
    codes = lifts[:, list(used)].T.astype(np.int32)
    same = codes @ codes.T + (1 - codes) @ (1 - codes.T)
    np.fill_diagonal(same, 0)
    return int(len(lifts) - same.max())


def alike(lifts: Bools, used: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """Groups of two or more used shafts (from 0) that these picks lift alike."""
    groups: dict[bytes, list[int]] = {}
    for shaft in used:
        groups.setdefault(lifts[:, shaft].tobytes(), []).append(shaft)
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)


def cannot_tell(lifts: Bools, used: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """Pairs of used shafts (from 0) that these picks do not tell apart."""
    pairs = [(one, other) for group in alike(lifts, used) for one in group for other in group if one < other]
    return tuple(sorted(pairs))


def more_picks(lifts: Bools, used: Sequence[int]) -> Bools:
    """The fewest picks more that tell apart what these do not, bool[n, S]; the first leaves least untold.

    Each halves every group of shafts that lift alike; n = ceil(log2 of the largest group).
    """
    groups = alike(lifts, used)
    largest = max(map(len, groups), default=1)
    more = np.zeros(((largest - 1).bit_length(), lifts.shape[1]), dtype=np.bool_)
    for pick in range(len(more)):
        pieces = [list(group) for group in alike(np.concatenate([lifts, more[:pick]]), used)]
        for number, group in enumerate(pieces):
            more[pick, group[number % 2 :: 2]] = True  # halves of odd groups are rounded up and down in turn
        if not more[pick].any():
            more[pick, pieces[0][0]] = True
    return more


def one_by_one(
    threading: AnyInts, groups: Sequence[tuple[int, int]]
) -> Iterator[tuple[int, list[list[int]]]]:
    """The way that needs no weaving: lift each shaft alone, look which ends rise in each group.

    :param groups: first end (from 0) and number of ends of each
    :returns: for each used shaft (from 0) and each group, the places in the group (from 1) that rise
    """
    for shaft in used_shafts(threading):
        yield (
            shaft,
            [
                (np.flatnonzero(threading[first : first + size] == shaft) + 1).tolist()
                for first, size in groups
            ],
        )


def told(lifts: Bools, threading: AnyInts, *, proved: bool = False) -> TestPicks:
    """What is known of these picks, bool[P, S]."""
    warp, weft = None, None
    if lifts.size and threading.size:
        warp, weft = measured.from_lifts(lifts, threading.astype(np.int16))
    return TestPicks(lifts, proved, apart(lifts, used_shafts(threading)), warp, weft)


def _possible(used: Sequence[int], most: int) -> None:
    if not used:
        raise Impossible(phrase("no end is threaded; expected a threading"))
    if most < 1 or (most == 1 and len(used) > 2):
        raise Impossible(
            phrase(
                "floats of at most {most} leave plain weave alone, which tells no more than two shafts "
                "apart; expected floats of 2 or more",
                most=most,
            )
        )


def _windows(threading: AnyInts, most: int) -> tuple[tuple[tuple[int, ...], bool], ...]:
    """Shafts of every ``most`` + 1 neighboring ends, as a continuous repeat: not all may be on one face.

    The second part says whether an end that is not threaded (always down) is among them.
    """
    size = most + 1
    if len(threading) < size:
        return ()
    around = np.append(threading, threading[:most])
    rows = np.unique(np.sort(np.lib.stride_tricks.sliding_window_view(around, size), axis=1), axis=0)
    sets = {(tuple(sorted({int(s) for s in row if s >= 0})), bool(row[0] < 0)) for row in rows}
    return tuple(sorted(each for each in sets if len(each[0]) > 1 or (each[1] and each[0])))


def _bits(codes: npt.NDArray[np.int64], picks: int) -> Bools:
    found: Bools = (codes[:, None] >> np.arange(picks)[None, :] & 1).astype(np.bool_)
    return found


def _short_runs(codes: npt.NDArray[np.int64], picks: int, most: int) -> npt.NDArray[np.int64]:
    """Codes without a run of more than ``most`` equal bits, read as a continuous repeat."""
    kept = np.unique(codes)
    whole = (1 << picks) - 1
    for face in (0, whole):
        run = kept ^ face
        turned = run.copy()
        for _ in range(min(most, picks)):
            turned = (turned << 1 | turned >> (picks - 1)) & whole
            run = run & turned
        kept = kept[run == 0]
    return kept


def _codes(picks: int, most: int) -> npt.NDArray[np.int64]:
    return _short_runs(np.arange(1 << picks, dtype=np.int64), picks, most)


def _least_distance(codes: npt.NDArray[np.int64]) -> int:
    if len(codes) < 2:
        return 64
    between = np.bitwise_count(codes[:, None] ^ codes[None, :]).astype(np.int64)
    np.fill_diagonal(between, 64)
    return int(between.min())


def _far_codes(
    used: Sequence[int],
    codes: npt.NDArray[np.int64],
    picks: int,
    windows: tuple[tuple[tuple[int, ...], bool], ...],
    start: int,
) -> npt.NDArray[np.int64] | None:
    """A code for each shaft, each as far from those before it as can be; None: floats leave none."""
    random = np.random.default_rng(_SEED + start)
    order = random.permutation(len(codes))[:_CODES_TRIED]
    pool, whole = codes[order], (1 << picks) - 1
    if not len(pool):
        return None
    chosen: dict[int, int] = {}
    nearest = np.full(len(pool), 64, dtype=np.int64)
    for shaft in used:
        ready = np.ones(len(pool), dtype=np.bool_)
        for shafts, unthreaded in windows:
            if shaft not in shafts or any(other != shaft and other not in chosen for other in shafts):
                continue
            others = [chosen[other] for other in shafts if other != shaft]
            must_rise, must_sink = whole, 0 if unthreaded else whole
            for code in others:
                must_rise &= ~code
                must_sink &= code
            ready &= (pool & must_rise == must_rise) & (pool & must_sink == 0)
        if not ready.any():
            return None
        best = int(np.argmax(np.where(ready, nearest, -1)))
        chosen[shaft] = int(pool[best])
        nearest = np.minimum(nearest, np.bitwise_count(pool ^ pool[best]).astype(np.int64))
    return np.array([chosen[shaft] for shaft in used], dtype=np.int64)


def _all_told_by_some_pick(
    used: Sequence[int], windows: tuple[tuple[tuple[int, ...], bool], ...], most: int
) -> None:
    """Whether for every two shafts some pick with short floats in the weft lifts just one of them.

    :raises Impossible: for these two none does
    """
    rows = np.zeros((0, max(used) + 1), dtype=np.bool_)
    while groups := alike(rows, used):
        row, _ = _search(used, max(used) + 1, 1, 2, windows, 1.0, split=groups[0])
        if row is None:
            one, other = groups[0][:2]
            raise Impossible(
                phrase(
                    "no pick with weft floats of at most {most} tells shafts {one} and {other} apart in this "
                    "threading; expected longer floats",
                    most=most,
                    one=one + 1,
                    other=other + 1,
                )
            )
        rows = np.concatenate([rows, row])


def _search(
    used: Sequence[int],
    shafts: int,
    picks: int,
    most: int,
    windows: tuple[tuple[tuple[int, ...], bool], ...],
    effort: float,
    split: Sequence[int] = (),
) -> tuple[Bools | None, bool]:
    """Different codes of so many picks with short floats, and whether that there are none is proved.

    ``split``: a single pick that parts these shafts, without regard to codes and floats in the warp.
    """
    from ortools.sat.python import cp_model  # 0.3 s to load: only when it is needed

    model = cp_model.CpModel()
    up = {shaft: [model.new_bool_var(f"{shaft} up in {pick}") for pick in range(picks)] for shaft in used}
    for bits in () if split else up.values():
        size = min(most + 1, picks)
        for first in range(picks):
            window = [bits[(first + step) % picks] for step in range(size)]
            model.add_bool_or(window)
            model.add_bool_or([~bit for bit in window])
    for together, unthreaded in windows:
        for pick in range(picks):
            model.add_bool_or([up[shaft][pick] for shaft in together])
            if not unthreaded:
                model.add_bool_or([~up[shaft][pick] for shaft in together])
    if split:
        model.add_bool_or([up[shaft][0] for shaft in split])
        model.add_bool_or([~up[shaft][0] for shaft in split])
    else:
        model.add_all_different(
            [sum((1 << place) * bit for place, bit in enumerate(bits)) for bits in up.values()]
        )
    solver = cp_model.CpSolver()
    settings = solver.parameters
    settings.num_workers = 1
    settings.random_seed = _SEED
    settings.max_deterministic_time = effort * _EFFORT
    settings.catch_sigint_signal = False
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, status == cp_model.INFEASIBLE
    lifts = np.zeros((picks, shafts), dtype=np.bool_)
    for shaft, bits in up.items():
        lifts[:, shaft] = [solver.boolean_value(bit) for bit in bits]
    return lifts, True
