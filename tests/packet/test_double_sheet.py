"""The sheets of a warp of double width: how it opens, its fold, the tabby of each layer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from loomready.packet.packet import packet_pdf
from loomready.packet.pictures import cloth_of
from loomready.warp.double_cloth import layers_in
from tests.demo import examples
from tests.packet.reading import sheets
from tests.warp.test_double_cloth import asked, planned


def test_weaving_and_sleying_say_what_is_done_at_the_fold_and_in_each_layer() -> None:
    plan = planned(asked(fold_sley=(1, 1), reed="forty", finished_width_mm=300.0))
    read = {name: " ".join(text.split()) for name, text in sheets(packet_pdf(plan)).items()}
    assert "in the reed opens to" in read["Weaving"]
    assert "Upper layer: shafts 1 3; its tabby lifts 1, then 3." in read["Weaving"]
    assert (
        "At the fold, sley the outermost 2 dents 1 per dent, counted from the edge."
        in read["Sley and heddles"]
    )
    assert "The upper layer of the washed cloth" in read["Project"]
    assert "Opened width" in read["Project"]


def test_the_cloth_shows_the_upper_layer_alone_at_its_own_spacing() -> None:
    for name in ("blanket", "cushion tube"):
        plan = next(each for each in examples.planned("double-width").warps if each.order.key == name)
        whole = cloth_of(plan, (60.0, 40.0), 1200)
        found = layers_in(plan)
        assert found is not None
        one = replace(
            plan,
            web=replace(plan.web, shaft=np.where(np.isin(plan.web.shaft, found.upper), plan.web.shaft, -1)),
        )
        assert cloth_of(one, (60.0, 40.0), 1200).png == whole.png  # what the lower layer does is not drawn
        across = plan.order.layers / plan.order.opens_to * plan.finished_width_mm / plan.web.ends
        assert whole.width_mm % across < 0.01 or across - whole.width_mm % across < 0.01
