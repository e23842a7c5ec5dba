"""What the sheets say is what the plan says: the counts are taken out of the PDFs again."""

from __future__ import annotations

import functools
import itertools
import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from loomready.cli.warps import with_warp
from loomready.loomside.steps.words import span
from loomready.report.as_json import warp_as_json
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan

from . import plans, reading

MAKERS: tuple[Callable[[], WarpPlan], ...] = (plans.band, plans.curtain)


@functools.cache
def sheets(make: Callable[[], WarpPlan]) -> dict[str, str]:
    return reading.sheets(plans.printed(make))


def by_loom_shaft(plan: WarpPlan) -> dict[int, int]:
    found = warp_as_json(plan)["heddles"]
    pairs = zip(found["assignment"], found["needed"], strict=True)
    return {shaft: needed for shaft, needed in pairs if shaft is not None}


def shafts_in_web_order(plan: WarpPlan) -> list[int]:
    """Loom shaft of each end in a heddle, straight from the web and the assignment."""
    assignment = plan.heddles.assignment
    return [assignment[shaft] or 0 for shaft in plan.web.shaft.tolist() if shaft >= 0]


def test_the_plans_are_of_20_and_of_more_than_2_000_ends() -> None:
    assert plans.band().web.ends == 20
    assert plans.curtain().web.ends > 2000


def striped() -> WarpPlan:
    """The scarves of the demo: 4 shafts, end 1 at the right, borders, repeats that are threaded again."""
    return demo("scarves")


def blocks() -> WarpPlan:
    """The cushions of the demo: 8 shafts."""
    return demo("cushions")


@functools.cache
def demo(key: str) -> WarpPlan:
    loaded = with_warp(Path("demo/guild.toml"), key)
    return plan_guild(loaded.guild, loaded.drafts, until=key).warps[-1]


@pytest.mark.parametrize("make", [*MAKERS, striped, blocks])
class TestEachWarp:
    def test_ends_on_the_project_sheet_are_the_plans(self, make: Callable[[], WarpPlan]) -> None:
        told = warp_as_json(make())
        assert re.search(rf"^Ends {told['ends']:,}$", sheets(make)["Project"], re.MULTILINE)
        assert re.search(rf"^Picks {told['picks']:,}$", sheets(make)["Project"], re.MULTILINE)

    def test_bouts_are_the_plans(self, make: Callable[[], WarpPlan]) -> None:
        told = warp_as_json(make())["bouts"]
        wanted = [(b["number"], b["first_end"], b["first_end"] + b["ends"] - 1, b["ends"]) for b in told]
        assert reading.bouts(sheets(make)["Winding"]) == wanted

    def test_every_bout_has_its_tag(self, make: Callable[[], WarpPlan]) -> None:
        told = warp_as_json(make())["bouts"]
        tags = sheets(make)["Chain tags"]
        for bout in told:
            ends = span(bout["first_end"], bout["first_end"] + bout["ends"] - 1)
            assert f"{bout['ends']} ends: {ends}" in tags
        assert tags.count(f"of {len(told)}") == len(told)

    def test_the_sley_is_the_plans(self, make: Callable[[], WarpPlan]) -> None:
        told, text = warp_as_json(make())["reed"], sheets(make)["Sley and heddles"]
        cycle = "-".join(map(str, told["sley"]))
        assert re.search(rf"^{cycle}$", text, re.MULTILINE)
        assert re.search(rf"^First dent\n{told['first_dent']}$", text, re.MULTILINE)
        assert f"{cycle} {'end' if cycle == '1' else 'ends'} per dent" in text

    def test_heddles_are_the_plans(self, make: Callable[[], WarpPlan]) -> None:
        plan, text = make(), sheets(make)["Sley and heddles"]
        table = {
            line.split()[0]: line.split()[1:]
            for line in text.splitlines()
            if re.match(r"(Shaft|There|Needed) \d", line)
        }
        shafts = [int(shaft) for shaft in table["Shaft"] if shaft != "All"]
        wanted = {
            shaft: reading.whole(count)
            for shaft, count in zip(shafts, table["Needed"], strict=False)
            if count != "–"
        }
        assert wanted == by_loom_shaft(plan)
        assert reading.whole(table["Needed"][-1]) == sum(wanted.values())
        assert tuple(map(reading.whole, table["There"])) == (*plan.loom.heddles, sum(plan.loom.heddles))
        for move in warp_as_json(plan)["heddles"]["moves"]:
            assert f"from shaft {move['from']} to shaft {move['to']}" in text

    def test_the_threading_is_the_webs_end_for_end(self, make: Callable[[], WarpPlan]) -> None:
        plan = make()
        groups = reading.threading_groups(
            sheets(make)["Threading"], len(by_loom_shaft(plan)), plan.guild.end_1
        )
        assert [group.number for group in groups] == list(range(1, len(groups) + 1))
        stands = [(group.first, group.last) for group in groups]
        assert stands[0][0] == 1
        assert stands[-1][1] == plan.web.ends
        assert all(before[1] + 1 == after[0] for before, after in itertools.pairwise(stands))
        assert [shaft for group in groups for shaft in group.threading] == shafts_in_web_order(plan)

    def test_counts_before_and_sums_after_each_group_are_right(self, make: Callable[[], WarpPlan]) -> None:
        used, end_1 = sorted(by_loom_shaft(make())), make().guild.end_1
        so_far: Counter[int] = Counter()
        groups = reading.threading_groups(sheets(make)["Threading"], len(used), end_1)
        for group in groups:
            here = Counter(group.threading)
            so_far += here
            if group.take:
                assert group.take == [here[shaft] for shaft in used]
            if group.sums:
                assert group.sums == [so_far[shaft] for shaft in used]

    def test_last_sums_totals_and_heddles_needed_agree(self, make: Callable[[], WarpPlan]) -> None:
        plan, text = make(), sheets(make)["Threading"]
        wanted = by_loom_shaft(plan)
        groups = reading.threading_groups(text, len(wanted), plan.guild.end_1)
        last = next(group.sums for group in reversed(groups) if group.sums)
        assert reading.totals(text) == wanted
        assert last == [wanted[shaft] for shaft in sorted(wanted)]
        assert f"{plan.web.heddle_ends:,} ends in heddles" in text

    def test_the_raddle_says_where_its_first_space_lies(self, make: Callable[[], WarpPlan]) -> None:
        plan, text = make(), sheets(make)["Winding"]
        for spread in plan.raddle:
            cycle = " · ".join(map(str, spread.cycle))
            row = f"{spread.name}( ●)? {cycle} {spread.spaces} space {spread.from_center}"
            assert re.search(rf"^{row}", text, re.MULTILINE)


def test_a_wide_warp_stays_within_25_pages() -> None:
    assert len(reading.reader(plans.printed(plans.curtain)).pages) <= 25
