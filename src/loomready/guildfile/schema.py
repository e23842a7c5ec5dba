"""Every section and key of the guild file, once: the reader, the writer, the JSON Schema and the
documentation all follow these tables."""

from __future__ import annotations

from typing import get_args

from loomready.guildfile import build
from loomready.guildfile.event_schema import CLASSES, EVENT, PACE, PACKING, PEOPLE, SHOP, STANDS
from loomready.guildfile.kinds import (
    ANY_LENGTH,
    ANY_SHARE,
    ANY_WEIGHT,
    AROUND_BEAM,
    KEY_NAME,
    NOTES,
    ON_BOARD,
    PEG_NAME,
    SOME_DENSITY,
    SOME_WEIGHT,
    SOME_WIDTH,
    WARP_LENGTH,
)
from loomready.guildfile.records import Inner, Key, Section
from loomready.guildfile.texts import Color, Day, Identifier, Text
from loomready.guildfile.values import Choice, Count, Flag, Flaws, Many, Quantity
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
from loomready.phrases import phrase
from loomready.units import (
    GRIST_M_PER_G,
    PER_M,
    PRICE_PER_G,
    TEX,
    WEIGHT_G,
    WIDTH_MM,
    System,
)

GUILD = Section(
    "guild",
    Guild,
    phrase("the guild's name, units and habits"),
    (
        Key("name", Text(200), "name", phrase("heads every sheet")),
        Key(
            "units",
            Choice(get_args(System)),
            "units",
            phrase("how figures are shown, never how they are stored"),
        ),
        Key(
            "currency",
            Text(16),
            "currency",
            phrase("currency of prices"),
            silence=phrase("prices show no currency"),
        ),
        Key(
            "end_1",
            Choice(get_args(Side)),
            "end_1",
            phrase("the side where end 1 lies, as the weaver sees it"),
        ),
        Key(
            "shaft_1",
            Choice(("front", "back")),
            "shaft_1",
            phrase("where shaft 1 hangs; front: nearest the weaver"),
        ),
        Key(
            "dressing", Choice(get_args(Dressing)), "dressing", phrase("the order in which looms are dressed")
        ),
        Key("bobbin", SOME_WEIGHT, "bobbin_g", phrase("weft that a full bobbin holds")),
        Key(
            "rack",
            Count(1, 10_000),
            "rack",
            phrase("cones or spools that the spool rack holds, for winding in sections"),
            silence=phrase("as many as needed"),
        ),
    ),
    many=False,
)

MEASURED = Section(
    "measured",
    Measured,
    phrase("a length of yarn and its weight"),
    (
        Key("length", WARP_LENGTH, "length_m", phrase("the length laid out, without stretch"), required=True),
        Key(
            "weight",
            Quantity(WEIGHT_G, "0 g", "10 kg", above=True),
            "weight_g",
            phrase("what it weighs"),
            required=True,
        ),
        Key(
            "scale_step",
            Quantity(WEIGHT_G, "0 g", "1 kg", above=True),
            "scale_step_g",
            phrase("the step of the scale; a light sample needs a fine scale"),
        ),
    ),
    many=False,
)

