"""Two warps that are on their looms at once never have one reed."""

from dataclasses import replace
from datetime import date

from loomready.choose.size.size import fit
from loomready.model.guild import Reed
from loomready.warp.plan import plan_guild
from tests.cast import LOOM, REED, drafts, guild, order

ON = {"wound": date(2026, 3, 1)}
OFF = ON | {"off": date(2026, 4, 1)}
OTHER = Reed("twenty", 2.0, 1000)  # sleyed 4 in a dent: second choice
BEECH = replace(LOOM, key="beech", name="Beech")


def room(first, second, reeds=(REED, OTHER), looms=(LOOM, BEECH)):
    warps = (
        order(key="first", finished_width_mm=200.0, **first),
        order(key="second", loom="beech", finished_width_mm=200.0, **second),
    )
    return guild(*warps, reeds=reeds, looms=looms)


def reeds_of(found):
    return [made.sley.reed.key if made.sley else None for made in plan_guild(found, drafts()).warps]


def shared(found):
    return [
        next((each for each in made.problems if each.code == "reed-shared"), None)
        for made in plan_guild(found, drafts()).warps
    ]


def test_the_later_of_two_warps_on_their_looms_goes_into_another_reed():
    assert reeds_of(room(ON, ON)) == ["forty", "twenty"]
    assert shared(room(ON, ON)) == [None, None]


def test_a_warp_that_is_not_wound_and_one_that_is_off_hold_no_reed():
    for first, second in (({}, {}), (ON, {}), ({}, ON), (OFF, ON), (ON, OFF)):
        assert reeds_of(room(first, second)) == ["forty", "forty"]
        assert shared(room(first, second)) == [None, None]


def test_the_only_reed_left_is_taken_with_a_warning():
    found = room(ON, ON, reeds=(REED,))
    assert reeds_of(found) == ["forty", "forty"]
    first, second = shared(found)
    assert first is None
    assert (second.level, second.remedies) == ("warn", ())
    assert "first" in second.message
    assert "forty" in second.message


def test_a_reed_that_is_set_is_kept_and_letting_go_of_it_clears_the_warning():
    found = room(ON, ON | {"reed": "forty"})
    _, second = shared(found)
    change = second.remedies[0].change
    assert change == {"reed": None}
    first, order_of_second = found.warps
    mended = replace(found, warps=(first, replace(order_of_second, **change)))
    assert reeds_of(mended) == ["forty", "twenty"]
    assert shared(mended) == [None, None]


def test_a_loom_that_takes_a_free_reed_is_a_remedy():
    short = replace(BEECH, longest_reed_mm=1000.0)
    long = replace(LOOM, key="cedar", name="Cedar", longest_reed_mm=1200.0)
    found = room(ON, ON, reeds=(REED, replace(OTHER, width_mm=1100.0)), looms=(LOOM, short, long))
    _, second = shared(found)
    assert [each.change for each in second.remedies] == [{"loom": "cedar"}]


def test_a_third_warp_leaves_both_reeds_that_are_held():
    found = room(ON, ON, reeds=(REED, OTHER, Reed("eighty", 8.0, 1000)))
    found = replace(found, warps=(*found.warps, order(key="third", finished_width_mm=200.0, **ON)))
    assert len(set(reeds_of(found))) == 3


def test_sizes_are_sleyed_in_the_reed_of_the_plan():
    found = room(ON, ON)
    second = plan_guild(found, drafts()).warps[1]
    sizes = fit(found, drafts(), "second")
    assert {size.sley.reed.key for size in sizes.sizes if size.sley} == {"twenty"}
    assert sizes.planned == (second.web.repeats, 1)
    assert sizes.planned_width_mm == second.finished_width_mm


def test_a_warp_keeps_the_reed_and_sley_it_was_wound_for_whatever_else_changes() -> None:
    mine = order(key="mine", wound_reed="five", wound_sley=(1, 2), **ON)
    reeds = (replace(REED, key="five", dents_per_cm=5.0), replace(REED, key="better", dents_per_cm=8.0))
    other = order(key="other", loom="birch", **ON)
    looms = (LOOM, replace(LOOM, key="birch"))
    for orders in ((mine,), (mine, other), (other, mine)):
        plans = {p.order.key: p for p in plan_guild(guild(*orders, looms=looms, reeds=reeds), drafts()).warps}
        sley = plans["mine"].sley
        assert sley is not None
        assert (sley.reed.key, sley.cycle) == ("five", (1, 2))
        if "other" in plans:
            assert plans["other"].sley is not None
            assert plans["other"].sley.reed.key == "better"
    free = plan_guild(guild(replace(mine, wound=None), looms=looms, reeds=reeds), drafts()).warps[0].sley
    assert free is not None
    assert free.reed.key == "better"


def test_a_warp_wound_later_does_not_take_a_reed_that_another_was_wound_for() -> None:
    later = order(key="later", **ON)
    mine = order(key="mine", loom="birch", wound_reed="forty", wound_sley=(2,), **ON)
    looms = (LOOM, replace(LOOM, key="birch"))
    first, second = plan_guild(guild(later, mine, looms=looms), drafts()).warps
    assert "reed-shared" in {problem.code for problem in first.problems}
    assert "reed-shared" not in {problem.code for problem in second.problems}
