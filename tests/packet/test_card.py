"""The pocket card tells what each way to dress a loom needs: turns, knots, bands."""

from __future__ import annotations

from dataclasses import replace

from loomready.model.guild import Band
from loomready.packet.card import MOST_BANDS, card
from loomready.packet.options import Options
from loomready.packet.packet import packet_pdf
from loomready.report.plan_text import tell_plan
from loomready.warp.plan import plan_guild
from tests.demo.examples import planned
from tests.packet.reading import pages


def figures_of(name: str, at: int = -1) -> dict[str, str]:
    return {f"{each['label']}": f"{each['value']}" for each in card(planned(name).warps[at])["figures"]}


def test_a_warp_in_sections_tells_turns_and_rack() -> None:
    told = figures_of("sectional-curtains")
    assert told["Turns each section"] == "14.6"
    assert told["Ends on the rack"] == "32"


def test_a_tied_on_warp_tells_its_knots_and_where_they_begin() -> None:
    told = figures_of("tied-on-napkins")
    assert told["Knots to towels"] == "415"
    assert told["End 1 to old end"] == "1"
    assert not any("Knots" in label for label in figures_of("tied-on-napkins", 0))


def test_a_painted_warp_tells_its_bands_and_of_very_many_where_the_rest_stands() -> None:
    plan = planned("painted-shawls").warps[0]
    bands = card(plan)["bands"]
    assert [each["number"] for each in bands] == [f"{number}" for number in range(1, 9)]
    assert (bands[0]["dye"], bands[0]["from"], bands[0]["to"]) == ("indigo", "9 in", "35.52 in")
    short = tuple(Band(0.1, "weld") for _ in range(8))
    order = replace(plan.order, items=(replace(plan.order.items[0], painted=short),))
    drafts = {order.draft: plan.draft}
    more = plan_guild(replace(plan.guild, warps=(order,)), drafts).warps[0]
    last = card(more)["bands"][-1]
    assert (last["number"], last["dye"]) == (f"{MOST_BANDS + 1}–16", "more: see the painting sheet")
    assert packet_pdf(more, Options(card=True)).startswith(b"%PDF")


def test_other_warps_tell_none_of_it() -> None:
    assert card(planned("sewn-strips").warps[0])["bands"] == []


def test_a_long_value_leaves_its_label_in_words_side_by_side() -> None:
    plan = planned("double-width").warps[0]
    metric = replace(plan, guild=replace(plan.guild, units="metric"))
    lines = pages(packet_pdf(metric, Options(card=True)))[0].splitlines()
    told = [line.replace("\N{NO-BREAK SPACE}", " ").strip() for line in lines]
    assert "Width in the reed 79 cm" in told
    assert told[told.index("Sett 7.85 ends/cm on") + 1] == "average"


def test_the_treadles_stand_with_their_shafts_as_the_plan_in_text_ties_them() -> None:
    plan = planned("six-treadle-cover").warps[0]
    told = [(each["treadle"], each["shafts"]) for each in card(plan)["tie_up"]]
    assert told[:2] == [("1", "4 5 6"), ("2", "1")]
    tied = "; ".join(f"treadle {treadle}: {shafts}" for treadle, shafts in told)
    assert f"will do: {tied} (shafts that rise)" in tell_plan(planned("six-treadle-cover"))
    for name in ("large-print-tea-towels", "direct-tie-up-scarf", "pick-up-cushion"):
        assert card(planned(name).warps[0])["tie_up"] == []
