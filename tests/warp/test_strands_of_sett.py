"""The sett is advised for the weft that its yarns are taken from, in its own strands."""

from __future__ import annotations

import pytest

from loomready.model.guild import Item
from loomready.warp.plan import plan_once
from loomready.warp.shelf import Shelf
from tests.cast import drafts, guild, order


def test_yarns_of_an_item_are_advised_in_the_strands_of_that_item():
    def greatest(**more) -> float:
        asked = order(sett_per_cm=None, firmness=0.8, **more)
        room = guild(asked)
        return plan_once(asked, room, drafts(), Shelf(room))[0].sett_advice.greatest_per_cm

    fits = order().weft_yarns
    too_many = (*fits, "fern", "rust")[: len(fits) + 1]
    own = greatest(weft_yarns=too_many, items=(Item(1.0, weft_yarns=fits, weft_strands=3),))
    same = greatest(items=(Item(1.0),), weft_strands=3)
    single = greatest(items=(Item(1.0),))
    assert own == pytest.approx(same)
    assert own != pytest.approx(single)
