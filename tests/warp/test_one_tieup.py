"""One tie-up for all that is woven on a warp, as the plan, its document and its sheet give it."""

from dataclasses import replace

import pytest

from loomready.draft.draft import lift_plan
from loomready.loomside.steps.direct import pressed_together
from loomready.model.guild import Item
from loomready.report.as_json import warp_as_json
from loomready.warp.plan import plan_guild
from tests.cast import LOOM, guild, order
from tests.demo import examples

TWILL = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]])
TABBY = lift_plan([1, 2, 3, 4], [[1, 3], [2, 4]])
STEEP = lift_plan([1, 2, 3, 4], [[1], [2], [3], [4], [1, 2, 3], [2, 3, 4]])
ITEMS = (Item(0.5), Item(0.5, draft="tabby"))


def planned(*items, loom=LOOM, **drafts):
    made = {"d": TWILL, "tabby": TABBY} | drafts
    return plan_guild(guild(order(items=items or ITEMS), looms=(loom,)), made).warps[0]


def codes(made):
    return {(each.code, each.level) for each in made.problems}


def opened(document, kind, pressed, shafts=4):
    ties = [set(document["ties"][treadle - 1]) for treadle in pressed]
    if kind != "counterbalance" or not ties:
        return set().union(*ties)
    return set.intersection(*ties)


@pytest.mark.parametrize("kind", ["jack", "counterbalance", "countermarche"])
def test_every_piece_is_treadled_on_the_one_tieup(kind):
    made = planned(loom=replace(LOOM, kind=kind))
    document = warp_as_json(made)["treadles"]
    assert len(document["ties"]) == 6
    assert document["proved"]
    for item, draft in zip(document["items"], (TWILL, TABBY), strict=True):
        sheds = [opened(document, kind, pressed) for pressed in item]
        assert sheds == [{int(s) + 1 for s in lifts.nonzero()[0]} for lifts in draft.lifts]


def test_a_table_loom_has_no_treadles():
    assert warp_as_json(planned(loom=replace(LOOM, kind="table", treadles=0)))["treadles"] is None


def test_more_lifts_than_any_tieup_of_the_loom_gives_stop_the_plan():
    made = planned(
        Item(0.5), Item(0.5, draft="steep"), loom=replace(LOOM, kind="jack", treadles=3), steep=STEEP
    )
    assert ("treadles-short", "stop") in codes(made)
    (problem,) = (each for each in made.problems if each.code == "treadles-short")
    assert "Alder has 3" in problem.message


def test_leaving_off_the_piece_that_takes_the_treadles_is_a_remedy():
    items = (Item(0.5, draft="tabby"), Item(0.5, draft="steep"))
    made = planned(*items, loom=replace(LOOM, treadles=2), steep=STEEP)
    (problem,) = (each for each in made.problems if each.code == "treadles-short")
    assert [remedy.change["items"] for remedy in problem.remedies] == [items[:1]]


def test_two_treadles_at_a_time_serve_where_one_each_would_be_too_many():
    made = planned(
        Item(0.5), loom=replace(LOOM, treadles=4), d=lift_plan([1, 2, 3, 4], [[1], [2], [3], [1, 2], [2, 3]])
    )
    assert "treadles-short" not in {code for code, _ in codes(made)}
    assert made.treadles.most_pressed == 2


def test_sheds_beyond_the_treadles_are_told_with_the_proof():
    plan = examples.planned("six-treadle-cover").warps[0]
    made = plan.treadles
    assert made is not None
    sheds = {tuple(row) for row in plan.draft.lifts.tolist()}
    assert len(sheds) == 10
    assert pressed_together(plan) == (
        "10 sheds on 6 treadles: press up to 2 together; fewer treadles are proved to be too few."
    )
    for picks, draft in zip(made.pressed, made.drafts, strict=True):
        for pressed, up in zip(picks, draft.lifts, strict=True):
            opened = made.rises[:, [treadle - 1 for treadle in pressed]].any(axis=1)
            assert opened.tolist() == up.tolist()
    assert pressed_together(examples.planned("sampler").warps[0]) is None
    assert pressed_together(examples.planned("direct-tie-up-scarf").warps[0]) is None
