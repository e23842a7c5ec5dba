"""A cone that is weighed while a warp is woven knows of the weft that is woven already."""

from __future__ import annotations

import pytest
from django.test import Client

from loomready.app.cones.cone_ledger import of_cone
from loomready.app.models import Change, Record
from loomready.app.state.snapshot import current_snapshot
from loomready.warp.plan import weft_of_picks
from loomready.warp.result import YarnNeed
from tests.app.asking import form_of
from tests.app.progress.test_progress import report

pytestmark = pytest.mark.django_db
YARN, CONE = "wool-indigo", "wool-indigo-1"


def need() -> YarnNeed:
    planned = current_snapshot().plan_of("scarves")
    assert planned is not None
    assert planned.plan is not None
    return next(each for each in planned.plan.yarns if each.yarn.key == YARN)


def weigh(client: Client, grams: float) -> None:
    address = f"/shelf/cone/{CONE}/weigh"
    client.post(address, form_of(client, address) | {"gross": f"{grams:.0f} g", "sure": "heavier"})


def test_weighing_while_weaving_neither_counts_twice_nor_stops_the_warp(weaver: Client) -> None:
    weaver.post("/warps/scarves/step", {"step": "tied on"})
    before = need()
    picks = report(weaver, "weaving", 1000, warp="scarves")
    assert picks > 1000
    weigh(weaver, 100.0)
    fields = Record.objects.get(kind="warps", key="scarves").fields
    assert fields["woven_picks"] == 1000
    after = need()
    assert 0 < after.wanted_m < before.wanted_m
    assert after.enough
    weighed = after.on_shelf_m
    version = Record.objects.get(kind="progress", key="scarves").version
    weaver.post("/warps/scarves/step", {"step": "cut off", "version": version})
    assert need().wanted_m == 0
    assert need().on_shelf_m == pytest.approx(weighed - after.wanted_m, abs=0.1)


def test_a_finished_cloth_took_its_weft_from_the_cones_of_its_plan_whatever_is_weighed_later(
    weaver: Client,
) -> None:
    weaver.post("/warps/scarves/step", {"step": "tied on"})
    version = Record.objects.get(kind="progress", key="scarves").version
    weaver.post("/warps/scarves/step", {"step": "cut off", "version": version})
    gave = {each["cone"] for each in Record.objects.get(kind="warps", key="scarves").fields["woven_from"]}
    assert CONE in gave
    others = {cone.key for cone in current_snapshot().guild.cones if cone.yarn == YARN} - gave
    kept = {row: current_snapshot().now.taken(_cones(row)) for row in others}
    weigh(weaver, 90.0)
    assert {row: current_snapshot().now.taken(_cones(row)) for row in others} == kept
    assert current_snapshot().now.taken(_cones(CONE)) == 0


def _cones(key: str):
    return tuple(cone for cone in current_snapshot().guild.cones if cone.key == key)


def now_m(cone: str) -> float:
    """What the shelf says that a cone holds, in m."""
    snapshot = current_snapshot()
    (found,) = _cones(cone)
    return snapshot.now.expected_m((found,), snapshot.guild.yarn(found.yarn))


def ledger_end(cone: str) -> tuple[str, list[str]]:
    found = of_cone(current_snapshot(), cone)
    return found.rows[-1].expected, [row.disagrees for row in found.rows if row.disagrees]


def weigh_true(client: Client, cone: str, woven_m: float) -> None:
    """Weigh a cone that holds what the shelf says less what was woven since it last knew, to the gram."""
    (found,) = _cones(cone)
    net_g = (now_m(cone) - woven_m) * current_snapshot().guild.yarn(found.yarn).tex / 1000
    address = f"/shelf/cone/{cone}/weigh"
    gross = {"gross": f"{net_g + found.tare_g:.0f} g", "sure": "heavier"}
    client.post(address, form_of(client, address) | gross)


