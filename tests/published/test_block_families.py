"""Weaves from a profile draft against properties that handbooks of weaving give them.

No source is at hand: each property is common practice as handbooks teach it, from memory.
"""

from __future__ import annotations

import itertools
from string import ascii_uppercase

import numpy as np
import pytest

from loomready.draft import analysis
from loomready.draft.draft import Bools, Draft, drawdown
from loomready.draft.families import registry
from loomready.problems import BadInput

PROFILES = ("A", "AB", "AABBA", "ABCB", "ABCDCB", "ACBD", "AADDBBCC")


def made(name: str, profile: str, **options: str) -> Draft:
    return registry.make(name, {"profile": profile, "repeats": "2", **options})


def is_plain(cloth: Bools) -> bool:
    """Every end and pick alternates, round and round."""
    return all((cloth == ~np.roll(cloth, 1, axis)).all() for axis in (0, 1))


def longest(draft: Draft) -> tuple[int | None, int | None]:
    found = analysis.analyze(draft)
    return found.longest_warp_float, found.longest_weft_float


def sheds_weave_plain(draft: Draft) -> bool:
    """Two of the draft's own lifts are the two tabbies."""
    cloth = np.unique(drawdown(draft), axis=0)
    tabby = np.arange(draft.ends) % 2 == 0
    return bool((cloth == tabby).all(axis=1).any() and (cloth == ~tabby).all(axis=1).any())


# --- Laces ---


@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize(("name", "group"), [("huck", 5), ("huck-lace", 5), ("canvas-weave", 3)])
def test_groups_float_over_their_own_threads_and_no_more(name: str, group: int, profile: str) -> None:
    draft = made(name, profile)
    assert longest(draft) == (group, group)
    assert sheds_weave_plain(draft)
    assert analysis.analyze(draft).plain_weave


@pytest.mark.parametrize("name", ["huck", "huck-lace", "canvas-weave"])
def test_two_blocks_of_huck_take_four_shafts_and_each_further_block_one_more(name: str) -> None:
    assert [made(name, ascii_uppercase[:n]).shafts for n in range(1, 9)] == [3, 4, 5, 6, 7, 8, 9, 10]


def test_huck_is_threaded_in_fives() -> None:
    threading = (registry.make("huck", {"repeats": "1"}).threading + 1).tolist()
    assert threading == [1, 4, 1, 4, 1, 2, 3, 2, 3, 2]


def test_huck_weaves_plain_where_no_block_floats() -> None:
    draft = made("huck", "AB", treadling="A")
    cloth = drawdown(draft)
    assert longest(draft)[1] == 5
    assert is_plain(cloth[:4, 5:9])  # the group of B
    assert not is_plain(cloth[:4, 0:4])


def test_huck_lace_floats_the_partner_the_other_way() -> None:
    """Weft floats in A lie beside warp floats in B, five long, and the next five picks change over."""
    cloth = drawdown(registry.make("huck-lace", {"repeats": "1"}))
    assert (~cloth[[1, 3], 0:5]).all()
    assert cloth[0:5, [6, 8]].all()
    assert cloth[5:10, [1, 3]].all()
    assert (~cloth[[6, 8], 5:10]).all()


def test_canvas_weave_is_the_open_weave_of_three_and_three() -> None:
    """The six by six of three-end mock leno. From memory."""
    rows = ["x.x.x.", "...xxx", "x.x.x.", ".x.x.x", "xxx...", ".x.x.x"]
    cloth = drawdown(registry.make("canvas-weave", {"repeats": "1"}))
    assert ["".join(".x"[up] for up in row) for row in cloth.astype(int).tolist()] == rows


@pytest.mark.parametrize(("name", "beside"), [("spot-bronson", 1), ("bronson-lace", 2)])
@pytest.mark.parametrize("turned", ["no", "yes"])
def test_each_further_block_of_bronson_takes_one_more_shaft(name: str, beside: int, turned: str) -> None:
    for blocks in range(2, 9):
        draft = made(name, ascii_uppercase[:blocks], turned=turned)
        # Turned, the weft's own shaft and the tie both stand among the sheds of the lace as woven.
        assert draft.shafts == blocks + (2 if turned == "yes" else beside)
        assert analysis.analyze(draft).shafts_used == draft.shafts


@pytest.mark.parametrize("profile", PROFILES)
def test_bronson_lace_ties_down_each_unit_so_that_no_float_passes_five(profile: str) -> None:
    draft = made("bronson-lace", profile)
    assert longest(draft) == (5, 5)
    assert sheds_weave_plain(draft)
    every_other = draft.threading[::2]
    assert (every_other == 0).all()
    assert (draft.threading[5::6] == 1).all()


@pytest.mark.parametrize("units", [1, 2, 3])
def test_a_spot_floats_over_its_whole_block_and_one_end(units: int) -> None:
    draft = made("spot-bronson", "A" * units + "B")
    assert longest(draft) == (5, 4 * units + 1)
    assert (draft.threading[::2] == 0).all()


@pytest.mark.parametrize("name", ["spot-bronson", "bronson-lace"])
def test_turned_bronson_floats_in_the_warp_where_it_floated_in_the_weft(name: str) -> None:
    as_woven, turned = (made(name, "AAB", turned=turned) for turned in ("no", "yes"))
    assert (drawdown(turned) == ~drawdown(as_woven).T).all()
    assert longest(turned) == longest(as_woven)[::-1]


def test_one_spot_alone_would_lift_nothing_and_is_refused() -> None:
    with pytest.raises(BadInput, match="expected two or more"):
        made("spot-bronson", "AAA")


# --- Shafts at hand ---

FROM_A_PROFILE = tuple(
    name for name, family in registry.FAMILIES.items() if any(p.name == "profile" for p in family.own)
)


@pytest.mark.parametrize("name", FROM_A_PROFILE)
def test_more_blocks_than_the_shafts_allow_are_told_with_how_many_can_be(name: str) -> None:
    options = {"profile": ascii_uppercase, "shafts": "4"}
    if all(parameter.name != "shafts" for parameter in registry.family(name).own):
        options = {"profile": "ABCDE"}
    with pytest.raises(BadInput) as caught:
        registry.make(name, options)
    assert caught.value.where == "profile"
    assert "; expected at most " in caught.value.what


@pytest.mark.parametrize("name", FROM_A_PROFILE)
def test_a_block_left_out_or_not_threaded_is_refused(name: str) -> None:
    for options, where in (
        ({"profile": "AC"}, "profile"),
        ({"profile": "AB", "treadling": "ABE"}, "treadling"),
    ):
        with pytest.raises(BadInput) as caught:
            registry.make(name, options)
        assert caught.value.where == where


def possible(name: str, profile: str) -> bool:
    """M's and O's have two blocks, spot Bronson at least two."""
    blocks = len(set(profile))
    return not (name == "ms-and-os" and blocks > 2) and not (name == "spot-bronson" and blocks < 2)


@pytest.mark.parametrize("name", FROM_A_PROFILE)
def test_any_small_profile_makes_a_draft_that_holds_with_every_pick_a_shed(name: str) -> None:
    for length in (2, 3, 4):
        for letters in itertools.product("ABC", repeat=length):
            profile = "".join(letters)
            if set(letters) - set("ABC"[: len(set(letters))]) or not possible(name, profile):
                continue
            draft = registry.make(name, {"profile": profile})
            found = analysis.analyze(draft)
            assert [p.code for p in found.problems if p.code != "falls-apart"] == [], profile
            assert found.holds_together or name == "double-weave-blocks", profile
