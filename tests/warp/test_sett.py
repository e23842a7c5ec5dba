"""The sett: by formula, by chart, and which of them rules."""

from __future__ import annotations

import itertools
from dataclasses import replace

import hypothesis.strategies as st
import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given

from loomready.draft.draft import Draft, drawdown, lift_plan
from loomready.draft.structure.analysis import analyze, interlacements
from loomready.model.guild import Item, WarpOrder, Yarn
from loomready.units import Shown
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from loomready.warp.sett import Cloth, SettAdvice, advise, sett_from_firmness, setts
from loomready.warp.sett_charts import chart_sett
from loomready.warp.uneven_sett import has_ground_between, is_lace, why_chart_rules
from loomready.yarn.counts import parse_count
from loomready.yarn.diameter import diameter_mm
from tests import cast

Bools = npt.NDArray[np.bool_]

EIGHT_TWO = Yarn("e", "e", parse_count("8/2 Ne").tex, "cotton")


def block(threading: str, tieup: dict[str, str], treadling: str) -> Bools:
    """A drawdown from shaft numbers, treadles by letter with their shafts, and letters in turn."""
    lifts = [[int(shaft) for shaft in tieup[treadle]] for treadle in treadling]
    return drawdown(lift_plan([int(shaft) for shaft in threading], lifts))


HUCK = block("2121234343", {"a": "13", "x": "4", "b": "24", "y": "1"}, "axaxabybyb")
SWEDISH = block("1212123434", {"a": "13", "b": "24", "x": "24", "y": "3"}, "bybybayaya")
OVERSHOT = block(
    "12121234343434121232",
    {"a": "13", "b": "24", "p": "12", "q": "34", "r": "14"},
    "apbpaqbqarbr",
)
BRONSON = block(
    "1212121313141414", {"a": "1", "b": "234", "p": "34", "q": "24", "r": "23"}, "apapabaqaqabararab"
)
SUMMER_AND_WINTER = block("13231323142414241", {"a": "12", "b": "34", "p": "13", "q": "23"}, "apbqapbq")[
    :, :16
]
DOUBLE = block("1234", {"a": "1", "b": "124", "c": "3", "d": "134"}, "abcd")


def advice(drawn: Bools, **more: object) -> SettAdvice:
    draft = _draft(drawn)
    e, p, i = interlacements(draft)
    d = diameter_mm(EIGHT_TWO.tex)
    given_: dict[str, object] = {"warp": EIGHT_TWO, "weft": EIGHT_TWO, "cloths": [Cloth(e, p, i, d, d)]}
    return setts(block=drawn, **{**given_, **more})  # type: ignore[arg-type]


def _draft(drawn: Bools) -> Draft:
    return lift_plan(
        range(1, drawn.shape[1] + 1), [list(np.flatnonzero(row) + 1) for row in drawn], shafts=drawn.shape[1]
    )


def lines_of_twill(n: int, step: int = 1) -> list[Bools]:
    """Every weave on n ends whose picks are one line, moved on by ``step``."""
    rows = (np.array(row, dtype=bool) for row in itertools.product((0, 1), repeat=n))
    return [
        np.stack([np.roll(row, step * pick) for pick in range(n)]) for row in rows if 0 < int(row.sum()) < n
    ]


@pytest.mark.parametrize("n", range(2, 9))
def test_no_twill_or_satin_is_taken_for_an_uneven_cloth(n: int) -> None:
    for step in (step for step in range(1, n) if np.gcd(step, n) == 1):
        for weave in lines_of_twill(n, step):
            if len({tuple(row) for row in weave}) < 3:
                continue  # tabby and its like
            found = why_chart_rules(weave, 1, warp_cover=0.5, weft_cover=0.5)
            assert found is None, weave.astype(int)


@pytest.mark.parametrize(
    "weave",
    [
        np.eye(2, dtype=bool),
        np.kron(np.eye(2), np.ones((2, 2))).astype(bool),  # basket
        np.kron(np.eye(2), np.ones((1, 2))).astype(bool),  # rib
        np.kron(np.eye(2), np.ones((2, 1))).astype(bool),
        block("1234321234", {"a": "12", "b": "23", "c": "34", "d": "14"}, "abcdcb"),  # point twill
        block("1234", {"a": "12", "b": "23", "c": "34", "d": "14"}, "abdc"),  # broken twill
    ],
)
def test_an_even_cloth_goes_by_its_intersections(weave: Bools) -> None:
    assert why_chart_rules(weave, 1, warp_cover=0.5, weft_cover=0.5) is None


