"""The sections of a warp in the guild file: its stripes, pieces and what was done of it."""

from __future__ import annotations

from loomready.guildfile import build
from loomready.guildfile.event_schema import JOB_HOURS
from loomready.guildfile.kinds import (
    ANY_LENGTH,
    ANY_SHARE,
    DRAFT_PATH,
    KEY_NAME,
    LOSS,
    NOTES,
    SOME_DENSITY,
    SOME_LENGTH,
    SOME_WIDTH,
    WARP_LENGTH,
    YARN_KEYS,
)
from loomready.guildfile.records import Inner, Key, Section
from loomready.guildfile.texts import Color, Day, Identifier, Text
from loomready.guildfile.values import Choice, Count, Flag, Many, Quantity, Run
from loomready.model.guild import (
    MAX_DENTS,
    MAX_ENDS,
    MAX_PICKS,
    MAX_SHAFTS,
    Band,
    Item,
    Sample,
    Stripe,
    WarpOrder,
    WeftStripe,
    WoundFrom,
    WovenFrom,
)
from loomready.phrases import phrase
from loomready.units import (
    SHARE,
)

STRANDS = Count(1, 8)

STRIPES = Section(
    "stripes",
    Stripe,
    phrase("ends of one yarn side by side"),
    (
        Key("yarn", Identifier(of="yarn"), "yarn", phrase("its yarn"), required=True),
        Key("ends", Count(1, MAX_ENDS), "ends", phrase("how many ends"), required=True),
        Key(
            "sley",
            Many(Count(0, 40), 1, 16),
            "sley",
            phrase("its own ends in each dent in turn, from its first end on; 0: an empty dent"),
            silence=phrase("as the other stripes without one, in the warp's sley"),
        ),
        Key(
            "dents",
            Count(1, MAX_DENTS),
            "dents",
            phrase("in place of yarn and ends: so many empty dents"),
            silence=phrase("none"),
        ),
    ),
    build=build.stripe,
    fields_of=build.fields_of_stripe,
    instead={"yarn": "dents", "ends": "dents"},
)

WEFT_STRIPES = Section(
    "weft_stripes",
    WeftStripe,
    phrase("picks of one yarn one after the other"),
    (
        Key("yarn", Identifier(of="yarn"), "yarn", phrase("its yarn"), required=True),
        Key("picks", Count(1, MAX_PICKS), "picks", phrase("how many picks"), required=True),
    ),
)

PAINTED = Section(
    "painted",
    Band,
    phrase("a band of a painted or dip-dyed warp"),
    (
        Key("length", SOME_LENGTH, "length_m", phrase("along the finished piece"), required=True),
        Key("dye", Text(40), "dye", phrase("the dye; without dye and color the band stays undyed")),
        Key("color", Color(), "color", phrase("its color on screen and paper, as #rrggbb")),
    ),
)

# What a piece, or a part of the sample, may have of its own.
_OWN_DRAFT = Key(
    "draft",
    DRAFT_PATH,
    "draft",
    phrase("a draft of its own, of the same threading"),
    silence=phrase("the warp's"),
)
_OWN_WEFT = Key(
    "weft_yarns",
    YARN_KEYS,
    "weft_yarns",
    phrase("weft yarns of its own"),
    silence=phrase("the warp's"),
)
_OWN_PICKS = Key(
    "ppi", SOME_DENSITY, "picks_per_cm", phrase("picks of its own"), silence=phrase("the warp's")
)
_OWN_STRANDS = Key(
    "weft_strands",
    STRANDS,
    "weft_strands",
    phrase("strands of weft together in each pick"),
    silence=phrase("the warp's"),
)

