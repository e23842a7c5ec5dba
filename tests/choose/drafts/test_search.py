"""The search: its figures against the analysis of each single draft, its limits, its variety."""

from __future__ import annotations

from collections import Counter
from itertools import permutations, product
from typing import Any

import numpy as np
import pytest

from loomready.choose.drafts import search as search_module
from loomready.choose.drafts.batch import (
    NEVER,
    PairFigures,
    PlanFigures,
    begun_well,
    of_pairs,
    of_plans,
    sound,
)
from loomready.choose.drafts.columns import COLUMNS, Setting, ordered
from loomready.choose.drafts.finding import Wish, as_file, find, usual_setting, why_nothing
from loomready.choose.drafts.known_weaves import known as known_drafts
from loomready.choose.drafts.lift_plans import plans
from loomready.choose.drafts.limits import hang
from loomready.choose.drafts.same_cloth import of_draft
from loomready.choose.drafts.search import Search
from loomready.choose.drafts.steps_to_remember import numbered, steps_to_remember
from loomready.choose.drafts.tabby_treadles import treadles_of
from loomready.choose.drafts.threadings import draws
from loomready.cloth.contrast import contrast
from loomready.draft.draft import Ints, lift_plan
from loomready.draft.structure.analysis import analyze
from loomready.problems import BadInput


@pytest.mark.parametrize(("shafts", "picks"), [(2, 3), (3, 4), (4, 6), (8, 12), (16, 10), (20, 30), (40, 64)])
def test_the_batch_finds_what_the_analysis_of_each_draft_finds(shafts: int, picks: int) -> None:
    generator = np.random.default_rng(shafts)
    threadings = draws(shafts, generator, 10)
    raw = plans(shafts, picks, 600, 7, generator)
    fit = sound(raw.lifts)
    made = of_plans(begun_well(raw.lifts[fit]), raw.kind[fit])
    at = {"mm_per_end": 1.1, "mm_per_pick": 0.9, "distance_m": 4.0}
    pairs = of_pairs([each.shafts for each in threadings], made, **at)
    assert len(made) > 5
    for one, plan in zip(
        generator.integers(0, len(threadings), 40), generator.integers(0, len(made), 40), strict=True
    ):
        draft = lift_plan(
            (threadings[one].shafts + 1).tolist(),
            [(np.flatnonzero(row) + 1).tolist() for row in made.lifts[plan]],
            shafts=shafts,
        )
        found = analyze(draft)
        assert found.repeat == (len(threadings[one].shafts), picks)
        assert (found.longest_warp_float or NEVER) == made.warp_float[plan]
        assert (found.longest_weft_float or NEVER) == pairs.weft_float[one, plan]
        assert found.holds_together == pairs.holds[one, plan]
        assert found.mirror_ends == threadings[one].symmetric
        assert found.plain_weave == threadings[one].plain
        assert found.distinct_lifts == made.distinct[plan]
        assert found.lever_moves == made.lever_moves[plan]
        assert found.most_shafts_up == made.most_up[plan]
        assert found.mirror_picks == made.mirror[plan]
        assert contrast(draft, **at) == pytest.approx(pairs.contrast[one, plan], abs=1e-6)


def test_cloth_that_comes_apart_is_told_in_the_batch() -> None:
    """All plans of four picks on four shafts, straight draw: many come apart."""
    rows = np.array(list(product((0, 1), repeat=4)), np.bool_)
    lifts = rows[np.array(list(product(range(1, 15), repeat=4)))]
    lifts = begun_well(lifts[sound(lifts)])
    made = of_plans(lifts, np.zeros(len(lifts), np.int64))
    straight = np.arange(4, dtype=np.int16)
    holds = of_pairs([straight], made, mm_per_end=1, mm_per_pick=1, distance_m=1).holds[0]
    assert 0 < np.count_nonzero(~holds) < len(holds)
    for place in range(0, len(lifts), 97):
        draft = lift_plan([1, 2, 3, 4], [(np.flatnonzero(row) + 1).tolist() for row in lifts[place]])
        assert analyze(draft).holds_together == holds[place]


