"""What is read can be written, and reads back to the very same guild."""

from __future__ import annotations

import dataclasses
from datetime import date
from typing import Any

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from loomready import guildfile, units
from loomready.guildfile.event_schema import JOB_HOURS
from loomready.guildfile.event_values import DayWithHours, HoursText, Moment, Price, WeightOrCount
from loomready.guildfile.kinds import SOME_WEIGHT
from loomready.guildfile.records import Inner, Section
from loomready.guildfile.schema import MEASURED, SECTIONS
from loomready.guildfile.texts import Color, Day, DraftPath, Identifier, Note, Text
from loomready.guildfile.values import Choice, Count, Flag, Flaws, Many, Quantity, Run, Value
from loomready.guildfile.warp_schema import ITEMS
from loomready.model.guild import Guild
from loomready.problems import BadInput
from tests.guildfile.room import TEXT, refusal, tree

WORDS = st.text(st.characters(categories=("L", "N", "P", "S")), min_size=1, max_size=12)
KEYS = st.text("abcXYZ019-_é", min_size=1, max_size=8)


@st.composite
def quantities(draw: st.DrawFn, value: Quantity) -> str:
    """A quantity in any unit of its kind, within its limits, with up to 17 decimals."""
    unit = draw(st.sampled_from(sorted(value.kind.units)))
    low, high = (units.read(limit, value.kind) for limit in (value.low, value.high))
    factor = units.factor(value.kind.inside, value.kind.units[unit])
    number = draw(st.floats(low / factor, min(high / factor, 1e11), exclude_min=True, exclude_max=True))
    text = f"{number:.{draw(st.integers(0, 17))}f} {unit}"
    try:
        value.read(text)
    except BadInput:  # rounded out of its limits, or to nothing
        return value.write((low + high) / 2, "metric")
    return text


def texts(value: Value, yarns: list[str], looms: list[str]) -> st.SearchStrategy[Any]:
    """What the file may hold for a kind of value."""
    match value:
        case Quantity():
            return quantities(value)
        case Count(low, high):
            return st.integers(low, high)
        case Flag():
            return st.booleans()
        case Flaws(rate, none):
            return st.one_of(st.just(none), texts(rate, yarns, looms))
        case Choice(words):
            return st.sampled_from(words)
        case Text():
            return WORDS
        case Note():
            return st.lists(WORDS, max_size=3).map("\n\n".join)
        case Identifier(of="yarn"):
            return st.sampled_from(yarns)
        case Identifier(of="loom"):
            return st.sampled_from(looms)
        case Identifier():
            return KEYS
        case Color():
            return st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06X}")
        case Day():
            return st.dates(date(1900, 1, 1))
        case DraftPath():
            return st.lists(KEYS, min_size=1, max_size=3).map("/".join)
        case Many(of, fewest, most):
            return st.lists(texts(of, yarns, looms), min_size=fewest, max_size=min(most, fewest + 3))
        case DayWithHours():
            return st.dates(date(2000, 1, 1), date(2090, 1, 1)).map(lambda day: f"{day} 10:00-16:00")
        case Moment():
            return st.just("1999-12-30 18:00")
        case HoursText():
            return st.sampled_from(
                ["every tue 18:30-21:00", "Sat from 10", "not the 12th", "2026-10-03 9 to 1"]
            )
        case WeightOrCount():
            return st.one_of(st.integers(1, 10_000), quantities(SOME_WEIGHT))
        case Price():
            return st.sampled_from(["18.50", "7", "0.5"])
        case Run(high):
            return st.tuples(st.integers(1, high), st.integers(1, high)).map(sorted).map(list)
        case Inner(section):
            table = tables(section, yarns, looms)
            return st.lists(table, min_size=1, max_size=3) if section.many else table
    raise AssertionError(value)


