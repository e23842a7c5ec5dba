"""Stripes in a guild file: what is read, what is written, and what is refused in one line."""

from __future__ import annotations

from typing import Any

import pytest

from loomready import guildfile
from loomready.guildfile.describe import json_schema
from loomready.model.guild import Stripe, WeftStripe
from tests.guildfile.room import refusal, tree

ENDS = [{"yarn": "rust", "ends": 12}, {"yarn": "bone", "ends": 4}, {"yarn": "rust", "ends": 4}]
PICKS = [{"yarn": "bone", "picks": 40}, {"yarn": "moss", "picks": 8}]


def striped(**more: Any) -> dict[str, Any]:
    said = {"warps_1_warp_yarns": None, "warps_1_stripes": ENDS, **more}
    return tree(**said)


def test_stripes_are_read_and_written_back():
    made = guildfile.decode(
        striped(warps_1_stripes_mirrored=True, warps_1_weft_yarns=None, warps_1_weft_stripes=PICKS)
    )
    (warp,) = made.warps
    assert warp.stripes == (Stripe("rust", 12), Stripe("bone", 4), Stripe("rust", 4))
    assert warp.weft_stripes == (WeftStripe("bone", 40), WeftStripe("moss", 8))
    assert warp.stripes_mirrored
    written = guildfile.encode(made)
    assert guildfile.decode(written) == made
    assert "warp_yarns" not in written["warps"][0]
    assert "weft_yarns" not in written["warps"][0]
    assert guildfile.decode(guildfile.parse(guildfile.dumps(made))) == made


def test_stripes_with_a_sley_of_their_own_and_empty_dents_are_read_and_written_back():
    crammed = [
        {"yarn": "rust", "ends": 12, "sley": [3]},
        {"dents": 2},
        {"yarn": "bone", "ends": 5, "sley": [1, 0]},
    ]
    made = guildfile.decode(striped(warps_1_stripes=crammed, warps_1_reed="forty"))
    (warp,) = made.warps
    assert warp.stripes == (Stripe("rust", 12, (3,)), Stripe(dents=2), Stripe("bone", 5, (1, 0)))
    assert warp.warp_yarns == ("rust", "bone")
    written = guildfile.encode(made)
    assert written["warps"][0]["stripes"] == crammed
    assert guildfile.decode(guildfile.parse(guildfile.dumps(made))) == made


def test_doubled_ends_and_strands_are_read_and_written_back():
    made = guildfile.decode(
        tree(
            warps_1_ends_per_heddle=2,
            warps_1_selvedge_ends=4,
            warps_1_selvedge_ends_per_heddle=3,
            warps_1_weft_strands=2,
            warps_1_items__1__hem_weft_strands=1,
            warps_1_items__2__weft_strands=3,
        )
    )
    (warp,) = made.warps
    assert (warp.ends_per_heddle, warp.selvedge_ends_per_heddle, warp.weft_strands) == (2, 3, 2)
    assert (warp.items[0].hem_weft_strands, warp.items[1].weft_strands) == (1, 3)
    assert guildfile.decode(guildfile.parse(guildfile.dumps(made))) == made
    line = "[warps 1] selvedge_ends_per_heddle: is not valid without selvedge_ends; expected both"
    assert refusal(guildfile.decode, tree(warps_1_selvedge_ends_per_heddle=2)) == line


def test_a_sample_in_parts_is_read_and_written_back():
    parts = [
        {"length": "10 cm"},
        {
            "length": "8 cm",
            "weft_yarns": ["moss"],
            "draft": "drafts/other.wif",
            "ppi": "7 /cm",
            "weft_strands": 2,
        },
    ]
    made = guildfile.decode(tree(warps_1_samples=parts))
    (warp,) = made.warps
    assert warp.sample_m == pytest.approx(0.18)
    assert warp.samples[1].weft_yarns == ("moss",)
    written = guildfile.encode(made)
    assert "sample" not in written["warps"][0]
    assert guildfile.decode(guildfile.parse(guildfile.dumps(made))) == made
    line = "[warps 1] samples: is given as well as sample; expected just one of the two"
    assert refusal(guildfile.decode, tree(warps_1_samples=parts, warps_1_sample="4 in")) == line
    line = (
        '[warps 1] samples 1 weft_yarns 1: there is no yarn "sky"; expected one of rust, bone, moss, heather'
    )
    lost = [{"length": "10 cm", "weft_yarns": ["sky"]}]
    assert refusal(guildfile.decode, tree(warps_1_samples=lost)) == line


