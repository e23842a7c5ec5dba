"""The plan: sums, shortfalls and remedies."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from loomready.draft.draft import lift_plan
from loomready.model.guild import Item, Reed
from loomready.problems import BadInput
from loomready.report.as_json import warp_as_json
from loomready.warp.plan import plan_guild, shelf_before
from loomready.warp.result import GuildPlan
from tests.cast import CHALK, FERN, LOOM, PLAIN, TWILL, cone, drafts, guild, order


def plan(the_order=None, the_guild=None, draft=TWILL, **more):
    found = (the_guild or guild)(*([the_order] if the_order else []), **more)
    return plan_guild(found, drafts(draft)).warps[0]


def codes(made, level=None):
    return {problem.code for problem in made.problems if level in (None, problem.level)}


def test_the_sums_of_a_plain_order():
    made = plan()
    wanted = 400 / (0.92 * 0.94)
    assert made.web.ends == round(wanted / 10 * 8 / 4) * 4 == 372
    assert made.width_in_reed_mm == pytest.approx(465.0)
    assert made.warp_length_m == pytest.approx(2.0 / 0.92 * 1.1 + 0.7)
    assert made.picks == np.ceil(8 * 200 / 0.92)
    fern, chalk = made.yarns
    assert (fern.warp_ends, fern.warp_m) == (372, pytest.approx(372 * made.warp_length_m))
    assert chalk.weft_m == pytest.approx(made.picks * 0.465 * 1.05)
    assert fern.weight_g == pytest.approx(fern.warp_m * 0.12)
    assert made.problems == ()


def test_hems_fringes_and_sample_each_go_where_they_belong():
    made = plan(order(items=(Item(1.0, count=2, hem_m=0.03, fringe_m=0.1),), sample_m=0.3))
    woven = 2 * 1.06 / 0.92
    assert made.warp_length_m == pytest.approx(woven * 1.1 + 0.4 + 0.33 + 0.7)
    assert made.picks == np.ceil(800 * (woven + 0.3))


def test_an_item_with_its_own_weft_takes_its_own_share():
    two = lift_plan([1, 2, 3, 4], [[1, 2], [3, 4]], weft_colors=[0, 1])
    items = (Item(1.0), Item(1.0, weft_yarns=("fern", "fern"), picks_per_cm=4.0))
    made = plan(order(items=items, weft_yarns=("chalk", "fern")), draft=two)
    first, second = made.wefts
    assert (first.picks, first.picks + second.picks) == (np.ceil(800 / 0.92), np.ceil(1200 / 0.92))
    fern, chalk = made.yarns
    assert chalk.weft_m == pytest.approx(np.ceil(first.picks / 2) * 0.465 * 1.05)
    assert fern.weft_m == pytest.approx((first.picks // 2 + second.picks) * 0.465 * 1.05)


def test_picks_are_rounded_up_for_each_piece_and_each_begins_at_pick_1():
    three = lift_plan([1, 2, 3, 4], [[1, 2], [3, 4], [2, 3]], weft_colors=[0, 1, 1])
    items = (Item(0.253, count=4), Item(0.5))
    made = plan(order(items=items, weft_yarns=("chalk", "fern"), sample_m=0.101), draft=three)
    each, last, sample = np.ceil(800 * np.array([0.253 / 0.92, 0.5 / 0.92, 0.101])).astype(int)
    assert made.picks == 4 * each + last + sample
    chalk = next(need for need in made.yarns if need.yarn.key == "chalk")
    first_color = 4 * np.ceil(each / 3) + np.ceil(last / 3) + np.ceil(sample / 3)
    assert chalk.weft_m == pytest.approx(first_color * made.width_in_reed_mm / 1000 * 1.05)


def test_ends_that_only_the_last_pieces_of_cones_could_give_are_short_and_said_so():
    length = plan().warp_length_m
    many = tuple(cone(f"fern-{n}", meters=(2.7 * length) / 0.9) for n in range(150))
    made = plan(cones=(*many, cone("chalk-1", CHALK, meters=5000.0)))
    (problem,) = (one for one in made.problems if one.code == "yarn-short")
    need = made.yarns[0]
    assert need.missing_ends > 0
    assert need.wanted_m <= need.available_m
    assert "what is left on each cone is shorter than the warp" in problem.message
    lean = plan(cones=(cone("fern-1", meters=100.0), cone("chalk-1", CHALK, meters=5000.0)))
    (problem,) = (one for one in lean.problems if one.code == "yarn-short")
    assert "what is left on each cone" not in problem.message


def test_the_document_gives_the_finished_width_and_the_shaft_of_every_end():
    made = plan(order(floating_selvedges=True))
    document = warp_as_json(made)
    assert document["finished_width_mm"] == pytest.approx(made.finished_width_mm)
    assert len(document["threading"]) == document["ends"]
    assert document["threading"][:6] == [0, 1, 2, 3, 4, 1]
    assert document["threading"][-1] == 0


LATE = date(2026, 5, 20)


def lives(draw_planned_first: bool, **second: object) -> GuildPlan:
    orders = [order(key="planned"), order(key="hanging", loom="alder", **second)]
    stock = (cone("fern-1", meters=3000.0, weighed=date(2026, 5, 1)), cone("chalk-1", CHALK, meters=5000.0))
    made = guild(*(orders if draw_planned_first else orders[::-1]), cones=stock)
    return plan_guild(made, drafts())


@pytest.mark.parametrize("state", [{"wound": LATE}, {"wound": LATE, "off": LATE}])
def test_yarn_that_hangs_on_a_loom_is_not_promised_to_a_warp_that_stands_before_it(state):
    for first in (True, False):
        made = {plan.order.key: plan for plan in lives(first, **state).warps}
        planned, hanging = made["planned"], made["hanging"]
        assert hanging.yarns[0].enough
        assert not [p for p in hanging.problems if p.level == "stop"]
        there = 3000.0 - hanging.web.ends * hanging.warp_length_m
        assert planned.yarns[0].on_shelf_m == pytest.approx(there)
        assert planned.yarns[0].sure_m == pytest.approx(there)


def test_a_finished_warp_asks_for_nothing_and_its_loom_is_free():
    made = lives(True, wound=LATE, off=LATE)
    assert not made.problems  # the loom is not shared
    hanging = made.warps[1]
    assert [need.wanted_m for need in hanging.yarns] == [0.0, 0.0]
    assert lives(True, wound=LATE).problems[0].code == "loom-shared"


def test_a_weighing_after_the_cloth_is_off_knows_of_all_that_was_taken():
    stock = (
        cone("fern-1", meters=700.0, weighed=date(2026, 6, 1)),
        cone("chalk-1", CHALK, meters=300.0, weighed=date(2026, 6, 1)),
    )
    made = plan_guild(guild(order(wound=LATE, off=LATE), cones=stock), drafts()).warps[0]
    assert [need.on_shelf_m for need in made.yarns] == pytest.approx([700.0, 300.0])
    assert not made.problems


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 9), st.one_of(st.none(), st.integers(1, 9))), min_size=1, max_size=3),
    st.integers(0, 20),
    st.integers(0, 3),
)
def test_over_any_life_of_a_shelf_no_meter_is_promised_twice_and_none_vanishes(warps, weighed, place):
    """What the plan says is there is what a scale would show, whatever the order of the file."""
    begin, full = date(2026, 5, 1), 20000.0
    lived = [
        order(
            key=f"w{n}",
            finished_width_mm=200.0 + 40 * n,
            wound=begin + timedelta(days=2 * day + 1),
            off=None if later is None else begin + timedelta(days=2 * (day + later) + 1),
        )
        for n, (day, later) in enumerate(warps)
    ]
    alone = {each.key: plan(replace(each, wound=None, off=None)) for each in lived}
    weighing = begin + timedelta(days=2 * weighed)

    def held(yarn: int, by: date) -> float:
        total = full
        for each in lived:
            need = alone[each.key].yarns[yarn]
            total -= need.warp_m if each.wound <= by else 0.0
            total -= need.weft_m if each.off is not None and each.off <= by else 0.0
        return total

    stock = (
        cone("fern-1", meters=held(0, weighing), weighed=weighing),
        cone("chalk-1", CHALK, meters=held(1, weighing), weighed=weighing),
    )
    orders = [*lived[:place], order(key="next"), *lived[place:]]
    made = plan_guild(guild(*orders, cones=stock), drafts()).warps
    following = made[min(place, len(lived))]
    earlier = [plan for plan in made[: min(place, len(lived))] if plan.order.off is None]
    assert following.yarns[0].on_shelf_m == pytest.approx(held(0, date.max))
    claimed = sum(plan.yarns[1].weft_m for plan in earlier)
    assert following.yarns[1].on_shelf_m == pytest.approx(held(1, date.max) - claimed)
    for each in made:
        assert all(need.enough for need in each.yarns)
        assert "weigh-again" not in codes(each)


def test_a_short_cone_stops_the_plan_and_says_how_many_ends_are_missing():
    made = plan(cones=(cone("fern-1", meters=1000.0), cone("chalk-1", CHALK)))
    (problem,) = (one for one in made.problems if one.code == "yarn-short")
    fits = int(1000.0 * 0.97 // made.warp_length_m)
    assert problem.level == "stop"
    assert f"is short {372 - fits} warp ends" in problem.message
    assert not made.yarns[0].enough
    assert sum(count for bout in made.bouts for _, count in bout.cones) == fits


def test_short_weft_says_how_many_meters_are_missing():
    made = plan(cones=(cone("fern-1"), cone("chalk-1", CHALK, meters=600.0)))
    missing = made.yarns[1].weft_m - 600 * 0.97
    assert made.yarns[1].missing_weft_m == pytest.approx(missing)
    assert f"{missing:,.0f} m of weft" in made.problems[0].message


def test_a_second_warp_gets_what_the_first_leaves():
    made = plan_guild(guild(order(key="a"), order(key="b")), drafts())
    first, second = made.warps
    assert second.yarns[0].sure_m == pytest.approx(5000 - first.yarns[0].warp_m)
    assert second.yarns[0].on_shelf_m == pytest.approx(5000 - first.yarns[0].warp_m)
    assert [problem.code for problem in made.problems] == ["loom-shared"]


def test_a_wound_length_replaces_the_sum_and_too_short_is_a_stop():
    made = plan(order(wound_length_m=4.0))
    assert made.warp_length_m == 4.0
    assert "wound-short" not in codes(made)
    assert "wound-short" in codes(plan(order(wound_length_m=3.0)), "stop")


def test_cloth_in_more_parts_than_layers_stops_the_plan():
    double = lift_plan([1, 2, 3, 4], [[1], [1, 2, 3], [3], [1, 3, 4]])
    assert "falls-apart" in codes(plan(draft=double), "stop")
    assert "falls-apart" not in codes(plan(order(layers=2), draft=double))


def test_layers_take_the_sett_of_firmness_times_two():
    firm = order(sett_per_cm=None, firmness=0.8)
    double = lift_plan([1, 2, 3, 4], [[1], [1, 2, 3], [3], [1, 3, 4]])
    single = plan(firm, draft=PLAIN).asked_sett_per_cm
    assert plan(replace(firm, layers=2), draft=double).asked_sett_per_cm == pytest.approx(2 * single)


def test_a_float_is_measured_within_its_layer_and_in_the_finished_cloth():
    # Floats of 7 picks: at 6.5 per cm they are 10.8 mm on the loom, and 9.9 mm when 8 % are lost in length.
    satin = lift_plan(range(1, 9), [[n] for n in (1, 4, 7, 2, 5, 8, 3, 6)])
    assert "long-float" not in codes(plan(order(picks_per_cm=6.5), draft=satin))
    longer = plan(order(picks_per_cm=6.0), draft=satin).problems
    (found,) = (one for one in longer if one.code == "long-float")
    assert "goes over 7 picks, 1.1 cm in the finished cloth" in found.message
    double = lift_plan([1, 2, 3, 4], [[1], [1, 2, 3], [3], [1, 3, 4]])
    coarse = order(picks_per_cm=2.5, sett_per_cm=2.5)
    assert "long-float" in codes(plan(coarse, draft=double))
    assert "long-float" not in codes(plan(replace(coarse, layers=2), draft=double))


def test_a_sett_past_the_maximum_is_said_and_its_remedies_clear_it():
    close = plan(order(sett_per_cm=14.0), draft=PLAIN)
    assert close.sett_per_cm > close.sett_advice.greatest_per_cm
    (found,) = (one for one in close.problems if one.code == "too-close")
    assert found.remedies
    for remedy in found.remedies:
        assert "too-close" not in codes(plan(replace(close.order, **remedy.change), draft=PLAIN))
    assert "too-close" not in codes(plan(draft=PLAIN))


def test_a_symmetrical_repeat_with_unlike_edges_is_told_how_many_ends_balance_it():
    point = lift_plan([1, 2, 3, 4, 3, 2], [[1, 2], [2, 3], [3, 4], [1, 4]])
    (problem,) = (one for one in plan(draft=point).problems if one.code == "unbalanced-edge")
    assert "1 end more" in problem.message
    balanced = lift_plan([1, 2, 3, 4, 3, 2, 1], [[1, 2], [2, 3], [3, 4], [1, 4]])
    assert "unbalanced-edge" not in codes(plan(draft=balanced))


def test_uneven_sheds_are_named_on_a_counterbalance_loom_only():
    uneven = lift_plan([1, 2, 3, 4], [[1], [2, 3], [3, 4], [1, 4]])
    looms = (replace(LOOM, kind="counterbalance"),)
    assert "uneven-shed" in codes(plan(draft=uneven, looms=looms), "warn")
    assert "uneven-shed" not in codes(plan(draft=uneven))
    assert "uneven-shed" not in codes(plan(looms=looms))


def test_yarns_that_do_not_match_the_colors_are_refused():
    with pytest.raises(BadInput) as caught:
        plan(order(warp_yarns=("fern", "chalk")))
    assert caught.value.where == "[warps 1] warp_yarns"


def test_an_item_with_another_threading_is_refused():
    with pytest.raises(BadInput) as caught:
        plan_guild(guild(order(items=(Item(1.0), Item(1.0, draft="other")))), {"d": TWILL, "other": PLAIN})
    assert caught.value.where == "[warps 1] items 2 draft"


SHORT = {
    "yarn-short": {"cones": (cone("fern-1", meters=1000.0), cone("chalk-1", CHALK))},
    "too-wide": {"looms": (replace(LOOM, weaving_width_mm=400),)},
    "too-narrow-reed": {"reeds": (Reed("small", 4.0, 300),)},
    "heddles-short": {"looms": (replace(LOOM, heddles=(60,) * 4),)},
    "no-sley": {"reeds": (Reed("odd", 3.77, 900),)},
    "lots-mixed": {
        "cones": (cone("f-1", meters=700, lot="A"), cone("f-2", meters=900, lot="B"), cone("c", CHALK))
    },
}


@pytest.mark.parametrize("code", SHORT)
def test_every_remedy_makes_its_problem_go_away(code):
    more = SHORT[code]
    if code == "lots-mixed":
        more = {**more, "cones": (*more["cones"][:2], cone("c", CHALK))}
    found = guild(**more)
    made = plan_guild(found, drafts()).warps[0]
    (problem,) = (one for one in made.problems if one.code == code)
    assert problem.remedies
    for remedy in problem.remedies:
        changed = replace(found, warps=(replace(found.warps[0], **remedy.change),))
        after = plan_guild(changed, drafts()).warps[0]
        assert code not in {one.code for one in after.problems}


def test_a_wider_loom_is_offered_when_there_is_one():
    wide = replace(LOOM, key="wide", name="Wide loom")
    made = plan(looms=(replace(LOOM, weaving_width_mm=400), wide))
    (problem,) = (one for one in made.problems if one.code == "too-wide")
    assert {"loom": "wide"} in [remedy.change for remedy in problem.remedies]


def test_another_yarn_of_like_grist_is_offered():
    moss = replace(FERN, key="moss", name="Moss", tex=125.0, tolerance=0.0)
    made = plan(
        yarns=(*guild().yarns, moss),
        cones=(cone("fern-1", meters=500.0), cone("chalk-1", CHALK), cone("moss-1", moss)),
    )
    assert {"warp_yarns": ("moss",)} in [remedy.change for remedy in made.problems[0].remedies]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.integers(200, 900),
    st.floats(0.3, 6.0),
    st.integers(0, 5),
    st.booleans(),
    st.integers(10, 200),
    st.floats(300, 6000),
)
def test_a_plan_keeps_its_own_books(width, length, selvedge, floating, most, meters):
    made = plan(
        order(
            finished_width_mm=float(width),
            items=(Item(length),),
            selvedge_ends=selvedge,
            floating_selvedges=floating,
            max_bout_ends=most,
        ),
        cones=(cone("fern-1", meters=meters), cone("fern-2", meters=meters / 3), cone("chalk-1", CHALK)),
    )
    assert sum(made.heddles.needed) == made.web.heddle_ends == made.web.ends - (2 if floating else 0)
    assert sum(bout.ends for bout in made.bouts) == made.web.ends
    assert sum(count for bout in made.bouts for _, count in bout.colors) == made.web.ends
    fern = made.yarns[0]
    assert sum(use.ends for use in fern.uses) + fern.missing_ends == made.web.ends
    assert sum(count for bout in made.bouts for _, count in bout.cones) == made.web.ends - fern.missing_ends
    assert fern.enough == (fern.missing_ends == 0)
    if fern.enough:
        assert fern.warp_m <= fern.available_m + 1e-6


def test_ends_follow_the_sett_that_is_sleyed():
    made = plan(order(sett_per_cm=8.2))  # the reed gives 8
    wanted = 400 / (0.92 * 0.94) / 10 * 8
    assert made.sett_per_cm == 8.0
    assert made.web.ends == round(wanted / 4) * 4
    assert made.finished_width_mm == pytest.approx(made.web.ends / 8 * 10 * 0.92 * 0.94)


@settings(max_examples=80, deadline=None)
@given(
    st.integers(60, 700),
    st.integers(1, 60),
    st.integers(40, 160),
    st.lists(st.tuples(st.integers(3, 8), st.integers(40, 95)), min_size=1, max_size=3),
)
def test_the_finished_width_is_the_nearest_that_repeats_allow_at_the_plans_own_sett(wide, long, asked, reeds):
    draft = lift_plan([1 + n % 4 for n in range(long - 1)] + [4], [[1], [2], [3], [4]])
    made = plan(
        order(finished_width_mm=float(wide), sett_per_cm=asked / 10),
        draft=draft,
        reeds=tuple(Reed(f"r{n}", float(d), w * 10.0) for n, (d, w) in enumerate(reeds)),
    )
    off = abs(made.finished_width_mm - wide)
    one = made.web.repeat_ends / made.sett_per_cm * 10 * 0.92 * 0.94
    for other in (made.finished_width_mm - one, made.finished_width_mm + one):
        assert made.web.repeats == 1 or off <= abs(other - wide) + 1e-6
    assert ("width-off" in codes(made)) == (off > 0.02 * wide + 1e-9)


def test_a_width_that_whole_repeats_miss_is_said_with_what_would_close_it():
    draft = lift_plan([1, 2, 3, 4] * 15 + [1, 3], [[1, 2], [2, 3], [3, 4], [1, 4]])
    made = plan(order(finished_width_mm=300.0), draft=draft)
    (problem,) = (each for each in made.problems if each.code == "width-off")
    assert "You asked for 30 cm finished; this plan gives 26.8 cm." in problem.message
    for remedy in problem.remedies:
        again = plan(replace(made.order, **remedy.change), draft=draft)
        assert "width-off" not in codes(again)
        assert f"{again.finished_width_mm / 10:.1f}".removesuffix(".0") in remedy.says
    # Half of what is missing at each side, with ends as far apart as in the rest of the web.
    (wider,) = (remedy for remedy in problem.remedies if "at each side" in remedy.says)
    missing_mm = 300 - made.finished_width_mm
    each_side = round(missing_mm / 2 * made.web.ends / made.finished_width_mm)
    assert wider.change == {"selvedge_ends": each_side}


def test_too_wide_is_a_stop_and_its_remedy_promises_what_its_plan_gives():
    made = plan(order(finished_width_mm=900.0))
    (problem,) = (each for each in made.problems if each.code == "too-wide")
    assert problem.level == "stop"
    assert made.sett_per_cm == 8.0  # never sleyed closer to fit
    (remedy, *_) = problem.remedies
    again = plan(replace(made.order, **remedy.change))
    assert again.width_in_reed_mm <= LOOM.weaving_width_mm
    assert f"{again.finished_width_mm / 10:.1f} cm finished".replace(".0 ", " ") in remedy.says


def test_a_sample_has_a_yarn_for_each_of_its_drafts_weft_colors_however_short_it_is():
    two = lift_plan([1, 2, 3, 4], [[1, 2], [3, 4]], weft_colors=[0, 1])
    items = (Item(1.0, draft="one"),)
    drafts = {"d": two, "one": TWILL}
    plan_guild(guild(order(items=items)), drafts)  # nothing is woven in the warp's own draft
    with pytest.raises(BadInput, match="1 yarns for 2 weft colors"):
        plan_guild(guild(order(items=items, sample_m=0.2)), drafts)


def test_selvedge_shafts_are_shafts_of_the_draft():
    plan(order(selvedge_ends=2, selvedge_shafts=(1, 4)))
    with pytest.raises(BadInput, match="shaft 5 is past the draft's 4 shafts"):
        plan(order(selvedge_ends=2, selvedge_shafts=(1, 5)))


def test_a_warp_before_that_cannot_be_planned_is_named_by_its_place():
    orders = (order(key="one"), order(key="two", selvedge_ends=2, selvedge_shafts=(1, 9)), order(key="three"))
    with pytest.raises(BadInput) as caught:
        shelf_before(guild(*orders), drafts(), "three")
    assert "[warps 2]" in caught.value.line()
