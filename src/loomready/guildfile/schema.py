"""Every section and key of the guild file, once: the reader, the writer, the JSON Schema and the
documentation all follow these tables."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from loomready.guildfile import build
from loomready.guildfile.records import Inner, Key, Section
from loomready.guildfile.values import (
    Choice,
    Color,
    Count,
    Day,
    DraftPath,
    Flag,
    Flaws,
    Identifier,
    Many,
    Quantity,
    Run,
    Text,
)
from loomready.model.guild import (
    MAX_ENDS,
    MAX_PEGS,
    MAX_PICKS,
    MAX_SHAFTS,
    MAX_TREADLES,
    Board,
    Cone,
    Dressing,
    Guild,
    Item,
    Loom,
    LoomKind,
    Measured,
    Peg,
    Reed,
    Side,
    Stripe,
    WarpOrder,
    WeftStripe,
    WoundFrom,
    WovenFrom,
    Yarn,
)
from loomready.units import (
    GRIST_M_PER_G,
    LENGTH_M,
    PER_CM,
    PER_M,
    PRICE_PER_G,
    SHARE,
    TEX,
    WEIGHT_G,
    WIDTH_MM,
    System,
)

_KEY = Identifier()
_PATH = DraftPath()
_YARNS = Many(Identifier(of="yarn"), 1, 256)
_DENSITY = Quantity(PER_CM, "0 /cm", "200 /cm", above=True)
_LENGTH = Quantity(LENGTH_M, "0 m", "10000 m")
_LONG = Quantity(replace(LENGTH_M, us=("yd", "in"), metric=("m", "cm", "mm")), "0 m", "10000 m", above=True)
_SOME_LENGTH = Quantity(LENGTH_M, "0 m", "10000 m", above=True)
_SOME_WIDTH = Quantity(WIDTH_MM, "0 m", "20 m", above=True)
_WEIGHT = Quantity(WEIGHT_G, "0 g", "100 kg")
_SOME_WEIGHT = Quantity(WEIGHT_G, "0 g", "100 kg", above=True)
_SHARE = Quantity(SHARE, "0 %", "100 %")
_ON_BOARD = Quantity(WIDTH_MM, "-100 m", "100 m")
_PEG = Identifier(of="peg", is_called="name")
_LOSS = Quantity(SHARE, "0 %", "60 %")

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
        Key("bobbin", _SOME_WEIGHT, "bobbin_g", "weft that a full bobbin holds"),
    ),
    many=False,
)

MEASURED = Section(
    "measured",
    Measured,
    "a length of yarn and its weight",
    (
        Key("length", _LONG, "length_m", "the length laid out, without stretch", required=True),
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
        Key("key", _KEY, "key", "its short name in this file", required=True),
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
        Key("wraps", _DENSITY, "wraps", "for an unknown yarn: wraps around a ruler, a first guess"),
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
            _SHARE,
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
            _KEY,
            "key",
            "its short name, on its label and in this file",
            required=True,
            silence="the yarn's key with -1, -2, … in file order",
        ),
        Key("yarn", Identifier(of="yarn"), "yarn", "its yarn", required=True),
        Key("lot", Text(64), "lot", "dye lot; lots are not mixed inside one color role unless mix_lots"),
        Key("gross", _WEIGHT, "gross_g", "weight of yarn and cone together", required=True),
        Key("tare", _WEIGHT, "tare_g", "weight of the empty cone", required=True),
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
        Key("key", _KEY, "key", "its short name in this file", required=True),
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
        Key("weaving_width", _SOME_WIDTH, "weaving_width_mm", "the widest web it takes", required=True),
        Key(
            "longest_reed",
            _SOME_WIDTH,
            "longest_reed_mm",
            "the longest reed that its beater takes",
            silence="the weaving width and 2 in more",
        ),
        Key(
            "gauge",
            _DENSITY,
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
            _LENGTH,
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
        Key("key", _KEY, "key", "its short name in this file", required=True),
        Key("dents", _DENSITY, "dents_per_cm", "dents per length", required=True),
        Key("width", _SOME_WIDTH, "width_mm", "its width", required=True),
    ),
)

PEGS = Section(
    "pegs",
    Peg,
    "a peg of a board",
    (
        Key("name", Identifier(), "name", "its label", required=True),
        Key("x", _ON_BOARD, "x_mm", "its center, to the right of the point you measure from"),
        Key("y", _ON_BOARD, "y_mm", "its center, up from the same point"),
    ),
)

BOARDS = Section(
    "boards",
    Board,
    "a warping board, or a warping mill drawn unrolled, seen from the winder's side",
    (
        Key("key", _KEY, "key", "its short name in this file", required=True),
        Key("name", Text(200), "name", "its name on sheets", silence="the key"),
        Key("pegs", Inner(PEGS, MAX_PEGS), "pegs", "its pegs", required=True),
        Key("start", _PEG, "start", "the peg where every warp begins", required=True),
        Key(
            "cross",
            Many(_PEG, 2, 2),
            "cross",
            "the two pegs that the ends cross between, next after start, in this order",
            required=True,
        ),
        Key("mill", Flag(), "mill", "an unrolled mill: a warp ends at the first peg after its cross"),
    ),
    build=build.board,
    fields_of=build.fields_of_board,
)

_DENTS_LATER = (
    "stripes with denting of their own are not planned yet; expected stripes of yarn and ends, "
    "in one sley for the whole web"
)

STRIPES = Section(
    "stripes",
    Stripe,
    "ends of one yarn side by side",
    (
        Key("yarn", Identifier(of="yarn"), "yarn", "its yarn", required=True),
        Key("ends", Count(1, MAX_ENDS), "ends", "how many ends", required=True),
    ),
    refused={"sley": _DENTS_LATER, "dents": _DENTS_LATER},
)

WEFT_STRIPES = Section(
    "weft_stripes",
    WeftStripe,
    "picks of one yarn one after the other",
    (
        Key("yarn", Identifier(of="yarn"), "yarn", "its yarn", required=True),
        Key("picks", Count(1, MAX_PICKS), "picks", "how many picks", required=True),
    ),
)

ITEMS = Section(
    "items",
    Item,
    "a piece of cloth, once or several times",
    (
        Key(
            "finished_length", _SOME_LENGTH, "finished_length_m", "wet-finished, without hems", required=True
        ),
        Key("hem", _LENGTH, "hem_m", "woven for a hem, at each end of each piece"),
        Key("fringe", _LENGTH, "fringe_m", "left unwoven, at each end of each piece"),
        Key("count", Count(1, 10_000), "count", "how many pieces"),
        Key(
            "draft",
            _PATH,
            "draft",
            "a draft of its own, of the same threading",
            silence="the warp's",
        ),
        Key("weft_yarns", _YARNS, "weft_yarns", "weft yarns of its own", silence="the warp's"),
        Key("ppi", _DENSITY, "picks_per_cm", "picks of its own", silence="the warp's"),
        Key("header", _LENGTH, "header_m", "woven in waste yarn before each piece, as measured on the loom"),
        Key(
            "hem_draft",
            _PATH,
            "hem_draft",
            "a draft of the hems' own, of the same threading",
            silence="the piece's",
        ),
        Key("hem_weft_yarns", _YARNS, "hem_weft_yarns", "weft yarns of the hems' own", silence="the piece's"),
        Key("hem_ppi", _DENSITY, "hem_picks_per_cm", "picks of the hems' own", silence="the piece's"),
        Key(
            "weft_stripes",
            Inner(WEFT_STRIPES),
            "weft_stripes",
            "in place of weft_yarns: the piece's picks by yarn, whatever colors its draft has",
            silence="the warp's weft",
        ),
    ),
    build=build.item,
    fields_of=build.fields_of_item,
    instead={"weft_yarns": "weft_stripes"},
)

WOUND_FROM = Section(
    "wound_from",
    WoundFrom,
    "ends of a wound warp that came from one cone",
    (
        Key("cone", Identifier(), "cone", "the cone; it may be gone from the shelf", required=True),
        Key("ends", Count(1, MAX_ENDS), "ends", "how many ends it gave", required=True),
    ),
)

WOVEN_FROM = Section(
    "woven_from",
    WovenFrom,
    "weft that came from one cone",
    (
        Key("cone", Identifier(), "cone", "the cone; it may be gone from the shelf", required=True),
        Key("length", _SOME_LENGTH, "length_m", "how much weft it gave", required=True),
        Key("at", Day(), "at", "when it was woven in", silence="by the time it was cut off"),
    ),
)

WARPS = Section(
    "warps",
    WarpOrder,
    "a planned warp",
    (
        Key("key", _KEY, "key", "its short name, on its sheets and chains", required=True),
        Key("loom", Identifier(of="loom"), "loom", "its loom", required=True),
        Key(
            "draft",
            _PATH,
            "draft",
            "a WIF file below the guild file's folder",
            required=True,
        ),
        Key(
            "warp_yarns",
            _YARNS,
            "warp_yarns",
            "yarns for the draft's warp colors, as these first appear from end 1 on",
            required=True,
        ),
        Key(
            "weft_yarns",
            _YARNS,
            "weft_yarns",
            "yarns for the draft's weft colors, as these first appear from pick 1 on",
            required=True,
        ),
        Key(
            "repeat_ends",
            Run(MAX_ENDS),
            "repeat_ends",
            "these ends of the draft repeat; the ends before and after are borders",
            silence="the smallest repeat of the threading with its colors",
        ),
        Key("finished_width", _SOME_WIDTH, "finished_width_mm", "width of the finished cloth", required=True),
        Key("items", Inner(ITEMS), "items", "what is woven on it, in order", required=True),
        Key("sett", _DENSITY, "sett_per_cm", "ends in the reed"),
        Key(
            "firmness",
            Quantity(SHARE, "0 %", "200 %", above=True),
            "firmness",
            "share of the maximum sett for yarn and draft, from which the sett is calculated",
        ),
        Key("ppi", _DENSITY, "picks_per_cm", "picks on the loom, tension off", required=True),
        Key("take_up", _SHARE, "take_up", "added along the warp: warp = woven x (1 + take_up)"),
        Key(
            "shrink_length",
            _LOSS,
            "shrink_length",
            "lost in length: finished = woven x (1 - shrink_length)",
        ),
        Key("draw_in", _LOSS, "draw_in", "lost in width: at the fell = in the reed x (1 - draw_in)"),
        Key("shrink_width", _LOSS, "shrink_width", "lost in width by wet finishing"),
        Key("weft_take_up", _SHARE, "weft_take_up", "added to the width in the reed, for every pick"),
        Key("sample", _LENGTH, "sample_m", "woven length set aside for sampling"),
        Key("selvedge_ends", Count(0, 1000), "selvedge_ends", "extra ends at each side, in heddles"),
        Key(
            "selvedge_shafts",
            Many(Count(1, MAX_SHAFTS), 1, MAX_SHAFTS),
            "selvedge_shafts",
            "shafts of the extra ends, in turn",
            silence="the threading continues as a repeat",
        ),
        Key("floating_selvedges", Flag(), "floating_selvedges", "two more ends, not threaded"),
        Key("layers", Count(1, 16), "layers", "number of cloth layers intended"),
        Key("max_bout_ends", Count(1, MAX_ENDS), "max_bout_ends", "the most ends in one bout"),
        Key(
            "reserve",
            Quantity(SHARE, "0 %", "100 %", below=True),
            "reserve",
            "share of each yarn's sure length kept in reserve",
        ),
        Key("mix_lots", Flag(), "mix_lots", "allow several dye lots in one color role"),
        Key(
            "wound_length",
            _LONG,
            "wound_length_m",
            "the length on the board, once you have measured it",
            silence="the planned length",
        ),
        Key(
            "wound",
            Day(),
            "wound",
            "when it was wound; from then on its warp yarn is off the shelf",
            silence="not wound yet",
        ),
        Key(
            "wound_from",
            Inner(WOUND_FROM, MAX_ENDS),
            "wound_from",
            "which cones gave how many ends when it was wound; ends not named came from cones that are gone",
            silence="as planned",
        ),
        Key(
            "woven_picks",
            Count(1, 10_000_000),
            "woven_picks",
            "picks woven by woven_at; their weft is off the shelf",
            silence="none, until off",
        ),
        Key("woven_at", Day(), "woven_at", "when that many picks were woven", silence="not known"),
        Key(
            "woven_from",
            Inner(WOVEN_FROM, MAX_ENDS),
            "woven_from",
            "which cones gave the weft that is woven",
            silence="as planned",
        ),
        Key(
            "cut_early", Flag(), "cut_early", "the cloth was cut off after woven_picks: no more weft was used"
        ),
        Key(
            "wound_reed",
            Identifier(of="reed"),
            "wound_reed",
            "the reed that it was wound for: it keeps it, whatever else changes",
            silence="the best one",
        ),
        Key(
            "wound_sley",
            Many(Count(0, 40), 1, 4),
            "wound_sley",
            "how it was to be sleyed in that reed when it was wound",
            silence="the best cycle",
        ),
        Key(
            "off",
            Day(),
            "off",
            "when the cloth was cut off; from then on its weft is used up too",
            silence="not cut off yet",
        ),
        Key("reed", Identifier(of="reed"), "reed", "only this reed", silence="the best one"),
        Key(
            "sley",
            Many(Count(0, 40), 1, 4),
            "sley",
            "ends in each dent in turn, counts at most one apart",
            silence="the best cycle",
        ),
        Key(
            "stripes",
            Inner(STRIPES),
            "stripes",
            "in place of warp_yarns: the ends in heddles by yarn, as a continuous repeat from end 1, "
            "whatever warp colors the draft has",
            silence="the draft's warp colors, in warp_yarns",
        ),
        Key("stripes_mirrored", Flag(), "stripes_mirrored", "stripes to the middle of the web, then back"),
        Key(
            "weft_stripes",
            Inner(WEFT_STRIPES),
            "weft_stripes",
            "in place of weft_yarns: the picks by yarn, as a continuous repeat from pick 1 of each piece",
            silence="the draft's weft colors, in weft_yarns",
        ),
    ),
    one_of=("sett", "firmness"),
    build=build.warp,
    fields_of=build.fields_of_warp,
    instead={"warp_yarns": "stripes", "weft_yarns": "weft_stripes"},
)

SECTIONS = {section.name: section for section in (GUILD, YARNS, CONES, LOOMS, REEDS, BOARDS, WARPS)}
