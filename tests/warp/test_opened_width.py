"""The opened width of double width.

Common practice, no source; the figures are computed: cloth that opens to twice the width
has as many ends as the opened width times the sett of one layer, sleyed at twice that sett in half the width.
"""

from __future__ import annotations

import pytest

from loomready.model.guild import Loom, Reed
from loomready.warp.plan import plan_once
from loomready.warp.shelf import Shelf
from tests.cast import drafts, guild, order
from tests.warp.test_double_cloth import WIDE

IN = 25.4


# (opened width on the loom, ends per inch of one layer, ends, width in the reed), inches
@pytest.mark.parametrize(
    ("opened", "layer_epi", "ends", "in_reed"), [(60, 10, 600, 30), (72, 8, 576, 36), (40, 12, 480, 20)]
)
def test_double_width_has_the_ends_and_the_width_in_the_reed_of_common_practice(
    opened: int, layer_epi: int, ends: int, in_reed: int
) -> None:
    loom = Loom("alder", "Alder", "jack", 4, 40 * IN, (200,) * 4, 0.7, 6)
    asked = order(
        layers=2,
        double_cloth="double width",
        finished_width_mm=opened * IN,
        draw_in=0.0,
        shrink_width=0.0,
        sett_per_cm=2 * layer_epi / 2.54,
    )
    room = guild(asked, looms=(loom,), reeds=(Reed("table", layer_epi / 2.54, 40 * IN),))
    plan = plan_once(asked, room, drafts(WIDE), Shelf(room))[0]
    assert plan.web.ends == ends
    assert plan.width_in_reed_mm == pytest.approx(in_reed * IN)
    assert plan.finished_width_mm == pytest.approx(opened * IN)
