"""Groups, ties, stripes and lifts, apart from paper."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Draft, lifts_of
from loomready.loomside.steps.groups import groups
from loomready.loomside.steps.lifting import Lifting, lifting
from loomready.loomside.steps.winding import counting_ties
from loomready.loomside.steps.words import stripes
from loomready.model.guild import Loom
from loomready.warp.result import Bout
from loomready.warp.treadles import treadles_for
from loomready.warp.width import lay_web, span_of

from . import plans

FOUR: list[int | None] = [1, 2, 3, 4]
JACK = Loom("jack", "Jack loom", "jack", 4, 900, (100,) * 4, 0.6, 6)


@settings(max_examples=60)
@given(
    width=st.integers(20, 900),
    selvedge=st.integers(0, 6),
    floating=st.booleans(),
    border=st.integers(0, 30),
    turn=st.integers(1, 60),
)
def test_groups_hold_every_end_once_and_cross_no_repeat(
    width: int, selvedge: int, floating: bool, border: int, turn: int
) -> None:
    total = 2 * border + turn
    draft = Draft(
        threading=np.arange(total, dtype=np.int16) % 7,
        lifts=np.eye(7, dtype=np.bool_),
        tieup=None,
        treadling=None,
        rising=True,
        palette=((0, 0, 0),),
        warp_colors=np.zeros(total, dtype=np.int16),
        weft_colors=np.zeros(7, dtype=np.int16),
    )
    order = replace(
        plans.BAND.warps[0],
        finished_width_mm=float(width),
        selvedge_ends=selvedge,
        floating_selvedges=floating,
        repeat_ends=(border + 1, border + turn),
    )
    span = span_of(order, draft)
    web = lay_web(order, draft, span, span.repeats_at(order, 8.0))
    made = groups(web)
    assert made[0].first == 0
    assert made[-1].stop == web.ends
    assert all(one.stop == two.first for one, two in itertools.pairwise(made))
    assert set(web.repeat_starts) <= {group.first for group in made} | {web.ends} or turn * 2 <= 16
    assert {web.repeat_starts[0], web.repeat_starts[-1]} <= {group.first for group in made} | {web.ends}


@given(st.lists(st.tuples(st.sampled_from("abc"), st.integers(1, 3)), max_size=40))
def test_folded_stripes_unfold_to_the_same_runs(runs: list[tuple[str, int]]) -> None:
    unfolded = [run for times, pattern in stripes(runs) for run in pattern * times]
    assert unfolded == runs


@settings(max_examples=40)
@given(
    st.lists(st.integers(1, 130), min_size=1, max_size=8),
    st.lists(st.integers(0, 12), min_size=1, max_size=4),
)
def test_counting_ties_fill_the_spaces_of_the_raddle_over_the_whole_web(
    sizes: list[int], cycle: list[int]
) -> None:
    cycle = [*cycle, 1]  # some space holds an end
    bouts = tuple(Bout(number, 1, size, (), ()) for number, size in enumerate(sizes, start=1))
    ties = list(counting_ties(bouts, tuple(cycle)))
    assert [sum(groups_of) for groups_of in ties] == sizes
    ended = set(np.cumsum(sizes).tolist())
    whole = set(np.cumsum(np.resize(cycle, 6000)).tolist())
    places = np.cumsum([group for groups_of in ties for group in groups_of]).tolist()
    assert all(place in whole or place in ended for place in places)


def woven_on(draft: Draft, loom: Loom) -> Lifting:
    return lifting(draft, loom, FOUR, treadles_for((draft,), loom, np.ones(4, dtype=np.bool_)))


def treadled(rising: bool, pressed: list[list[int]]) -> Draft:
    tieup = np.array([[1, 0, 0, 1], [1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1]], dtype=np.bool_)
    treadling = np.zeros((len(pressed), 4), dtype=np.bool_)
    for pick, treadles in enumerate(pressed):
        treadling[pick, [treadle - 1 for treadle in treadles]] = True
    return Draft(
        threading=np.arange(4, dtype=np.int16),
        lifts=lifts_of(tieup, treadling, rising),
        tieup=tieup,
        treadling=treadling,
        rising=rising,
        palette=((0, 0, 0), (255, 255, 255)),
        warp_colors=np.zeros(4, dtype=np.int16),
        weft_colors=np.ones(len(pressed), dtype=np.int16),
    )


def sheds(draft: Draft, loom: Loom, picks: int) -> np.ndarray:
    """The shafts that really go up when the printed tie-up is treadled as printed, on this loom."""
    woven = woven_on(draft, loom)
    assert woven.tieup is not None
    assert woven.treadles is not None
    made = []
    for treadles in (woven.treadles[pick % woven.repeat] for pick in range(picks)):
        pressed = woven.tieup[:, [treadle - 1 for treadle in treadles]]
        if loom.kind == "counterbalance":
            made.append(~(~pressed).any(axis=1) & bool(treadles))
        else:
            made.append(pressed.any(axis=1))
    return np.array(made)


@pytest.mark.parametrize("kind", ["jack", "counterbalance", "countermarche"])
@pytest.mark.parametrize("rising", [True, False])
@pytest.mark.parametrize("pressed", [[[1], [2], [3], [4]], [[1, 2], [3], [1], [2], [3, 4]]])
def test_the_printed_treadling_makes_the_drafts_sheds_on_every_loom(
    kind: str, rising: bool, pressed: list[list[int]]
) -> None:
    draft = treadled(rising, pressed)
    loom = replace(JACK, kind=kind)
    assert np.array_equal(sheds(draft, loom, draft.picks), draft.lifts)


def test_the_drafts_own_treadles_are_kept_where_they_serve() -> None:
    woven = woven_on(treadled(True, [[1], [3], [2]]), JACK)
    assert woven.treadles == ((1,), (3,), (2,))
    assert not woven.made_up


def test_a_countermarche_is_never_told_to_move_a_shaft_both_ways() -> None:
    woven = woven_on(treadled(True, [[1, 2], [3]]), replace(JACK, kind="countermarche"))
    assert woven.treadles == ((1,), (2,))
    assert woven.made_up


def test_too_few_treadles_are_counted_and_no_treadling_is_given() -> None:
    draft = treadled(True, [[1], [2], [3], [4]])
    woven = woven_on(draft, replace(JACK, treadles=3))
    assert woven.too_few == 4
    assert woven.treadles is None


def test_a_long_lift_plan_is_folded_to_its_repeat() -> None:
    draft = treadled(True, [[1], [2], [3], [4]] * 500)
    assert woven_on(draft, replace(JACK, kind="table", treadles=0)).repeat == 4
