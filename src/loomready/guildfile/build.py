"""Records whose keys depend on one another: what one key says bounds or fills another."""

from __future__ import annotations

from typing import Any

from loomready.guildfile.values import inside, show
from loomready.model.guild import (
    MAX_ENDS,
    MAX_PICKS,
    Board,
    Cone,
    Grist,
    Item,
    Loom,
    Measured,
    Stripe,
    WarpOrder,
    Wraps,
    Yarn,
)
from loomready.phrases import listed, phrase, word
from loomready.problems import BadInput, shorten
from loomready.yarn.counts import is_woollen, parse_count
from loomready.yarn.fibers import is_lofty
from loomready.yarn.unlabeled import from_measured, from_wraps

Fields = dict[str, Any]

# No thread of cloth lies outside: a slip of the pen does.
FINEST_TEX, COARSEST_TEX = 0.1, 100_000.0


def yarn(found: Fields) -> Yarn:
    """A yarn of whichever of count, grist, tex, measured, wraps was said."""
    fields = {"name": found["key"]} | found
    fiber = found.get("fiber", "")
    for said in ("count", "grist", "tex", "measured", "wraps"):
        if said in found:
            with inside(said):
                size = _size(said, fields.pop(said), fiber, found.get("woollen", is_lofty(fiber)))
                if not FINEST_TEX <= size["tex"] <= COARSEST_TEX:
                    raise BadInput(
                        phrase("is {tex:g} tex; expected a yarn that can be woven", tex=size["tex"])
                    )
            fields = {"woollen": _lofty(fiber, size)} | size | fields
    return Yarn(**fields)


def _lofty(fiber: str, size: Fields) -> bool:
    """Whether a yarn is spun woollen, where only its fiber and its count say so."""
    return is_lofty(fiber) or is_woollen(size.get("count_system"))


def _size(said: str, value: Any, fiber: str, woollen: bool) -> Fields:
    """What the yarn's size says about it, under the model's names."""
    if said == "count":
        count = parse_count(value, fiber)
        return {"tex": count.tex, "count": value, "count_system": count.system}
    if said == "grist":
        return {"tex": 1000.0 / value, "source": Grist(value)}
    if said == "tex":
        return {"tex": value}
    if said == "measured":
        measured = from_measured(value.length_m, value.weight_g, value.scale_step_g)
        return {"tex": measured.tex, "tolerance": measured.tolerance, "source": value}
    guessed = from_wraps(value, woollen=woollen)
    return {
        "tex": guessed.tex,
        "tolerance": guessed.tolerance,
        "estimated": True,
        "source": Wraps(value),
    }


def fields_of_yarn(record: Yarn) -> tuple[Fields, Fields]:
    """A yarn's fields as its table says them, and what its size says when they are left out."""
    source = record.source
    said: str
    value: object
    if record.count is not None:
        said, value = "count", record.count
    elif isinstance(source, Grist):
        said, value = "grist", source.m_per_g
    elif isinstance(source, Wraps):
        said, value = "wraps", source.per_cm
    elif isinstance(source, Measured):
        said, value = "measured", source
    else:
        said, value = "tex", record.tex
    fields = {
        "key": record.key,
        "name": record.name,
        "fiber": record.fiber,
        "woollen": record.woollen,
        "color": record.color,
        "tolerance": record.tolerance,
        "price_per_g": record.price_per_g,
        "notes": record.notes,
    }
    size = _size(said, value, record.fiber, record.woollen)
    silent = {"name": record.key, "woollen": _lofty(record.fiber, size)}
    if "tolerance" in size:
        silent["tolerance"] = size["tolerance"]
    return fields | {said: value}, silent


def cone(found: Fields) -> Cone:
    if found["tare_g"] > found["gross_g"]:
        raise BadInput(
            phrase("is more than gross; expected at most the weight of the full cone"), where="tare"
        )
    return Cone(**found)


