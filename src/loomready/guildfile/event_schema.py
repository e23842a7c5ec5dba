"""The sections of the guild file about an event: its days, who helps, pace, what can be bought."""

from __future__ import annotations

from loomready.guildfile import build
from loomready.guildfile.event_values import DayWithHours, HoursText, Moment, Price
from loomready.guildfile.kinds import KEY_NAME, SOME_WEIGHT
from loomready.guildfile.records import Key, Section
from loomready.guildfile.texts import Identifier, Text
from loomready.guildfile.values import Choice, Many, Quantity
from loomready.model.event import SKILLS, WORK, Event, JobHours, Pace, Person, ShopCone
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
