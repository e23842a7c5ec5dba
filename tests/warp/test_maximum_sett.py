"""A sett past the maximum, in any cloth of the warp, and layers that a draft does not show."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from loomready.draft.draft import Draft, lift_plan
from loomready.draft.structure.layers import how_told
from loomready.model.guild import Item, WarpOrder
from loomready.report.plan_text import tell_plan
from loomready.units import Shown
from loomready.warp.plan import plan_guild
from loomready.warp.result import GuildPlan, WarpPlan
from tests import cast

PLAIN_ON_FOUR = lift_plan([1, 2, 3, 4], [[1, 3], [2, 4]])
DOUBLE = lift_plan([1, 2, 3, 4], [[1], [1, 2, 3], [3], [1, 3, 4]])
CHANGING = lift_plan(
    range(1, 9),
    [a + b for a, b in zip([[1], [1, 2, 3], [3], [1, 3, 4]], [[5, 6, 8], [6], [6, 7, 8], [8]], strict=True)],
)


def _guild_plan(order: WarpOrder, **drafts: Draft) -> GuildPlan:
    return plan_guild(cast.guild(order), drafts)


def _plan(order: WarpOrder, **drafts: Draft) -> WarpPlan:
    return _guild_plan(order, **drafts).warps[0]


def _on_eight(draft: Draft) -> WarpPlan:
    """The draft as two layers on a loom of eight shafts."""
    loom = replace(cast.LOOM, shafts=8, treadles=10, heddles=(150,) * 8)
    return plan_guild(cast.guild(cast.order(layers=2), looms=(loom,)), {"d": draft}).warps[0]


def _said(plan: WarpPlan, code: str) -> list[str]:
    return [problem.message for problem in plan.problems if problem.code == code]


def _towels(sett_per_cm: float | None, *items: Item, **more: object) -> WarpOrder:
    return cast.order(sett_per_cm=sett_per_cm, finished_width_mm=200.0, items=items, **more)


def test_a_piece_in_another_draft_is_held_to_the_maximum_sett_of_its_own() -> None:
    """The twill may stand at 14 per cm, plain weave of the same yarn not past 11.39."""
    both = _plan(_towels(14.0, Item(1.0), Item(1.0, draft="p")), d=cast.TWILL, p=PLAIN_ON_FOUR)
    (said,) = _said(both, "too-close")
    assert said.startswith("In piece 2: ")
    assert "11.39 ends/cm" in said
    assert _said(_plan(_towels(14.0, Item(1.0)), d=cast.TWILL), "too-close") == []


def test_a_draft_that_no_piece_weaves_is_not_held_against_the_sett() -> None:
    plan = _plan(_towels(14.0, Item(1.0, draft="t")), d=PLAIN_ON_FOUR, t=cast.TWILL)
    assert _said(plan, "too-close") == []


def test_hems_in_plain_weave_are_held_to_it_too() -> None:
    hemmed = Item(1.0, hem_m=0.03, hem_draft="p")
    (said,) = _said(_plan(_towels(14.0, hemmed), d=cast.TWILL, p=PLAIN_ON_FOUR), "too-close")
    assert said.startswith("In hems of piece 1: ")


@pytest.mark.parametrize("asked", [{"sett_per_cm": 14.0}, {"sett_per_cm": None, "firmness": 0.95}])
def test_the_remedy_suits_the_closest_woven_cloth(asked: dict[str, float | None]) -> None:
    order = cast.order(finished_width_mm=200.0, items=(Item(1.0), Item(1.0, draft="p")), **asked)
    plan = _plan(order, d=cast.TWILL, p=PLAIN_ON_FOUR)
    (found,) = (problem for problem in plan.problems if problem.code == "too-close")
    assert found.remedies


def test_text_says_ready_only_where_nothing_is_to_be_checked() -> None:
    close = _guild_plan(_towels(14.0, Item(1.0)), d=cast.PLAIN)
    assert {problem.level for problem in close.warps[0].problems} == {"warn"}
    told = tell_plan(close)
    assert "ready to wind" not in told
    assert "can be wound; see the checks below" in told
    clear = _guild_plan(_towels(8.0, Item(1.0)), d=cast.TWILL)
    assert clear.warps[0].problems == ()
    assert "ready to wind" in tell_plan(clear)


def test_how_the_layers_were_told_apart_is_known() -> None:
    assert [how_told(draft, 2) for draft in (DOUBLE, CHANGING, cast.PLAIN)] == ["parts", "in turn", "no"]
    assert how_told(cast.PLAIN, 1) == "parts"


def test_layers_that_the_draft_does_not_show_are_said() -> None:
    plan = _plan(cast.order(layers=2), d=cast.PLAIN)
    (said,) = _said(plan, "layers-unclear")
    assert "2 layers" in said
    assert "plain weave" in said
    assert "floats" in said
    for shown in (DOUBLE, CHANGING):
        assert _said(_on_eight(shown), "layers-unclear") == []


def test_layers_that_change_places_are_said_to_be_assumed_to_alternate() -> None:
    lines = _on_eight(CHANGING).sett_advice.lines(Shown("us"))
    assert any("threads alternate" in line for line in lines)
    loose = _on_eight(DOUBLE).sett_advice.lines(Shown("us"))
    assert not any("threads alternate" in line for line in loose)


def test_a_pick_that_no_layer_holds_is_not_offered_as_a_layer() -> None:
    """The last pick lies between both cloths: three parts, but two layers."""
    between = lift_plan([1, 2, 3, 4], [[1], [1, 2, 3], [3], [1, 3, 4], [1, 3]])
    plan = _plan(cast.order(), d=between)
    (found,) = (problem for problem in plan.problems if problem.code == "falls-apart")
    assert plan.analysis.parts == 3
    assert found.remedies == ()


def test_brierleys_maximum_is_told_for_plain_weave_and_straight_twill_only() -> None:
    """His exponent differs from weave to weave; the one that was seen is that of a twill."""
    satin = lift_plan(range(1, 6), [[1], [3], [5], [2], [4]])
    basket = lift_plan([1, 1, 2, 2], [[1], [1], [2], [2]])
    told = {
        name: _plan(cast.order(), d=draft).sett_advice.brierley_per_cm is not None
        for name, draft in (
            ("plain", cast.PLAIN),
            ("twill", cast.TWILL),
            ("satin", satin),
            ("basket", basket),
        )
    }
    assert told == {"plain": True, "twill": True, "satin": False, "basket": False}
    left = lift_plan([4, 3, 2, 1], [[1, 2], [2, 3], [3, 4], [1, 4]])
    assert np.isclose(
        _plan(cast.order(), d=left).sett_advice.brierley_per_cm or 0,
        _plan(cast.order(), d=cast.TWILL).sett_advice.brierley_per_cm or 1,
    )