def loom(found: Fields) -> Loom:
    loom = Loom(**({"name": found["key"]} | found))
    if len(loom.heddles) != loom.shafts:
        raise BadInput(
            phrase(
                "the list holds {count}; expected one number for each of {shafts} shafts",
                count=len(loom.heddles),
                shafts=loom.shafts,
            ),
            where="heddles",
        )
    if loom.treadles and (loom.kind == "table" or loom.is_rigid_heddle):
        raise BadInput(
            phrase("a {kind_of_loom} loom has no treadles; expected 0", kind_of_loom=word(loom.kind)),
            where="treadles",
        )
    if loom.gauge_per_cm is not None and not loom.is_rigid_heddle:
        raise BadInput(
            phrase(
                "a {kind_of_loom} loom has no gauge; expected it for a rigid heddle loom",
                kind_of_loom=word(loom.kind),
            ),
            where="gauge",
        )
    return loom


def fields_of_loom(record: Loom) -> tuple[Fields, Fields]:
    return {name: getattr(record, name) for name in Loom.__slots__}, {"name": record.key}


def board(found: Fields) -> Board:
    board = Board(**({"name": found["key"]} | found))
    names: dict[str, int] = {}
    places: dict[tuple[float, float], int] = {}
    for number, peg in enumerate(board.pegs, 1):
        before = names.setdefault(peg.name, number)
        if before != number:
            what = phrase(
                "{name} is already the name of peg {number}; expected another name",
                name=show(peg.name),
                number=before,
            )
            raise BadInput(what, where=("pegs", number, "name"))
        before = places.setdefault((peg.x_mm, peg.y_mm), number)
        if before != number:
            what = phrase(
                "{name} is at the same place as peg {number}; expected another place",
                name=show(peg.name),
                number=before,
            )
            raise BadInput(what, where=("pegs", number))
    known = listed(shorten(name) for name in list(names)[:8])
    asked = (("start", board.start), ("cross 1", board.cross[0]), ("cross 2", board.cross[1]))
    said: dict[str, str] = {}
    for where, name in asked:
        if name not in names:
            raise BadInput(
                phrase("there is no peg {name}; expected one of {names}", name=show(name), names=known),
                where=where,
            )
        if name in said:
            raise BadInput(
                phrase("{name} is {key} already; expected another peg", name=show(name), key=said[name]),
                where=where,
            )
        said[name] = where
    return board


def fields_of_board(record: Board) -> tuple[Fields, Fields]:
    return {name: getattr(record, name) for name in Board.__slots__}, {"name": record.key}


def stripe(found: Fields) -> Stripe:
    sley = found.get("sley")
    if sley is not None and found.get("dents"):
        raise BadInput(phrase("empty dents have no ends to sley; expected one or the other"), where="sley")
    if sley is not None and not sum(sley):
        raise BadInput(phrase("has no end in any dent; expected at least 1"), where="sley")
    return Stripe(**found)


def fields_of_stripe(record: Stripe) -> tuple[Fields, Fields]:
    """A stripe's fields; of empty dents only their number."""
    if record.dents:
        return {"dents": record.dents}, {}
    return {name: getattr(record, name) for name in Stripe.__slots__}, {}


def item(found: Fields) -> Item:
    _refuse_endless(found)
    if found.get("fringe_m") and found.get("twisted_fringe_m"):
        raise BadInput(
            phrase("is given as well as {key}; expected just one of the two", key="fringe"),
            where="twisted_fringe",
        )
    if found.get("count", 1) % found.get("sewn", 1):
        raise BadInput(
            phrase(
                "{sewn} are sewn into one, and {count} are woven; expected a count that they divide",
                sewn=found["sewn"],
                count=found.get("count", 1),
            ),
            where="sewn",
        )
    return Item(**found)


def _refuse_endless(found: Fields) -> None:
    """Stripes that are longer than any web or piece are a mistake."""
    for name, part, most in (("stripes", "ends", MAX_ENDS), ("weft_stripes", "picks", MAX_PICKS)):
        threads = sum(getattr(each, part) for each in found.get(name, ()))
        if threads > most:
            raise BadInput(
                phrase(
                    "come to {threads} {ends_or_picks}; expected at most {most} in all",
                    threads=threads,
                    ends_or_picks=word(part),
                    most=most,
                ),
                where=name,
            )