@pytest.mark.parametrize("shafts", [4, 5, 6, 7, 8])
def test_no_point_twill_is_taken_for_an_uneven_cloth(shafts: int) -> None:
    up = np.arange(shafts)
    point = np.concatenate([up, up[-2:0:-1]])
    for weave in lines_of_twill(shafts):
        changes = int((weave[0] != np.roll(weave[0], 1)).sum())
        if changes > 2:  # an a/b twill has one run of ends up; others may well have plain grounds
            continue
        for picks, ends in itertools.product((point, up), repeat=2):
            drawn = weave[np.ix_(picks, ends)]
            assert why_chart_rules(drawn, 1, warp_cover=0.5, weft_cover=0.5) is None, drawn.astype(int)


@pytest.mark.parametrize("lace", [HUCK, BRONSON, SWEDISH, HUCK.T, ~HUCK, np.roll(HUCK, (3, 4), (0, 1))])
def test_the_chart_rules_for_lace(lace: Bools) -> None:
    found = advice(lace)
    assert found.chart_rules is not None
    assert "lace" in found.chart_rules
    assert found.kind == "lace"
    assert found.chart is not None
    assert found.chart.low_per_cm * 2.54 == pytest.approx(16)


@pytest.mark.parametrize("cloth", [OVERSHOT, SUMMER_AND_WINTER, np.roll(OVERSHOT, 1, 0), ~OVERSHOT])
def test_the_chart_rules_for_a_pattern_weft_over_a_plain_ground(cloth: Bools) -> None:
    found = advice(cloth)
    assert found.chart_rules is not None
    assert "ground" in found.chart_rules
    assert found.kind == "plain"
    assert not has_ground_between(cloth.T)


def test_the_chart_rules_for_pattern_ends_over_a_plain_ground() -> None:
    rules = advice(SUMMER_AND_WINTER.T).chart_rules
    assert rules is not None
    assert "end" in rules


def test_the_chart_rules_for_ends_that_hide_the_weft() -> None:
    plain = np.eye(2, dtype=bool)
    d = diameter_mm(EIGHT_TWO.tex)
    assert "rep" in str(advice(plain, asked_per_cm=10 * 0.95 / d).chart_rules)
    assert "weft-faced" in str(advice(plain, asked_per_cm=3.0, picks_per_cm=10 * 0.95 / d).chart_rules)
    assert advice(plain, asked_per_cm=10 * 0.45 / d).chart_rules is None


def test_layers_share_the_reed_and_each_has_its_own_intersections() -> None:
    d = diameter_mm(EIGHT_TWO.tex)
    one, two = advice(DOUBLE), advice(DOUBLE, cloths=[Cloth(2, 2, 4, d, d)] * 2)
    plain = advice(np.array([[1, 0], [0, 1]], dtype=bool))
    assert two.greatest_per_cm == pytest.approx(2 * plain.greatest_per_cm)
    assert two.greatest_per_cm > one.greatest_per_cm
    assert "2 layers" in str(two.chart_rules)
    assert two.kind == "plain"
    assert two.chart is not None
    assert two.chart.low_per_cm * 2.54 == pytest.approx(40)


def test_a_double_cloth_is_sett_by_its_layers_in_a_plan() -> None:
    double = lift_plan([1, 2, 3, 4], [[1], [1, 2, 3], [3], [1, 3, 4]])
    found = {layers: _plan_of(cast.order(layers=layers), double).sett_advice for layers in (1, 2)}
    plain = _plan_of(cast.order(), cast.PLAIN).sett_advice
    assert found[2].greatest_per_cm == pytest.approx(2 * plain.greatest_per_cm)
    assert found[1].greatest_per_cm > plain.greatest_per_cm  # its own count of intersections is too low


def test_layers_that_cannot_be_told_apart_are_taken_for_plain_weave() -> None:
    two = _plan_of(cast.order(layers=2), cast.PLAIN).sett_advice
    assert two.greatest_per_cm == pytest.approx(
        2 * _plan_of(cast.order(), cast.PLAIN).sett_advice.greatest_per_cm
    )


def _plan_of(order: WarpOrder, draft: Draft) -> WarpPlan:
    return plan_guild(cast.guild(order), cast.drafts(draft)).warps[0]


def test_the_asked_sett_is_told_as_a_share_of_the_greatest() -> None:
    found = advice(np.eye(2, dtype=bool), asked_per_cm=20 / 2.54)
    assert found.firmness_of_sett == pytest.approx(20 / 26.08, abs=1e-3)
    assert found.cover == pytest.approx(10.0)
    assert advice(np.eye(2, dtype=bool)).firmness_of_sett is None


def test_an_asked_firmness_gives_the_formula_its_share() -> None:
    found = advice(np.eye(2, dtype=bool), firmness=0.6)
    assert found.formula_per_cm == pytest.approx(0.6 * found.greatest_per_cm)


