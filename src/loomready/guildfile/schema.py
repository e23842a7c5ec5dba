"""Every section and key of the guild file, once: the reader, the writer, the JSON Schema and the
documentation all follow these tables."""

from __future__ import annotations

from typing import get_args

from loomready.guildfile import build
from loomready.guildfile.kinds import (
    ANY_LENGTH,
    ANY_SHARE,
    ANY_WEIGHT,
    KEY_NAME,
    ON_BOARD,
    PEG_NAME,
    SOME_DENSITY,
    SOME_WEIGHT,
    SOME_WIDTH,
    WARP_LENGTH,
)
from loomready.guildfile.records import Inner, Key, Section
from loomready.guildfile.values import (
    Choice,
    Color,
    Count,
    Day,
    Flag,
    Flaws,
    Identifier,
    Many,
    Quantity,
    Text,
)
from loomready.guildfile.warp_schema import WARPS
from loomready.model.guild import (
    MAX_PEGS,
    MAX_SHAFTS,
    MAX_TREADLES,
    Board,
    Cone,
    Dressing,
    Guild,
    Loom,
    LoomKind,
    Measured,
    Peg,
    Reed,
    Side,
    Yarn,
)
from loomready.units import (
    GRIST_M_PER_G,
    PER_M,
    PRICE_PER_G,
    TEX,
    WEIGHT_G,
    System,
)

GUILD = Section(
    "guild",
    Guild,
    "the guild's name, units and habits",
    (
        Key("name", Text(200), "name", "heads every sheet"),
        Key("units", Choice(get_args(System)), "units", "how figures are shown, never how they are stored"),
        Key("currency", Text(16), "currency", "currency of prices", silence="prices show no currency"),
        Key(
            "end_1",
            Choice(get_args(Side)),
            "end_1",
            "the side where end 1 lies, as the weaver sees it",
        ),
        Key(
            "shaft_1",
            Choice(("front", "back")),
            "shaft_1",
            "where shaft 1 hangs; front: nearest the weaver",
        ),
        Key("dressing", Choice(get_args(Dressing)), "dressing", "the order in which looms are dressed"),
        Key("bobbin", SOME_WEIGHT, "bobbin_g", "weft that a full bobbin holds"),
    ),
    many=False,
)

MEASURED = Section(
    "measured",
    Measured,
    "a length of yarn and its weight",
    (
        Key("length", WARP_LENGTH, "length_m", "the length laid out, without stretch", required=True),
        Key(
            "weight",
            Quantity(WEIGHT_G, "0 g", "10 kg", above=True),
            "weight_g",
            "what it weighs",
            required=True,
        ),
        Key(
            "scale_step",
            Quantity(WEIGHT_G, "0 g", "1 kg", above=True),
            "scale_step_g",
            "the step of the scale; a light sample needs a fine scale",
        ),
    ),
    many=False,
)

YARNS = Section(
    "yarns",
    Yarn,
    "a yarn on the shelf",
    (
        Key("key", KEY_NAME, "key", "its short name in this file", required=True),
        Key("name", Text(200), "name", "its name on sheets", silence="the key"),
        Key("fiber", Text(64), "fiber", 'what it is made of, like "cotton" or "linen"; any word will do'),
        Key(
            "count",
            Text(60),
            "count",
            'the count printed on the cone, like "8/2 Ne" or "2/8 Nm"; without a system it is read '
            "by the fiber",
        ),
        Key("grist", Quantity(GRIST_M_PER_G, "0.01 m/g", "10000 m/g"), "grist", "length to the weight"),
        Key("tex", Quantity(TEX, "0.1 tex", "100000 tex"), "tex", "grams to the kilometer"),
        Key("measured", Inner(MEASURED), "measured", "for an unknown yarn: a length laid out and weighed"),
        Key("wraps", SOME_DENSITY, "wraps", "for an unknown yarn: wraps around a ruler, a first guess"),
        Key(
            "woollen",
            Flag(),
            "woollen",
            "whether it is a lofty, woollen-spun yarn",
            silence="follows from count and fiber",
        ),
        Key("color", Color(), "color", "its color on screen and paper, as #rrggbb"),
        Key(
            "tolerance",
            ANY_SHARE,
            "tolerance",
            "95 % band of the grist, either way",
            silence="5 %; for measured and wraps, calculated from the measurement",
        ),
        Key("price", Quantity(PRICE_PER_G, "0 /g", "10000 /g"), "price_per_g", "price by weight"),
    ),
    one_of=("count", "grist", "tex", "measured", "wraps"),
    build=build.yarn,
    fields_of=build.fields_of_yarn,
)

