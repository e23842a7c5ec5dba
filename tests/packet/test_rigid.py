"""A rigid heddle loom in text, on sheets and at the loom: hole and slot, heddle up and heddle down."""

from dataclasses import replace

import pytest

from loomready.app.loomside.jobs_data import steps_of
from loomready.loomside.steps.make_ready import ready
from loomready.packet.data import packet_data
from loomready.packet.options import Options
from loomready.packet.packet import packet_pdf
from loomready.report.plan_text import tell_plan
from loomready.warp.plan import plan_guild
from tests.cast import PLAIN, drafts, guild, order
from tests.demo.examples import planned
from tests.packet import reading
from tests.warp.test_rigid import RIGID, THREE_SHAFTS, TWO, plan


def test_the_plan_in_text_says_hole_and_slot_and_names_no_reed():
    found = plan_guild(guild(order(loom="poplar", sett_per_cm=4.0), looms=(RIGID,), reeds=()), drafts(PLAIN))
    text = tell_plan(found)
    ends = found.warps[0].web.ends // 2
    assert f"Shaft 1: {ends} ends, each through a hole." in text
    assert f"Shaft 2: {ends} ends, each through a slot." in text
    assert "Heddle of 4 ends/cm, holes and slots in turn: 1 per place" in text
    assert "Sley reed" not in text


def test_the_sheets_give_each_pick_by_where_the_heddle_stands():
    made = plan()
    data = packet_data(made, Options(every_pick=True))
    (each,) = data["weaving"]["lists"]
    assert [pick["up"] for pick in each["picks"]] == ["heddle up", "heddle down"]
    assert [line["told"] for line in each["lines"]] == ["heddle up, heddle down"]
    assert each["listed"]
    assert data["dressing"]["through"][1:] == [
        f"Shaft {shaft}: {made.web.ends // 2} ends, each through a {where}."
        for shaft, where in ((1, "hole"), (2, "slot"))
    ]
    assert "1 heddle" in data["project"]["loom"]
    assert packet_pdf(made).startswith(b"%PDF")


def test_at_the_loom_threading_and_sleying_are_one_job():
    made = plan()
    jobs = steps_of(made, None, None)
    assert "sleying" not in jobs
    assert jobs["threading"]["named"] == {1: "hole", 2: "slot"}
    repeat = jobs["weaving"]["stretches"][0]["repeat"]
    assert [pick["heddles"] for pick in repeat] == ["heddle up", "heddle down"]
    assert any("through a slot" in line for line in ready(made, "threading"))


def test_two_heddles_keep_their_numbers():
    made = plan(THREE_SHAFTS, TWO, sett_per_cm=8.0)
    assert steps_of(made, None, None)["threading"]["named"] == {3: "slot"}
    (each,) = packet_data(made, Options(every_pick=True))["weaving"]["lists"]
    assert each["picks"][0]["up"] == "heddle 1 up"
    assert each["lines"][0]["told"].startswith("heddle 1 up, ")


def test_a_rigid_heddle_has_no_test_weave_of_shafts_and_repair_heddles():
    made = plan()
    assert "test-weave" not in steps_of(made, None, None)
    assert packet_data(made)["test_weave"] is None


def room():
    return guild(order(loom="poplar", sett_per_cm=4.0), looms=(RIGID,), reeds=())


def test_the_jobs_of_a_rigid_heddle_loom_name_no_reed_and_no_treadles():
    for dressing in ("front to back", "back to front"):
        made = plan_guild(replace(room(), dressing=dressing), drafts(PLAIN)).warps[0]
        jobs = steps_of(made, None, None)
        told = " ".join(line for job in jobs.values() for line in (*job["ready"], *job["care"]))
        for word in ("reed", "treadle", "lever", "beater", "heddles", " dent"):
            assert word not in told, (dressing, word)


def test_several_heddles_say_one_figure_a_place_only_on_average():
    """A slot of one heddle takes the ends of another's holes too."""
    whole = planned("three-heddle-scarf")
    made = whole.warps[0]
    sley = packet_data(made, Options())["dressing"]["sley"]
    assert sley["cycle_label"] == "Ends per place, on average"
    assert "on average" in sley["steps"][0]["says"]
    assert "the slot beside that place in each of the others" in tell_plan(whole)
    assert "on average" not in str(packet_data(plan(), Options())["dressing"]["sley"])


@pytest.mark.parametrize(("name", "said"), [("pick-up-cushion", "heddle"), ("three-heddle-scarf", "heddles")])
def test_the_width_of_a_web_in_a_rigid_heddle_is_said_to_be_in_no_reed(name: str, said: str) -> None:
    text = " ".join(" ".join(reading.pages(packet_pdf(planned(name).warps[0]))).split())
    assert f"Width in the {said} " in text
    assert "in the reed" not in text
