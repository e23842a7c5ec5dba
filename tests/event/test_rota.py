"""The rota of the days: every rule holds, and on tiny days no rota is better than the one found."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready import guildfile
from loomready.event.day.day_problems import day_problems
from loomready.event.day.kits import kits
from loomready.event.day.packing import packing
from loomready.event.day.rota_problem import ClassTime, Helper, Rota, rota_of, slots_of_days
from loomready.event.day.rota_search import Duties, find_duties, unfairness
from loomready.event.day.turns import plan_day
from loomready.model.guild import Guild
from loomready.warp.plan import shelf_before
from loomready.warp.shelf import Shelf


def faults(rota: Rota, duties: Duties) -> list[str]:
    """Each rule that a rota breaks, checked apart from what makes it."""
    found = []
    at = {(one, slot): "stand" for slot, people in duties.at_stands.items() for one in people}
    for slot, people in duties.to_mend.items():
        for one in people:
            found += ["in two places"] if (one, slot) in at else []
            at[one, slot] = "mend"
    for lesson in rota.classes:
        teacher = duties.teaching[lesson.key]
        if teacher is None:
            continue
        found += [] if teacher in lesson.teachers else ["cannot teach"]
        for slot in lesson.slots:
            found += ["in two places"] if (teacher, slot) in at else []
            at[teacher, slot] = "class"
    for (one, slot), what in at.items():
        found += [] if slot in rota.helpers[one].slots else ["not there"]
        row = [at.get((one, slot + k)) == "stand" for k in range(rota.most_in_a_row + 1)]
        found += ["too long at stands"] if all(row) else []
        duty = [at.get((one, slot + k)) for k in range(rota.off_in)]
        found += ["no slot off"] if all(duty) and set(duty) != {"class"} else []
        found += [] if what != "stand" or rota.helpers[one].demonstrates else ["cannot demonstrate"]
    for slot, people in duties.at_stands.items():
        found += ["too many"] if len(people) > rota.wanted.get(slot, 0) else []
    return found


def worth(rota: Rota, duties: Duties) -> tuple[int, int, int]:
    """Slots without a mender, open slots, unfairness."""
    busy: dict[int, set[int]] = {}
    for by_slot in (duties.at_stands, duties.to_mend):
        for slot, people in by_slot.items():
            for one in people:
                busy.setdefault(one, set()).add(slot)
    opened = sum(rota.wanted.values()) - sum(map(len, duties.at_stands.values()))
    for lesson in rota.classes:
        teacher = duties.teaching[lesson.key]
        if teacher is None:
            opened += len(lesson.slots)
        else:
            busy.setdefault(teacher, set()).update(lesson.slots)
    menders = [busy.get(one, set()) for one, each in enumerate(rota.helpers) if each.mends]
    lack = sum(not any(slot in each for each in menders) for slot in rota.mending)
    return lack, opened, unfairness(rota, {one: len(slots) for one, slots in busy.items()})


def brute(rota: Rota) -> tuple[int, int, int]:
    """The best worth of all rotas: everybody at a stand, mending or off in each slot."""
    cells = [(one, slot) for one, each in enumerate(rota.helpers) for slot in sorted(each.slots)]
    best = None
    teachers = [(None, *lesson.teachers) for lesson in rota.classes]
    for chosen in product(*teachers):
        teaching = {lesson.key: one for lesson, one in zip(rota.classes, chosen, strict=True)}
        for said in product("-sm", repeat=len(cells)):
            stands: dict[int, tuple[int, ...]] = {}
            mend: dict[int, tuple[int, ...]] = {}
            for (one, slot), what in zip(cells, said, strict=True):
                if what != "-":
                    kept = stands if what == "s" else mend
                    kept[slot] = (*kept.get(slot, ()), one)
            if any(
                slot not in rota.mending or not rota.helpers[one].mends for slot in mend for one in mend[slot]
            ):
                continue
            made = Duties(stands, mend, teaching, True)
            if not faults(rota, made):
                best = min(best or worth(rota, made), worth(rota, made))
    assert best is not None
    return best


@st.composite
def tiny_days(draw: st.DrawFn) -> Rota:
    last = draw(st.integers(2, 3))
    helpers = tuple(
        Helper(
            f"p{number}",
            frozenset(draw(st.sets(st.integers(0, last - 1)))),
            draw(st.booleans()),
            draw(st.booleans()),
        )
        for number in range(draw(st.integers(1, 2)))
    )
    wanted = {slot: people for slot in range(last) if (people := draw(st.integers(0, 2)))}
    classes: tuple[ClassTime, ...] = ()
    if draw(st.booleans()):
        through = tuple(range(draw(st.integers(0, 1)), 2))
        able = tuple(one for one, each in enumerate(helpers) if set(through) <= each.slots)
        classes = (ClassTime("c", through, able),)
    mending = frozenset(
        slot for slot in range(last) if any(each.mends and slot in each.slots for each in helpers)
    )
    return Rota(helpers, wanted, classes, mending, draw(st.integers(1, 2)), draw(st.integers(2, 3)))


@settings(max_examples=40)
@given(tiny_days())
def test_the_rota_keeps_every_rule_and_no_rota_of_a_tiny_day_is_better(rota):
    duties = find_duties(rota)
    assert faults(rota, duties) == []
    assert duties.proved
    assert worth(rota, duties) == brute(rota)


@st.composite
def usual_days(draw: st.DrawFn) -> Rota:
    slots = range(draw(st.integers(4, 20)))
    helpers = tuple(
        Helper(
            f"p{number}",
            frozenset(draw(st.sets(st.sampled_from(slots)))),
            *draw(st.tuples(*[st.booleans()] * 2)),
        )
        for number in range(draw(st.integers(1, 8)))
    )
    wanted = {slot: people for slot in slots if (people := draw(st.integers(0, 4)))}
    through = tuple(range(2, 2 + draw(st.integers(1, 2))))
    able = tuple(one for one, each in enumerate(helpers) if set(through) <= each.slots)
    mending = frozenset(s for s in slots if any(each.mends and s in each.slots for each in helpers))
    return Rota(helpers, wanted, (ClassTime("c", through, able),), mending, draw(st.integers(1, 4)), 8)


@settings(max_examples=60)
@given(usual_days())
def test_a_first_rota_without_search_keeps_every_rule(rota):
    assert faults(rota, find_duties(rota, effort=0.0)) == []


def test_a_rota_too_large_to_search_still_fills_the_places_there_are_people_for():
    there = frozenset(range(2000))
    helpers = tuple(Helper(f"p{number}", there, True, True) for number in range(25))
    rota = Rota(helpers, dict.fromkeys(range(2000), 12), (), there, 24, 48)
    duties = find_duties(rota, effort=0.0)
    assert faults(rota, duties) == []
    assert not duties.proved
    lack, opened, _unfairness = worth(rota, duties)
    assert lack == 0
    assert opened < 0.02 * 12 * len(there)


DAYS = ["2027-05-08 10:00-13:00"]


def guild(**sections: Any) -> Guild:
    person = {"key": "wren", "name": "Wren", "hours": DAYS}
    return guildfile.decode({"event": {"days": DAYS}, "people": [person]} | sections)


def told(made: Guild) -> dict[str, str]:
    assert made.event is not None
    day = plan_day(made, made.event)
    found = day_problems(
        made, made.event, day, kits(made, Shelf(made)), {each.key: each.name for each in made.people}
    )
    return {each.code: f"{each.message}" for each in found}


def test_one_person_is_at_a_stand_no_longer_than_two_hours_in_a_row_and_what_is_open_is_named():
    made = guild(stands=[{"key": "door", "name": "Door"}])
    assert made.event is not None
    day = plan_day(made, made.event)
    assert [each.lacks for each in day.open] == [1]
    assert day.proved
    assert "Door: 1 person is missing" in told(made)["stand-open"]


def test_a_stand_without_anyone_who_can_says_so_once():
    made = guild(
        people=[{"key": "wren", "can": ["mending"], "hours": DAYS}],
        stands=[{"key": f"s{number}"} for number in range(200)],
    )
    assert told(made)["stand-open"].startswith("Nobody can demonstrate")


def test_a_teacher_who_cannot_teach_or_is_not_there_and_hours_outside_of_the_days_are_named():
    bands = {"key": "bands", "name": "Bands", "teacher": "wren", "time": "2027-05-08 11:00-12:00"}
    people = [{"key": "wren", "name": "Wren", "can": ["winding"], "hours": DAYS}]
    assert "Wren cannot teach" in told(guild(people=people, classes=[bands]))["class-open"]
    late = bands | {"time": "2027-05-08 12:00-15:00"}
    found = told(guild(classes=[late]))
    assert "is not there from beginning to end" in found["class-open"]
    assert "is not within the hours" in found["outside-days"]


@pytest.mark.parametrize("slot_h", [1 / 12, 0.5, 1.5, 2, 3, 4])
def test_nobody_stands_more_than_two_hours_in_a_row_whatever_the_slot(slot_h: float) -> None:
    made = guild()
    assert made.event is not None
    event = replace(made.event, slot_h=slot_h)
    slots = slots_of_days(event)
    rota = rota_of(made, event, slots)
    assert 0 < rota.most_in_a_row * slots.slot_h <= 2
    assert 1 < rota.off_in <= 4 / slots.slot_h + 1


def test_kits_are_rounded_up_and_a_second_class_gets_what_the_first_leaves():
    yarn = {"key": "oat", "fiber": "cotton", "tex": "148 tex", "tolerance": "0 %"}
    cone = {"yarn": "oat", "gross": "100 g", "tare": "0 g", "tare_sd": "0 g", "scale_step": "0.001 g"}
    lesson = {
        "time": "2027-05-08 11:00-12:00",
        "places": 7,
        "spare": "10 %",
        "materials": [{"yarn": "oat", "each": "10 g"}, {"thing": "hook", "each": 1, "have": 5}],
    }
    classes = [{"key": "one"} | lesson, {"key": "two"} | lesson]
    made = guild(yarns=[yarn], cones=[cone], classes=classes)
    first, hooks, second, _hooks = kits(made, Shelf(made))
    assert (first.needed, first.short) == (77, 0)
    assert (hooks.needed, hooks.have, hooks.short) == (8, 5, 3)
    assert round(second.have) == 23
    assert round(second.short) == 54


def test_kits_leave_what_warps_outside_of_the_event_take():
    loaded = guildfile.load(Path(__file__).parents[2] / "demo" / "event" / "guild.toml")
    yarn = loaded.guild.classes[0].materials[0].yarn
    assert yarn is not None
    whole, left = Shelf(loaded.guild), shelf_before(loaded.guild, loaded.drafts, None)
    cones, of_yarn = left.cones_of(yarn), loaded.guild.yarn(yarn)
    assert left.sure_m(cones, of_yarn) < whole.sure_m(cones, of_yarn)
    line = next(each for each in kits(loaded.guild, left) if each.yarn == yarn)
    assert line.have <= left.sure_m(cones, of_yarn) / of_yarn.grist_m_per_g


def test_the_guild_changes_what_is_packed():
    own = [{"for": "door", "thing": "chair", "count": 0}, {"for": "event", "thing": "kettle", "count": 2}]
    made = packing(guild(stands=[{"key": "door"}], packing=own), {})
    counts = {(each.packed_for, f"{each.thing}"): (each.count, each.source) for each in made}
    assert ("door", "chair") not in counts
    assert counts["event", "kettle"] == (2, "guild file")
    assert counts["event", "first aid kit"] == (1, "common practice, no source")
