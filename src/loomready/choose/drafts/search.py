"""The search: rounds of threadings and lift plans, filtered by the limits, kept for their differences.

The result does not depend on time: the same wish and number of rounds give the same offers.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from loomready.choose.drafts.batch import (
    NEVER,
    PlanFigures,
    begun_well,
    of_pairs,
    of_plans,
    sound,
)
from loomready.choose.drafts.columns import COLUMNS, DraftOffer
from loomready.choose.drafts.figures import FIGURES, figures_of, of_column, row_of
from loomready.choose.drafts.known_weaves import known
from loomready.choose.drafts.lift_plans import KINDS, plans
from loomready.choose.drafts.limits import fits, hang, within
from loomready.choose.drafts.rounds import groups, small_groups
from loomready.choose.drafts.same_cloth import of_draft
from loomready.choose.drafts.tabby_treadles import treadles_of_pairs
from loomready.choose.drafts.threadings import Threading, draws
from loomready.choose.drafts.variety import Points, Spread, picture, points
from loomready.choose.drafts.wish import Wish
from loomready.draft.draft import Bools, Draft, shed
from loomready.draft.structure.periods import AnyInts, smallest_period
from loomready.phrases import listed, phrase

ROUNDS = 16  # the default
_PLANS_A_ROUND = 2400
_DRAWS_A_ROUND = 24
_WILD_A_ROUND = 8
_OF_A_KIND = 2  # kept of each threading and kind of plan, in a round
_OUTERMOST = 3  # kept at the best end of a column, in a round
_FIRST_PAGE = 12
_LIKE = 0.2  # the share of the drafts found that counts as similar to another draft
_PATIENCE = 6  # rounds after which a search that finds little looks at fewer shafts
_OF_A_THREADING = 3  # on the first page: so that it has four threadings or more
_OF_A_DRAW = 4
_FEWER_SHAFTS = 8  # one offer in this many leaves shafts of the loom empty, if there are others


@dataclass(frozen=True, slots=True, eq=False)
class _Kept:
    """A draft that meets the limits: made here from a threading and a lift plan, or an existing one."""

    made_of: str
    threading: bytes
    draft: Draft
    shafts: int
    own: str = ""

    @property
    def draw(self) -> str:
        return self.made_of.split(",")[0]


class Search:
    """A search under way: :meth:`step` runs a round, :meth:`more` gives what is farthest from what was
    shown."""

    def __init__(self, wish: Wish, own: Mapping[str, Draft] | None = None, like: Draft | None = None) -> None:
        self.wish = wish
        self.searched = 0
        self.rounds_done = 0
        self._generator = np.random.default_rng(wish.seed)
        self._groups = groups(wish)
        self._there: set[tuple[bytes, bytes, tuple[int, ...]]] = set()
        self._seen_plans: dict[tuple[int, int], set[bytes]] = {}
        self._kept: list[_Kept] = []
        self._figures: dict[str, Points] = {name: np.empty(0) for name in FIGURES}
        self._spread = Spread()
        self._shown: set[bytes] = set()
        self._per_threading: dict[bytes, int] = {}
        self._per_draw: dict[str, int] = {}
        self._fewer = 0
        self.offers: list[DraftOffer] = []
        self._few = small_groups(wish)
        self._like: Points | None = None
        if like is not None:
            figures, looks = self._judged(DraftOffer(like, wish.setting, ""))
            self._like = points(figures, looks[None])[0]
            self._shown.add(of_draft(like))
        # With a threading on the loom only the lifts can be chosen.
        there = [] if wish.threading is not None else list(known(wish.setting.shafts))
        self._look_at((key, draft.title or key, draft) for key, draft in (own or {}).items())
        colors = (wish.setting.warp_color, wish.setting.weft_color)
        self._look_at(("", name, replace(draft, palette=colors)) for name, draft in there)

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

    def run(self, rounds: int = ROUNDS, stopped: Callable[[], bool] = lambda: False) -> Search:
        """Run that many rounds, or fewer: before each round it is checked whether to stop."""
        for _ in range(rounds):
            if stopped():
                break
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
        """Check all pairs; keep some that meet the limits, of every threading and kind, and the extremes."""
        setting = self.wish.setting
        pairs = of_pairs(
            [each.shafts for each in threadings],
            made,
            mm_per_end=setting.mm_per_end,
            mm_per_pick=setting.mm_per_pick,
            distance_m=setting.distance_m,
            warp_color=setting.warp_color,
            weft_color=setting.weft_color,
        )
        self.searched += pairs.holds.size - self._looked_at_before(threadings, made)
        figures = figures_of(threadings, made, pairs, setting)
        fit = np.asarray(pairs.holds & (figures["threads"] < NEVER) & within(self.wish, figures))
        if self.wish.plain_weave and self.wish.treadles is not None:
            fit &= treadles_of_pairs(threadings, made) <= self.wish.treadles
        of_threading, of_plan = np.nonzero(fit)
        if not len(of_plan):
            return
        kept = self._choose(of_threading, of_plan, made, figures)
        of_threading, of_plan = of_threading[kept], of_plan[kept]
        pictures, added = [], []
        for one, other in zip(of_threading.tolist(), of_plan.tolist(), strict=True):
            threading, lifts = threadings[one], made.lifts[other]
            draft = self._draft(threading, lifts)
            name = listed((threading.name, KINDS[made.kind[other]]))
            added.append(_Kept(name, threading.shafts.tobytes(), draft, lifts.shape[1]))
            pictures.append(picture(shed(lifts, threading.shafts)))
        self._keep(added, {name: figures[name][of_threading, of_plan] for name in FIGURES}, pictures)

    def _looked_at_before(self, threadings: list[Threading], made: PlanFigures) -> int:
        """How many of the pairs are among the existing drafts."""
        shape = made.lifts.shape[1:]
        there = {pair for pair in self._there if pair[2] == shape}
        if not there:
            return 0
        draws = {each.shafts.tobytes() for each in threadings}
        plans = {plan.tobytes() for plan in made.lifts}
        return sum(threading in draws and plan in plans for threading, plan, _shape in there)

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
            palette=(self.wish.setting.warp_color, self.wish.setting.weft_color),
            warp_colors=np.zeros(len(shafts), np.int16),
            weft_colors=np.ones(len(plan), np.int16),
        )

    def _look_at(self, drafts: Iterable[tuple[str, str, Draft]]) -> None:
        """Existing drafts, each with its key and name, checked against the same limits."""
        seen = set()
        for key, name, draft in drafts:
            if not draft.ends or not draft.picks:
                continue
            offer = DraftOffer(draft, self.wish.setting, name, key)
            if offer.found.repeat[1] > self.wish.picks:
                continue
            pair = (draft.threading.tobytes(), draft.lifts.tobytes(), draft.lifts.shape)
            self.searched += pair not in self._there
            self._there.add(pair)
            form = of_draft(draft)
            if form not in seen and fits(self.wish, offer):
                seen.add(form)
                figures, looks = self._judged(offer)
                threading = draft.threading.tobytes()
                self._keep([_Kept(name, threading, draft, offer.found.shafts_used, key)], figures, [looks])

    def _judged(self, offer: DraftOffer) -> tuple[dict[str, Points], Points]:
        """One draft's figures, arrays [1] by their names, and its picture."""
        row = np.array(row_of(offer), np.float64)[:, None]
        looks = picture(shed(offer.draft.lifts, offer.draft.threading))
        return dict(zip(FIGURES, row, strict=True)), looks

    def _keep(self, added: list[_Kept], figures: dict[str, Points], pictures: list[Points]) -> None:
        self._kept += added
        self._figures = {name: np.concatenate([self._figures[name], figures[name]]) for name in FIGURES}
        self._spread.add(points(figures, np.array(pictures)))

    def more(self, many: int) -> list[DraftOffer]:
        """The next offers, each the farthest from all taken before it; fewer if there are no more."""
        taken: list[DraftOffer] = []
        while len(taken) < many:
            place = self._next()
            if place is None:
                break
            kept = self._kept[place]
            form = of_draft(kept.draft)
            offer = DraftOffer(kept.draft, self.wish.setting, kept.made_of, kept.own)
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

    def ranked(self, column: str, many: int) -> list[DraftOffer]:
        """The first so many of all that was found, by one column; no cloth twice.

        :raises KeyError: there is no such column
        """
        by = COLUMNS[column]
        values = of_column(self._figures, column)
        order = np.argsort(-values if by.falling else values, kind="stable")
        near = self._near()
        taken: list[DraftOffer] = []
        seen: set[bytes] = set()
        for place in order[near[order]].tolist():
            if len(taken) == many:
                break
            kept = self._kept[place]
            form = of_draft(kept.draft)
            if form not in seen:
                seen.add(form)
                taken.append(DraftOffer(kept.draft, self.wish.setting, kept.made_of, kept.own))
        return taken

    def _next(self) -> int | None:
        """The index to take next; the mix of the page gives way where nothing else is left."""
        near = self._near()
        for mix in (self._varied, self._of_this_loom):
            place = self._spread.farthest(near & np.fromiter(map(mix, self._kept), np.bool_, len(near)))
            if place is not None:
                return place
        return self._spread.farthest(near)

    def _near(self) -> Bools:
        """Which of the kept drafts are similar to the one asked for: a fifth of them, or all."""
        every = np.ones(len(self._kept), np.bool_)
        if self._like is None or not len(every):
            return every
        away = np.sqrt(((self._spread.points - self._like) ** 2).sum(axis=1))
        return np.asarray(away <= np.quantile(away, _LIKE), np.bool_)

    def _varied(self, kept: _Kept) -> bool:
        if len(self.offers) >= _FIRST_PAGE:
            return self._of_this_loom(kept)
        return (
            self._of_this_loom(kept)
            and self._per_threading.get(kept.threading, 0) < _OF_A_THREADING
            and self._per_draw.get(kept.draw, 0) < _OF_A_DRAW
        )

    def _of_this_loom(self, kept: _Kept) -> bool:
        loom = self.wish.setting.shafts
        if kept.own or kept.shafts == loom:
            return True
        half = 2 * kept.shafts >= loom or len(self.offers) >= _FIRST_PAGE
        return half and _FEWER_SHAFTS * (self._fewer + 1) <= len(self.offers) + 1


def _only(threading: tuple[int, ...]) -> Threading:
    """One repeat of the threading asked for, on the shafts that it uses, numbered without a gap."""
    shafts = np.array(threading, np.int16)
    _, packed = np.unique(shafts, return_inverse=True)
    return Threading(phrase("this threading"), packed[: smallest_period(packed)].astype(np.int16))