def described(steps: int, length: int) -> dict[tuple[int, ...], int]:
    """Every order of at most ``length`` picks that so few steps describe, with the fewest: built forward."""
    fewest: dict[tuple[int, ...], int] = {}
    made: list[set[tuple[int, ...]]] = [set()]
    for cost in range(1, steps + 1):
        here: set[tuple[int, ...]] = set()
        if cost == 1:
            for first in range(length):
                for size in range(1, length + 1):
                    here.add(tuple(range(first, first + size)))
                    if first - size + 1 >= 0:
                        here.add(tuple(range(first, first - size, -1)))
        for part in made[cost - 1] if cost > 1 else ():
            here.update(part * times for times in range(2, length + 1))
            here.update({part + part[::-1], part + part[-2::-1]})
        for head in range(1, cost):
            here.update(one + other for one, other in product(made[head], made[cost - head]))
        here = {order for order in here if len(order) <= length} - fewest.keys()
        fewest |= dict.fromkeys(here, cost)
        made.append({order for order, least in fewest.items() if least == cost})
    return fewest


def test_steps_to_remember_are_the_shortest_description_there_is() -> None:
    length = 6
    fewest = described(3, length)
    for size in range(1, length + 1):
        orders = np.unique(numbered(np.array(list(product(range(3), repeat=size)), np.uint64)), axis=0)
        for order, steps in zip(orders.tolist(), steps_to_remember(orders).tolist(), strict=True):
            assert fewest.get(tuple(order), 4) == min(steps, 4)


def test_a_point_treadling_takes_two_steps_and_an_old_favorite_few() -> None:
    def steps(*order: int) -> int:
        return int(steps_to_remember(numbered(np.array([order], np.uint64)))[0])

    assert steps(1, 2, 3, 4) == 1
    assert steps(1, 2, 3, 4, 3, 2) == 2
    assert steps(1, 2, 1, 2, 1, 2, 1, 2) == 2
    assert steps(1, 2, 3, 4, 4, 3, 2, 1) == 2
    assert steps(1, 1, 2, 2, 3, 3) == 4  # 1, then 1 2, then 2 3, then 3


def test_every_limit_holds_and_every_figure_is_that_of_check() -> None:
    wish = Wish(usual_setting(8), 12, max_float=4, symmetric=True, plain_weave=True, treadles=8, max_steps=4)
    found = find(wish, 30, rounds=8)
    assert len(found.offers) == 30
    for offer in found.offers:
        fresh = analyze(offer.draft)
        assert fresh.holds_together
        assert fresh.mirror_ends
        assert fresh.plain_weave
        assert fresh.repeat[1] <= 12
        assert max(fresh.longest_warp_float or NEVER, fresh.longest_weft_float or NEVER) <= 4
        assert fresh.distinct_lifts <= 8
        assert fresh.shafts_used <= 8
        assert offer.steps <= 4


@pytest.mark.parametrize(("shafts", "treadles"), [(4, 4), (4, 6), (8, 6), (8, 10)])
def test_tabby_has_its_treadles_where_plain_weave_is_asked_for(shafts: int, treadles: int) -> None:
    offers = find(Wish(usual_setting(shafts), 12, plain_weave=True, treadles=treadles), 20, rounds=6).offers
    assert len(offers) == 20
    for offer in offers:
        draft = offer.draft
        tabby = np.arange(draft.ends) % 2 == 0
        rows = np.concatenate([draft.lifts[:, draft.threading], [tabby, ~tabby]])
        needed = len(np.unique(rows, axis=0))
        assert needed <= treadles
        written = as_file(offer, on_treadles=True, tabby=True)
        if not offer.own:
            assert written.treadles == needed
            assert written.tieup is not None
            sheds = written.tieup.T[:, draft.threading]
            assert (sheds == tabby).all(axis=1).any()
            assert (sheds == ~tabby).all(axis=1).any()