def test_double_cloth_is_read_and_written_back():
    folded = {"warps_1_double_cloth": "double width", "warps_1_layers": 2, "warps_1_fold_left_out": 1}
    made = guildfile.decode(tree(**folded, warps_1_fold_sley=[1, 1], warps_1_reed="forty"))
    (warp,) = made.warps
    assert (warp.double_cloth, warp.fold_left_out, warp.fold_sley) == ("double width", 1, (1, 1))
    assert guildfile.decode(guildfile.parse(guildfile.dumps(made))) == made


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({"double_cloth": "tube"}, "double_cloth: joins two layers; expected layers = 2"),
        ({"fold_left_out": 1}, "fold_left_out: is not valid without double_cloth; expected both"),
        (
            {"double_cloth": "tube", "layers": 2, "floating_selvedges": True},
            "floating_selvedges: a fold has no selvedge; expected none with double_cloth",
        ),
        (
            {"double_cloth": "tube", "layers": 2, "fold_sley": [1]},
            "fold_sley: is not valid without reed; expected the reed that it is sleyed in",
        ),
        (
            {"double_cloth": "tube", "layers": 2, "fold_sley": [0, 1], "reed": "forty"},
            "fold_sley: begins with an empty dent; expected an end at the fold",
        ),
        (
            {"double_cloth": "triple"},
            'double_cloth: "triple" is not among the choices; expected "double width" or "tube"',
        ),
    ],
)
def test_a_fold_that_means_nothing_is_refused_in_one_line(changes, line):
    made = tree(**{f"warps_1_{name}": value for name, value in changes.items()})
    assert refusal(guildfile.decode, made) == f"[warps 1] {line}"


def test_twisted_fringes_and_sewn_pieces_are_read_and_written_back():
    made = guildfile.decode(
        tree(
            warps_1_items__1__twisted_fringe="4 in",
            warps_1_items__1__twist="20 %",
            warps_1_items__1__sewn=3,
            warps_1_fringe_in_waste=True,
        )
    )
    (warp,) = made.warps
    assert warp.items[0].fringe_m == pytest.approx(0.1016 / 0.8)
    assert warp.fringe_in_waste
    written = guildfile.encode(made)
    assert "fringe" not in written["warps"][0]["items"][0]
    assert guildfile.decode(guildfile.parse(guildfile.dumps(made))) == made
    both = tree(warps_1_items__1__twisted_fringe="4 in", warps_1_items__1__fringe="4 in")
    line = "[warps 1] items 1 twisted_fringe: is given as well as fringe; expected just one of the two"
    assert refusal(guildfile.decode, both) == line
    line = "[warps 1] items 1 sewn: 4 are sewn into one, and 6 are woven; expected a count that they divide"
    assert refusal(guildfile.decode, tree(warps_1_items__1__sewn=4)) == line


def test_a_piece_has_weft_stripes_of_its_own():
    made = guildfile.decode(tree(warps_1_items__2__weft_yarns=None, warps_1_items__2__weft_stripes=PICKS))
    assert made.warps[0].items[1].weft_yarns == ("bone", "moss")
    written = guildfile.encode(made)
    assert "weft_yarns" not in written["warps"][0]["items"][1]
    assert guildfile.decode(written) == made


