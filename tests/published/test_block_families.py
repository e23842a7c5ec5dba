"""Weaves from a profile draft against properties that handbooks of weaving give them.

No source is at hand: each property is common practice as handbooks teach it, from memory.
"""

from __future__ import annotations

import itertools
from string import ascii_uppercase

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.draft.draft import Bools, Draft, drawdown
from loomready.draft.families import registry
from loomready.draft.structure import analysis
from loomready.problems import BadInput

PROFILES = ("A", "AB", "AABBA", "ABCB", "ABCDCB", "ACBD", "AADDBBCC")


def made(name: str, profile: str, **options: str) -> Draft:
    return registry.make(name, {"profile": profile, "repeats": "2", **options})


def is_plain(cloth: Bools) -> bool:
    """Every end and pick alternates, as a continuous repeat."""
    return all((cloth == ~np.roll(cloth, 1, axis)).all() for axis in (0, 1))


def longest(draft: Draft) -> tuple[int | None, int | None]:
    found = analysis.analyze(draft)
    return found.longest_warp_float, found.longest_weft_float


def sheds_weave_plain(draft: Draft) -> bool:
    """Two of the draft's own lifts are the two tabbies."""
    cloth = np.unique(drawdown(draft), axis=0)
    tabby = np.arange(draft.ends) % 2 == 0
    return bool((cloth == tabby).all(axis=1).any() and (cloth == ~tabby).all(axis=1).any())


# Units as handbooks thread them, shafts from 1; crackle with the end that closes a block. From memory.
THREADED = {
    "huck": ("AB", [1, 4, 1, 4, 1, 2, 3, 2, 3, 2]),
    "canvas-weave": ("AB", [1, 4, 1, 2, 3, 2]),
    "spot-bronson": ("AB", [1, 2, 1, 2, 1, 3, 1, 3]),
    "bronson-lace": ("AB", [1, 3, 1, 3, 1, 2, 1, 4, 1, 4, 1, 2]),
    "summer-and-winter": ("AB", [1, 3, 2, 3, 1, 4, 2, 4]),
    "overshot": ("ABCD", [1, 2, 1, 2, 3, 2, 3, 2, 3, 4, 3, 4, 1, 4, 1, 4]),
    "crackle": ("ABCD", [1, 2, 3, 2, 1, 2, 3, 4, 3, 2, 3, 4, 1, 4, 3, 4, 1, 2, 1, 4]),
    "ms-and-os": ("AB", [1, 2, 1, 2, 3, 4, 3, 4, 1, 3, 1, 3, 2, 4, 2, 4]),
    "rep": ("AB", [1, 2, 1, 2, 3, 4, 3, 4]),
    "double-weave-blocks": ("AB", [1, 2, 3, 4, 5, 6, 7, 8]),
    "twill-blocks": ("AB", [1, 2, 3, 4, 5, 6, 7, 8]),
}


@pytest.mark.parametrize("name", THREADED)
def test_each_block_is_threaded_as_handbooks_thread_it(name: str) -> None:
    profile, threaded = THREADED[name]
    draft = registry.make(name, {"profile": profile, "repeats": "1"})
    assert (draft.threading + 1).tolist() == threaded


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


# --- Pattern weft on a ground of plain weave ---


@pytest.mark.parametrize("name", ["summer-and-winter", "overshot", "crackle"])
@pytest.mark.parametrize("profile", ["AB", "ABCB", "ABCDCB", "ACBD", "AADDBBCC"])
def test_every_other_pick_is_ground_and_the_ground_is_plain_weave(name: str, profile: str) -> None:
    draft = made(name, profile)
    assert is_plain(drawdown(draft)[::2])
    ground, pattern = draft.weft_colors[::2], draft.weft_colors[1::2]
    assert set(ground.tolist()) == set(draft.warp_colors.tolist())
    assert set(ground.tolist()).isdisjoint(pattern.tolist())


@pytest.mark.parametrize("name", ["huck", "bronson-lace", "summer-and-winter", "overshot", "crackle"])
def test_the_first_two_treadles_are_the_tabbies(name: str) -> None:
    draft = made(name, "AB")
    assert draft.tieup is not None
    assert is_plain(draft.tieup.T[:2][:, draft.threading])