def test_without_plain_weave_every_treadle_may_be_the_pattern_s() -> None:
    offers = find(Wish(usual_setting(8), 12, treadles=6), 40, rounds=6).offers
    assert any(offer.found.plain_weave and treadles_of(offer) > 6 for offer in offers)


@pytest.mark.parametrize(("shafts", "picks"), [(4, 8), (16, 10)])
def test_no_two_offers_are_one_cloth_and_the_first_dozen_spans_draws(shafts: int, picks: int) -> None:
    offers = find(Wish(usual_setting(shafts), picks), 40, rounds=8).offers
    assert len({of_draft(offer.draft) for offer in offers}) == len(offers)
    page = offers[:12]
    assert max(Counter(offer.draft.threading.tobytes() for offer in page).values()) <= 3
    assert max(Counter(offer.made_of.split(",")[0] for offer in page).values()) <= 4
    values = [offer.contrast for offer in offers[:12]]
    assert max(values) > 2 * min(values)


def test_the_same_seed_gives_the_same_offers_and_another_others() -> None:
    def threads(seed: int) -> list[bytes]:
        offers = find(Wish(usual_setting(6), 8, seed=seed), 8, rounds=2).offers
        return [offer.draft.lifts.tobytes() + offer.draft.threading.tobytes() for offer in offers]

    assert threads(3) == threads(3)
    assert threads(3) != threads(4)


def test_a_limit_in_mm_counts_both_setts() -> None:
    wish = Wish(Setting(8, 2.0, 0.5, 3.0), 8, max_float_mm=4.0)
    for offer in find(wish, 20, rounds=6).offers:
        assert (offer.found.longest_weft_float or NEVER) * 2.0 <= 4.0
        assert (offer.found.longest_warp_float or NEVER) * 0.5 <= 4.0


def test_own_drafts_are_offered_too() -> None:
    own = {"drafts/rib.wif": lift_plan([1, 1, 2], [[1], [2]], title="Rib")}
    offers = find(Wish(usual_setting(4), 4, max_float=2), 40, own).offers
    assert [offer.made_of for offer in offers if offer.own] == ["Rib"]


def test_a_threading_that_stands_is_kept_with_its_shafts() -> None:
    threading = (1, 2, 3, 5, 3, 2)  # shafts 2, 3, 4 and 6: the others stay empty
    offers = find(Wish(usual_setting(8), 8, threading=threading), 10).offers
    assert len(offers) == 10
    for offer in offers:
        assert offer.draft.threading.tolist() == list(threading)
        assert not offer.draft.lifts[:, [0, 4, 6, 7]].any()


def test_ends_fit_the_heddles_just_where_some_order_of_the_shafts_does() -> None:
    """Every threading of four ends on three shafts, in ten ends, with every order of some heddles."""
    for threading in product(range(3), repeat=4):
        needed = np.bincount(np.resize(np.array(threading), 10), minlength=3)
        for heddles in ((4, 3, 3), (3, 3, 5), (10, 0, 0), (5, 5, 5), (2, 3, 5), (0, 5, 5)):
            fits = any((needed <= order).all() for order in permutations(heddles))
            assert hang(np.array(threading), 10, heddles) == fits, (threading, heddles)
    assert not hang(np.array([0, 1, 2]), 3, (9, 9))
    assert hang(np.array([0, 1]), 2, (1, 0, 1))


def test_heddles_where_they_hang_leave_draws_that_fit() -> None:
    assert hang(np.array([0, 1, 2, 1]), 100, (30, 60, 30))
    assert not hang(np.array([0, 1, 2, 1]), 100, (40, 40, 40))
    wish = Wish(usual_setting(4), 8, heddles=(40, 80, 80, 40), ends=240)
    offers = find(wish, 12).offers
    assert offers
    for offer in offers:
        ends = np.bincount(np.resize(offer.draft.threading, 240), minlength=4)
        assert (np.sort(ends) <= [40, 40, 80, 80]).all()


