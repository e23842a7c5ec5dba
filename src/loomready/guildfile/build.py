"""Records whose keys depend on one another: what one key says bounds or fills another."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from loomready.guildfile.values import inside, show
from loomready.model.event import Event, Lesson, Material, Opening, Person, Stand
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
    _check_direct(loom)
    if loom.treadles and loom.kind == "table" and not loom.direct_tie_up:
        raise BadInput(
            phrase(
                "a table loom has no treadles; expected 0, or direct_tie_up with a treadle for each shaft"
            ),
            where="treadles",
        )
    if loom.kind == "inkle" and loom.shafts != 1:
        raise BadInput(
            phrase("an inkle loom has one row of heddles; expected 1, the open ends are the other shaft"),
            where="shafts",
        )
    if loom.treadles and loom.has_open_ends:
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
    if loom.pick_up_sticks and not loom.is_rigid_heddle:
        raise BadInput(
            phrase(
                "a {kind_of_loom} loom has no pick-up sticks; expected them for a rigid heddle loom",
                kind_of_loom=word(loom.kind),
            ),
            where="pick_up_sticks",
        )
    if loom.front_waste_m is not None and loom.front_waste_m > loom.waste_m:
        raise BadInput(phrase("is more than waste; expected a part of it"), where="front_waste")
    if loom.sections is not None and loom.section_mm is None:
        raise BadInput(
            phrase("is not valid without {key}; expected both", key="section_width"), where="sections"
        )
    return loom


def _check_direct(loom: Loom) -> None:
    """A direct tie-up needs a treadle for each shaft, and shafts that a treadle moves one way."""
    if not loom.direct_tie_up:
        return
    if loom.kind == "countermarche" or loom.has_open_ends:
        raise BadInput(
            phrase(
                "a {kind_of_loom} loom has no direct tie-up; expected a table, jack or counterbalance loom",
                kind_of_loom=word(loom.kind),
            ),
            where="direct_tie_up",
        )
    if loom.treadles < loom.shafts:
        raise BadInput(
            phrase(
                "a direct tie-up has a treadle for each shaft; expected at least {shafts}", shafts=loom.shafts
            ),
            where="treadles",
        )


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


def _check_second(found: Fields) -> None:
    """A second warp has yarns of the warp, and an end drawn out of cloth is no shorter than the cloth."""
    for name in _OF_SECOND:
        if found.get(name) not in (None, False) and found.get("second_yarns") is None:
            raise BadInput(
                phrase("is not valid without {key}; expected both", key="second_yarns"),
                where=name.removesuffix("_m"),
            )
    for one, other in (("second_cut", "second_woven"), ("second_woven", "second_cut")):
        if found.get(f"{one}_m") is not None and found.get(f"{other}_m") is None:
            raise BadInput(phrase("is not valid without {key}; expected both", key=other), where=one)
    _refuse_twice(found.get("second_yarns") or (), "second_yarns")
    cut_m, woven_m = found.get("second_cut_m"), found.get("second_woven_m")
    if cut_m is not None and found.get("second_take_up") is not None:
        raise BadInput(
            phrase("is not valid together with {key}; expected one of them", key="second_take_up"),
            where="second_cut",
        )
    if cut_m is not None and woven_m is not None and cut_m < woven_m:
        raise BadInput(
            phrase("is shorter than the cloth it was drawn out of; expected at least second_woven"),
            where="second_cut",
        )


# Keys of a warp that are valid only where it has a second one.
_OF_SECOND = (
    "second_kind",
    "second_take_up",
    "second_cut_m",
    "second_woven_m",
    "second_tension",
    "second_weighted",
    "second_wound_length_m",
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
    if found.get("tied_waste_m") is not None and found.get("tied_to") is None:
        raise BadInput(phrase("is not valid without {key}; expected both", key="tied_to"), where="tied_waste")
    _check_double_cloth(found)
    if found.get("selvedge_ends_per_heddle") and not found.get("selvedge_ends"):
        raise BadInput(
            phrase("is not valid without {key}; expected both", key="selvedge_ends"),
            where="selvedge_ends_per_heddle",
        )
    _check_denting(found)
    _check_second(found)
    if found.get("stripes_mirrored") and not found.get("stripes"):
        raise BadInput(phrase("there are no stripes; expected stripes to mirror"), where="stripes_mirrored")
    named: Fields = {"warp_yarns": (), "weft_yarns": ()}  # where stripes name them
    if "looms" in found:
        _refuse_twice(found["looms"], "looms")
        named["loom"] = found["looms"][0]
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
    if record.looms and record.loom == record.looms[0]:
        del fields["loom"]
    else:  # a loom is chosen
        del fields["looms"]
    return fields, {}


def _refuse_twice(names: Sequence[str], where: str) -> None:
    for number, name in enumerate(names, 1):
        if name in names[: number - 1]:
            raise BadInput(
                phrase("{name} is there twice; expected it once", name=show(name)), where=(where, number)
            )


_SLOTS_MIN = (5, 6, 10, 12, 15, 20, 30, 40, 45, 60, 90, 120, 180, 240)  # of which a day is a whole number


def event(found: Fields) -> Event:
    made = Event(**found)
    if not any(abs(made.slot_h * 60 - minutes) < 1e-9 for minutes in _SLOTS_MIN):
        raise BadInput(
            phrase(
                "does not divide a day; expected one of {minutes} min", minutes=listed(map(str, _SLOTS_MIN))
            ),
            where="slot",
        )
    opens = min(day.start for day in made.days)
    if made.ready_by_said is not None and made.ready_by_said > opens:
        raise BadInput(
            phrase(
                "is after the first opening; expected {opening} or before", opening=f"{opens:%Y-%m-%d %H:%M}"
            ),
            where="ready_by",
        )
    _refuse_overlap(made.days, "days")
    _refuse_twice(made.warps or (), "warps")
    return made


def _refuse_overlap(days: tuple[Opening, ...], where: str) -> None:
    for number, day in enumerate(days, 1):
        for before in days[: number - 1]:
            if day.start < before.end and before.start < day.end:
                raise BadInput(
                    phrase("is open at the same time as another day; expected each hour once"),
                    where=(where, number),
                )


def person(found: Fields) -> Person:
    made = Person(**({"name": found["key"]} | found))
    for name in ("can", "learning"):
        _refuse_twice(getattr(made, name), name)
    for number, skill in enumerate(made.learning, 1):
        if "can" in found and skill in made.can:
            raise BadInput(
                phrase("{skill} is in can already; expected it in one of the two", skill=show(skill)),
                where=("learning", number),
            )
    return made


def fields_of_person(record: Person) -> tuple[Fields, Fields]:
    return {name: getattr(record, name) for name in Person.__slots__}, {"name": record.key}


def stand(found: Fields) -> Stand:
    made = Stand(**({"name": found["key"]} | found))
    _refuse_overlap(made.hours, "hours")
    return made


def material(found: Fields) -> Material:
    made = Material(**found)
    if made.yarn is not None and isinstance(made.each, int):
        raise BadInput(phrase('is a bare number; expected a weight of yarn like "30 g"'), where="each")
    if made.thing is not None and not isinstance(made.each, int):
        raise BadInput(phrase("is a weight; expected how many of the thing"), where="each")
    if made.yarn is not None and "have" in found:
        raise BadInput(phrase("is for a thing; expected cones on the shelf for a yarn"), where="have")
    return made


def lesson(found: Fields) -> Lesson:
    return Lesson(**({"name": found["key"]} | found))


def fields_of_named(record: Stand | Lesson) -> tuple[Fields, Fields]:
    return {name: getattr(record, name) for name in type(record).__slots__}, {"name": record.key}


def fields_of_item(record: Item) -> tuple[Fields, Fields]:
    """A piece's fields; weft yarns that its stripes name already are left out."""
    fields = {name: getattr(record, name) for name in Item.__slots__}
    if record.weft_stripes:
        del fields["weft_yarns"]
    if record.twisted_fringe_m:
        del fields["fringe_m"]
    return fields, {}