def _check_double_cloth(found: Fields) -> None:
    """A fold joins two layers, has no floating selvedge and no empty dent at its edge."""
    for name in ("fold_left_out", "fold_sley"):
        if found.get(name) and not found.get("double_cloth"):
            raise BadInput(
                phrase("is not valid without {key}; expected both", key="double_cloth"), where=name
            )
    if not found.get("double_cloth"):
        return
    if found.get("layers", 1) != 2:
        raise BadInput(phrase("joins two layers; expected layers = 2"), where="double_cloth")
    for name in ("floating_selvedges", "selvedge_ends"):
        if found.get(name):
            raise BadInput(phrase("a fold has no selvedge; expected none with double_cloth"), where=name)
    sley = found.get("fold_sley")
    if sley is not None and not sley[0]:
        raise BadInput(phrase("begins with an empty dent; expected an end at the fold"), where="fold_sley")
    if sley is not None and found.get("reed") is None and found.get("wound_reed") is None:
        raise BadInput(
            phrase("is not valid without reed; expected the reed that it is sleyed in"), where="fold_sley"
        )


def _check_denting(found: Fields) -> None:
    """Stripes have ends, and a reed where they are sleyed on their own."""
    stripes: tuple[Stripe, ...] = found.get("stripes", ())
    if stripes and not any(stripe.ends for stripe in stripes):
        raise BadInput(phrase("there are only empty dents; expected ends too"), where="stripes")
    for number, each in enumerate(stripes, 1):
        if (each.sley or each.dents) and found.get("reed") is None and found.get("wound_reed") is None:
            raise BadInput(
                phrase("is not valid without reed; expected the reed that it is sleyed in"),
                where=("stripes", number, "sley" if each.sley else "dents"),
            )


# Keys of a warp that are valid only with another.
_TOGETHER = (
    ("woven_picks", "woven_at"),
    ("woven_at", "woven_picks"),
    ("woven_picks", "wound"),
    ("wound_sley", "wound_reed"),
    ("cut_early", "woven_picks"),
    ("cut_early", "off"),
)


def warp(found: Fields) -> WarpOrder:
    for name in ("sley", "wound_sley"):
        sley = found.get(name)
        if sley is not None and (sum(sley) == 0 or max(sley) - min(sley) > 1):
            raise BadInput(
                phrase(
                    "{cycle} sleys too unevenly; expected at least 1 end, and counts at most one apart",
                    cycle=f"{list(sley)}",
                ),
                where=name,
            )
    for row in found.get("woven_from", ()):
        needed = "off" if row.at is None else "woven_picks"
        if found.get(needed) is None:
            raise BadInput(
                phrase("is not valid without {key}; expected both", key=needed), where="woven_from"
            )
    for name, needed in _TOGETHER:
        if found.get(name) not in (None, False) and found.get(needed) is None:
            raise BadInput(phrase("is not valid without {key}; expected both", key=needed), where=name)
    _refuse_endless(found)
    _check_double_cloth(found)
    if found.get("selvedge_ends_per_heddle") and not found.get("selvedge_ends"):
        raise BadInput(
            phrase("is not valid without {key}; expected both", key="selvedge_ends"),
            where="selvedge_ends_per_heddle",
        )
    _check_denting(found)
    if found.get("stripes_mirrored") and not found.get("stripes"):
        raise BadInput(phrase("there are no stripes; expected stripes to mirror"), where="stripes_mirrored")
    named: Fields = {"warp_yarns": (), "weft_yarns": ()}  # where stripes name them
    return WarpOrder(**(named | found))


def fields_of_warp(record: WarpOrder) -> tuple[Fields, Fields]:
    """A warp's fields; yarns that its stripes name already are left out."""
    fields = {name: getattr(record, name) for name in WarpOrder.__slots__}
    if record.stripes:
        del fields["warp_yarns"]
    if record.weft_stripes:
        del fields["weft_yarns"]
    if record.samples:
        del fields["sample_m"]
    return fields, {}


def fields_of_item(record: Item) -> tuple[Fields, Fields]:
    """A piece's fields; weft yarns that its stripes name already are left out."""
    fields = {name: getattr(record, name) for name in Item.__slots__}
    if record.weft_stripes:
        del fields["weft_yarns"]
    if record.twisted_fringe_m:
        del fields["fringe_m"]
    return fields, {}