YARNS = Section(
    "yarns",
    Yarn,
    phrase("a yarn on the shelf"),
    (
        Key("key", KEY_NAME, "key", phrase("its short name in this file"), required=True),
        Key("name", Text(200), "name", phrase("its name on sheets"), silence=phrase("the key")),
        Key(
            "fiber",
            Text(64),
            "fiber",
            phrase('what it is made of, like "cotton" or "linen"; any word will do'),
        ),
        Key(
            "count",
            Text(60),
            "count",
            phrase(
                'the count printed on the cone, like "8/2 Ne" or "2/8 Nm"; without a system it is read by '
                "the fiber"
            ),
        ),
        Key(
            "grist", Quantity(GRIST_M_PER_G, "0.01 m/g", "10000 m/g"), "grist", phrase("length to the weight")
        ),
        Key("tex", Quantity(TEX, "0.1 tex", "100000 tex"), "tex", phrase("grams to the kilometer")),
        Key(
            "measured",
            Inner(MEASURED),
            "measured",
            phrase("for an unknown yarn: a length laid out and weighed"),
        ),
        Key(
            "wraps", SOME_DENSITY, "wraps", phrase("for an unknown yarn: wraps around a ruler, a first guess")
        ),
        Key(
            "woollen",
            Flag(),
            "woollen",
            phrase("whether it is a lofty, woollen-spun yarn"),
            silence=phrase("follows from count and fiber"),
        ),
        Key("color", Color(), "color", phrase("its color on screen and paper, as #rrggbb")),
        Key(
            "tolerance",
            ANY_SHARE,
            "tolerance",
            phrase("95 % band of the grist, either way"),
            silence=phrase("5 %; for measured and wraps, calculated from the measurement"),
        ),
        Key("price", Quantity(PRICE_PER_G, "0 /g", "10000 /g"), "price_per_g", phrase("price by weight")),
        NOTES,
    ),
    one_of=("count", "grist", "tex", "measured", "wraps"),
    build=build.yarn,
    fields_of=build.fields_of_yarn,
)

CONES = Section(
    "cones",
    Cone,
    phrase("a cone as it was last weighed"),
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
        Key(
            "name",
            Text(200),
            "own_name",
            phrase("its name on pages and sheets"),
            silence=phrase("the yarn's name with the number of the key"),
        ),
        Key(
            "lot",
            Text(64),
            "lot",
            phrase("dye lot; lots are not mixed inside one color role unless mix_lots"),
        ),
        Key("gross", ANY_WEIGHT, "gross_g", phrase("weight of yarn and cone together"), required=True),
        Key("tare", ANY_WEIGHT, "tare_g", phrase("weight of the empty cone"), required=True),
        Key(
            "tare_sd",
            Quantity(WEIGHT_G, "0 g", "1 kg"),
            "tare_sd_g",
            phrase("standard deviation of the tare"),
        ),
        Key("scale_step", Quantity(WEIGHT_G, "0 g", "1 kg"), "scale_step_g", phrase("the step of the scale")),
        Key("weighed", Day(), "weighed", phrase("when it was weighed")),
        Key(
            "flaws",
            Flaws(Quantity(PER_M, "0 /m", "10 /m")),
            "flaws_per_m",
            phrase("knots and weak spots per length of yarn, counted while winding"),
            silence=phrase("not counted"),
        ),
        NOTES,
    ),
    build=build.cone,
)

