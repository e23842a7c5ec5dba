"""A tree as TOML (or JSON) gives it to the model, with every refusal placed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from loomready.guildfile.records import nearest, place, read_record, refuse_unknown_keys
from loomready.guildfile.schema import GUILD, SECTIONS
from loomready.guildfile.values import inside, show
from loomready.model.guild import Guild, Item, WarpOrder
from loomready.phrases import listed, phrase, word
from loomready.problems import BadInput, Place, shorten


def decode(tree: object) -> Guild:
    """The guild that a tree describes.

    >>> decode({"reeds": [{"key": "fine", "dents": "60 /10cm", "width": "70 cm"}]}).reeds[0].width_mm
    700.0

    :raises BadInput: ``where`` is the place, like ``[cones 3] gross``; unknown keys come before all else
    """
    if not isinstance(tree, Mapping):
        raise BadInput(phrase("{written} is not a guild file; expected sections", written=show(tree)))
    _refuse_unknown(tree)
    found: dict[str, Any] = {}
    for name, section in SECTIONS.items():
        if section.many:
            tables = _with_keys(name, _tables(tree, name))
            found[name] = tuple(_record(name, table, number) for number, table in enumerate(tables, 1))
            _refuse_twins(name, found[name])
        elif section is not GUILD and name in tree:
            with inside(f"[{name}]"):
                found[name] = read_record(section, tree[name])
    with inside("[guild]"):
        guild = read_record(GUILD, tree.get("guild", {}))
    whole = Guild(**{field.field: getattr(guild, field.field) for field in GUILD.keys}, **found)
    _refuse_strangers(whole)
    _refuse_circles(whole)
    return whole


def decode_record(section: str, fields: object) -> Any:
    """One record that stands alone: ``decode_record("reeds", {...})``. Every record carries its key.

    :raises BadInput: ``where`` is the key inside the record; no such section
    """
    if section not in SECTIONS:
        raise BadInput(
            phrase(
                "{written} is not a section; {advice}",
                written=show(section),
                advice=nearest(section, SECTIONS),
            )
        )
    refuse_unknown_keys(SECTIONS[section], fields)
    return read_record(SECTIONS[section], fields)


def _refuse_unknown(tree: Mapping[Any, Any]) -> None:
    for name, value in tree.items():
        if name not in SECTIONS:
            if name in GUILD.by_name:
                raise BadInput(
                    phrase("is outside every section; expected it under [guild]"), where=place(name)
                )
            shown = f"[{place(name)}]" if isinstance(value, Mapping | list) else place(name)
            raise BadInput(
                phrase("unknown section; {advice}", advice=nearest(name, SECTIONS, "[{}]")), where=shown
            )
        section = SECTIONS[name]
        if not section.many:
            with inside(f"[{name}]"):
                refuse_unknown_keys(section, value)
        elif isinstance(value, list | tuple):
            for number, table in enumerate(value, 1):
                with inside(f"[{name} {number}]"):
                    refuse_unknown_keys(section, table)


def _tables(tree: Mapping[str, Any], name: str) -> list[Any]:
    value = tree.get(name, [])
    if not isinstance(value, list | tuple):
        raise BadInput(
            phrase(
                "{written} is not a list of tables; expected [[{section}]], a table for each",
                written=show(value),
                section=name,
            ),
            where=f"[{name}]",
        )
    return list(value)


def _record(name: str, table: object, number: int) -> Any:
    with inside(f"[{name} {number}]"):
        return read_record(SECTIONS[name], table)


def _with_keys(name: str, tables: list[Any]) -> list[Any]:
    """Cones without a key get their yarn's with their number among its cones, or the next free one.

    Those of the shop likewise, and what is packed after what it is for.
    """
    named_after = {"cones": "yarn", "shop": "yarn", "packing": "for"}.get(name)
    if named_after is None:
        return tables
    taken = {table["key"] for table in tables if isinstance(table, Mapping) and _is_text(table.get("key"))}
    seen: dict[str, int] = {}
    last: dict[str, int] = {}
    keyed = []
    for table in tables:
        yarn = table.get(named_after) if isinstance(table, Mapping) else None
        if isinstance(yarn, str):
            number = seen[yarn] = seen.get(yarn, 0) + 1
            if "key" not in table:
                number = max(number, last.get(yarn, 0) + 1)
                while f"{yarn}-{number}" in taken:
                    number += 1
                last[yarn] = number
                table = {**table, "key": f"{yarn}-{number}"}
        keyed.append(table)
    return keyed


def _is_text(value: object) -> bool:
    return isinstance(value, str)


def _refuse_twins(name: str, records: tuple[Any, ...]) -> None:
    first: dict[str, int] = {}
    for number, record in enumerate(records, 1):
        before = first.setdefault(record.key, number)
        if before != number:
            raise BadInput(
                phrase(
                    "{key} is already the key of [{section} {number}]; expected another key",
                    key=show(record.key),
                    section=name,
                    number=before,
                ),
                where=(f"[{name} {number}]", "key"),
            )


def _refuse_strangers(guild: Guild) -> None:
    """Every name that stands for a yarn, a loom, a reed or a warp has to be one."""
    yarns = dict.fromkeys(yarn.key for yarn in guild.yarns)
    looms = dict.fromkeys(loom.key for loom in guild.looms)
    reeds = dict.fromkeys(reed.key for reed in guild.reeds)
    for number, cone in enumerate(guild.cones, 1):
        _known(cone.yarn, yarns, "yarn", (f"[cones {number}]", "yarn"))
    for number, full in enumerate(guild.shop, 1):
        _known(full.yarn, yarns, "yarn", (f"[shop {number}]", "yarn"))
    warps = dict.fromkeys(warp.key for warp in guild.warps)
    for number, key in enumerate((guild.event and guild.event.warps) or (), 1):
        _known(key, warps, "warp", ("[event]", "warps", number))
    _strangers_of_the_day(guild, yarns, warps, looms)
    for number, warp in enumerate(guild.warps, 1):
        if not warp.looms:
            _known(warp.loom, looms, "loom", (f"[warps {number}]", "loom"))
        for position, loom in enumerate(warp.looms, 1):
            _known(loom, looms, "loom", (f"[warps {number}]", "looms", position))
        for name in ("reed", "wound_reed"):
            if (reed := getattr(warp, name)) is not None:
                _known(reed, reeds, "reed", (f"[warps {number}]", name))
        for name in ("warp_yarns", "weft_yarns"):
            for position, yarn in enumerate(getattr(warp, name), 1):
                _known(yarn, yarns, "yarn", _place_of_yarn(warp, name, position, (f"[warps {number}]",)))
        _yarns_of_samples(warp, yarns, (f"[warps {number}]",))
        for piece, item in enumerate(warp.items, 1):
            for name in ("weft_yarns", "hem_weft_yarns"):
                for position, yarn in enumerate(getattr(item, name) or (), 1):
                    where = (f"[warps {number}]", "items", piece)
                    _known(yarn, yarns, "yarn", _place_of_yarn(item, name, position, where))


def _strangers_of_the_day(
    guild: Guild, yarns: dict[str, None], warps: dict[str, None], looms: dict[str, None]
) -> None:
    people = dict.fromkeys(person.key for person in guild.people)
    for number, stand in enumerate(guild.stands, 1):
        if stand.warp is not None:
            _known(stand.warp, warps, "warp", (f"[stands {number}]", "warp"))
    for number, lesson in enumerate(guild.classes, 1):
        if lesson.teacher is not None:
            _known(lesson.teacher, people, "person", (f"[classes {number}]", "teacher"))
        for part, material in enumerate(lesson.materials, 1):
            if material.yarn is not None:
                where = (f"[classes {number}]", "materials", part, "yarn")
                _known(material.yarn, yarns, "yarn", where)
    places = (
        "event",
        *looms,
        *(stand.key for stand in guild.stands),
        *(lesson.key for lesson in guild.classes),
    )
    for number, packed in enumerate(guild.packing, 1):
        _known(packed.packed_for, dict.fromkeys(places), "place", (f"[packing {number}]", "for"))


def _refuse_circles(guild: Guild) -> None:
    """A warp that is tied on has an old warp under it, which is not tied on to it in turn."""
    warps = {warp.key: warp for warp in guild.warps}
    for number, warp in enumerate(guild.warps, 1):
        if warp.tied_to is None:
            continue
        where = (f"[warps {number}]", "tied_to")
        _known(warp.tied_to, dict.fromkeys(warps), "warp", where)
        seen: set[str] = {warp.key}
        old: str | None = warp.tied_to
        while old is not None and old not in seen:
            seen.add(old)
            old = warps[old].tied_to if old in warps else None
        if old is not None:
            raise BadInput(
                phrase("warp {warp} would be tied on to itself; expected an older warp", warp=show(old)),
                where=where,
            )


def _yarns_of_samples(warp: WarpOrder, yarns: dict[str, None], where: Place) -> None:
    for number, sample in enumerate(warp.samples, 1):
        for position, yarn in enumerate(sample.weft_yarns or (), 1):
            _known(yarn, yarns, "yarn", (*where, "samples", number, "weft_yarns", position))


def _place_of_yarn(record: WarpOrder | Item, name: str, position: int, where: Place) -> Place:
    """Where a yarn is named: in a list of yarns, or in the first stripe of it."""
    stripes = getattr(record, SECTIONS["warps"].instead.get(name, ""), ())
    if not stripes:
        return (*where, name, position)
    yarn = getattr(record, name)[position - 1]
    first = next(number for number, stripe in enumerate(stripes, 1) if stripe.yarn == yarn)
    return (*where, SECTIONS["warps"].instead[name], first, "yarn")


def _known(name: str, known: dict[str, None], what: str, where: Place) -> None:
    if name in known:
        return
    some = [shorten(key) for key in list(known)[:8]]
    if not some:
        expected = phrase("a {yarn_or_loom} of this file, which has none", yarn_or_loom=word(what))
    elif len(known) > len(some):
        expected = phrase("one of {keys} and {more} more", keys=listed(some), more=len(known) - len(some))
    else:
        expected = phrase("one of {keys}", keys=listed(some))
    raise BadInput(
        phrase(
            "there is no {yarn_or_loom} {key}; expected {expected}",
            yarn_or_loom=word(what),
            key=show(name),
            expected=expected,
        ),
        where=where,
    )
