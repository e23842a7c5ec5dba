"""How much paper a packet takes, counted."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from loomready.cli.warps import with_warp
from loomready.draft.draft import lift_plan
from loomready.model.guild import Cone, Guild, Item, Loom, Reed, WarpOrder, Yarn
from loomready.packet.options import PAPERS, Options, Paper
from loomready.packet.packet import packet_pdf
from loomready.units import System
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests.demo.examples import planned
from tests.packet import plans, reading

FOUR_ENDS = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], title="Straight twill")
DEMO = ("scarves", "cushions", "towels")
CLOSEST = 8.0  # points that cautions have where lines are close
FEWEST_WORDS = 60  # a drawing of a draft has its numbers
SILKS = {"madder": (150, 50, 45), "weld": (215, 180, 70), "chalk": (250, 250, 240)}


def twill(units: System) -> WarpPlan:
    """Two scarves in a four-end twill on a jack loom of four shafts."""
    order = WarpOrder(
        "scarves",
        "porch",
        "d",
        ("rust",),
        ("pale",),
        finished_width_mm=230,
        items=(Item(1.7, 2, fringe_m=0.12),),
        picks_per_cm=8,
        sett_per_cm=20 / 2.54,
        floating_selvedges=True,
    )
    loom = Loom("porch", "Porch loom", "jack", 4, 900, (150,) * 4, 0.7, 6)
    yarns = (replace(plans.RUST, tex=125), replace(plans.PALE, tex=125))
    guild = replace(plans.BAND, units=units, yarns=yarns, looms=(loom,), warps=(order,))
    return plan_guild(guild, {"d": FOUR_ENDS}).warps[0]


def silk() -> WarpPlan:
    """More than 2,000 ends of silk in two colors, an eight-end satin on a countermarche loom."""
    satin = [[(3 * pick) % 8 + 1] for pick in range(8)]
    draft = lift_plan(
        list(range(1, 9)),
        satin,
        weft_colors=[2] * 8,
        palette=((150, 50, 45), (215, 180, 70), (250, 250, 240)),
        warp_colors=[0] * 4 + [1] * 4,
    )
    guild = Guild(
        name="Weir guild",
        units="metric",
        yarns=tuple(
            Yarn(name, f"Silk {name}", tex=33, fiber="silk", color=color) for name, color in SILKS.items()
        ),
        cones=tuple(Cone(f"{name}-1", name, 900, 40) for name in SILKS),
        looms=(Loom("wide", "Wide loom", "countermarche", 8, 1200, (300,) * 8, 0.8, 10),),
        reeds=(Reed("eighty", 8, 1200), Reed("hundred", 10, 1200)),
        warps=(
            WarpOrder(
                "shawls",
                "wide",
                "satin",
                ("madder", "weld"),
                ("chalk",),
                finished_width_mm=520,
                items=(Item(1.8, 3, fringe_m=0.1),),
                picks_per_cm=24,
                sett_per_cm=40,
                floating_selvedges=True,
                max_bout_ends=120,
            ),
        ),
    )
    return plan_guild(guild, {"satin": draft}).warps[0]


@functools.cache
def demo(key: str) -> WarpPlan:
    loaded = with_warp(Path("demo/guild.toml"), key)
    return plan_guild(loaded.guild, loaded.drafts, until=key).warps[-1]


def count(plan: WarpPlan, options: Options) -> int:
    return len(reading.reader(packet_pdf(plan, options)).pages)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_four_end_twill_takes_at_most_4_pages(units: System, paper: Paper) -> None:
    assert count(twill(units), Options(paper=paper)) <= 4


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("key", DEMO)
def test_a_warp_of_the_demo_takes_at_most_9_pages(key: str, paper: Paper) -> None:
    assert count(demo(key), Options(paper=paper)) <= 9


@pytest.mark.parametrize("paper", PAPERS)
def test_2_000_ends_of_silk_take_at_most_14_pages(paper: Paper) -> None:
    plan = silk()
    assert plan.web.ends >= 2000
    assert count(plan, Options(paper=paper)) <= 14


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    "make", [lambda: twill("us"), silk, plans.curtain, *(lambda k=k: demo(k) for k in DEMO)]
)
def test_no_page_holds_two_rows_alone(make: Callable[[], WarpPlan], paper: Paper) -> None:
    pages = reading.bodies(packet_pdf(make(), Options(paper=paper)))
    assert min(len(text.split()) for text in pages) >= FEWEST_WORDS


@pytest.mark.parametrize("name", ["six-treadle-cover", "tied-on-napkins", "double-width", "doubled-ends"])
def test_threading_shares_its_page_or_the_project_has_one_page(name: str) -> None:
    for plan in planned(name).warps:
        heads = [text.splitlines()[0] for text in reading.pages(packet_pdf(plan))]
        assert sum("Project" in head for head in heads) == 1
        assert len(heads) <= (7 if name == "six-treadle-cover" else 6)


def test_letters_are_smaller_on_the_sheets_only_that_give_room_for_it() -> None:
    """The curtains' sley and threading share a page because their lines are close; their record has room."""
    pages = reading.reader(packet_pdf(planned("sectional-curtains").warps[0])).pages
    cautions = pages[-1].extract_text().split("Safety")[1]
    assert "Keep fingers away" in cautions
    assert len(pages) == 6
    assert reading.smallest_letters(pages[-1]) > CLOSEST
