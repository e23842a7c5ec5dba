"""A stripe in a sley of its own has the sett of its dents: dents per inch, ends per dent, ends per inch.

The figures are computed, as a reed table has them (common practice, no source).
"""

from __future__ import annotations

import pytest

from loomready.loomside.steps.sleying import ends_of_dents
from loomready.model.guild import Reed, Stripe
from loomready.warp.plan import plan_once
from loomready.warp.shelf import Shelf
from loomready.warp.stripe_setts import stripe_setts
from tests.cast import cone, drafts, guild, order

TABLE = [
    (12, (1, 2), 18.0),
    (12, (1, 1, 2), 16.0),
    (12, (1, 2, 2), 20.0),
    (12, (2, 3, 3), 32.0),
    (12, (0, 1, 1), 8.0),
    (10, (1, 1, 1, 2), 12.5),
    (8, (1, 1, 1, 2), 10.0),
]


@pytest.mark.parametrize(("dents_per_inch", "cycle", "per_inch"), TABLE)
def test_a_crammed_stripe_has_the_sett_of_the_reed_table(dents_per_inch, cycle, per_inch):
    # A stripe of whole cycles between stripes of one end per dent; its width is measured from its own dents.
    ends = 10 * sum(cycle)
    reed = Reed("table", dents_per_inch / 2.54, 1000)
    asked = order(
        stripes=(Stripe("chalk", 6, (1,)), Stripe("fern", ends, cycle), Stripe("chalk", 6, (1,))),
        reed="table",
        finished_width_mm=150.0,
    )
    room = guild(asked, reeds=(reed,), cones=(cone("fern-1"),))
    plan = plan_once(asked, room, drafts(), Shelf(room))[0]
    dents = ends_of_dents(plan, plan.sley)
    inside = dents[6 : 6 + 10 * len(cycle)]
    assert inside[-1][1] == 6 + ends
    assert ends / (len(inside) / dents_per_inch) == pytest.approx(per_inch)
    (crammed,) = [each for each in stripe_setts(plan) if each.yarn.key == "fern"]
    assert crammed.sett_per_cm * 2.54 == pytest.approx(per_inch)
