"""Tabby between the picks: found from the threading, interleaved, told apart and taken out again."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Draft, drawdown, lift_plan, lifts_of, shed
from loomready.draft.families.registry import make
from loomready.draft.structure.analysis import analyze, weaves_plain
from loomready.draft.tabby import ground_picks, tabby_of, use_tabby, without_ground
from loomready.draft.wif import reader, writer
from loomready.problems import BadInput

GROUND = (200, 190, 170)
THREADINGS = st.lists(st.integers(1, 5), min_size=1, max_size=9)


def plan(threading: list[int], lifts: list[list[int]] | None = None) -> Draft:
    return lift_plan(threading, lifts or [[1], [2]], shafts=5)


def is_plain(draft: Draft, picks: np.ndarray) -> bool:
    """Whether the picks alone are plain weave: neighbors differ both ways."""
    cloth = drawdown(draft)[picks]
    return bool((cloth[:, 1:] != cloth[:, :-1]).all() and (cloth[1:] != cloth[:-1]).all())


@pytest.mark.parametrize("length", [1, 2, 3, 4, 5])
def test_tabby_is_found_just_where_some_lifts_weave_plain(length: int) -> None:
    """Every threading of three shafts and every choice of what the two sheds lift, by brute force."""
    for threading in product(range(3), repeat=length):
        threads = np.array(threading, dtype=np.int16)
        able = False
        for up in product([False, True], repeat=3):
            cloth = shed(np.array([up]), threads)[0]
            able |= bool((cloth[1:] != cloth[:-1]).all())
        try:
            sheds = tabby_of(threads, 3)
        except BadInput:
            assert not able
            continue
        assert able
        assert not (sheds.a & sheds.b).any()
        assert set(np.flatnonzero(sheds.a | sheds.b)) == set(threading)
        assert sheds.a[min(threading)]
        cloth = shed(np.stack([sheds.a, sheds.b]), threads)
        assert (cloth[0] != cloth[1]).all()
        assert (cloth[0, 1:] != cloth[0, :-1]).all()


@given(THREADINGS)
def test_a_threading_without_a_seam_is_one_that_weaves_plain_round_and_round(threading: list[int]) -> None:
    threads = np.array(threading, dtype=np.int16) - 1
    try:
        sheds = tabby_of(threads, 5)
    except BadInput:
        assert not weaves_plain(threads)
        return
    assert weaves_plain(threads) == (not sheds.seam)


@pytest.mark.parametrize(
    ("threading", "says"),
    [
        ([1, 2, 2, 3], "ends 2 and 3 are both on shaft 2"),
        ([1, 2, 3, 1], r"ends 3 and 4 would rise together \(shafts 3 and 1\)"),
        ([1, 2, 0, 1], "end 3 is not threaded"),
    ],
)
def test_a_threading_that_has_no_tabby_is_refused_with_the_ends_that_spoil_it(
    threading: list[int], says: str
) -> None:
    with pytest.raises(BadInput, match=says):
        use_tabby(plan(threading), GROUND)


def test_a_draft_without_picks_is_refused() -> None:
    with pytest.raises(BadInput, match="no picks"):
        use_tabby(lift_plan([1, 2], []), GROUND)


@pytest.mark.parametrize("family", ["overshot", "crackle"])
def test_every_other_pick_is_plain_weave_and_the_pattern_floats_stay(family: str) -> None:
    """As handbooks have overshot and crackle woven: from memory."""
    bare = make(family, {"tabby": "no"})
    made = use_tabby(bare, GROUND)
    assert made.picks == 2 * bare.picks
    assert is_plain(made, np.arange(1, made.picks, 2))
    assert (drawdown(made)[0::2] == drawdown(bare)).all()
    assert analyze(made).longest_weft_float == analyze(bare).longest_weft_float
    assert analyze(made).holds_together


def test_tabby_in_overshot_weaves_the_cloth_of_the_family_that_has_it() -> None:
    """The family begins with the ground pick, tabby is used after the pattern pick."""
    made = use_tabby(make("overshot", {"tabby": "no"}), GROUND)
    family = make("overshot")
    grounds = {tuple(row) for row in drawdown(made)[1::2].tolist()}
    assert grounds == {tuple(row) for row in drawdown(family)[0::2].tolist()}
    assert (drawdown(made)[0::2] == drawdown(family)[1::2]).all()


def test_summer_and_winter_without_its_tabby_gets_it_back() -> None:
    whole = make("summer-and-winter")
    pattern = replace(whole.as_lift_plan(), lifts=whole.lifts[1::2], weft_colors=whole.weft_colors[1::2])
    made = use_tabby(pattern, GROUND)
    assert is_plain(made, np.arange(1, made.picks, 2))
    assert analyze(made).longest_weft_float == 3


def test_the_ground_is_a_weft_color_of_its_own() -> None:
    bare = make("overshot", {"tabby": "no"})
    made = use_tabby(bare, bare.palette[0])
    assert len(set(made.weft_colors.tolist())) == len(set(bare.weft_colors.tolist())) + 1
    assert made.palette[-1] == bare.palette[0]


def test_a_draft_with_treadles_gets_two_more() -> None:
    bare = make("overshot", {"tabby": "no"})
    made = use_tabby(bare, GROUND)
    assert made.treadles == (bare.treadles or 0) + 2
    assert (lifts_of(made.tieup, made.treadling, made.rising) == made.lifts).all()
    assert (made.treadling[1::2].sum(axis=1) == 1).all()


def test_a_tabby_treadle_that_is_pressed_already_serves() -> None:
    whole = make("huck-lace")
    assert use_tabby(whole, GROUND).treadles == whole.treadles


def test_a_sinking_draft_sinks_the_other_half() -> None:
    bare = make("overshot", {"tabby": "no"})
    sinking = replace(bare, rising=False, tieup=~bare.tieup)
    assert (lifts_of(sinking.tieup, sinking.treadling, False) == bare.lifts).all()
    made = use_tabby(sinking, GROUND)
    assert (drawdown(made) == drawdown(use_tabby(bare, GROUND))).all()


def test_an_odd_number_of_picks_is_written_twice_so_that_the_tabbies_go_on_in_turn() -> None:
    made = use_tabby(plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4]]), GROUND)
    assert made.picks == 12
    grounds = [tuple(row) for row in made.lifts[1::2].tolist()]
    assert all(one != other for one, other in zip(grounds, [*grounds[1:], grounds[0]], strict=True))


def test_spacing_and_thickness_go_along() -> None:
    bare = replace(plan([1, 2]), weft_spacing_mm=np.array([2.0, 3.0]), weft_thickness_mm=np.array([1.0, 1.5]))
    made = use_tabby(bare, GROUND)
    assert made.weft_spacing_mm.tolist() == [2, 2, 3, 3]
    assert without_ground(made).weft_thickness_mm.tolist() == [1, 1.5]


@settings(max_examples=60)
@given(
    st.lists(st.integers(1, 4), min_size=2, max_size=8),
    st.lists(st.lists(st.integers(1, 4), max_size=4), min_size=1, max_size=4),
    st.booleans(),
)
def test_without_the_ground_weft_the_draft_is_as_it_was(
    threading: list[int], lifts: list[list[int]], treadled: bool
) -> None:
    draft = lift_plan(threading, lifts * 2, shafts=4)
    if treadled:
        treadling = np.eye(draft.picks, dtype=np.bool_)
        draft = replace(draft, tieup=draft.lifts.T.copy(), treadling=treadling)
    try:
        made = use_tabby(draft, GROUND)
    except BadInput:
        return
    through_file = reader.parse(writer.dumps(made)).draft
    for with_ground in (made, through_file):
        back = without_ground(with_ground)
        assert (back.lifts == draft.lifts).all()
        assert back.palette == draft.palette
        assert back.weft_colors.tolist() == draft.weft_colors.tolist()
        assert back.treadles == draft.treadles
    if treadled:
        assert (without_ground(made).tieup == draft.tieup).all()
        assert (without_ground(made).treadling == draft.treadling).all()


def test_plain_weave_in_one_color_has_no_ground_that_could_be_told() -> None:
    draft = make("straight-twill", {"tieup": "1/1", "shafts": "4"})
    assert ground_picks(draft) is None
    with pytest.raises(BadInput, match="no ground weft was found"):
        without_ground(draft)


def with_tabby_treadles(**more: object) -> Draft:
    """A point draft on two treadles with tabby between its picks, on two treadles more."""
    draft = lift_plan([1, 2, 3, 2], [[1, 2], [2, 3], [1, 2], [2, 3]], shafts=3)
    treadling = np.array([[True, False], [False, True]] * 2)
    draft = replace(draft, tieup=draft.lifts[:2].T.copy(), treadling=treadling)
    made = use_tabby(replace(draft, **more), GROUND)  # type: ignore[arg-type]
    assert made.treadles == 4
    return made


@pytest.mark.parametrize("rising", [True, False])
def test_a_tabby_treadle_that_a_pattern_pick_presses_stays(rising: bool) -> None:
    made = with_tabby_treadles()
    if not rising:
        made = replace(made, rising=False, tieup=~made.tieup)  # type: ignore[operator]
    assert without_ground(made).treadles == 2
    treadling = made.treadling.copy()  # type: ignore[union-attr]
    first = int(np.flatnonzero(~ground_picks(made))[0])  # type: ignore[operator]
    last = made.treadles - 1  # type: ignore[operator]
    treadling[first, last] = True
    pressed = replace(made, treadling=treadling, lifts=lifts_of(made.tieup, treadling, made.rising))  # type: ignore[arg-type]
    assert without_ground(pressed).treadles == 4
    treadling = made.treadling.copy()  # type: ignore[union-attr]
    treadling[first, last - 1] = True
    pressed = replace(made, treadling=treadling, lifts=lifts_of(made.tieup, treadling, made.rising))  # type: ignore[arg-type]
    assert without_ground(pressed).treadles == 3


def test_an_idle_treadle_that_is_not_tabby_stays() -> None:
    made = with_tabby_treadles()
    more = np.concatenate([made.tieup, [[True], [True], [False]]], axis=1)  # type: ignore[list-item]
    idle = np.concatenate([made.treadling, np.zeros((made.picks, 1), np.bool_)], axis=1)  # type: ignore[list-item]
    assert without_ground(replace(made, tieup=more, treadling=idle)).treadles == 5


def test_a_ground_color_that_is_not_the_last_or_that_an_end_has_stays_in_the_palette() -> None:
    made = with_tabby_treadles()
    assert len(without_ground(made).palette) == len(made.palette) - 1
    further = replace(made, palette=(*made.palette, (1, 2, 3)))
    assert without_ground(further).palette == further.palette
    colors = made.warp_colors.copy()
    colors[1] = len(made.palette) - 1
    in_warp = replace(made, warp_colors=colors)
    assert without_ground(in_warp).palette == in_warp.palette
    assert without_ground(in_warp).warp_colors.tolist() == colors.tolist()