@given(
    st.floats(0.1, 1.5),
    st.integers(1, 20),
    st.integers(1, 20),
    st.data(),
    st.floats(0.05, 3),
    st.floats(0.05, 3),
)
def test_more_intersections_never_let_ends_stand_closer(
    firmness: float, e: int, p: int, data: st.DataObject, warp: float, weft: float
) -> None:
    few, many = sorted(data.draw(st.tuples(*[st.integers(0, e * p)] * 2)))
    looser = sett_from_firmness(firmness, e, p, many, warp, weft)
    closer = sett_from_firmness(firmness, e, p, few, warp, weft)
    assert looser <= closer <= firmness * 10 / warp * (1 + 1e-9)
    # The repeat woven twice over, either way, has the same sett.
    assert sett_from_firmness(firmness, 2 * e, p, 2 * few, warp, weft) == pytest.approx(closer)


def test_a_cloth_without_interlacement_still_has_a_sett() -> None:
    assert sett_from_firmness(1.0, 1, 1, 0, 0.5, 0.5) == pytest.approx(20.0)


def test_the_chart_keeps_silent_far_from_its_yarns() -> None:
    for tex in (20.0, 900.0):
        assert chart_sett(Yarn("y", "y", tex), "plain") is None
    assert chart_sett(Yarn("y", "y", parse_count("5/2 Ne").tex), "twill") is None


def test_the_chart_keeps_silent_about_woollen_yarn() -> None:
    assert chart_sett(replace(EIGHT_TWO, woollen=True), "plain") is None


def test_the_chart_prefers_a_yarn_of_the_same_fiber() -> None:
    between = 158.0  # tex, between 8/2 cotton and 20/2 linen
    for fiber in ("cotton", "linen"):
        found = chart_sett(Yarn("y", "y", between, fiber), "plain")
        assert found is not None
        assert fiber in found.yarn


def test_the_advice_reads_in_the_guilds_units() -> None:
    found = advice(HUCK, asked_per_cm=16 / 2.54)
    us, metric = (" | ".join(found.lines(Shown(units))) for units in ("us", "metric"))
    assert "16 epi" in us
    assert "6.3 ends/cm" in metric
    assert "epi" not in metric
    assert "Use the chart" in us


def test_an_order_is_advised_on_its_own_yarns() -> None:
    guild, draft = cast.guild(cast.order(sett_per_cm=None, firmness=0.75)), cast.TWILL
    found = advise(guild.warps[0], guild, draft, analyze(draft), lambda *_: diameter_mm(120.0))
    d = diameter_mm(120.0)
    assert found.formula_per_cm == pytest.approx(0.75 * 10 / (1.5 * d))
    assert found.kind == "twill"


def test_one_skip_in_a_wide_plain_ground_is_no_lace() -> None:
    wide = np.indices((20, 20)).sum(axis=0) % 2 == 0
    wide[9, 10] = ~wide[9, 10]
    assert not is_lace(wide)


def test_an_item_with_its_own_weft_is_advised_on_it() -> None:
    striped = lift_plan([1, 2], [[1], [2]], weft_colors=[0, 1])
    thick = replace(cast.CHALK, key="rope", tex=1920.0)  # four times as thick as the others
    items = (Item(finished_length_m=1.0, weft_yarns=("rope", "fern")),)
    order = cast.order(items=items)  # its own single weft does not fit the draft
    plan = plan_guild(cast.guild(order, yarns=(cast.FERN, cast.CHALK, thick)), cast.drafts(striped)).warps[0]
    d = diameter_mm(120.0)
    assert plan.sett_advice.greatest_per_cm == pytest.approx(10 / (d + 2.5 * d))
    other = cast.order(items=(replace(items[0], draft="other"),))
    drafts = {"d": striped, "other": lift_plan([1, 2], [[1], [2]], weft_colors=[1, 0])}
    plan = plan_guild(cast.guild(other, yarns=(cast.FERN, cast.CHALK, thick)), drafts).warps[0]
    assert plan.sett_advice.greatest_per_cm == pytest.approx(10 / (2 * d))


@pytest.mark.parametrize(("colors", "is_cotton"), [([0, 1, 1, 1], True), ([0, 0, 0, 1], False)])
def test_rules_for_cotton_go_by_the_yarn_of_most_ends(colors: list[int], is_cotton: bool) -> None:
    wool = replace(cast.FERN, key="wool", name="Wool", fiber="wool")
    draft = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], warp_colors=colors)
    mixed = cast.order(warp_yarns=("wool", "fern"))
    found = cast.guild(
        mixed, yarns=(*cast.guild().yarns, wool), cones=(*cast.guild().cones, cast.cone("wool-1", wool))
    )
    made = plan_guild(found, cast.drafts(draft)).warps[0]
    assert (made.sett_advice.cover is not None) == is_cotton
