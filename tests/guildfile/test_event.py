"""The event, its people, pace and shop in the guild file."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from loomready import guildfile
from loomready.model.event import SKILLS, JobHours, Opening, Pace
from tests.guildfile.room import refusal, tree

EVENT = guildfile.parse("""
[event]
name = "Harvest weekend"
days = ["2026-10-17 10:00-16:00", "2026-10-18 11:00-15:00"]
warps = ["napkins"]

[[people]]
key = "finch"
name = "Finch"
can = ["winding", "threading"]
learning = ["beaming"]
hours = ["2026-10-03 10:00-13:00", "every tue 18:30-21:00"]
most = "10 h"

[[people]]
key = "jay"

[pace]
"tying on" = "200 /h"
sure = "80 %"

[[shop]]
yarn = "rust"
weight = "1 lb"
price = "18.50"

[[shop]]
yarn = "rust"
weight = "250 g"
price = "12"
""")


def with_event(**changes: Any) -> dict[str, Any]:
    """The tree of a guild with an event; ``people_1_can=...`` changes a key of it."""
    made = tree() | guildfile.parse(guildfile.toml.dumps_tree(EVENT))
    made["warps"][0] |= {"looms": ["north"], "hours": {"winding": "2 h", "test weaving": "0 h"}, "value": 2}
    del made["warps"][0]["loom"]
    for path, value in changes.items():
        section, *number, key = path.split("__")
        table = made[section][int(number[0]) - 1] if number else made[section]
        table[key] = value
    return made


def test_an_event_its_people_pace_and_shop_are_read():
    guild = guildfile.decode(with_event())
    event, (finch, jay) = guild.event, guild.people
    assert event is not None
    assert event.days[0] == Opening(datetime(2026, 10, 17, 10), datetime(2026, 10, 17, 16))
    assert (event.name, event.ready_by_said, event.pack_time_h, event.slot_h) == (
        "Harvest weekend",
        None,
        3,
        0.5,
    )
    assert (finch.can, finch.learning, finch.most_h) == (("winding", "threading"), ("beaming",), 10)
    assert [each.text for each in finch.hours] == ["2026-10-03 10:00-13:00", "every tue 18:30-21:00"]
    assert (jay.name, jay.can, jay.hours, jay.most_h) == ("jay", SKILLS, (), None)
    assert (guild.pace.of("tying on"), guild.pace.of("winding"), guild.pace.sure) == (200, None, 0.8)
    assert [(each.key, each.price) for each in guild.shop] == [("rust-1", 18.5), ("rust-2", 12)]
    warp = guild.warps[0]
    assert (warp.looms, warp.loom, warp.value) == (("north",), "north", 2)
    assert warp.hours == JobHours(winding_h=2, test_weaving_h=0)
    assert [warp.hours.of(job) for job in ("winding", "tying on", "test weaving")] == [2, None, 0]


def test_a_guild_without_an_event_has_none():
    guild = guildfile.decode(tree())
    assert (guild.event, guild.people, guild.pace, guild.shop) == (None, (), Pace(), ())
    assert not {"event", "people", "pace", "shop"} & set(guildfile.encode(guild))


def test_an_event_is_written_as_it_was_typed():
    guild = guildfile.decode(with_event())
    written = guildfile.encode(guild)
    assert written["event"] == {
        "name": "Harvest weekend",
        "days": ["2026-10-17 10:00-16:00", "2026-10-18 11:00-15:00"],
        "warps": ["napkins"],
    }
    assert written["people"][0]["hours"] == ["2026-10-03 10:00-13:00", "every tue 18:30-21:00"]
    assert written["warps"][0]["looms"] == ["north"]
    assert "loom" not in written["warps"][0]
    assert '"tying on" = "200 /h"' in guildfile.dumps(guild)
    assert guildfile.decode(guildfile.parse(guildfile.dumps(guild))) == guild


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({"event__days": ["2026-10-17 16:00-10:00"]}, "[event] days 1: "),
        ({"event__days": ["2026-10-17 10:00-16:00", "2026-10-17 15:00-17:00"]}, "[event] days 2: is open"),
        ({"event__days": []}, "[event] days: the list holds 0"),
        ({"event__ready_by": "2026-10-17 10:30"}, "[event] ready_by: is after the first opening"),
        ({"event__ready_by": "Friday"}, '[event] ready_by: "Friday"'),
        ({"event__slot": "7 min"}, "[event] slot: does not divide a day"),
        ({"event__slot": "30"}, "[event] slot: "),
        ({"event__warps": ["shawl"]}, '[event] warps 1: there is no warp "shawl"; expected one of napkins'),
        ({"event__warps": ["napkins", "napkins"]}, '[event] warps 2: "napkins" is there twice'),
        ({"event__day": []}, "[event] day: unknown key; did you mean days?"),
        ({"people__2__key": "finch"}, '[people 2] key: "finch" is already the key of [people 1]'),
        ({"people__1__can": ["juggling"]}, '[people 1] can 1: "juggling" is not among the choices'),
        ({"people__1__can": ["winding", "winding"]}, '[people 1] can 2: "winding" is there twice'),
        ({"people__1__learning": ["winding"]}, '[people 1] learning 1: "winding" is in can already'),
        ({"people__1__hours": ["tue 18:30-17:00"]}, '[people 1] hours 1: "tue 18:30-17:00" ends before'),
        ({"people__1__hours": ["tue\n18:30-19:00"]}, "[people 1] hours 1: "),
        ({"people__1__hours": "tue"}, "[people 1] hours: "),
        ({"people__1__most": 10}, "[people 1] most: 10 has no unit"),
        ({"people__1__skils": []}, "[people 1] skils: unknown key"),
        ({"pace__sure": "40 %"}, '[pace] sure: "40 %" is too little'),
        ({"pace__threading": "0 /h"}, '[pace] threading: "0 /h" is too little'),
        ({"shop__1__price": "18,50"}, '[shop 1] price: "18,50" is not a price'),
        ({"shop__1__yarn": "gold"}, '[shop 1] yarn: there is no yarn "gold"'),
        ({"warps__1__looms": ["north", "north"]}, '[warps 1] looms 2: "north" is there twice'),
        ({"warps__1__looms": ["south"]}, '[warps 1] looms 1: there is no loom "south"'),
        ({"warps__1__loom": "north"}, "[warps 1] looms: is given as well as loom"),
        ({"warps__1__hours": {"tieing": "1 h"}}, "[warps 1] hours tieing: unknown key"),
        ({"warps__1__hours": {"winding": "-1 h"}}, '[warps 1] hours winding: "-1 h" is too little'),
        ({"warps__1__value": 0}, "[warps 1] value: 0 is too little"),
    ],
)
def test_each_fault_of_an_event_is_one_clear_line(changes, line):
    assert refusal(guildfile.decode, with_event(**changes)).startswith(line)


def test_a_chosen_loom_is_written_in_place_of_the_choice():
    import dataclasses

    warp = guildfile.decode(with_event()).warps[0]
    chosen = dataclasses.replace(warp, loom="south")
    written = guildfile.encode_record("warps", chosen)
    assert written["loom"] == "south"
    assert "looms" not in written


DAY = guildfile.parse("""
[[stands]]
key = "door"
warp = "napkins"
hours = ["2026-10-17 10:00-13:00"]