ITEMS = Section(
    "items",
    Item,
    phrase("a piece of cloth, once or several times"),
    (
        Key(
            "finished_length",
            SOME_LENGTH,
            "finished_length_m",
            phrase("wet-finished, without hems"),
            required=True,
        ),
        Key("hem", ANY_LENGTH, "hem_m", phrase("woven for a hem, at each end of each piece")),
        Key("fringe", ANY_LENGTH, "fringe_m", phrase("left unwoven, at each end of each piece")),
        Key("count", Count(1, 10_000), "count", phrase("how many pieces")),
        _OWN_DRAFT,
        _OWN_WEFT,
        _OWN_PICKS,
        Key(
            "header",
            ANY_LENGTH,
            "header_m",
            phrase("woven in waste yarn before each piece, as measured on the loom"),
        ),
        Key(
            "hem_draft",
            DRAFT_PATH,
            "hem_draft",
            phrase("a draft of the hems' own, of the same threading"),
            silence=phrase("the piece's"),
        ),
        Key(
            "hem_weft_yarns",
            YARN_KEYS,
            "hem_weft_yarns",
            phrase("weft yarns of the hems' own"),
            silence=phrase("the piece's"),
        ),
        Key(
            "hem_ppi",
            SOME_DENSITY,
            "hem_picks_per_cm",
            phrase("picks of the hems' own"),
            silence=phrase("the piece's"),
        ),
        Key(
            "weft_stripes",
            Inner(WEFT_STRIPES),
            "weft_stripes",
            phrase("in place of weft_yarns: the piece's picks by yarn, whatever colors its draft has"),
            silence=phrase("the warp's weft"),
        ),
        Key(
            "painted",
            Inner(PAINTED, 200),
            "painted",
            phrase("bands of its warp, from the first pick of its first hem on"),
            silence=phrase("not painted"),
        ),
        _OWN_STRANDS,
        Key(
            "hem_weft_strands",
            STRANDS,
            "hem_weft_strands",
            phrase("strands of weft together in each pick of the hems"),
            silence=phrase("the piece's"),
        ),
        Key(
            "twisted_fringe",
            ANY_LENGTH,
            "twisted_fringe_m",
            phrase("in place of fringe: its length once it is twisted, at each end of each piece"),
        ),
        Key(
            "twist",
            LOSS,
            "twist",
            phrase("lost in twisting: twisted = unwoven x (1 - twist); common practice, no source"),
        ),
        Key(
            "sewn",
            Count(1, 50),
            "sewn",
            phrase("how many of these pieces are sewn side by side into one"),
        ),
    ),
    build=build.item,
    fields_of=build.fields_of_item,
    instead={"weft_yarns": "weft_stripes"},
)

SAMPLES = Section(
    "samples",
    Sample,
    phrase("a part of the sample, woven after the one before it"),
    (
        Key("length", SOME_LENGTH, "length_m", phrase("woven length"), required=True),
        _OWN_WEFT,
        _OWN_DRAFT,
        _OWN_PICKS,
        _OWN_STRANDS,
    ),
)

WOUND_FROM = Section(
    "wound_from",
    WoundFrom,
    phrase("ends of a wound warp that came from one cone"),
    (
        Key("cone", Identifier(), "cone", phrase("the cone; it may be gone from the shelf"), required=True),
        Key("ends", Count(1, MAX_ENDS), "ends", phrase("how many ends it gave"), required=True),
    ),
)

WOVEN_FROM = Section(
    "woven_from",
    WovenFrom,
    phrase("weft that came from one cone"),
    (
        Key("cone", Identifier(), "cone", phrase("the cone; it may be gone from the shelf"), required=True),
        Key("length", SOME_LENGTH, "length_m", phrase("how much weft it gave"), required=True),
        Key("at", Day(), "at", phrase("when it was woven in"), silence=phrase("by the time it was cut off")),
    ),
)

