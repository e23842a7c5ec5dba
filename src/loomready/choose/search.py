"""The search: rounds of threadings and lift plans, sifted by the limits, kept by their differences.

Nothing here looks at a clock: the same wish and the same number of rounds give the same offers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import count as counting
from itertools import cycle

import numpy as np

from loomready.choose.canonical import of_draft
from loomready.choose.columns import Offer
from loomready.choose.search_batch import (
    MOST_PICKS,
    NEVER,
    PlanFigures,
    begun_well,
    of_pairs,
    of_plans,
    sound,
)
from loomready.choose.search_known import known
from loomready.choose.search_plans import KINDS, plans
from loomready.choose.search_threadings import Threading, draws
from loomready.choose.search_wish import Wish
from loomready.choose.spread import Points, Spread, picture, points
from loomready.draft.draft import DARK, LIGHT, Bools, Draft, shed
from loomready.draft.periods import AnyInts, smallest_period

ROUNDS = 16  # where nothing else is said
FIGURES = (
    *("contrast", "picks", "lifts", "steps", "moves", "shafts", "share", "threads", "mirror_ends"),
    *("mirror_picks", "plain", "ends"),
)
_PLANS_A_ROUND = 2400
_DRAWS_A_ROUND = 24
_WILD_A_ROUND = 8
_OF_A_KIND = 2  # kept of each threading and kind of plan, in a round
_OUTERMOST = 3  # kept at the best end of a column, in a round
_FIRST_PAGE = 12
_PATIENCE = 6  # rounds after which a search that finds little looks at fewer shafts
_OF_A_THREADING = 3  # on the first page: so that it has four threadings or more
_OF_A_DRAW = 4
_FEWER_SHAFTS = 8  # one offer in so many leaves shafts of the loom empty, if there are others


@dataclass(frozen=True, slots=True, eq=False)
class _Kept:
    """A draft that meets the limits: made here from a threading and a lift plan, or one that was there."""

    made_of: str
    threading: bytes
    draft: Draft
    shafts: int
    own: str = ""

    @property
    def draw(self) -> str:
        return self.made_of.split(",")[0]


class Search:
    """One search under way: :meth:`step` goes on, :meth:`more` shows what is farthest from what was shown."""

    def __init__(self, wish: Wish, own: Mapping[str, Draft] | None = None) -> None:
        self.wish = wish
        self.searched = 0
        self.rounds_done = 0
        self._generator = np.random.default_rng(wish.seed)
        self._groups = _groups(wish)
        self._seen_plans: dict[tuple[int, int], set[bytes]] = {}
        self._kept: list[_Kept] = []
        self._spread = Spread()
        self._shown: set[bytes] = set()
        self._per_threading: dict[bytes, int] = {}
        self._per_draw: dict[str, int] = {}
        self._fewer = 0
        self.offers: list[Offer] = []
        self._few = _small_groups(wish)
        # A threading that stands on a loom leaves no choice of draft, only of lifts.
        there = [] if wish.threading is not None else list(known(wish.setting.shafts))
        self._look_at((key, draft.title or key, draft) for key, draft in (own or {}).items())
        self._look_at(("", name, draft) for name, draft in there)

    @property
    def found(self) -> int:
        """Drafts kept so far, shown or not."""
        return len(self._kept)

    def step(self) -> None:
        """One round: some threadings, each with each of some lift plans."""
        self.rounds_done += 1
        few = self.rounds_done > _PATIENCE and self.found < _FIRST_PAGE
        shafts, picks = next(self._few if few else self._groups)
        made = self._plans(shafts, picks)
        if not len(made):
            return
        threadings = self._threadings(shafts)
        if threadings:
            self._sift(threadings, made)

    def run(self, rounds: int = ROUNDS) -> Search:
        for _ in range(rounds):
            self.step()
        return self

    def _plans(self, shafts: int, picks: int) -> PlanFigures:
        longest = self.wish.longest_float_made
        raw = plans(shafts, picks, _PLANS_A_ROUND, longest, self._generator)
        fit = sound(raw.lifts)
        lifts, kind = begun_well(raw.lifts[fit]), raw.kind[fit]
        seen = self._seen_plans.setdefault((shafts, picks), set())
        fresh = np.zeros(len(lifts), np.bool_)
        for place, plan in enumerate(np.packbits(lifts.reshape(len(lifts), shafts * picks), axis=1)):
            key = plan.tobytes()
            fresh[place] = key not in seen
            seen.add(key)
        return of_plans(lifts[fresh], kind[fresh])

    def _threadings(self, shafts: int) -> list[Threading]:
        if self.wish.threading is not None:
            return [_only(self.wish.threading)]
        every = draws(shafts, self._generator, _WILD_A_ROUND)
        fit = [each for each in every if self._may_thread(each)]
        if len(fit) > _DRAWS_A_ROUND + _WILD_A_ROUND:
            chosen = self._generator.permutation(len(fit))[: _DRAWS_A_ROUND + _WILD_A_ROUND]
            fit = [fit[place] for place in sorted(chosen.tolist())]
        return fit

    def _may_thread(self, threading: Threading) -> bool:
        wish = self.wish
        if (wish.symmetric and not threading.symmetric) or (wish.plain_weave and not threading.plain):
            return False
        return wish.heddles is None or wish.ends is None or hang(threading.shafts, wish.ends, wish.heddles)

    def _sift(self, threadings: list[Threading], made: PlanFigures) -> None:
        """Judge all pairs; keep some that meet the limits, of every threading and kind, and the outermost."""
        setting = self.wish.setting
        pairs = of_pairs(
            [each.shafts for each in threadings],
            made,
            mm_per_end=setting.mm_per_end,
            mm_per_pick=setting.mm_per_pick,
            distance_m=setting.distance_m,
        )
        self.searched += pairs.holds.size
        figures = _figures(threadings, made, pairs.weft_float, pairs.contrast, setting.shafts)
        mm = np.maximum(pairs.weft_float * setting.mm_per_end, made.warp_float * setting.mm_per_pick)
        fit = np.asarray(pairs.holds & (figures["threads"] < NEVER) & _within(self.wish, figures, mm))
        of_threading, of_plan = np.nonzero(fit)
        if not len(of_plan):
            return
        kept = self._choose(of_threading, of_plan, made, figures)
        of_threading, of_plan = of_threading[kept], of_plan[kept]
        pictures, added = [], []
        for one, other in zip(of_threading.tolist(), of_plan.tolist(), strict=True):
            threading, lifts = threadings[one], made.lifts[other]
            draft = self._draft(threading, lifts)
            name = f"{threading.name}, {KINDS[made.kind[other]]}"
            added.append(_Kept(name, threading.shafts.tobytes(), draft, lifts.shape[1]))
            pictures.append(picture(shed(lifts, threading.shafts)))
        chosen = {name: figures[name][of_threading, of_plan] for name in FIGURES}
        self._keep(added, points(chosen, np.array(pictures)))

    def _choose(
        self,
        of_threading: AnyInts,
        of_plan: AnyInts,
        made: PlanFigures,
        figures: Mapping[str, Points],
    ) -> AnyInts:
        """Places among the pairs: a few at random of every threading and kind, and the best of columns."""
        shuffled = self._generator.permutation(len(of_plan))
        group = (of_threading * len(KINDS) + made.kind[of_plan])[shuffled]
        order = np.argsort(group, kind="stable")
        ranked = group[order]
        starts = np.searchsorted(ranked, ranked)
        kept = set(shuffled[order[np.arange(len(order)) - starts < _OF_A_KIND]].tolist())
        for name, sign in (("contrast", -1), ("threads", 1), ("steps", 1), ("moves", 1), ("lifts", 1)):
            column = sign * figures[name][of_threading, of_plan]
            kept.update(np.argsort(column, kind="stable")[:_OUTERMOST].tolist())
        return np.array(sorted(kept), np.int64)

    def _draft(self, threading: Threading, lifts: Bools) -> Draft:
        """A draft on as many shafts as it uses; where a threading is asked for, on all of the loom."""
        shafts, plan = threading.shafts, lifts
        if self.wish.threading is not None:
            shafts = np.array(self.wish.threading, np.int16)
            plan = np.zeros((len(lifts), self.wish.setting.shafts), np.bool_)
            plan[:, np.unique(shafts)] = lifts
        return Draft(
            threading=shafts.copy(),
            lifts=plan.copy(),
            tieup=None,
            treadling=None,
            rising=True,
            palette=(DARK, LIGHT),
            warp_colors=np.zeros(len(shafts), np.int16),
            weft_colors=np.ones(len(plan), np.int16),
        )

    def _look_at(self, drafts: Iterable[tuple[str, str, Draft]]) -> None:
        """Drafts that are there already, each with its key and name, judged by the same limits."""
        added, rows, pictures, seen = [], [], [], set()
        for key, name, draft in drafts:
            if not draft.ends or not draft.picks:
                continue
            offer = Offer(draft, self.wish.setting, name, key)
            if offer.found.repeat[1] > self.wish.picks:
                continue
            self.searched += 1
            form = of_draft(draft)
            if form in seen or not fits(self.wish, offer):
                continue
            seen.add(form)
            added.append(_Kept(offer.made_of, draft.threading.tobytes(), draft, offer.found.shafts_used, key))
            rows.append(_row(offer))
            pictures.append(picture(shed(draft.lifts, draft.threading)))
        if rows:
            columns = np.array(rows).T
            self._keep(added, points(dict(zip(FIGURES, columns, strict=True)), np.array(pictures)))

    def _keep(self, added: list[_Kept], where: Points) -> None:
        self._kept += added
        self._spread.add(where)

    def more(self, many: int) -> list[Offer]:
        """So many offers more, each the farthest from all taken before it; fewer if there are no more."""
        taken: list[Offer] = []
        while len(taken) < many:
            place = self._next()
            if place is None:
                break
            kept = self._kept[place]
            form = of_draft(kept.draft)
            offer = Offer(kept.draft, self.wish.setting, kept.made_of, kept.own)
            if form in self._shown or not fits(self.wish, offer):
                self._spread.drop(place)
                continue
            self._shown.add(form)
            self._spread.take(place)
            self._per_threading[kept.threading] = self._per_threading.get(kept.threading, 0) + 1
            self._per_draw[kept.draw] = self._per_draw.get(kept.draw, 0) + 1
            self._fewer += not kept.own and kept.shafts < self.wish.setting.shafts
            taken.append(offer)
            self.offers.append(offer)
        return taken

    def _next(self) -> int | None:
        """The place to take next; what the mix of the page asks for gives way where nothing else is there."""
        for mix in (self._varied, self._of_this_loom):
            place = self._spread.farthest(np.fromiter(map(mix, self._kept), np.bool_, len(self._kept)))
            if place is not None:
                return place
        return self._spread.farthest(np.ones(len(self._kept), np.bool_))

    def _varied(self, kept: _Kept) -> bool:
        if len(self.offers) >= _FIRST_PAGE:
            return self._of_this_loom(kept)
        return (
            self._of_this_loom(kept)
            and self._per_threading.get(kept.threading, 0) < _OF_A_THREADING
            and self._per_draw.get(kept.draw, 0) < _OF_A_DRAW
        )

    def _of_this_loom(self, kept: _Kept) -> bool:
        whole = kept.own != "" or kept.shafts == self.wish.setting.shafts
        return whole or _FEWER_SHAFTS * (self._fewer + 1) <= len(self.offers) + 1


def hang(threading: AnyInts, ends: int, heddles: tuple[int, ...]) -> bool:
    """Whether so many ends find their heddles on some order of the shafts, none moved from shaft to shaft."""
    needed = np.bincount(np.resize(threading, ends), minlength=len(heddles))
    there = np.sort(np.array(heddles))[::-1]
    return len(needed) <= len(there) and bool((np.sort(needed)[::-1] <= there).all())


def fits(wish: Wish, offer: Offer) -> bool:
    """Whether an offer meets every limit, by the figures that ``check`` has."""
    found = offer.found
    if not found.holds_together or offer.float_threads is None or found.shafts_used > wish.setting.shafts:
        return False
    limits = (
        (wish.float_limit, offer.float_threads),
        (wish.max_float_mm, offer.float_mm or 0.0),
        (wish.picks, found.repeat[1]),
        (wish.treadles, found.distinct_lifts),
        (wish.max_steps, offer.steps),
    )
    if any(limit is not None and figure > limit for limit, figure in limits):
        return False
    if (wish.symmetric and not found.mirror_ends) or (wish.plain_weave and not found.plain_weave):
        return False
    if wish.threading is not None and offer.draft.threading.tolist() != list(wish.threading):
        return False
    if wish.heddles is None or wish.ends is None:
        return True
    used = offer.draft.threading[offer.draft.threading >= 0]
    return bool(len(used)) and hang(used, wish.ends, wish.heddles)


def _within(wish: Wish, figures: Mapping[str, Points], float_mm: Points) -> Bools:
    fit = np.ones(float_mm.shape, np.bool_)
    limits = ((wish.float_limit, "threads"), (wish.treadles, "lifts"), (wish.max_steps, "steps"))
    for limit, name in limits:
        if limit is not None:
            fit &= figures[name] <= limit
    if wish.max_float_mm is not None:
        fit &= float_mm <= wish.max_float_mm
    return fit


def _figures(
    threadings: Iterable[Threading],
    made: PlanFigures,
    weft_float: AnyInts,
    contrast: Points,
    loom_shafts: int,
) -> dict[str, Points]:
    """All figures as arrays [T, N], by the names of FIGURES."""
    of_plans_alone = {
        "picks": np.full(len(made), made.lifts.shape[1]),
        "lifts": made.distinct,
        "steps": made.steps,
        "moves": made.lever_moves / made.lifts.shape[1],
        "shafts": np.full(len(made), made.lifts.shape[2]),
        "share": np.full(len(made), made.lifts.shape[2] / loom_shafts),
        "mirror_picks": made.mirror,
    }
    of_draws_alone = {
        "mirror_ends": [each.symmetric for each in threadings],
        "plain": [each.plain for each in threadings],
        "ends": [len(each.shafts) for each in threadings],
    }
    shape = contrast.shape
    figures = {name: np.broadcast_to(row, shape) for name, row in of_plans_alone.items()}
    figures |= {name: np.broadcast_to(np.array(row)[:, None], shape) for name, row in of_draws_alone.items()}
    figures |= {"contrast": contrast, "threads": np.maximum(weft_float, made.warp_float)}
    return {name: figures[name].astype(np.float64) for name in FIGURES}


def _row(offer: Offer) -> list[float]:
    found = offer.found
    return [
        offer.contrast,
        found.repeat[1],
        found.distinct_lifts,
        offer.steps,
        offer.moves_a_pick,
        found.shafts_used,
        offer.shafts_share,
        offer.float_threads or NEVER,
        found.mirror_ends,
        found.mirror_picks,
        found.plain_weave,
        found.repeat[0],
    ]


def _only(threading: tuple[int, ...]) -> Threading:
    """One repeat of the threading asked for, on the shafts that it uses, numbered without a gap."""
    shafts = np.array(threading, np.int16)
    _, packed = np.unique(shafts, return_inverse=True)
    return Threading("this threading", packed[: smallest_period(packed)].astype(np.int16))


def _groups(wish: Wish) -> Iterator[tuple[int, int]]:
    """Shafts and picks of each round, without end: the whole loom mostly, and now and then a part of it."""
    if wish.threading is not None:
        options = [len(set(wish.threading))]
    else:
        loom = wish.setting.shafts
        parts = [part for part in dict.fromkeys((loom // 2, loom * 3 // 4, min(loom, 8))) if part >= 2]
        options = [each for part in parts for each in (loom, loom, loom, part)]
    turns = {shafts: counting() for shafts in set(options)}
    for number in counting():
        shafts = options[number % len(options)]
        sizes = _sizes(shafts, wish.picks)
        yield shafts, sizes[next(turns[shafts]) % len(sizes)]


def _small_groups(wish: Wish) -> Iterator[tuple[int, int]]:
    """The same with few shafts and all short repeats, where the limits are tight."""
    if wish.threading is not None:
        yield from _groups(wish)
    most = min(wish.setting.shafts, 8)
    for picks in cycle(range(2, max(3, min(wish.picks, 12) + 1))):
        yield from ((shafts, min(picks, max(1, wish.picks))) for shafts in range(2, most + 1))


def _sizes(shafts: int, picks: int) -> list[int]:
    """Pick repeats to try, the likeliest first: as long as allowed, as the shafts go, what weaves divide."""
    most = min(picks, MOST_PICKS)
    wanted = [most, 8 * (most // 8), shafts, 2 * (shafts - 1), 5 * (most // 5), 4 * (most // 4), 2 * shafts]
    wanted += [6 * (most // 6), most - 1, most // 2, shafts // 2, *range(most, 1, -1)]
    return [size for size in dict.fromkeys(wanted) if 2 <= size <= most][:24] or [1]