def test_weighing_one_cone_charges_no_other_cone_twice_and_the_ledger_tells_the_same(weaver: Client) -> None:
    weaver.post("/warps/scarves/step", {"step": "tied on"})
    planned = current_snapshot().plan_of("scarves")
    assert planned is not None
    assert planned.plan is not None
    total = {need.yarn.key: need.weft_m for need in planned.plan.yarns}
    gives = next(need for need in planned.plan.yarns if need.yarn.key == "wool-undyed").uses
    undyed = next(use.cone for use in gives if use.weft_m)
    before = now_m(CONE)
    half = report(weaver, "weaving", 1000, warp="scarves") // 2
    weigh_true(weaver, CONE, weft_of(YARN, 0, 1000))
    held = now_m(CONE)
    report(weaver, "weaving", half + 400, counter=2, warp="scarves")
    weigh_true(weaver, undyed, weft_of("wool-undyed", 1000, half + 400))
    rows = Record.objects.get(kind="warps", key="scarves").fields["woven_from"]
    assert len({row["at"] for row in rows if row["cone"] == CONE}) == 2
    of_indigo = weft_of(YARN, 1000, half + 400)
    assert now_m(CONE) == pytest.approx(held - of_indigo, abs=0.2)
    assert need().wanted_m == pytest.approx(total[YARN] - weft_of(YARN, 0, half + 400), abs=0.2)
    version = Record.objects.get(kind="progress", key="scarves").version
    weaver.post("/warps/scarves/step", {"step": "cut off", "version": version})
    assert now_m(CONE) == pytest.approx(held - weft_of(YARN, 1000, 10**6), abs=0.3)
    assert before > held > now_m(CONE)
    show = current_snapshot().show
    for cone in (CONE, undyed):
        last, doubts = ledger_end(cone)
        assert last == show.yarn(now_m(cone))
        assert doubts == []


def weft_of(yarn: str, first: int, last: int) -> float:
    snapshot = current_snapshot()
    planned = snapshot.plan_of("scarves")
    assert planned is not None
    assert planned.plan is not None
    width_mm = planned.plan.width_in_reed_mm
    until, before = (
        weft_of_picks(planned.order, snapshot.drafts, width_mm, picks).get(yarn, 0.0)
        for picks in (last, first)
    )
    return until - before


def test_a_cloth_that_was_cut_off_early_gives_the_rest_of_its_weft_back_when_told(weaver: Client) -> None:
    weaver.post("/warps/scarves/step", {"step": "tied on"})
    before = now_m(CONE)
    report(weaver, "weaving", 1000, warp="scarves")
    version = Record.objects.get(kind="progress", key="scarves").version
    weaver.post("/warps/scarves/step", {"step": "cut off", "version": version})
    assert now_m(CONE) == pytest.approx(before - weft_of(YARN, 0, 10**6), abs=0.2)
    page = weaver.get("/warps/scarves").content.decode()
    assert "Only 1,000 picks were woven" in page
    version = Record.objects.get(kind="warps", key="scarves").version
    assert weaver.post("/warps/scarves/cut-early", {"version": version - 1}).status_code == 409
    weaver.post("/warps/scarves/cut-early", {"version": version})
    assert now_m(CONE) == pytest.approx(before - weft_of(YARN, 0, 1000), abs=0.2)
    assert ledger_end(CONE)[0] == current_snapshot().show.yarn(now_m(CONE))
    assert "Only 1,000 picks" not in weaver.get("/warps/scarves").content.decode()


def test_a_wound_warp_keeps_its_reed_when_another_is_wound(weaver: Client) -> None:
    def sley(key: str) -> tuple[str, tuple[int, ...], int]:
        planned = current_snapshot().plan_of(key)
        assert planned is not None
        assert planned.plan is not None
        assert planned.plan.sley is not None
        made = planned.plan.sley
        return made.reed.key, made.cycle, planned.plan.web.ends

    weaver.post("/warps/towels/step", {"step": "sleyed"})
    wound = sley("towels")
    fields = Record.objects.get(kind="warps", key="towels").fields
    assert (fields["wound_reed"], tuple(fields["wound_sley"])) == wound[:2]
    weaver.post("/warps/cushions/step", {"step": "wound"})
    weaver.post("/warps/scarves/step", {"step": "wound"})
    assert sley("towels") == wound
    assert len({sley(key)[0] for key in ("towels", "cushions", "scarves")}) == 3
    version = Record.objects.get(kind="progress", key="towels").version
    weaver.post("/warps/towels/step", {"step": "planned", "version": version})
    assert "wound_reed" not in Record.objects.get(kind="warps", key="towels").fields