@st.composite
def tables(draw: st.DrawFn, section: Section, yarns: list[str], looms: list[str]) -> dict[str, Any]:
    """A record's table with the keys that it must have and some of those it may have."""
    said = draw(st.sampled_from(section.one_of)) if section.one_of else None
    table = {}
    for key in section.keys:
        may = key.name == said or key.name not in section.one_of
        if may and (key.required or key.name == said or draw(st.booleans())):
            table[key.name] = draw(texts(key.value, yarns, looms))
    if "count" in table and section.name == "yarns":
        table["count"] = draw(
            st.sampled_from(["10/2 Ne", "2/8 Nm", "16/1 linen", "6 cut", "30 tex", "R40 tex/2", "10/2"])
        )
        if table["count"] == "10/2":
            table["fiber"] = "mercerized cotton"
    if "measured" in table:
        table["measured"]["weight"] = draw(st.sampled_from(["12.5 g", "1 oz", "200 g"]))
        table["measured"]["length"] = draw(st.sampled_from(["20 yd", "33.3 m"]))
        table["measured"]["scale_step"] = draw(st.sampled_from(["1 g", "0.1 g", "0.02 oz"]))
    if "wraps" in table:
        table["wraps"] = draw(st.sampled_from(["18 /in", "7.25 /cm", "70 /10cm"]))
    if "tare" in table and units.read(table["tare"], units.WEIGHT_G) > units.read(
        table["gross"], units.WEIGHT_G
    ):
        table["tare"], table["gross"] = table["gross"], table["tare"]
    if table.get("kind") == "inkle":
        table["heddles"] = table["heddles"][:1]
    if "heddles" in table:
        table["shafts"] = len(table["heddles"])
    if "cross" in table:
        pegs = [*table["pegs"], {"name": "z"}, {"name": "z"}]
        table["pegs"] = [peg | {"name": f"{n}{peg['name']}", "y": f"{n} cm"} for n, peg in enumerate(pegs)]
        table["start"], *table["cross"] = [peg["name"] for peg in table["pegs"][:3]]
    if section.name == "stands" and "hours" in table:
        table["hours"] = list(dict.fromkeys(table["hours"]))
    if section.name == "materials":  # yarn by weight, things by number
        by_weight = quantities(SOME_WEIGHT)
        table["each"] = draw(by_weight if "yarn" in table else st.integers(1, 10_000))
        if "yarn" in table:
            table.pop("have", None)
    if section.name == "stripes":  # ends of a yarn, or empty dents
        if table.pop("dents", None) and draw(st.booleans()):
            table = {"dents": draw(st.integers(1, 1000))}
        elif "sley" in table:
            table["sley"] = draw(st.sampled_from([[3], [1, 0], [0, 0, 2], [4, 1]]))
        return table
    if "slot" in table:
        table["slot"] = draw(st.sampled_from(["30 min", "15 min", "1 h", "1.5 h"]))
    if "days" in table:
        table["days"] = list(dict.fromkeys(table["days"]))
    for name in {"can", "learning", "looms"} & set(table):
        table[name] = list(dict.fromkeys(table[name]))
    if "can" in table and "learning" in table:
        table["learning"] = [skill for skill in table["learning"] if skill not in table["can"]]
    looms = table.pop("looms", None)
    if looms and draw(st.booleans()):  # the event chooses one
        del table["loom"]
        table["looms"] = looms
    for name, other in section.instead.items():
        if name in table and other in table:  # just one of the two
            del table[draw(st.sampled_from([name, other]))]
        for stripe in table.get(other, ()):  # in all no more than a web or a piece holds
            for part in {"picks", "ends"} & set(stripe):
                stripe[part] = -(-stripe[part] // 4)
    if "sewn" in table:
        table["count"] = table["sewn"] * draw(st.integers(1, 9))
    if "twisted_fringe" in table:
        table.pop("fringe", None)
    if "stripes" not in table:
        table.pop("stripes_mirrored", None)
    if "tied_to" not in table:
        table.pop("tied_waste", None)
    if "front_waste" in table and units.read(table["front_waste"], units.LENGTH_M) > units.read(
        table["waste"], units.LENGTH_M
    ):
        table["front_waste"], table["waste"] = table["waste"], table["front_waste"]
    if "section_width" not in table:
        table.pop("sections", None)
    if table.get("kind") != "rigid heddle":
        table.pop("gauge", None)
        table.pop("pick_up_sticks", None)
    if table.get("kind") in ("countermarche", "rigid heddle", "inkle"):
        table.pop("direct_tie_up", None)
    if table.get("direct_tie_up"):
        table["treadles"] = table["shafts"]
    elif table.get("kind") in ("table", "rigid heddle", "inkle"):
        table.pop("treadles", None)
    return table


def _as_double_cloth(warp: dict[str, Any], reed: str) -> None:
    """What a fold needs, and no more."""
    if "double_cloth" not in warp:
        for name in ("fold_left_out", "fold_sley"):
            warp.pop(name, None)
        return
    warp["layers"] = 2
    for name in ("floating_selvedges", "selvedge_ends"):
        warp.pop(name, None)
    if "fold_sley" in warp:
        warp["fold_sley"], warp["reed"] = [1, 0, 1], reed


def second_as_it_must_be(warp: dict[str, Any]) -> None:
    """What a second warp says together, and nothing of it without one."""
    if "second_yarns" not in warp:
        for name in [each for each in warp if each.startswith("second_")]:
            warp.pop(name)
        return
    warp["second_yarns"] = list(dict.fromkeys(warp["second_yarns"]))
    if {"second_cut", "second_woven"} <= set(warp) and "second_take_up" not in warp:
        warp["second_cut"], warp["second_woven"] = "42 cm", "30 cm"
    else:
        warp.pop("second_cut", None), warp.pop("second_woven", None)


@st.composite
def trees(draw: st.DrawFn) -> dict[str, Any]:
    """A whole guild file as a tree."""
    made: dict[str, Any] = {"guild": draw(tables(SECTIONS["guild"], [], []))}
    names = {
        name: draw(st.lists(KEYS, min_size=1, max_size=3, unique=True))
        for name, section in SECTIONS.items()
        if section.many
    }
    for name, keys in names.items():
        record = tables(SECTIONS[name], names["yarns"], names["looms"])
        made[name] = [draw(record) | {"key": key} for key in keys]
    for warp in made["warps"]:  # only a reed of the file, only an even sley, only an older warp
        if "tied_to" in warp:
            warp["tied_to"] = names["warps"][0]
            if warp is made["warps"][0]:
                warp.pop("tied_to"), warp.pop("tied_waste", None)
    for name in ("event", "pace"):
        if draw(st.booleans()):
            made[name] = draw(tables(SECTIONS[name], [], []))
    if "warps" in made.get("event", {}):
        made["event"]["warps"] = draw(st.lists(st.sampled_from(names["warps"]), unique=True))
    for stand in made["stands"]:
        if "warp" in stand:
            stand["warp"] = draw(st.sampled_from(names["warps"]))
    for lesson in made["classes"]:
        if "teacher" in lesson:
            lesson["teacher"] = draw(st.sampled_from(names["people"]))
    for packed in made["packing"]:
        packed["for"] = draw(st.sampled_from(["event", *names["looms"], *names["stands"], *names["classes"]]))
    for warp in made["warps"]:
        _as_double_cloth(warp, names["reeds"][0])
        if not warp.get("selvedge_ends"):
            warp.pop("selvedge_ends_per_heddle", None)
    for warp in made["warps"]:  # only a reed of the file, only an even sley
        stripes = warp.get("stripes", ())
        if stripes and all("dents" in each for each in stripes):
            warp["stripes"] = [*stripes, {"yarn": names["yarns"][0], "ends": 7}]
        if any({"sley", "dents"} & each.keys() for each in stripes):
            warp["reed"] = names["reeds"][0]
        for name in ("reed", "wound_reed"):
            if name in warp:
                warp[name] = names["reeds"][0]
        for name in ("sley", "wound_sley"):
            if name in warp:
                warp[name] = draw(st.sampled_from([[1], [0, 1], [1, 2, 2], [3, 4]]))
        if not {"woven_picks", "woven_at", "wound"} <= set(warp):
            warp.pop("woven_picks", None), warp.pop("woven_at", None)
        rows = [
            row for row in warp.get("woven_from", ()) if ("woven_picks" if "at" in row else "off") in warp
        ]
        warp.pop("woven_from", None)
        if rows:
            warp["woven_from"] = rows
        if not {"woven_picks", "off"} <= set(warp):
            warp.pop("cut_early", None)
        if "wound_reed" not in warp:
            warp.pop("wound_sley", None)
        second_as_it_must_be(warp)
    return made


@settings(max_examples=50)
@given(trees())
def test_every_guild_reads_back_from_its_tree_its_text_and_the_json_of_its_records(tree):
    guild = guildfile.decode(tree)
    assert guildfile.decode(guildfile.encode(guild)) == guild
    text = guildfile.dumps(guild)
    again = guildfile.decode(guildfile.parse(text))
    assert again == guild
    assert guildfile.dumps(again) == text
    for name, section in SECTIONS.items():
        for record in getattr(guild, name) if section.many else ():
            assert guildfile.from_json(name, guildfile.to_json(name, record, "metric")) == record


def test_defaults_are_left_out():
    written = guildfile.encode(guildfile.decode(tree()))
    assert written["cones"][0] == {
        "key": "rust-1",
        "yarn": "rust",
        "lot": "7",
        "gross": "455 g",
        "tare": "32 g",
    }
    assert written["yarns"][1] == {"key": "bone", "grist": "7 m/g"}
    assert written["yarns"][3] == {"key": "heather", "wraps": "18 /in", "woollen": True}
    assert guildfile.encode(Guild()) == {}
    assert guildfile.dumps(Guild()) == ""


def test_each_yarn_is_written_as_it_was_told():
    written = guildfile.encode(guildfile.decode(tree()))["yarns"]
    told = ("count", "grist", "tex", "measured", "wraps")
    assert [[key for key in told if key in yarn] for yarn in written] == [
        ["count"],
        ["grist"],
        ["measured"],
        ["wraps"],
    ]
    assert written[2]["measured"] == {"length": "18.288 m", "weight": "3.1 g", "scale_step": "0.1 g"}


def test_a_measured_yarn_keeps_a_band_of_its_own():
    guild = guildfile.decode(tree(yarns_3_tolerance="5 %"))
    assert guild.yarns[2].tolerance == 0.05
    assert guildfile.decode(guildfile.encode(guild)) == guild


def test_a_count_may_be_said_to_be_woollen():
    guild = guildfile.decode(tree(yarns_1_woollen=True))
    assert guild.yarns[0].woollen
    assert guildfile.decode(guildfile.encode(guild)) == guild


def test_the_guilds_units_are_written():
    metric = guildfile.decode(guildfile.parse(TEXT))
    assert guildfile.encode(metric)["reeds"][0]["dents"] == "4 /cm"
    us = guildfile.encode(dataclasses.replace(metric, units="us"))
    assert us["looms"][0]["weaving_width"] == "36 in"


def test_the_text_has_a_table_for_each_record_and_a_line_for_each_list():
    text = guildfile.dumps(guildfile.decode(tree()))
    assert text.count("[[cones]]") == 2
    assert "heddles = [150, 150, 120, 120]\n" in text
    assert 'measured = { length = "18.288 m", weight = "3.1 g", scale_step = "0.1 g" }\n' in text


def test_the_schema_knows_every_field_of_the_model():
    for section in (*SECTIONS.values(), ITEMS, MEASURED, JOB_HOURS):
        fields = {field.name for field in dataclasses.fields(section.model)}
        if section.model is Guild:
            fields -= set(SECTIONS)
        worked_out = {"source", "count_system", "estimated"}
        assert fields - worked_out == {key.field for key in section.keys} - {"grist", "measured", "wraps"}


def test_a_remedys_change_is_applied_to_its_warp_alone():
    before = tree()
    before["warps"].append(before["warps"][0] | {"key": "second"})
    changed = guildfile.apply(
        before, "second", {"sett": "9 /cm", "firmness": None, "selvedge_shafts": (1, 2)}
    )
    assert changed["warps"][0] == before["warps"][0]
    assert "firmness" in before["warps"][1]
    warp = guildfile.decode(changed).warps[1]
    assert (warp.sett_per_cm, warp.firmness, warp.selvedge_shafts) == (9.0, None, (1, 2))


def test_a_change_to_a_warp_that_is_not_there_is_refused():
    assert refusal(guildfile.apply, tree(), "nobody", {}).startswith('there is no warp "nobody"')


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("", "line 1: is not JSON"),
        ("[" * 100_000, "lists or tables are nested too deeply"),
        ('{"key": "a", "key": "b"}', "a key is given twice"),
        ('{"key": NaN}', "NaN is not a number"),
        ('{"key": %s}' % ("1" * 5000), "a number has too many digits"),
        ('{"weighed": 3}', "key: is missing"),
        (
            '{"key": "a", "yarn": "a", "gross": "2 g", "tare": "1 g", "weighed": "2026-02-30"}',
            'weighed: "2026-02-30"',
        ),
        ('{"key": "\\ud800"}', "key: "),
    ],
)
def test_json_that_is_no_record_is_refused(text, line):
    assert refusal(guildfile.from_json, "cones", text).startswith(line)