CONES = Section(
    "cones",
    Cone,
    "a cone as it was last weighed",
    (
        Key(
            "key",
            KEY_NAME,
            "key",
            "its short name, on its label and in this file",
            required=True,
            silence="the yarn's key with -1, -2, … in file order",
        ),
        Key("yarn", Identifier(of="yarn"), "yarn", "its yarn", required=True),
        Key("lot", Text(64), "lot", "dye lot; lots are not mixed inside one color role unless mix_lots"),
        Key("gross", ANY_WEIGHT, "gross_g", "weight of yarn and cone together", required=True),
        Key("tare", ANY_WEIGHT, "tare_g", "weight of the empty cone", required=True),
        Key("tare_sd", Quantity(WEIGHT_G, "0 g", "1 kg"), "tare_sd_g", "standard deviation of the tare"),
        Key("scale_step", Quantity(WEIGHT_G, "0 g", "1 kg"), "scale_step_g", "the step of the scale"),
        Key("weighed", Day(), "weighed", "when it was weighed"),
        Key(
            "flaws",
            Flaws(Quantity(PER_M, "0 /m", "10 /m")),
            "flaws_per_m",
            "knots and weak spots per length of yarn, counted while winding",
            silence="not counted",
        ),
    ),
    build=build.cone,
)

LOOMS = Section(
    "looms",
    Loom,
    "a loom",
    (
        Key("key", KEY_NAME, "key", "its short name in this file", required=True),
        Key("name", Text(200), "name", "its name on sheets", silence="the key"),
        Key("kind", Choice(get_args(LoomKind)), "kind", "how its shafts move", required=True),
        Key(
            "shafts",
            Count(1, MAX_SHAFTS),
            "shafts",
            "how many shafts it has; of a rigid heddle loom, how many heddles",
            required=True,
        ),
        Key(
            "treadles",
            Count(0, MAX_TREADLES),
            "treadles",
            "how many treadles it has; a table or rigid heddle loom has none",
        ),
        Key("weaving_width", SOME_WIDTH, "weaving_width_mm", "the widest web it takes", required=True),
        Key(
            "longest_reed",
            SOME_WIDTH,
            "longest_reed_mm",
            "the longest reed that its beater takes",
            silence="the weaving width and 2 in more",
        ),
        Key(
            "gauge",
            SOME_DENSITY,
            "gauge_per_cm",
            "holes and slots of a rigid heddle; it is the loom's reed",
            silence="a reed of the file is used instead, with a warning",
        ),
        Key(
            "heddles",
            Many(Count(0, 100_000), 1, MAX_SHAFTS),
            "heddles",
            "how many heddles hang on each shaft, shaft 1 first; no limit on a rigid heddle loom",
            required=True,
        ),
        Key(
            "waste",
            ANY_LENGTH,
            "waste_m",
            "loom waste: warp that cannot be woven, from the knots at the front and behind the heddles",
            required=True,
        ),
    ),
    build=build.loom,
    fields_of=build.fields_of_loom,
)

REEDS = Section(
    "reeds",
    Reed,
    "a reed",
    (
        Key("key", KEY_NAME, "key", "its short name in this file", required=True),
        Key("dents", SOME_DENSITY, "dents_per_cm", "dents per length", required=True),
        Key("width", SOME_WIDTH, "width_mm", "its width", required=True),
    ),
)

PEGS = Section(
    "pegs",
    Peg,
    "a peg of a board",
    (
        Key("name", Identifier(), "name", "its label", required=True),
        Key("x", ON_BOARD, "x_mm", "its center, to the right of the point you measure from"),
        Key("y", ON_BOARD, "y_mm", "its center, up from the same point"),
    ),
)

BOARDS = Section(
    "boards",
    Board,
    "a warping board, or a warping mill drawn unrolled, seen from the winder's side",
    (
        Key("key", KEY_NAME, "key", "its short name in this file", required=True),
        Key("name", Text(200), "name", "its name on sheets", silence="the key"),
        Key("pegs", Inner(PEGS, MAX_PEGS), "pegs", "its pegs", required=True),
        Key("start", PEG_NAME, "start", "the peg where every warp begins", required=True),
        Key(
            "cross",
            Many(PEG_NAME, 2, 2),
            "cross",
            "the two pegs that the ends cross between, next after start, in this order",
            required=True,
        ),
        Key("mill", Flag(), "mill", "an unrolled mill: a warp ends at the first peg after its cross"),
    ),
    build=build.board,
    fields_of=build.fields_of_board,
)

SECTIONS = {section.name: section for section in (GUILD, YARNS, CONES, LOOMS, REEDS, BOARDS, WARPS)}