def test_limits_that_nothing_meets_are_named_with_the_nearest() -> None:
    nothing = why_nothing(Wish(usual_setting(4), 8, treadles=1))
    assert [dict(way.nearest) for way in nothing.ways] == [{"treadles": 2}]
    nothing = why_nothing(Wish(Setting(4, 1.5, 1.5, 3.0), 8, max_float_mm=1.0))
    assert [dict(way.nearest) for way in nothing.ways] == [{"max_float_mm": 1.5}]
    nothing = why_nothing(Wish(usual_setting(3), 1, treadles=1))
    assert [dict(way.nearest) for way in nothing.ways] == [{"picks": 2, "treadles": 2}]


@pytest.mark.parametrize(("shafts", "picks"), [(2, 4), (3, 4), (4, 6)])
def test_a_draft_is_counted_once_however_often_it_is_made(
    shafts: int, picks: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked_at: set[tuple[bytes, bytes]] = set()

    def watched(threadings: list[Ints], made: PlanFigures, **at: Any) -> PairFigures:
        looked_at.update(
            product((each.tobytes() for each in threadings), (each.tobytes() for each in made.lifts))
        )
        return of_pairs(threadings, made, **at)

    monkeypatch.setattr(search_module, "of_pairs", watched)
    search = Search(Wish(usual_setting(shafts), picks)).run(8)
    there = Search(Wish(usual_setting(shafts), picks))
    known = {
        (draft.threading.tobytes(), draft.lifts.tobytes())
        for _, draft in known_drafts(shafts)
        if analyze(draft).repeat[1] <= picks
    }
    assert there.searched == len(known)
    assert search.searched == len(looked_at | known)


def test_a_search_under_way_shows_more_without_repeating_itself() -> None:
    search = Search(Wish(usual_setting(8), 8))
    search.step()
    first = search.more(12)
    search.step()
    assert search.offers == [*first, *search.more(12)]
    assert len({of_draft(offer.draft) for offer in search.offers}) == 24
    assert search.searched > search.found >= 24


def test_columns_order_as_they_say() -> None:
    offers = find(Wish(usual_setting(8), 8), 24, rounds=4).offers
    for key, column in COLUMNS.items():
        values = [column.value(offer) for offer in ordered(offers, key)]
        assert values == sorted(values, reverse=column.falling)
        assert column.says.endswith(".")


@pytest.mark.parametrize(
    ("shafts", "picks", "more"),
    [(1, 8, {}), (41, 8, {}), (8, 0, {}), (8, 4000, {}), (8, 8, {"max_float": 0}), (8, 8, {"treadles": 0})],
)
def test_sizes_that_are_none_are_refused(shafts: int, picks: int, more: dict[str, int]) -> None:
    with pytest.raises(BadInput, match="expected"):
        Wish(usual_setting(shafts), picks, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(("picks", "shafts"), [(2, 2), (3, 2), (4, 2), (3, 3), (4, 3)])
def test_a_sound_plan_is_one_that_its_definition_says(picks: int, shafts: int) -> None:
    """Every lift plan of a few picks, each read by its definition."""
    cells = np.array(list(product([False, True], repeat=picks * shafts))).reshape(-1, picks, shafts)
    for lifts, fits in zip(cells, sound(cells), strict=True):
        rows, columns = [tuple(row) for row in lifts], [tuple(column) for column in lifts.T]
        moves = all(0 < sum(column) < picks for column in columns)
        apart = len(set(columns)) == shafts
        sheds = all(0 < sum(row) < shafts for row in rows)
        shorter = any(rows == rows[:turn] * (picks // turn) for turn in range(1, picks) if picks % turn == 0)
        assert fits == (moves and apart and sheds and not shorter), rows


def test_what_is_ranked_by_a_column_holds_together_and_meets_the_limits() -> None:
    """On four shafts with four picks many plans come apart."""
    search = Search(Wish(usual_setting(4), 4, max_float=3)).run(3)
    for column in ("contrast", "float", "moves"):
        for offer in search.ranked(column, 40):
            fresh = analyze(offer.draft)
            assert fresh.holds_together
            assert max(fresh.longest_warp_float or NEVER, fresh.longest_weft_float or NEVER) <= 3
