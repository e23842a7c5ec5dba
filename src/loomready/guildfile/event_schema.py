"""The sections of the guild file about an event: its days, who helps, pace, what can be bought."""

from __future__ import annotations

from loomready.guildfile import build
from loomready.guildfile.event_values import DayWithHours, HoursText, Moment, Price, WeightOrCount
from loomready.guildfile.kinds import ANY_SHARE, KEY_NAME, SOME_WEIGHT
from loomready.guildfile.records import Inner, Key, Section
from loomready.guildfile.texts import Identifier, Note, Text
from loomready.guildfile.values import Choice, Count, Flag, Many, Quantity
from loomready.model.event import (
    SKILLS,
    WORK,
    Event,
    JobHours,
    Lesson,
    Material,
    Pace,
    Packed,
    Person,
    ShopCone,
    Stand,
)
from loomready.phrases import phrase
from loomready.units import PER_H, SHARE, TIME_H

_RATE = Quantity(PER_H, "0 /h", "100000 /h", above=True)
_JOB_TIME = Quantity(TIME_H, "0 h", "1000 h")

EVENT = Section(
    "event",
    Event,
    phrase("a public day, or several, and what is to be on the looms by then"),
    (
        Key("name", Text(200), "name", phrase("its name on sheets and in calendars")),
        Key(
            "days",
            Many(DayWithHours(), 1, 60),
            "days",
            phrase("its days, each from opening to closing"),
            required=True,
        ),
        Key(
            "ready_by",
            Moment(),
            "ready_by_said",
            phrase("when every warp has to be ready"),
            silence=phrase("the opening of the first day, less pack_time"),
        ),
        Key(
            "pack_time",
            Quantity(TIME_H, "0 h", "240 h"),
            "pack_time_h",
            phrase("time for packing and the way"),
        ),
        Key(
            "slot",
            Quantity(TIME_H, "5 min", "4 h"),
            "slot_h",
            phrase("work is planned in slots of this length, counted from midnight"),
        ),
        Key(
            "warps",
            Many(Identifier(of="warp"), 0, 1000),
            "warps",
            phrase("the warps that it is about"),
            silence=phrase("all that are not off"),
        ),
    ),
    many=False,
    build=build.event,
)

_SKILLS = Many(Choice(SKILLS), 0, len(SKILLS))

PEOPLE = Section(
    "people",
    Person,
    phrase("somebody who helps with the event"),
    (
        Key("key", KEY_NAME, "key", phrase("a short name in this file"), required=True),
        Key("name", Text(200), "name", phrase("the name on sheets"), silence=phrase("the key")),
        Key("can", _SKILLS, "can", phrase("what this person can do alone"), silence=phrase("all of them")),
        Key(
            "learning",
            _SKILLS,
            "learning",
            phrase("what this person does beside somebody who can"),
            silence=phrase("nothing"),
        ),
        Key(
            "hours",
            Many(HoursText(), 0, 400),
            "hours",
            phrase("when this person comes"),
            silence=phrase("never"),
        ),
        Key(
            "most",
            Quantity(TIME_H, "0 h", "10000 h"),
            "most_h",
            phrase("the most hours of work in all"),
            silence=phrase("no limit"),
        ),
    ),
    build=build.person,
    fields_of=build.fields_of_person,
)

PACE = Section(
    "pace",
    Pace,
    phrase("how fast the guild works, in threads per hour and person"),
    (
        *(
            Key(
                job,
                _RATE,
                job.replace(" ", "_"),
                phrase("ends of yarn wound per hour")
                if job == "winding"
                else phrase("working ends per hour"),
                silence=phrase("what project records teach, or else a default"),
            )
            for job in WORK[:5]
        ),
        Key(
            "spread",
            Quantity(SHARE, "0 %", "100 %"),
            "spread",
            phrase("standard deviation of the hours of a job, as a share"),
        ),
        Key(
            "sure",
            Quantity(SHARE, "50 %", "99 %"),
            "sure",
            phrase("how many of the jobs keep to the hours that are planned"),
        ),
    ),
    many=False,
)

