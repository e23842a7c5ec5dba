"""Colors from the shelf for a warp in stripes: each yarn of the stripes is a choice."""

from __future__ import annotations

from loomready.choose.colors.columns import shown_cloth
from loomready.choose.colors.roles import recolored, roles_of_order
from loomready.model.guild import Item, Stripe, WeftStripe
from loomready.warp.plan import plan_guild
from tests.cast import drafts, guild, order

STRIPES = (Stripe("fern", 12), Stripe("chalk", 4), Stripe("fern", 2))
WEFT = (WeftStripe("chalk", 30), WeftStripe("fern", 2))


def test_each_yarn_of_the_stripes_is_one_role_and_a_weft_of_that_yarn_joins_it():
    asked = order(stripes=STRIPES, items=(Item(1.0), Item(1.0, weft_stripes=WEFT)))
    fern, chalk = roles_of_order(asked, drafts())
    assert [(place.part, place.number) for place in fern.places] == [("warp", 0), ("item", 1)]
    assert [(place.part, place.number) for place in chalk.places] == [
        ("warp", 1),
        ("weft", 0),
        ("item", 0),
    ]


def test_other_yarns_go_into_the_stripes():
    asked = order(stripes=STRIPES, weft_stripes=WEFT)
    roles = roles_of_order(asked, drafts())
    made = recolored(asked, roles, ("chalk", "fern"))
    assert made.stripes == (Stripe("chalk", 12), Stripe("fern", 4), Stripe("chalk", 2))
    assert made.weft_stripes == (WeftStripe("fern", 30), WeftStripe("chalk", 2))
    assert made.warp_yarns == ("chalk", "fern")


def test_the_cloth_that_is_looked_at_has_a_color_for_each_role():
    asked = order(stripes=STRIPES, weft_stripes=WEFT)
    plan = plan_guild(guild(asked), drafts()).warps[0]
    draft, places = shown_cloth(asked, plan, roles_of_order(asked, drafts()))
    assert draft.warp_colors.tolist() == [0] * 12 + [1] * 4 + [0] * 2
    assert draft.weft_colors.tolist() == [0] * 30 + [1] * 2
    assert places == [0, 1, 1, 0]
