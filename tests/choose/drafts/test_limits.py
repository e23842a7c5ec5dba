"""Each limit of a wish, one at a time, against its definition: on drafts made at random and small."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.choose.drafts.columns import COLUMNS, DraftOffer, Setting
from loomready.choose.drafts.limits import fits, hang
from loomready.choose.drafts.steps_to_remember import numbered, steps_to_remember
from loomready.choose.drafts.variety import points
from loomready.choose.drafts.wish import MOST_PICKS_ASKED, MOST_SHAFTS, MOST_TREADLES, USUAL_FLOAT, Wish
from loomready.draft.draft import Draft, lift_plan
from loomready.draft.structure.analysis import analyze
from loomready.problems import BadInput

SETTING = Setting(4, mm_per_end=2.0, mm_per_pick=0.5, distance_m=3.0)
LOOSE = Wish(SETTING, MOST_PICKS_ASKED, max_float=100)


@st.composite
def drafts(draw: st.DrawFn) -> Draft:
    shafts = draw(st.integers(2, 5))
    threading = draw(st.lists(st.integers(1, shafts), min_size=2, max_size=8))
    lift = st.lists(st.integers(1, shafts), min_size=0, max_size=shafts, unique=True)
    return lift_plan(threading, draw(st.lists(lift, min_size=1, max_size=8)), shafts=shafts)


TWILL = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]])


def floats(draft: Draft) -> tuple[int | None, int | None]:
    found = analyze(draft)
    return found.longest_warp_float, found.longest_weft_float


LIMITS: dict[str, Any] = {
    "picks": st.integers(1, 9),
    "max_float": st.integers(1, 9),
    "max_float_mm": st.floats(0.4, 18.0),
    "symmetric": st.booleans(),
    "plain_weave": st.booleans(),
    "treadles": st.integers(1, 9),
    "max_steps": st.integers(1, 6),
}


@settings(max_examples=150, deadline=None)
@given(drafts(), st.fixed_dictionaries({}, optional=LIMITS))
def test_a_draft_fits_where_each_limit_holds(draft: Draft, asked: dict[str, Any]) -> None:
    wish = replace(LOOSE, max_float=None if "max_float_mm" in asked else 100)
    wish = replace(wish, **asked)
    found = analyze(draft)
    warp, weft = floats(draft)
    holds = [found.holds_together, found.shafts_used <= 4, warp is not None and weft is not None]
    if all(holds):
        assert warp is not None
        assert weft is not None
        distinct = {row.tobytes() for row in draft.lifts[:, draft.threading]}
        tabby = np.arange(draft.ends) % 2 == 0
        if wish.plain_weave:
            distinct |= {tabby.tobytes(), (~tabby).tobytes()}
        order = draft.lifts[:, draft.threading][: found.repeat[1]]
        names = {row.tobytes(): number for number, row in reversed(list(enumerate(order)))}
        steps = steps_to_remember(numbered(np.array([[names[row.tobytes()] for row in order]], np.uint64)))[0]
        holds += [
            wish.max_float is None or max(warp, weft) <= wish.max_float,
            wish.max_float_mm is None or max(warp * 0.5, weft * 2.0) <= wish.max_float_mm,
            found.repeat[1] <= wish.picks,
            found.mirror_ends or not wish.symmetric,
            found.plain_weave or not wish.plain_weave,
            wish.max_steps is None or steps <= wish.max_steps,
        ]
        if all(holds) and (not wish.plain_weave or draft.ends % 2 == 0):
            holds.append(wish.treadles is None or len(distinct) <= wish.treadles)
        elif all(holds):
            return  # tabby on an odd repeat takes two repeats: tested with the treadles of tabby
    assert fits(wish, DraftOffer(draft, SETTING, "")) == all(holds)


def test_a_threading_that_is_asked_for_is_that_one() -> None:
    assert fits(replace(LOOSE, threading=(0, 1, 2, 3)), DraftOffer(TWILL, SETTING, ""))
    assert not fits(replace(LOOSE, threading=(0, 1, 3, 2)), DraftOffer(TWILL, SETTING, ""))


@pytest.mark.parametrize(
    ("heddles", "ends", "fit"),
    [((2, 2, 2, 2), 8, True), ((2, 2, 2, 2), 9, False), ((1, 2, 3, 3), 9, False), ((3, 2, 2, 2), 9, True)],
)
def test_heddles_count_only_with_the_ends_that_they_are_for(
    heddles: tuple[int, ...], ends: int, fit: bool
) -> None:
    offer = DraftOffer(TWILL, SETTING, "")
    assert fits(replace(LOOSE, heddles=heddles, ends=ends), offer) == fit
    assert fits(replace(LOOSE, heddles=heddles), offer)
    assert fits(replace(LOOSE, ends=ends), offer)
    assert hang(TWILL.threading, ends, heddles) == fit


def test_seven_threads_is_the_float_where_none_is_asked_for() -> None:
    assert Wish(SETTING, 8).float_limit == USUAL_FLOAT
    assert Wish(SETTING, 8, max_float=3).float_limit == 3
    assert Wish(SETTING, 8, max_float_mm=3.0).float_limit is None
    assert Wish(SETTING, 8, max_float=3, max_float_mm=3.0).float_limit == 3


@pytest.mark.parametrize(("mm", "longest"), [(6.0, 12), (6.4, 12), (0.1, 1)])
def test_floats_in_mm_are_made_as_long_as_the_closer_sett_allows(mm: float, longest: int) -> None:
    assert Wish(SETTING, 8, max_float_mm=mm).longest_float_made == longest


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        ("max_float", 1, MOST_PICKS_ASKED),
        ("treadles", 1, MOST_TREADLES),
        ("max_steps", 1, MOST_PICKS_ASKED),
        ("picks", 1, MOST_PICKS_ASKED),
        ("seed", 0, 2**63 - 1),
    ],
)
def test_every_count_has_a_least_and_a_most(name: str, least: int, most: int) -> None:
    for value in (least, most):
        assert getattr(replace(LOOSE, **{name: value}), name) == value
    for value in (least - 1, most + 1):
        with pytest.raises(BadInput, match=f"{value} is not possible; expected {least} to {most}"):
            replace(LOOSE, **{name: value})


@pytest.mark.parametrize(
    ("name", "most"), [("mm_per_end", 1000.0), ("mm_per_pick", 1000.0), ("distance_m", 10_000.0)]
)
def test_every_size_is_more_than_nothing_and_not_endless(name: str, most: float) -> None:
    replace(LOOSE, setting=replace(SETTING, **{name: most}))
    for value in (0.0, -1.0, most * 1.001, float("nan"), float("inf")):
        with pytest.raises(BadInput, match="expected more than 0, at most"):
            replace(LOOSE, setting=replace(SETTING, **{name: value}))
    replace(LOOSE, setting=replace(SETTING, shafts=MOST_SHAFTS))
    replace(LOOSE, setting=replace(SETTING, shafts=2))


def test_the_columns_of_a_twill_are_those_worked_out_by_hand() -> None:
    """2/2 twill on a loom of eight: each step one shaft up and one down, floats of two threads."""
    offer = DraftOffer(TWILL, replace(SETTING, shafts=8), "")
    values = {key: column.value(offer) for key, column in COLUMNS.items()}
    del values["contrast"]
    assert values == {
        "picks": 4,
        "lifts": 4,
        "steps": 1,
        "moves": 2.0,
        "shafts": 0.5,
        "float": 4.0,  # two ends of 2 mm under a pick
        "mirrors": 0,
        "plain": 1.0,
    }
    assert offer.float_threads == 2


def test_no_figure_outweighs_the_others_in_how_different_two_cloths_are() -> None:
    """From the least to the most that a gallery usually shows, each coordinate moves by about 0.1 to 2."""
    usual = {
        "picks": (2, 32),
        "lifts": (2, 16),
        "moves": (1, 8),
        "shafts": (8, 8),
        "steps": (1, 16),
        "share": (0.25, 1),
        "threads": (1, 7),
        "contrast": (0.1, 1),
        "mirror_ends": (0, 1),
        "mirror_picks": (0, 1),
        "plain": (0, 1),
        "ends": (2, 64),
    }
    least = {name: np.array([float(low)]) for name, (low, _) in usual.items()}
    for name, (low, high) in usual.items():
        most = least | {name: np.array([float(high)])}
        one, other = points(least, np.zeros((1, 13))), points(most, np.zeros((1, 13)))
        moved = float(np.linalg.norm(one - other))
        assert (0.1 < moved < 2) == (high > low), name