@pytest.mark.parametrize(
    ("made", "line"),
    [
        (
            tree(warps_1_stripes=ENDS),
            "[warps 1] stripes: is given as well as warp_yarns; expected just one of the two",
        ),
        (
            tree(warps_1_weft_stripes=PICKS),
            "[warps 1] weft_stripes: is given as well as weft_yarns; expected just one of the two",
        ),
        (
            tree(warps_1_items__2__weft_stripes=PICKS),
            "[warps 1] items 2 weft_stripes: is given as well as weft_yarns; expected just one of the two",
        ),
        (
            tree(warps_1_warp_yarns=None),
            "[warps 1] warp_yarns: is missing; expected a list of 1 to 256, each the key of a yarn",
        ),
        (
            striped(warps_1_stripes=[ENDS[0], {"yarn": "sky", "ends": 3}]),
            '[warps 1] stripes 2 yarn: there is no yarn "sky"; expected one of rust, bone, moss, heather',
        ),
        (
            striped(warps_1_stripes=[{"yarn": "rust", "ends": 0}]),
            "[warps 1] stripes 1 ends: 0 is too little; expected an integer from 1 to 20000",
        ),
        (
            striped(warps_1_stripes=[{"yarn": "rust", "ends": "4"}]),
            '[warps 1] stripes 1 ends: "4" is not an integer; expected an integer from 1 to 20000',
        ),
        (
            striped(warps_1_stripes=[{"yarn": "rust"}]),
            "[warps 1] stripes 1 ends: is missing; expected an integer from 1 to 20000",
        ),
        (
            striped(warps_1_stripes=[{"yarn": "rust", "end": 3}]),
            "[warps 1] stripes 1 end: unknown key; did you mean ends?",
        ),
        (
            striped(warps_1_stripes=[]),
            "[warps 1] stripes: the list holds 0; expected a list of 1 to 1000 tables, each with yarn, ends",
        ),
        (
            striped(warps_1_stripes=[{"yarn": "rust", "ends": 15_000}] * 2),
            "[warps 1] stripes: come to 30000 ends; expected at most 20000 in all",
        ),
        (
            tree(warps_1_stripes_mirrored=True),
            "[warps 1] stripes_mirrored: there are no stripes; expected stripes to mirror",
        ),
        (
            striped(warps_1_stripes=[*ENDS, {"dents": 2}]),
            "[warps 1] stripes 4 dents: is not valid without reed; expected the reed that it is sleyed in",
        ),
        (
            striped(warps_1_stripes=[{"yarn": "rust", "ends": 4, "sley": [3]}]),
            "[warps 1] stripes 1 sley: is not valid without reed; expected the reed that it is sleyed in",
        ),
        (
            striped(warps_1_stripes=[{"yarn": "rust", "dents": 2}]),
            "[warps 1] stripes 1 dents: is given as well as yarn; expected just one of the two",
        ),
        (
            striped(warps_1_stripes=[ENDS[0], {"dents": 2, "sley": [1]}]),
            "[warps 1] stripes 2 sley: empty dents have no ends to sley; expected one or the other",
        ),
        (
            striped(warps_1_stripes=[{"yarn": "rust", "ends": 4, "sley": [0, 0]}]),
            "[warps 1] stripes 1 sley: has no end in any dent; expected at least 1",
        ),
        (
            striped(warps_1_stripes=[{"dents": 2}]),
            "[warps 1] stripes: there are only empty dents; expected ends too",
        ),
        (
            striped(warps_1_stripes=[{"dents": 0}]),
            "[warps 1] stripes 1 dents: 0 is too little; expected an integer from 1 to 1000",
        ),
        (
            tree(warps_1_weft_yarns=None, warps_1_weft_stripes=[{"yarn": "rust", "picks": 3}, {"picks": 2}]),
            "[warps 1] weft_stripes 2 yarn: is missing; expected the key of a yarn",
        ),
    ],
)
def test_what_means_nothing_is_refused_in_one_line(made, line):
    assert refusal(guildfile.decode, made) == line


def test_the_json_schema_wants_yarns_or_stripes_and_never_both():
    made = json_schema()["$defs"]
    either = {"oneOf": [{"required": ["warp_yarns"]}, {"required": ["stripes"]}]}
    assert either in made["warps"]["allOf"]
    assert "warp_yarns" not in made["warps"]["required"]
    assert made["items"]["allOf"] == [{"not": {"required": ["weft_yarns", "weft_stripes"]}}]
