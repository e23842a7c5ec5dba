"""The weaving sheet says a treadling in short where that is short."""

from __future__ import annotations

from dataclasses import replace

from loomready.draft.draft import Draft, lift_plan
from loomready.draft.tabby import use_tabby
from loomready.model.guild import Loom
from loomready.packet.weaving import weaving
from loomready.packet.words import Letters
from loomready.warp.plan import plan_guild
from tests import cast

TABLE = replace(cast.LOOM, kind="table", treadles=0)


def short(draft: Draft, weft_yarns: tuple[str, ...] = ("chalk",), loom: Loom = TABLE):
    order = cast.order(weft_yarns=weft_yarns)
    plan = plan_guild(cast.guild(order, looms=(loom,)), cast.drafts(draft)).warps[0]
    return weaving(plan, Letters.of(plan))["wefts"][0]["short"]


def test_a_repeat_inside_the_repeat_is_said_once_with_how_often() -> None:
    twice = lift_plan([1, 2, 3, 4], [*[[1, 2], [2, 3]] * 4, *[[3, 4], [1, 4]] * 3])
    assert short(twice) == {
        "tabby": "",
        "lines": [
            {"picks": "1–8", "told": "4 × (1 2 · 2 3)"},
            {"picks": "9–14", "told": "3 × (3 4 · 1 4)"},
        ],
    }


def test_tabby_between_pattern_picks_is_said_once_and_not_listed() -> None:
    pattern = lift_plan([1, 2, 3, 4], [*[[1, 2]] * 4, *[[2, 3]] * 4, *[[3, 4]] * 4])
    made = short(use_tabby(pattern, (9, 9, 9)), ("chalk", "fern"))
    says = "Tabby: 1 3 A and 2 4 A in turn, a pick after each pattern pick; these are not listed."
    assert made["tabby"] == says
    assert [line["told"] for line in made["lines"]] == ["4 × (1 2 B)", "4 × (2 3 B)", "4 × (3 4 B)"]


def test_a_treadling_that_is_not_shorter_is_left_to_the_rows() -> None:
    assert short(cast.TWILL) is None
