"""What a guild file says becomes the model; what it cannot mean is refused at its place."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import Any

import pytest

from loomready import guildfile
from loomready.model.guild import Grist, Item, Measured, Wraps
from loomready.problems import AmbiguousCount, BadInput
from loomready.yarn.unlabeled import from_measured, from_wraps
from tests.guildfile.room import refusal, tree


def refused(**changes: Any) -> str:
    return refusal(guildfile.decode, tree(**changes))


def test_quantities_arrive_in_the_unit_inside():
    guild = guildfile.decode(tree())
    assert guild.units == "metric"
    assert guild.looms[0].weaving_width_mm == pytest.approx(914.4)
    assert guild.looms[0].waste_m == 0.75
    assert guild.reeds[0].dents_per_cm == pytest.approx(4.0)
    assert guild.cones[1].gross_g == pytest.approx(907.18474)
    assert guild.cones[1].weighed == date(2026, 4, 11)
    assert guild.warps[0].items[0] == Item(finished_length_m=0.45, hem_m=0.03, count=6)
    assert guild.warps[0].firmness == 0.75
    assert guild.warps[0].sett_per_cm is None


def test_silence_means_the_contracts_defaults():
    guild = guildfile.decode(tree())
    warp, cone, yarn = guild.warps[0], guild.cones[0], guild.yarns[0]
    assert (warp.take_up, warp.draw_in, warp.shrink_length, warp.shrink_width) == (0.10, 0.06, 0.08, 0.08)
    assert (warp.weft_take_up, warp.reserve, warp.sample_m, warp.selvedge_ends) == (0.05, 0.03, 0.0, 0)
    assert (warp.floating_selvedges, warp.layers, warp.max_bout_ends, warp.mix_lots) == (False, 1, 120, False)
    assert (cone.tare_sd_g, cone.scale_step_g, yarn.tolerance) == (2.0, 1.0, 0.05)
    assert (guild.end_1, guild.shaft_1, guild.bobbin_g) == ("right", "front", 20.0)


def test_an_empty_file_is_a_guild_that_owns_nothing():
    guild = guildfile.decode(guildfile.parse(""))
    assert guild.yarns == guild.cones == guild.looms == guild.reeds == guild.warps == ()
    assert guildfile.decode({"yarns": [], "warps": []}) == guild


def test_a_yarn_is_as_thick_as_its_count_grist_measure_or_wraps_say():
    rust, bone, moss, heather = guildfile.decode(tree()).yarns
    # 10/2 cotton: 590.541 / 5 tex (hanks: ASTM D2260-03; seen, computed)
    assert (rust.tex, rust.count_system, rust.woollen) == (pytest.approx(118.108, abs=1e-3), "cotton", False)
    assert (bone.tex, bone.source) == (1000 / 7, Grist(7.0))
    measured = from_measured(moss.source.length_m, 3.1, 0.1)
    assert (moss.tex, moss.tolerance, moss.estimated) == (measured.tex, measured.tolerance, False)
    assert moss.source == Measured(18.288, 3.1, 0.1)
    guessed = from_wraps(18 / 2.54, woollen=True)
    assert isinstance(heather.source, Wraps)
    assert heather.tex == pytest.approx(guessed.tex)
    assert (heather.tolerance, heather.estimated, heather.woollen) == (guessed.tolerance, True, True)


def test_a_name_left_out_is_the_key():
    guild = guildfile.decode(tree())
    assert guild.yarns[1].name == "bone"
    assert guild.looms[0].name == "north"


def test_cones_without_a_key_are_numbered_within_their_yarn():
    cones = [{"yarn": yarn, "gross": "90 g", "tare": "9 g"} for yarn in ("rust", "bone", "rust", "rust")]
    guild = guildfile.decode(tree() | {"cones": cones})
    assert [cone.key for cone in guild.cones] == ["rust-1", "bone-1", "rust-2", "rust-3"]


def test_a_numbered_cone_steps_past_a_key_that_is_taken():
    cone = {"yarn": "rust", "gross": "90 g", "tare": "9 g"}
    guild = guildfile.decode(tree() | {"cones": [cone, cone | {"key": "rust-1"}, cone, cone | {"key": "x"}]})
    assert [cone.key for cone in guild.cones] == ["rust-2", "rust-1", "rust-3", "x"]


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({"cones_1_gross": 455}, '[cones 1] gross: 455 has no unit; expected a weight like "612 g"'),
        ({"cones_1_gross": "455"}, '[cones 1] gross: "455" has no unit'),
        ({"cones_2_gross": "9**9**9 g"}, "[cones 2] gross: "),
        ({"cones_2_gross": "455 cm"}, '[cones 2] gross: "cm" is not a unit of weight'),
        ({"cones_1_gross": "-4 g"}, '[cones 1] gross: "-4 g" is too little'),
        ({"cones_1_gross": float("nan")}, "[cones 1] gross: nan has no unit"),
        ({"cones_1_gross": "nan g"}, "[cones 1] gross: "),
        ({"cones_1_gross": "inf g"}, "[cones 1] gross: "),
        ({"cones_1_gross": 10**9999}, "[cones 1] gross: a huge number has no unit"),
        ({"cones_1_gross": True}, "[cones 1] gross: true is not a valid weight"),
        ({"cones_1_tare": "456 g"}, "[cones 1] tare: is more than gross"),
        ({"cones_1_lot": 7}, "[cones 1] lot: 7 is not text"),
        ({"cones_1_lot": "a\nb"}, "[cones 1] lot: "),
        ({"cones_1_weighed": "2026-04-11"}, '[cones 1] weighed: "2026-04-11" is not a date'),
        (
            {"cones_1_weighed": datetime(2026, 4, 11, 9, tzinfo=UTC)},
            "[cones 1] weighed: 2026-04-11 09:00:00+00:00 is not a date",
        ),
        (
            {"cones_1_yarn": "rusk"},
            '[cones 1] yarn: there is no yarn "rusk"; expected one of rust, bone, moss',
        ),
        ({"yarns_2_grist": "0 m/g"}, '[yarns 2] grist: "0 m/g" is too little'),
        ({"yarns_2_grist": None}, "[yarns 2] count: is missing; expected just one of count, grist, tex"),
        ({"yarns_1_tex": "9 tex"}, "[yarns 1] tex: is given as well as count"),
        ({"yarns_1_color": "red"}, '[yarns 1] color: "red" is not a color'),
        ({"yarns_1_tolerance": "101 %"}, '[yarns 1] tolerance: "101 %" is too much'),
        ({"yarns_3_measured__weight": "3 cm"}, '[yarns 3] measured weight: "cm" is not a unit of weight'),
        ({"yarns_3_measured__weight": None}, "[yarns 3] measured weight: is missing"),
        ({"yarns_3_measured": "20 yd"}, '[yarns 3] measured: "20 yd" is not a table'),
        ({"looms_1_shafts": 4.0}, "[looms 1] shafts: 4.0 is not an integer"),
        ({"looms_1_shafts": "4"}, '[looms 1] shafts: "4" is not an integer'),
        ({"looms_1_shafts": True}, "[looms 1] shafts: true is not an integer"),
        ({"looms_1_shafts": 65}, "[looms 1] shafts: 65 is too much; expected an integer from 1 to 64"),
        (
            {"looms_1_heddles": [150, 150]},
            "[looms 1] heddles: the list holds 2; expected one number for each of 4",
        ),
        ({"looms_1_heddles": [150, 150, -1, 9]}, "[looms 1] heddles 3: -1 is too little"),
        (
            {"looms_1_kind": "draw"},
            '[looms 1] kind: "draw" is not among the choices; expected "table", "jack"',
        ),
        ({"looms_1_kind": "table"}, "[looms 1] treadles: a table loom has no treadles"),
        ({"reeds_1_dents": "0 /cm"}, '[reeds 1] dents: "0 /cm" is too little'),
        ({"warps_1_loom": "south"}, '[warps 1] loom: there is no loom "south"; expected one of north'),
        ({"warps_1_warp_yarns": ["rust", "x"]}, '[warps 1] warp_yarns 2: there is no yarn "x"'),
        ({"warps_1_warp_yarns": "rust"}, '[warps 1] warp_yarns: "rust" is not a list'),
        ({"warps_1_items__2__weft_yarns": ["x"]}, '[warps 1] items 2 weft_yarns 1: there is no yarn "x"'),
        ({"warps_1_items__1__hem": 3}, "[warps 1] items 1 hem: 3 has no unit"),
        ({"warps_1_items__2__finished_length": None}, "[warps 1] items 2 finished_length: is missing"),
        ({"warps_1_items": []}, "[warps 1] items: the list holds 0"),
        ({"warps_1_sett": "0 /cm", "warps_1_firmness": None}, '[warps 1] sett: "0 /cm" is too little'),
        ({"warps_1_sett": "9 /cm"}, "[warps 1] firmness: is given as well as sett"),
        ({"warps_1_firmness": None}, "[warps 1] sett: is missing; expected just one of sett, firmness"),
        ({"warps_1_draw_in": "61 %"}, '[warps 1] draw_in: "61 %" is too much'),
        ({"warps_1_take_up": "-1 %"}, '[warps 1] take_up: "-1 %" is too little'),
        ({"warps_1_reserve": "100 %"}, '[warps 1] reserve: "100 %" is too much'),
        ({"warps_1_repeat_ends": [9, 3]}, "[warps 1] repeat_ends: [9, 3] runs backward"),
        ({"warps_1_repeat_ends": [0, 3]}, "[warps 1] repeat_ends 1: 0 is too little"),
        ({"warps_1_repeat_ends": [1, 2, 3]}, "[warps 1] repeat_ends: the list holds 3"),
        ({"warps_1_selvedge_shafts": []}, "[warps 1] selvedge_shafts: the list holds 0"),
        ({"warps_1_floating_selvedges": 1}, "[warps 1] floating_selvedges: 1 is neither true nor false"),
        ({"warps_1_finished_width": "21 m"}, '[warps 1] finished_width: "21 m" is too much'),
        ({"warps_1_key": "a/b"}, '[warps 1] key: "a/b" is not a valid key'),
        ({"warps_1_key": ".a"}, '[warps 1] key: ".a" is not a valid key'),
        ({"warps_1_key": " a"}, '[warps 1] key: " a" is not a valid key'),
        ({"warps_1_key": "a\n"}, "[warps 1] key: "),
        ({"warps_1_key": "a" * 65}, "[warps 1] key: "),
        ({"warps_1_draft": "../napkin.wif"}, '[warps 1] draft: "../napkin.wif" leaves the guild\'s folder'),
        ({"warps_1_draft": "a/../b.wif"}, "[warps 1] draft: "),
        ({"warps_1_draft": "/etc/passwd"}, '[warps 1] draft: "/etc/passwd" leaves the guild\'s folder'),
        ({"warps_1_draft": "C:/x.wif"}, '[warps 1] draft: "C:/x.wif" leaves the guild\'s folder'),
        ({"warps_1_draft": "..\\x.wif"}, "[warps 1] draft: "),
        ({"warps_1_draft": "a\0.wif"}, "[warps 1] draft: "),
        ({"warps_1_draft": "."}, "[warps 1] draft: "),
        ({"warps_1_items__2__draft": "../x"}, '[warps 1] items 2 draft: "../x" leaves the guild\'s folder'),
    ],
)
def test_what_cannot_be_meant_is_refused_at_its_place(changes, line):
    assert refused(**changes).startswith(line)


def test_an_ambiguous_count_is_refused_with_its_readings():
    with pytest.raises(AmbiguousCount) as caught:
        guildfile.decode(tree(yarns_1_count="2/8 wool"))
    assert caught.value.line().startswith("[yarns 1] count: ")
    assert "2240 yd/lb" in caught.value.line()
    assert "1984 yd/lb" in caught.value.line()


@pytest.mark.parametrize(
    ("count", "fiber", "tex"),
    [("10/2", "cotton", 118.11), ("16/2", "linen", 206.69), ("20/22", "silk", 2.33)],
)
def test_a_bare_count_is_read_by_the_fiber_of_its_yarn(count, fiber, tex):
    yarn = guildfile.decode(tree(yarns_1_count=count, yarns_1_fiber=fiber)).yarns[0]
    assert (yarn.count, round(yarn.tex, 2)) == (count, tex)


def test_a_count_that_its_fiber_leaves_open_is_refused_in_one_line_with_its_readings():
    with pytest.raises(AmbiguousCount) as caught:
        guildfile.decode(tree(yarns_1_count="22/2", yarns_1_fiber="cottolin"))
    assert [each.write for each in caught.value.readings] == ["22/2 lea", "22/2 Ne"]
    assert "22/2 lea (3300 yd/lb), 22/2 Ne (9240 yd/lb)" in caught.value.line()


@pytest.mark.parametrize("said", [{"count": "2/8 Nm"}, {"wraps": "20 /in"}, {"tex": "250 tex"}])
@pytest.mark.parametrize("woollen", [None, True, False])
@pytest.mark.parametrize("fiber", ["woollen", "wool"])
def test_a_woollen_fiber_is_lofty_unless_the_yarn_says_otherwise_and_comes_back_so(said, woollen, fiber):
    table = {"key": "y", "fiber": fiber} | said | ({} if woollen is None else {"woollen": woollen})
    yarn = guildfile.from_json("yarns", json.dumps(table))
    assert yarn.woollen is (fiber == "woollen" if woollen is None else woollen)
    assert guildfile.from_json("yarns", guildfile.to_json("yarns", yarn)) == yarn


def test_a_sample_too_light_for_its_scale_is_refused():
    line = refused(yarns_3_measured={"length": "20 yd", "weight": "0.4 g"})
    assert line.startswith("[yarns 3] measured: 0.4 g is too light")


def test_an_unknown_key_anywhere_comes_before_anything_that_is_missing():
    line = refused(yarns_1_key=None, cones_1_gross=None, warps_1_items__2__lenght="3 in")
    assert line == "[warps 1] items 2 lenght: unknown key; did you mean finished_length?"


def test_an_unknown_key_is_answered_with_the_nearest_one():
    assert refused(warps_1_epi="9 /in") == "[warps 1] epi: unknown key; did you mean sett?"
    assert refused(warps_1_shrink="4 %").endswith("did you mean shrink_length or shrink_width?")
    assert refused(cones_1_gros="4 g") == "[cones 1] gros: unknown key; did you mean gross?"
    assert refused(warps_1_xyzzy=1).startswith(
        "[warps 1] xyzzy: unknown key; expected one of key, name, loom, draft"
    )
    assert (
        refused(yarns_3_measured__wieght="4 g")
        == "[yarns 3] measured wieght: unknown key; did you mean weight?"
    )


def test_an_unknown_section_is_answered_with_the_nearest_one():
    assert refusal(guildfile.decode, {"cone": [{}]}) == "[cone]: unknown section; did you mean [cones]?"
    line = refusal(guildfile.decode, {"units": "us"})
    assert line == "units: is outside every section; expected it under [guild]"


def test_unknown_sections_come_before_unknown_values():
    assert refusal(guildfile.decode, {"yarns": [{"key": 3}], "cone": []}).startswith(
        "[cone]: unknown section"
    )


@pytest.mark.parametrize("section", ["yarns", "cones", "looms", "reeds", "warps"])
def test_a_key_that_stands_twice_is_named_at_its_second_place(section):
    twice = tree()
    first = twice[section][0] | {"key": "again"}
    twice[section] = [first, *twice[section][1:], first]
    number = len(twice[section])
    expected = f'[{section} {number}] key: "again" is already the key of [{section} 1]; expected another key'
    assert refusal(guildfile.decode, twice) == expected


@pytest.mark.parametrize(
    ("given", "line"),
    [
        ({"yarns": {"key": "a"}}, "[yarns]: a table is not a list of tables; expected [[yarns]]"),
        ({"yarns": [3]}, "[yarns 1]: 3 is not a table"),
        ({"guild": [{}]}, "[guild]: a list is not a table"),
        ({"guild": {"units": "imperial"}}, '[guild] units: "imperial" is not among the choices'),
        ({3: 4}, '""'),
        ([], "a list is not a guild file"),
        (None, "a NoneType is not a guild file"),
    ],
)
def test_what_is_no_guild_file_at_all_is_refused(given, line):
    assert refusal(guildfile.decode, given).startswith(line)


def test_a_record_stands_alone():
    record = guildfile.decode_record("reeds", {"key": "x", "dents": "50 /10cm", "width": "80 cm"})
    assert guildfile.encode_record("reeds", record, "metric") == {
        "key": "x",
        "dents": "5 /cm",
        "width": "80 cm",
    }
    assert refusal(guildfile.decode_record, "reeds", {"key": "x", "dent": 3}).startswith("dent: unknown key")
    assert refusal(guildfile.decode_record, "reed", {}).startswith('"reed" is not a section')
    assert refusal(guildfile.decode_record, "cones", {"yarn": "a"}).startswith("key: is missing")
    with pytest.raises(BadInput, match="is not a table"):
        guildfile.decode_record("yarns", ["a"])


def test_a_warp_may_set_its_reed_and_its_sley():
    plain = tree()
    plain["warps"][0] |= {"reed": plain["reeds"][0]["key"], "sley": [1, 2]}
    (warp, *_) = guildfile.decode(plain).warps
    assert (warp.reed, warp.sley) == (plain["reeds"][0]["key"], (1, 2))
    plain["warps"][0] |= {"sley": [0, 2]}
    assert "counts at most one apart" in refusal(guildfile.decode, plain)
    plain["warps"][0] |= {"sley": [1], "reed": "lost"}
    assert "there is no reed" in refusal(guildfile.decode, plain)