@pytest.mark.parametrize("name", ["overshot", "crackle"])
def test_without_tabby_the_pattern_picks_are_drawn_alone(name: str) -> None:
    alone, ground = (made(name, "ABCD", tabby=tabby) for tabby in ("no", "yes"))
    assert (drawdown(alone) == drawdown(ground)[1::2]).all()


@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("ties", ["alternate", "pairs"])
def test_no_float_of_summer_and_winter_passes_three(profile: str, ties: str) -> None:
    draft = made("summer-and-winter", profile, ties=ties)
    assert longest(draft) == (3, 3)
    assert draft.shafts == len(set(profile)) + 2


def test_the_tie_down_ends_of_summer_and_winter_alternate() -> None:
    draft = made("summer-and-winter", "AABCB")
    assert draft.threading[::4].tolist() == [0] * (draft.ends // 4)
    assert draft.threading[2::4].tolist() == [1] * (draft.ends // 4)
    assert (draft.threading[1::4] == draft.threading[3::4]).all()
    assert (draft.threading[1::4] >= 2).all()
    # Each pattern pick lifts just one of the two.
    assert (draft.lifts[1::2, :2].sum(axis=1) == 1).all()


@pytest.mark.parametrize(("ties", "lifted"), [("alternate", [1, 2, 1, 2]), ("pairs", [1, 2, 2, 1])])
def test_the_tie_downs_are_lifted_in_turn_or_each_twice(ties: str, lifted: list[int]) -> None:
    draft = registry.make("summer-and-winter", {"profile": "AB", "ties": ties})
    assert (draft.lifts[1::2, :2].argmax(axis=1) + 1).tolist() == lifted * 2


def test_blocks_of_summer_and_winter_make_pattern_together_or_apart() -> None:
    """Over three ends of four in pattern, under three of four elsewhere."""
    cloth = drawdown(made("summer-and-winter", "AB", treadling="A,AB,B"))
    for unit, pattern in enumerate(({0}, {0, 1}, {1})):
        picks = cloth[8 * unit + 1 : 8 * unit + 8 : 2]
        for block in (0, 1):
            up = picks[:, 4 * block : 4 * block + 4].sum(axis=1)
            assert set(up.tolist()) == ({1} if block in pattern else {3})


@pytest.mark.parametrize("block", range(4))
def test_overshot_floats_over_its_block_half_over_its_neighbors_and_under_the_fourth(block: int) -> None:
    cloth = drawdown(made("overshot", "ABCD"))
    picks = cloth[8 * block + 1 : 8 * block + 8 : 2]
    for other in range(4):
        ends = picks[:, 4 * other : 4 * other + 4]
        apart = (other - block) % 4
        if apart == 0:
            assert not ends.any()
        elif apart == 2:
            assert ends.all()
        else:  # half-tone: every other end
            assert (ends.sum(axis=1) == 2).all()
            assert (ends[:, 0] == ends[:, 2]).all()
            assert (ends[:, 0] != ends[:, 1]).all()


@pytest.mark.parametrize(("blocks", "shafts"), [(5, 6), (6, 6), (7, 8), (8, 8), (12, 12)])
def test_overshot_of_more_blocks_is_built_as_that_of_four(blocks: int, shafts: int) -> None:
    profile = "ABCDEFGHIJKL"[:blocks]
    draft = made("overshot", profile)
    assert draft.shafts == shafts
    sets = [set(draft.threading[4 * block : 4 * block + 4].tolist()) for block in range(blocks)]
    cloth = drawdown(draft)
    assert is_plain(cloth[::2])
    for block in range(blocks):
        picks = cloth[8 * block + 1 : 8 * block + 8 : 2]
        for other in range(blocks):
            ends = picks[:, 4 * other : 4 * other + 4]
            shared = len(sets[block] & sets[other])
            apart = min((other - block) % shafts, (block - other) % shafts)
            assert shared == {0: 2, 1: 1}.get(apart, 0)  # neighbors share one shaft, others none
            assert (ends.sum(axis=1) == 4 - 2 * shared).all()
            if shared == 1:  # half-tone: every other end
                assert (ends[:, :2] == ends[:, 2:]).all()


SYMMETRIC = ["ABCDCB", "ABCB", "ABA", "AABBCCDDCCBB", "AB", "ABCDABCDADCBADCB", "ABCDEFEDCB"]


@pytest.mark.parametrize("profile", SYMMETRIC)
@pytest.mark.parametrize("tabby", ["yes", "no"])
@pytest.mark.parametrize("ends", ["2", "4", "6"])
def test_overshot_of_a_symmetrical_profile_mirrors_both_ways(profile: str, tabby: str, ends: str) -> None:
    found = analysis.analyze(made("overshot", profile, tabby=tabby, ends=ends))
    assert (found.mirror_ends, found.mirror_picks) == (True, True)
    assert found.plain_weave


def test_only_a_block_where_the_profile_turns_has_an_odd_number_of_ends() -> None:
    """The turning block is threaded with its odd end: common practice, no source."""
    draft = registry.make("overshot", {"profile": "ABCDCB", "repeats": "1"})
    assert (draft.threading + 1).tolist() == [
        *(1, 2, 1),
        *(2, 3, 2, 3),
        *(4, 3, 4, 3),
        *(4, 1, 4),
        *(3, 4, 3, 4),
        *(3, 2, 3, 2),
    ]


@given(st.text("ABCD", min_size=2, max_size=9))
def test_overshot_weaves_plain_across_its_repeats_however_the_profile_goes(profile: str) -> None:
    blocks = sorted(set(profile))
    profile = profile.translate({ord(each): "ABCD"[at] for at, each in enumerate(blocks)})
    if len(blocks) > 1:
        draft = registry.make("overshot", {"profile": profile, "repeats": "2"})
        assert (np.diff(draft.threading.astype(int)) % 2 == 1).all()
        assert analysis.analyze(draft).plain_weave


def test_the_usual_crackle_mirrors_both_ways() -> None:
    found = analysis.analyze(registry.make("crackle"))
    assert (found.mirror_ends, found.mirror_picks, found.longest_weft_float) == (True, True, 3)


def test_overshot_of_five_blocks_does_not_fit_four_shafts() -> None:
    with pytest.raises(BadInput, match="5 blocks need 6 shafts, and there are 4; expected at most 4 blocks"):
        registry.make("overshot", {"profile": "ABCDE", "shafts": "4"})


@pytest.mark.parametrize("profile", PROFILES)
def test_no_pattern_weft_of_crackle_passes_three(profile: str) -> None:
    draft = made("crackle", profile)
    assert longest(draft)[1] == 3
    assert (np.diff(draft.threading.astype(int)) % 4 != 0).all()
    assert analysis.analyze(draft).plain_weave


# --- Textures ---


@pytest.mark.parametrize("profile", ["A", "AB", "AAB", "ABAABB"])
def test_one_block_of_ms_and_os_floats_over_four_while_the_other_weaves_plain(profile: str) -> None:
    draft = made("ms-and-os", profile)
    assert draft.shafts == 4
    assert (longest(draft)[1] or 0) in (4, 5)
    cloth = drawdown(draft)
    for unit, treadled in enumerate(profile):
        for place, threaded in enumerate(profile):
            square = cloth[8 * unit : 8 * unit + 8, 8 * place : 8 * place + 8]
            if threaded == treadled:
                assert (square[:, :4] == square[:, :1]).all()
                assert (square[:, 4:] == ~square[:, :1]).all()
            else:
                assert (square[:, :4] == ~square[:, [1, 0, 3, 2]]).all()
                assert (square[:, 4:] == square[:, :4]).all()
    assert not sheds_weave_plain(draft)


@pytest.mark.parametrize("shafts", range(4, 13))
def test_a_waffle_floats_deeper_with_each_shaft(shafts: int) -> None:
    draft = registry.make("waffle", {"shafts": str(shafts)})
    assert longest(draft) == (2 * shafts - 3, 2 * shafts - 3)
    once = drawdown(registry.make("waffle", {"shafts": str(shafts), "repeats": "1"}))
    at_the_wall, beside = once[:, 0], once[:, 1]
    assert np.flatnonzero(at_the_wall).tolist() == [0, *range(2, 2 * shafts - 3)]  # over all but one or two
    assert beside.sum() == 2 + max(0, 2 * shafts - 7)
    found = analysis.analyze(draft)
    assert found.repeat == (2 * shafts - 2, 2 * shafts - 2)
    assert found.mirror_ends
    assert found.mirror_picks


def test_a_waffle_on_four_shafts_is_tied_1_2_13_124() -> None:
    tieup = registry.make("waffle", {"shafts": "4"}).tieup
    assert tieup is not None
    assert [(np.flatnonzero(treadle) + 1).tolist() for treadle in tieup.T] == [[1], [2], [1, 3], [1, 2, 4]]


# --- Blocks with shafts of their own ---


@pytest.mark.parametrize(("name", "each"), [("rep", 2), ("double-weave-blocks", 4), ("twill-blocks", 4)])
def test_each_block_has_shafts_of_its_own(name: str, each: int) -> None:
    for blocks in range(1, 9):
        assert made(name, ascii_uppercase[:blocks]).shafts == each * blocks


@pytest.mark.parametrize("profile", PROFILES)
def test_rep_shows_one_color_on_the_thick_picks_and_the_other_on_the_thin(profile: str) -> None:
    draft = made("rep", profile)
    cloth = drawdown(draft)
    thick_picks = np.flatnonzero(draft.weft_colors == 0)
    assert draft.weft_thickness_mm is not None
    assert (draft.weft_thickness_mm[thick_picks] > 1).all()
    dark = draft.warp_colors == 0
    for unit, treadled in enumerate(profile):
        for place, threaded in enumerate(profile):
            thick = cloth[thick_picks[2 * unit : 2 * unit + 2], 4 * place : 4 * place + 4]
            assert (thick == (dark[4 * place : 4 * place + 4] == (threaded == treadled))).all()
    assert max(threads or 99 for threads in longest(draft)) <= 2


@pytest.mark.parametrize("profile", PROFILES)
def test_a_thick_pick_of_rep_lies_between_thin_picks_in_the_opposite_shed(profile: str) -> None:
    """Two thin picks follow one another where the pattern changes: common practice, no source."""
    draft = made("rep", profile)
    cloth, thick = drawdown(draft), draft.weft_colors == 0
    for pick in np.flatnonzero(thick).tolist():
        for beside in (pick - 1, (pick + 1) % draft.picks):
            assert not thick[beside]
            assert (cloth[beside] == ~cloth[pick]).all()
    changes = sum(one != other for one, other in zip(profile, profile[1:] + profile[0], strict=True))
    assert int((~thick).sum() - thick.sum()) == 2 * changes  # the repeat stands twice


@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("treadling", ["A", "as drawn in"])
def test_both_layers_of_double_weave_are_plain_weave(profile: str, treadling: str) -> None:
    draft = made("double-weave-blocks", profile, **({"treadling": "A"} if treadling == "A" else {}))
    cloth = drawdown(draft)
    for color in (0, 1):
        assert is_plain(cloth[draft.weft_colors == color][:, draft.warp_colors == color])


def test_double_weave_that_never_changes_is_two_layers_and_one_cloth_where_it_does() -> None:
    for profile, treadling in (("A", "A"), ("AB", "AB,AB"), ("ABC", "ABC,ABC")):
        found = analysis.analyze(made("double-weave-blocks", profile, treadling=treadling))
        assert found.parts == 2
        assert [problem.code for problem in found.problems] == ["falls-apart"]
    assert analysis.analyze(made("double-weave-blocks", "AB")).parts == 1
    assert analysis.analyze(made("double-weave-blocks", "AB", treadling="A")).parts == 1


def test_the_upper_layer_of_double_weave_covers_the_lower() -> None:
    draft = made("double-weave-blocks", "AB", treadling="A")
    cloth = drawdown(draft)
    dark_ends, dark_picks = draft.warp_colors == 0, draft.weft_colors == 0
    for block, upper_dark in ((slice(0, 4), True), (slice(4, 8), False)):
        part, ends = cloth[:, block], dark_ends[block]
        upper_ends, upper_picks = (ends, dark_picks) if upper_dark else (~ends, ~dark_picks)
        assert part[~upper_picks][:, upper_ends].all()
        assert not part[upper_picks][:, ~upper_ends].any()


@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("twill", [3, 4, 5, 8])
def test_twill_blocks_cut_clean_and_float_no_further_than_their_twill(profile: str, twill: int) -> None:
    draft = made("twill-blocks", profile, twill=str(twill))
    assert longest(draft) == (twill - 1, twill - 1)
    cloth = drawdown(draft)
    for unit, treadled in enumerate(profile):
        for place, threaded in enumerate(profile):
            square = cloth[twill * unit : twill * (unit + 1), twill * place : twill * (place + 1)]
            up = twill - 1 if treadled == threaded else 1
            assert (square.sum(axis=0) == up).all()
            assert (square.sum(axis=1) == up).all()
    edges = [
        place
        for place in range(1, len(profile))
        if profile[place] != profile[place - 1] and len(set(profile)) == 2
    ]
    for edge in edges:
        assert (cloth[:, twill * edge - 1] == ~cloth[:, twill * edge]).all()


# --- Color-and-weave ---


def surface(draft: Draft) -> Bools:
    """Where the cloth shows dark."""
    dark_ends, dark_picks = draft.warp_colors == 0, draft.weft_colors == 0
    return np.where(drawdown(draft), dark_ends[None, :], dark_picks[:, None])


def test_log_cabin_is_plain_weave_with_lines_up_in_one_block_and_across_in_the_other() -> None:
    draft = made("log-cabin", "AB", pairs="4")
    assert is_plain(drawdown(draft))
    dark = surface(draft)
    for unit, place in itertools.product(range(2), repeat=2):
        square = dark[8 * unit : 8 * unit + 8, 8 * place : 8 * place + 8]
        up, across = (square == square[:1]).all(), (square == square[:, :1]).all()
        assert up != across
        assert up == (unit != place)
    assert (draft.warp_colors[7], draft.warp_colors[15]) == (draft.warp_colors[8], draft.warp_colors[0])


def test_houndstooth_repeats_on_eight_and_is_half_dark() -> None:
    draft = registry.make("houndstooth")
    assert analysis.analyze(draft).repeat == (4, 4)
    assert analysis.analyze(draft).color_repeat == (8, 8)
    dark = surface(draft)[:8, :8]
    assert dark.sum() == 32
    # A solid square of each color, and two of stripes: the tooth.
    assert dark[:4, :4].all()
    assert not dark[4:, 4:].any()
    assert 0 < dark[:4, 4:].sum() < 16
    colored = registry.make("colored-twill", {"warp": "4/4", "tieup": "2/2"})
    assert (surface(colored)[:8, :8] == dark).all()


@pytest.mark.parametrize("shafts", [4, 6, 8, 12])
@pytest.mark.parametrize("draw", ["point", "straight"])
def test_shadow_weave_is_plain_within_its_pairs_and_floats_over_few(shafts: int, draw: str) -> None:
    draft = registry.make("shadow-weave", {"shafts": str(shafts), "draw": draw})
    cloth = drawdown(draft)
    assert (cloth[:, ::2] == ~cloth[:, 1::2]).all()
    assert (cloth[::2] == ~cloth[1::2]).all()
    assert max(threads or 99 for threads in longest(draft)) == 2
    assert draft.warp_colors.tolist() == [0, 1] * (draft.ends // 2)
    assert draft.weft_colors.tolist() == [0, 1] * (draft.picks // 2)


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


LEAST_AND_MOST = {"spot-bronson": (2, 26), "overshot": (2, 4), "ms-and-os": (1, 2), "log-cabin": (1, 2)}


@pytest.mark.parametrize("name", FROM_A_PROFILE)
def test_any_small_profile_makes_a_draft_that_holds_with_every_pick_a_shed(name: str) -> None:
    for length in (2, 3, 4):
        for letters in itertools.product("ABC", repeat=length):
            profile = "".join(letters)
            blocks = len(set(letters))
            least, most = LEAST_AND_MOST.get(name, (1, 26))
            if set(letters) != set("ABC"[:blocks]) or not least <= blocks <= most:
                continue
            draft = registry.make(name, {"profile": profile})
            found = analysis.analyze(draft)
            assert [p.code for p in found.problems if p.code != "falls-apart"] == [], profile
            assert found.holds_together or name == "double-weave-blocks", profile


def test_in_overshot_of_a_b_a_both_blocks_turn_and_have_an_odd_number_of_ends() -> None:
    """The block of A goes on over the edge of the repeat: seven ends of it, three of B (common practice)."""
    draft = registry.make("overshot", {"profile": "ABA", "repeats": "1"})
    assert (draft.threading + 1).tolist() == [*(1, 2, 1), *(2, 3, 2), *(1, 2, 1, 2)]
