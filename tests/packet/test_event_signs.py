"""Signs: one for each stand, with its cloth at true size, in the guild's own words or facts of its plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from loomready.event.plan_event import EventPlan
from loomready.packet.event_sheets import event_sheet
from loomready.packet.event_signs import paper_of, signs
from loomready.packet.pictures import Pictures
from tests.packet.reading import pages
from tests.packet.test_wall_chart import plan

__all__ = ["plan"]  # a fixture


def with_stand(plan: EventPlan, **fields: object) -> EventPlan:
    first = replace(plan.guild.stands[0], **fields)  # type: ignore[arg-type]
    return replace(plan, guild=replace(plan.guild, stands=(first,)))


def test_a_stand_without_words_of_its_own_tells_what_its_plan_says(plan: EventPlan) -> None:
    made = event_sheet(plan, "signs")
    assert made is not None
    loom, yarn = (" ".join(each.split()) for each in pages(made))
    runner = plan.allotment.plans["runner"]
    assert (
        f"{runner.web.ends} threads lie side by side, 20 to the inch; 4 shafts raise and lower them." in loom
    )
    assert "Weave a few picks" in loom
    assert "Please touch" in loom
    assert "Rub them between two fingers" in yarn


def test_own_words_stand_in_place_of_facts_and_hands_may_be_kept_off(plan: EventPlan) -> None:
    made = event_sheet(with_stand(plan, sign="A runner.\n\nFor one table.", touch=False), "signs-half")
    assert made is not None
    (text,) = pages(made)
    assert "A runner." in text
    assert "For one table." in text
    assert "threads lie" not in text
    assert "Please do not touch" in text
    (silent,) = pages(event_sheet(with_stand(plan, touch=None), "signs") or b"")
    assert "touch" not in silent


@pytest.mark.parametrize("half", [False, True])
def test_cloths_are_at_true_size_and_inside_the_margins(plan: EventPlan, half: bool) -> None:
    made = signs(plan, Pictures(), half=half)
    assert made is not None
    paper = paper_of(plan, half=half)
    assert (paper.width, paper.height) == ((139.7, 215.9) if half else (215.9, 279.4))
    cloth = made["signs"][0]["cloth"]
    runner = plan.allotment.plans["runner"]
    pitch = runner.finished_width_mm / runner.web.ends
    assert cloth["width_mm"] == pytest.approx(round(cloth["width_mm"] / pitch) * pitch, abs=0.01)
    assert cloth["width_mm"] <= min(paper.cloth[0], paper.width - 2 * 20 * paper.scale)
    assert cloth["height_mm"] <= paper.cloth[1]


def test_without_stands_there_are_no_signs(plan: EventPlan) -> None:
    assert event_sheet(replace(plan, guild=replace(plan.guild, stands=())), "signs") is None