LOOMS = Section(
    "looms",
    Loom,
    phrase("a loom"),
    (
        Key("key", KEY_NAME, "key", phrase("its short name in this file"), required=True),
        Key("name", Text(200), "name", phrase("its name on sheets"), silence=phrase("the key")),
        Key("kind", Choice(get_args(LoomKind)), "kind", phrase("how its shafts move"), required=True),
        Key(
            "shafts",
            Count(1, MAX_SHAFTS),
            "shafts",
            phrase("how many shafts it has; of a rigid heddle loom, how many heddles; of an inkle loom 1"),
            required=True,
        ),
        Key(
            "treadles",
            Count(0, MAX_TREADLES),
            "treadles",
            phrase("how many treadles it has; a table or rigid heddle loom has none"),
        ),
        Key(
            "direct_tie_up",
            Flag(),
            "direct_tie_up",
            phrase("treadle 1 moves shaft 1, treadle 2 shaft 2, and so on, for good; also on a table loom"),
        ),
        Key(
            "weaving_width", SOME_WIDTH, "weaving_width_mm", phrase("the widest web it takes"), required=True
        ),
        Key(
            "longest_reed",
            SOME_WIDTH,
            "longest_reed_mm",
            phrase("the longest reed that its beater takes"),
            silence=phrase("the weaving width and 2 in more"),
        ),
        Key(
            "gauge",
            SOME_DENSITY,
            "gauge_per_cm",
            phrase("holes and slots of a rigid heddle; it is the loom's reed"),
            silence=phrase("a reed of the file is used instead, with a warning"),
        ),
        Key(
            "heddles",
            Many(Count(0, 100_000), 1, MAX_SHAFTS),
            "heddles",
            phrase("how many heddles hang on each shaft, shaft 1 first; no limit on a rigid heddle loom"),
            required=True,
        ),
        Key(
            "waste",
            ANY_LENGTH,
            "waste_m",
            phrase(
                "loom waste: warp that cannot be woven, from the knots at the front and behind the heddles"
            ),
            required=True,
        ),
        Key(
            "longest_warp",
            WARP_LENGTH,
            "longest_warp_m",
            phrase("the longest warp that it holds, like the way over the pegs of an inkle loom"),
            silence=phrase("no limit known"),
        ),
        Key(
            "pick_up_sticks",
            Count(0, 8),
            "pick_up_sticks",
            phrase("sticks behind a rigid heddle: each raises some of the ends in slots, one more shaft"),
        ),
        Key(
            "front_waste",
            ANY_LENGTH,
            "front_waste_m",
            phrase(
                "the part of the waste at the front, from the knots to what is woven first, or its fringe"
            ),
            silence=phrase("20 cm (7.87 in), for painted warps"),
        ),
        Key(
            "beam_around",
            AROUND_BEAM,
            "beam_around_mm",
            phrase("around the bare warp beam, from which the turns are counted"),
            silence=phrase("not measured"),
        ),
        Key(
            "section_width",
            Quantity(WIDTH_MM, "5 mm", "1 m"),
            "section_mm",
            phrase("width of one section of its sectional beam"),
            silence=phrase("a plain beam"),
        ),
        Key(
            "sections",
            Count(1, 400),
            "sections",
            phrase("how many sections the beam has; only with section_width"),
            silence=phrase("as many as the weaving width holds"),
        ),
        Key(
            "beams",
            Count(1, 2),
            "beams",
            phrase("its warp beams, each with a brake of its own; 2: it holds a second warp"),
        ),
        NOTES,
    ),
    build=build.loom,
    fields_of=build.fields_of_loom,
)

REEDS = Section(
    "reeds",
    Reed,
    phrase("a reed"),
    (
        Key("key", KEY_NAME, "key", phrase("its short name in this file"), required=True),
        Key("name", Text(200), "own_name", phrase("its name on sheets"), silence=phrase("the key")),
        Key("dents", SOME_DENSITY, "dents_per_cm", phrase("dents per length"), required=True),
        Key("width", SOME_WIDTH, "width_mm", phrase("its width"), required=True),
    ),
)

PEGS = Section(
    "pegs",
    Peg,
    phrase("a peg of a board"),
    (
        Key("name", Identifier(), "name", phrase("its label"), required=True),
        Key("x", ON_BOARD, "x_mm", phrase("its center, to the right of the point you measure from")),
        Key("y", ON_BOARD, "y_mm", phrase("its center, up from the same point")),
    ),
)

BOARDS = Section(
    "boards",
    Board,
    phrase("a warping board, or a warping mill drawn unrolled, seen from the winder's side"),
    (
        Key("key", KEY_NAME, "key", phrase("its short name in this file"), required=True),
        Key("name", Text(200), "name", phrase("its name on sheets"), silence=phrase("the key")),
        Key("pegs", Inner(PEGS, MAX_PEGS), "pegs", phrase("its pegs"), required=True),
        Key("start", PEG_NAME, "start", phrase("the peg where every warp begins"), required=True),
        Key(
            "cross",
            Many(PEG_NAME, 2, 2),
            "cross",
            phrase("the two pegs that the ends cross between, next after start, in this order"),
            required=True,
        ),
        Key("mill", Flag(), "mill", phrase("an unrolled mill: a warp ends at the first peg after its cross")),
    ),
    build=build.board,
    fields_of=build.fields_of_board,
)

SECTIONS = {
    section.name: section
    for section in (
        GUILD,
        YARNS,
        CONES,
        LOOMS,
        REEDS,
        BOARDS,
        WARPS,
        EVENT,
        PEOPLE,
        PACE,
        SHOP,
        STANDS,
        CLASSES,
        PACKING,
    )
}
