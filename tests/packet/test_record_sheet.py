"""The project record on paper: lines to fill in, and what is known already."""

from __future__ import annotations

import datetime
from dataclasses import replace
from decimal import Decimal

import pytest

from loomready.model.guild import Guild, Item
from loomready.packet.finishing import finishing
from loomready.packet.options import Options
from loomready.packet.packet import packet_pdf
from loomready.packet.record import record
from loomready.packet.words import Letters
from loomready.report.money import money
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests import cast
from tests.demo import examples
from tests.packet import reading


def planned(guild: Guild) -> WarpPlan:
    return plan_guild(guild, cast.drafts()).warps[0]


def known(plan: WarpPlan) -> dict[str, str]:
    return {line["what"]: line["known"] for line in record(plan, Letters.of(plan))["lines"] if line["known"]}


def test_before_anything_is_done_every_actual_figure_is_to_be_filled_in() -> None:
    made = record(planned(cast.guild()), Letters.of(planned(cast.guild())))
    assert known(planned(cast.guild())) == {}
    assert [day["day"] for day in made["days"]] == ["", ""]
    assert all(line["planned"] for line in made["lines"])


def test_what_was_wound_and_woven_is_filled_in() -> None:
    order = cast.order(wound=datetime.date(2026, 10, 3), wound_length_m=4.2, woven_picks=900)
    plan = planned(cast.guild(order))
    found = known(plan)
    assert found["Ends wound"] == f"{plan.web.ends:,}"
    assert found["Warp length, as wound"] == "4.2 m"
    assert found["Picks woven"] == "900"
    assert record(plan, Letters.of(plan))["days"][0]["day"] == "2026-10-03"


def priced(**prices: float) -> Guild:
    yarns = tuple(replace(yarn, price_per_g=prices.get(yarn.key)) for yarn in (cast.FERN, cast.CHALK))
    return cast.guild(yarns=yarns, currency="EUR")


def test_the_yarns_cost_is_their_planned_weight_at_their_price() -> None:
    plan = planned(priced(fern=0.05, chalk=0.04))
    cost = record(plan, Letters.of(plan))["cost"]
    wanted = sum(need.weight_g * price for need, price in zip(plan.yarns, (0.05, 0.04), strict=True))
    assert float(cost["total"].split()[0]) == pytest.approx(wanted, abs=0.006)
    assert cost["unpriced"] == ""


def amount(text: str) -> Decimal:
    return Decimal(text.split()[0].replace(",", ""))


@pytest.mark.parametrize("prices", [(0.05, 0.04), (0.0333, 0.0777), (9.99, 12.345)])
def test_the_amounts_of_the_yarns_add_up_to_the_total_of_sheet_and_page(
    prices: tuple[float, float],
) -> None:
    plan = planned(priced(fern=prices[0], chalk=prices[1]))
    cost = record(plan, Letters.of(plan))["cost"]
    assert sum(amount(each["cost"]) for each in cost["yarns"]) == amount(cost["total"])
    assert money(plan.cost, "EUR") == cost["total"]


def test_a_yarn_without_a_price_is_named() -> None:
    plan = planned(priced(fern=0.05))
    cost = record(plan, Letters.of(plan))["cost"]
    assert cost["unpriced"] == "Without Chalk: no price is given."
    assert "Cost of the yarn" in packet_pdf_text(plan, Options())


def test_without_a_currency_or_a_price_there_is_no_cost() -> None:
    for guild in (cast.guild(), cast.guild(currency="EUR")):
        plan = planned(guild)
        assert record(plan, Letters.of(plan))["cost"] is None
        assert "Cost of the yarn" not in packet_pdf_text(plan, Options())


def packet_pdf_text(plan: WarpPlan, options: Options) -> str:
    return " ".join(reading.sheets(packet_pdf(plan, options))["Finishing"].split())


def test_hours_are_asked_for_only_where_the_guild_wants_them() -> None:
    plan = planned(cast.guild(dressing="front to back"))
    assert record(plan, Letters.of(plan))["hours"] == []
    asked = record(plan, Letters.of(plan), Options(hours=True))["hours"]
    assert asked[:4] == ["Winding", "Sleying", "Threading", "Beaming"]
    assert asked[-1] == "Finishing"
    assert "People" in packet_pdf_text(plan, Options(hours=True))
    assert "People" not in packet_pdf_text(plan, Options())


def test_there_is_room_for_what_was_learned() -> None:
    text = packet_pdf_text(planned(cast.guild()), Options())
    assert "What you learned" in text
    assert "Weights include the cone" in text


def test_a_cone_weighs_before_the_second_warp_what_it_weighs_after_the_first() -> None:
    plans = plan_guild(cast.guild(cast.order(), cast.order(key="next")), cast.drafts()).warps
    first, second = (record(plan, Letters.of(plan))["cones"] for plan in plans)
    assert [cone["before"] for cone in second] == [cone["after"] for cone in first]
    assert all(cone["before"] != cone["after"] for cone in (*first, *second))


@pytest.mark.parametrize(
    ("item", "step"),
    [
        (Item(2.0), "Trim what was mended last."),
        (Item(2.0, hem_m=0.03), "Hem after the first wash. Trim what was mended last."),
        (
            Item(2.0, fringe_m=0.1),
            "Twist or knot the fringes before the first wash. Trim what was mended last.",
        ),
    ],
)
def test_finishing_names_fringes_and_hems_only_where_a_piece_has_them(item: Item, step: str) -> None:
    plan = planned(cast.guild(cast.order(items=(item,))))
    assert str(finishing(plan, Letters.of(plan))["steps"][4]) == step


def test_without_cones_to_weigh_there_is_no_list_of_them() -> None:
    towels, napkins = (
        " ".join(reading.pages(packet_pdf(plan))[-1].split())
        for plan in examples.planned("tied-on-napkins").warps
    )
    assert "Weigh the cones again" not in towels
    assert "What you learned" in towels
    assert "Weigh the cones again" in napkins