JOB_HOURS = Section(
    "hours",
    JobHours,
    phrase("hours of the jobs of a warp"),
    tuple(
        Key(
            job,
            _JOB_TIME,
            f"{job.replace(' ', '_')}_h",
            phrase("hours of two people at it") if job == "beaming" else phrase("hours of one person"),
            silence=phrase("what pace says"),
        )
        for job in WORK
    ),
    many=False,
)

SHOP = Section(
    "shop",
    ShopCone,
    phrase("a full cone that could be bought"),
    (
        Key(
            "key",
            KEY_NAME,
            "key",
            phrase("its short name in this file"),
            required=True,
            silence=phrase("the yarn's key with -1, -2, … in file order"),
        ),
        Key("yarn", Identifier(of="yarn"), "yarn", phrase("its yarn"), required=True),
        Key("weight", SOME_WEIGHT, "weight_g", phrase("weight of the yarn on it"), required=True),
        Key("price", Price(), "price", phrase("price of one cone"), required=True),
    ),
)

STANDS = Section(
    "stands",
    Stand,
    phrase("a place of the event where people show something"),
    (
        Key("key", KEY_NAME, "key", phrase("a short name in this file"), required=True),
        Key("name", Text(200), "name", phrase("the name on sheets"), silence=phrase("the key")),
        Key("warp", Identifier(of="warp"), "warp", phrase("what is on its loom"), silence=phrase("none")),
        Key("people", Count(0, 50), "people", phrase("how many at once, who can demonstrate")),
        Key(
            "hours",
            Many(DayWithHours(), 1, 60),
            "hours",
            phrase("when it is open"),
            silence=phrase("all days of the event"),
        ),
        Key(
            "sign",
            Note(1000),
            "sign",
            phrase("what its sign says, in your words"),
            silence=phrase("for a warp, facts of its plan"),
        ),
        Key(
            "touch",
            Flag(),
            "touch",
            phrase("whether visitors may touch what lies there"),
            silence=phrase("the sign does not say"),
        ),
    ),
    build=build.stand,
    fields_of=build.fields_of_named,
)

MATERIALS = Section(
    "materials",
    Material,
    phrase("what each place of a class gets"),
    (
        Key("yarn", Identifier(of="yarn"), "yarn", phrase("a yarn of the shelf"), silence=phrase("none")),
        Key("thing", Text(200), "thing", phrase("anything else"), silence=phrase("none")),
        Key(
            "each",
            WeightOrCount(),
            "each",
            phrase("for each place: a weight of yarn, or how many of the thing"),
            required=True,
        ),
        Key("have", Count(0, 100_000), "have", phrase("how many of the thing are there")),
    ),
    one_of=("yarn", "thing"),
    build=build.material,
)

CLASSES = Section(
    "classes",
    Lesson,
    phrase("a class of the event"),
    (
        Key("key", KEY_NAME, "key", phrase("a short name in this file"), required=True),
        Key("name", Text(200), "name", phrase("the name on sheets"), silence=phrase("the key")),
        Key(
            "teacher",
            Identifier(of="person"),
            "teacher",
            phrase("who teaches it"),
            silence=phrase("whoever can teach"),
        ),
        Key("time", DayWithHours(), "time", phrase("its day, from beginning to end"), required=True),
        Key("places", Count(1, 1000), "places", phrase("how many can take part")),
        Key(
            "materials",
            Inner(MATERIALS, 100),
            "materials",
            phrase("what each place gets"),
            silence=phrase("nothing"),
        ),
        Key("spare", ANY_SHARE, "spare", phrase("more of each material, rounded up")),
    ),
    build=build.lesson,
    fields_of=build.fields_of_named,
)

PACKING = Section(
    "packing",
    Packed,
    phrase("a thing to pack, in place of the usual count"),
    (
        Key(
            "key",
            KEY_NAME,
            "key",
            phrase("its short name in this file"),
            required=True,
            silence=phrase("what it is for, with -1, -2, … in file order"),
        ),
        Key("for", KEY_NAME, "packed_for", phrase("a loom, a stand, a class, or event"), required=True),
        Key("thing", Text(200), "thing", phrase("what is packed"), required=True),
        Key("count", Count(0, 10_000), "count", phrase("how many; 0: it is not packed"), required=True),
    ),
)