WARPS = Section(
    "warps",
    WarpOrder,
    phrase("a planned warp"),
    (
        Key("key", KEY_NAME, "key", phrase("its short name in this file"), required=True),
        Key(
            "name", Text(200), "own_name", phrase("its name on sheets and chains"), silence=phrase("the key")
        ),
        Key("loom", Identifier(of="loom"), "loom", phrase("its loom"), required=True),
        Key(
            "draft",
            DRAFT_PATH,
            "draft",
            phrase("a WIF file below the guild file's folder"),
            required=True,
        ),
        Key(
            "warp_yarns",
            YARN_KEYS,
            "warp_yarns",
            phrase("yarns for the draft's warp colors, as these first appear from end 1 on"),
            required=True,
        ),
        Key(
            "weft_yarns",
            YARN_KEYS,
            "weft_yarns",
            phrase("yarns for the draft's weft colors, as these first appear from pick 1 on"),
            required=True,
        ),
        Key(
            "repeat_ends",
            Run(MAX_ENDS),
            "repeat_ends",
            phrase("these ends of the draft repeat; the ends before and after are borders"),
            silence=phrase("the smallest repeat of the threading with its colors"),
        ),
        Key(
            "finished_width",
            SOME_WIDTH,
            "finished_width_mm",
            phrase("width of the finished cloth"),
            required=True,
        ),
        Key("items", Inner(ITEMS), "items", phrase("what is woven on it, in order"), required=True),
        Key("sett", SOME_DENSITY, "sett_per_cm", phrase("ends in the reed")),
        Key(
            "firmness",
            Quantity(SHARE, "0 %", "200 %", above=True),
            "firmness",
            phrase("share of the maximum sett for yarn and draft, from which the sett is calculated"),
        ),
        Key("ppi", SOME_DENSITY, "picks_per_cm", phrase("picks on the loom, tension off"), required=True),
        Key("take_up", ANY_SHARE, "take_up", phrase("added along the warp: warp = woven x (1 + take_up)")),
        Key(
            "shrink_length",
            LOSS,
            "shrink_length",
            phrase("lost in length: finished = woven x (1 - shrink_length)"),
        ),
        Key("draw_in", LOSS, "draw_in", phrase("lost in width: at the fell = in the reed x (1 - draw_in)")),
        Key("shrink_width", LOSS, "shrink_width", phrase("lost in width by wet finishing")),
        Key(
            "weft_take_up",
            ANY_SHARE,
            "weft_take_up",
            phrase("added to the width in the reed, for every pick"),
        ),
        Key("sample", ANY_LENGTH, "sample_m", phrase("woven length set aside for sampling")),
        Key("selvedge_ends", Count(0, 1000), "selvedge_ends", phrase("extra ends at each side, in heddles")),
        Key(
            "selvedge_shafts",
            Many(Count(1, MAX_SHAFTS), 1, MAX_SHAFTS),
            "selvedge_shafts",
            phrase("shafts of the extra ends, in turn"),
            silence=phrase("the threading continues as a repeat"),
        ),
        Key("floating_selvedges", Flag(), "floating_selvedges", phrase("two more ends, not threaded")),
        Key("layers", Count(1, 16), "layers", phrase("number of cloth layers intended")),
        Key(
            "double_cloth",
            Choice(("double width", "tube")),
            "double_cloth",
            phrase(
                "two layers joined at the last end, which open to double width, or at both edges, a tube; "
                "the finished width is that of the opened cloth, or of the tube as it lies flat"
            ),
            silence=phrase("cloth of one width"),
        ),
        Key(
            "fold_left_out",
            Count(0, 40),
            "fold_left_out",
            phrase("ends left out at the fold, so that it is no denser than the cloth"),
        ),
        Key(
            "fold_sley",
            Many(Count(0, 40), 1, 16),
            "fold_sley",
            phrase("ends in each dent from the fold inward, to sley it wider; needs reed"),
            silence=phrase("as the rest"),
        ),
        Key(
            "fringe_in_waste",
            Flag(),
            "fringe_in_waste",
            phrase("the first and the last fringe lie in the loom waste, and need no warp of their own"),
        ),
        Key(
            "max_bout_ends", Count(1, MAX_ENDS), "max_bout_ends", phrase("the most ends of yarn in one bout")
        ),
        Key(
            "reserve",
            Quantity(SHARE, "0 %", "100 %", below=True),
            "reserve",
            phrase("share of each yarn's sure length kept in reserve"),
        ),
        Key("mix_lots", Flag(), "mix_lots", phrase("allow several dye lots in one color role")),
        Key(
            "wound_length",
            WARP_LENGTH,
            "wound_length_m",
            phrase("the length on the board, once you have measured it"),
            silence=phrase("the planned length"),
        ),
        Key(
            "wound",
            Day(),
            "wound",
            phrase("when it was wound; from then on its warp yarn is off the shelf"),
            silence=phrase("not wound yet"),
        ),
        Key(
            "wound_from",
            Inner(WOUND_FROM, MAX_ENDS),
            "wound_from",
            phrase(
                "which cones gave how many ends when it was wound; ends not named came from cones that are "
                "gone"
            ),
            silence=phrase("as planned"),
        ),
        Key(
            "woven_picks",
            Count(1, 10_000_000),
            "woven_picks",
            phrase("picks woven by woven_at; their weft is off the shelf"),
            silence=phrase("none, until off"),
        ),
        Key(
            "woven_at",
            Day(),
            "woven_at",
            phrase("when that many picks were woven"),
            silence=phrase("not known"),
        ),
        Key(
            "woven_from",
            Inner(WOVEN_FROM, MAX_ENDS),
            "woven_from",
            phrase("which cones gave the weft that is woven"),
            silence=phrase("as planned"),
        ),
        Key(
            "cut_early",
            Flag(),
            "cut_early",
            phrase("the cloth was cut off after woven_picks: no more weft was used"),
        ),
        Key(
            "wound_reed",
            Identifier(of="reed"),
            "wound_reed",
            phrase("the reed that it was wound for: it keeps it, whatever else changes"),
            silence=phrase("the best one"),
        ),
        Key(
            "wound_sley",
            Many(Count(0, 40), 1, 4),
            "wound_sley",
            phrase("how it was to be sleyed in that reed when it was wound"),
            silence=phrase("the best cycle"),
        ),
        Key(
            "off",
            Day(),
            "off",
            phrase("when the cloth was cut off; from then on its weft is used up too"),
            silence=phrase("not cut off yet"),
        ),
        Key("reed", Identifier(of="reed"), "reed", phrase("only this reed"), silence=phrase("the best one")),
        Key(
            "sley",
            Many(Count(0, 40), 1, 4),
            "sley",
            phrase("ends in each dent in turn, counts at most one apart"),
            silence=phrase("the best cycle"),
        ),
        Key(
            "stripes",
            Inner(STRIPES),
            "stripes",
            phrase(
                "in place of warp_yarns: the ends in heddles by yarn, as a continuous repeat from end 1, "
                "whatever warp colors the draft has"
            ),
            silence=phrase("the draft's warp colors, in warp_yarns"),
        ),
        Key(
            "stripes_mirrored",
            Flag(),
            "stripes_mirrored",
            phrase("stripes to the middle of the web, then back"),
        ),
        Key(
            "weft_stripes",
            Inner(WEFT_STRIPES),
            "weft_stripes",
            phrase(
                "in place of weft_yarns: the picks by yarn, as a continuous repeat from pick 1 of each piece"
            ),
            silence=phrase("the draft's weft colors, in weft_yarns"),
        ),
        Key(
            "sectional",
            Flag(),
            "sectional",
            phrase("wound section by section onto the loom's sectional beam, from cones or spools on a rack"),
        ),
        Key(
            "tied_to",
            Identifier(of="warp"),
            "tied_to",
            phrase("the old warp on the same loom, or a dummy warp, whose ends the new ends are tied to"),
            silence=phrase("no old warp: it is threaded and sleyed"),
        ),
        Key(
            "tied_waste",
            ANY_LENGTH,
            "tied_waste_m",
            phrase("warp of a tied-on warp that cannot be woven"),
            silence=phrase("the loom's waste"),
        ),
        Key(
            "ends_per_heddle",
            STRANDS,
            "ends_per_heddle",
            phrase("ends of yarn that work as one in each heddle; setts and counts are of working ends"),
        ),
        Key(
            "selvedge_ends_per_heddle",
            STRANDS,
            "selvedge_ends_per_heddle",
            phrase("ends of yarn that work as one in the heddles of the selvedge_ends"),
            silence=phrase("as the other ends"),
        ),
        Key(
            "weft_strands",
            STRANDS,
            "weft_strands",
            phrase("strands of weft together in each pick"),
        ),
        Key(
            "samples",
            Inner(SAMPLES),
            "samples",
            phrase("in place of sample: several wefts, drafts or setts of picks one after another"),
            silence=phrase("one sample, as the warp's weft"),
        ),
        Key(
            "second_yarns",
            YARN_KEYS,
            "second_yarns",
            phrase("of the warp yarns, those whose ends are a second warp, on a beam of its own"),
            silence=phrase("one warp"),
        ),
        Key(
            "second_kind",
            Choice(("pile", "supplementary", "seersucker")),
            "second_kind",
            phrase(
                "what the second warp does: its usual take-up is 300 %, that of the first warp, or 25 %, its "
                "usual tension light, firm, or slack; common practice, no source"
            ),
        ),
        Key(
            "second_take_up",
            Quantity(SHARE, "0 %", "3000 %"),
            "second_take_up",
            phrase("added along the second warp: its length = woven x (1 + second_take_up)"),
            silence=phrase("usual for its second_kind"),
        ),
        Key(
            "second_cut",
            SOME_LENGTH,
            "second_cut_m",
            phrase(
                "in place of second_take_up, measured on a sample: how long an end of the second warp is, "
                "drawn out of second_woven of cloth and laid straight"
            ),
            silence=phrase("not measured"),
        ),
        Key(
            "second_woven",
            SOME_LENGTH,
            "second_woven_m",
            phrase("how long that sample was, on the loom, tension off"),
            silence=phrase("not measured"),
        ),
        Key(
            "second_tension",
            Choice(("firm", "light", "slack")),
            "second_tension",
            phrase("how the second warp is held"),
            silence=phrase("usual for its second_kind"),
        ),
        Key(
            "second_weighted",
            Flag(),
            "second_weighted",
            phrase("the second warp hangs in weighted chains from the back of the loom, in place of a beam"),
        ),
        Key(
            "second_wound_length",
            WARP_LENGTH,
            "second_wound_length_m",
            phrase("the second warp's length on the board, once you have measured it"),
            silence=phrase("the planned length"),
        ),
        Key(
            "looms",
            Many(Identifier(of="loom"), 1, 100),
            "looms",
            phrase("in place of loom: the looms that the event may choose from"),
            silence=phrase("only its loom"),
        ),
        Key(
            "hours",
            Inner(JOB_HOURS),
            "hours",
            phrase("hours of its jobs, in place of what pace says; 0 h: the job is left out"),
            silence=phrase("what pace says"),
        ),
        Key(
            "value",
            Count(1, 1000),
            "value",
            phrase("what it is worth to the event: what is left out first is worth least"),
        ),
        NOTES,
    ),
    one_of=("sett", "firmness"),
    build=build.warp,
    fields_of=build.fields_of_warp,
    instead={"loom": "looms", "warp_yarns": "stripes", "weft_yarns": "weft_stripes", "sample": "samples"},
)