def cut_off(client: Client, step: str = "cut off") -> None:
    version = Record.objects.get(kind="progress", key="scarves").version
    client.post("/warps/scarves/step", {"step": step, "version": version})


def test_a_cloth_cut_off_by_mistake_knows_afterwards_what_was_woven(weaver: Client) -> None:
    weaver.post("/warps/scarves/step", {"step": "tied on"})
    before = now_m(CONE)
    report(weaver, "weaving", 1000, warp="scarves")
    cut_off(weaver)
    weigh(
        weaver,
        (before - weft_of(YARN, 0, 1000)) * current_snapshot().guild.yarn(YARN).tex / 1000
        + _cones(CONE)[0].tare_g,
    )
    cut_off(weaver, "weaving")
    assert Record.objects.get(kind="warps", key="scarves").fields["woven_picks"] == 1000
    assert now_m(CONE) == pytest.approx(before - weft_of(YARN, 0, 1000), abs=4)  # weighed to the gram
    assert need().wanted_m == pytest.approx(weft_of(YARN, 1000, 10**6), abs=0.2)
    assert ledger_end(CONE)[1] == []


def test_early_and_on_the_loom_again_keeps_what_was_woven(weaver: Client) -> None:
    weaver.post("/warps/scarves/step", {"step": "tied on"})
    before = now_m(CONE)
    report(weaver, "weaving", 500, warp="scarves")
    weigh_true(weaver, CONE, weft_of(YARN, 0, 500))
    report(weaver, "weaving", 800, counter=2, warp="scarves")
    cut_off(weaver)
    version = Record.objects.get(kind="warps", key="scarves").version
    weaver.post("/warps/scarves/cut-early", {"version": version})
    cut_off(weaver, "weaving")
    fields = Record.objects.get(kind="warps", key="scarves").fields
    assert "cut_early" not in fields
    assert now_m(CONE) == pytest.approx(before - weft_of(YARN, 0, 800), abs=4)
    assert need().wanted_m == pytest.approx(weft_of(YARN, 800, 10**6), abs=0.2)


def test_the_cone_in_use_goes_on_giving_until_it_is_empty(weaver: Client) -> None:
    weaver.post("/warps/scarves/step", {"step": "tied on"})
    report(weaver, "weaving", 1000, warp="scarves")
    weigh_true(weaver, CONE, weft_of(YARN, 0, 1000))
    rows = Record.objects.get(kind="warps", key="scarves").fields["woven_from"]
    first = {row["cone"] for row in rows}
    report(weaver, "weaving", 1400, counter=2, warp="scarves")
    other = next(
        cone.key for cone in current_snapshot().guild.cones if cone.yarn == YARN and cone.key != CONE
    )
    weigh_true(weaver, other, 0.0)
    rows = Record.objects.get(kind="warps", key="scarves").fields["woven_from"]
    assert {row["cone"] for row in rows} == first
    assert ledger_end(other)[1] == []


def test_a_weighing_and_what_it_says_of_warps_are_undone_together(weaver: Client) -> None:
    weaver.post("/warps/scarves/step", {"step": "tied on"})
    report(weaver, "weaving", 1000, warp="scarves")
    weigh_true(weaver, CONE, weft_of(YARN, 0, 1000))
    change = Change.objects.filter(kind="cones", key=CONE).latest("pk")
    weaver.post(f"/guild/undo/{change.pk}", {"back": "/guild", "sure": "yes"})
    assert "woven_picks" not in Record.objects.get(kind="warps", key="scarves").fields


def test_the_reed_of_a_wound_warp_is_not_removed_and_the_page_says_why(weaver: Client) -> None:
    weaver.post("/warps/towels/step", {"step": "wound"})
    reed = Record.objects.get(kind="warps", key="towels").fields["wound_reed"]
    version = Record.objects.get(kind="reeds", key=reed).version
    answer = weaver.post(f"/looms/reed/{reed}/remove", {"version": version})
    assert answer.status_code == 409
    assert "towels" in answer.content.decode()