[[classes]]
key = "bands"
name = "Bands"
teacher = "finch"
time = "2026-10-17 11:00-12:30"
places = 8
materials = [{ yarn = "rust", each = "30 g" }, { thing = "band lock", each = 1, have = 6 }]
spare = "10 %"

[[packing]]
for = "door"
thing = "lamp"
count = 2

[[packing]]
for = "event"
thing = "kettle"
count = 1
""")


def with_day(section: str = "", **changes: Any) -> dict[str, Any]:
    """The tree of a guild with an event, stands, classes and packing; ``changes``: of a section's first."""
    made = with_event() | guildfile.parse(guildfile.toml.dumps_tree(DAY))
    if section:
        made[section][0] |= changes
    return made


def test_stands_classes_and_packing_are_read_and_written_back_the_same():
    guild = guildfile.decode(with_day())
    assert (guild.stands[0].name, guild.stands[0].people) == ("door", 1)
    assert [each.each for each in guild.classes[0].materials] == [30.0, 1]
    assert [each.key for each in guild.packing] == ["door-1", "event-1"]
    assert guildfile.decode(guildfile.encode(guild)) == guild
    for section in ("stands", "classes", "packing"):
        record = getattr(guild, section)[0]
        assert guildfile.from_json(section, guildfile.to_json(section, record)) == record


@pytest.mark.parametrize(
    ("section", "changes", "where", "says"),
    [
        ("stands", {"warp": "gone"}, "[stands 1] warp", "there is no warp"),
        ("stands", {"people": -1}, "[stands 1] people", "expected"),
        ("stands", {"hours": ["2026-10-17 13:00-10:00"]}, "[stands 1] hours 1", "expected"),
        ("classes", {"teacher": "gone"}, "[classes 1] teacher", "there is no person"),
        ("classes", {"time": "noon"}, "[classes 1] time", "expected"),
        (
            "classes",
            {"materials": [{"yarn": "rust", "each": 3}]},
            "[classes 1] materials 1 each",
            "a bare number",
        ),
        (
            "classes",
            {"materials": [{"thing": "tape", "each": "3 g"}]},
            "[classes 1] materials 1 each",
            "is a weight",
        ),
        ("classes", {"materials": [{"each": 1}]}, "[classes 1] materials 1 yarn", "just one of"),
        ("packing", {"for": "gone"}, "[packing 1] for", "there is no place"),
    ],
)
def test_what_is_wrong_with_the_day_is_named(section, changes, where, says):
    told = refusal(guildfile.decode, with_day(section, **changes))
    assert where in told
    assert says in told
