"""The guild from its records, its drafts, and its plans: everything is cached by content."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from pathlib import PurePosixPath
from typing import Any, TypeVar

from loomready import guildfile
from loomready.app.models import Record
from loomready.draft.draft import Draft
from loomready.draft.wif import reader
from loomready.guildfile import as_json
from loomready.guildfile.kinds import AROUND_BEAM
from loomready.guildfile.schema import SECTIONS
from loomready.model.guild import Cone, Guild, Loom, WarpOrder, Yarn
from loomready.phrases import phrase
from loomready.problems import BadInput, Problem
from loomready.units import Shown
from loomready.warp import findings
from loomready.warp.free_reeds import in_its_reed
from loomready.warp.plan import plan_warp, shelf_now
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf

Fields = dict[str, Any]
Used = tuple[tuple[str, Draft], ...]
Chain = tuple[tuple[WarpOrder, Used], ...]
_KEPT = 50  # entries of records as they were before, for those who are reading them just now
_NAMED = ("yarns", "looms", "reeds", "boards", "warps", "people", "stands", "classes")
# Kinds of records that say something about another one, under its key.
_ABOUT = {
    **dict.fromkeys(("progress", "happened", "tested", "slips", "facts"), "warps"),
    **dict.fromkeys(("weighings", "mistakes"), "cones"),
    "beam": "looms",
}


@dataclass(frozen=True)
class Entry:
    """A record as it is read: its version is what a change has to name."""

    kind: str
    key: str
    version: int
    fields: Fields

    @cached_property
    def text(self) -> str:
        """Its fields as JSON: equal for equal fields only, where Python takes 1 and true for equal."""
        return json.dumps(self.fields)


@dataclass(frozen=True, slots=True)
class Planned:
    """A warp with its plan, or the one line with the reason why there is none."""

    order: WarpOrder
    plan: WarpPlan | None
    error: BadInput | None
    remains: Shelf


class Snapshot:
    """A guild at one moment."""

    def __init__(self, entries: Mapping[tuple[str, str], Entry]) -> None:
        self.entries = entries
        self.guild = _guild(entries)
        self.drafts = {
            key: parsed(entry.fields["wif"]).draft
            for (kind, key), entry in entries.items()
            if kind == "drafts"
        }
        for number, order in enumerate(self.guild.warps, 1):
            for path in order.drafts:
                if path not in self.drafts:
                    raise BadInput(
                        phrase('there is no draft "{path}"', path=path), where=f"[warps {number}] draft"
                    )

    def entry(self, kind: str, key: str) -> Entry | None:
        return self.entries.get((kind, key))

    def of_kind(self, kind: str) -> list[Entry]:
        return [entry for (each, _), entry in self.entries.items() if each == kind]

    def name(self, kind: str, key: str) -> str:
        """What people call a record; of one that is gone its key."""
        return self._names.get((_ABOUT.get(kind, kind), key), key)

    def usual_name(self, kind: str, key: str) -> str:
        """What a record is called while its fields hold no name."""
        if kind != "cones":
            return key
        unnamed = tuple(replace(cone, own_name=None) for cone in self.guild.cones if cone.key == key)
        return replace(self.guild, cones=unnamed).name_of_cone(key)

    def names(self, kind: str) -> dict[str, str]:
        """The names of all records of a kind, by their keys."""
        return {key: name for (each, key), name in self._names.items() if each == kind}

    @cached_property
    def _names(self) -> dict[tuple[str, str], str]:
        guild = self.guild
        named: dict[str, tuple[Any, ...]] = {kind: getattr(guild, kind) for kind in _NAMED}
        names = {(kind, each.key): each.name for kind, records in named.items() for each in records}
        names |= {("cones", cone.key): guild.name_of_cone(cone.key) for cone in guild.cones}
        return names | {("drafts", key): title_of(draft, key) for key, draft in self.drafts.items()}

    @property
    def show(self) -> Shown:
        return Shown(self.guild.units)

    @cached_property
    def planned(self) -> tuple[Planned, ...]:
        """Every warp in order, each after the earlier ones took their part of the shelf."""
        bare = self._bare
        made: list[Planned] = []
        chain: Chain = self._wound
        shelf = _shelf_now(bare, chain)
        for order in self._orders:
            used = self._used(order)
            planned = _plan(order, bare, used, _Chained(shelf, chain))
            chain = (*chain, (order, used))
            made.append(planned)
            shelf = planned.remains
        return tuple(made)

    @property
    def now(self) -> Shelf:
        """The shelf less what wound and finished warps took since its cones were weighed."""
        return _shelf_now(self._bare, self._wound)

    @cached_property
    def _bare(self) -> Guild:
        """The guild with only loom and name of each warp: a change to one warp leaves the plans of others
        cached.

        Warps that hold a reed stay complete: the others may not choose it. So do old warps that others are
        tied on to.
        """
        old = {order.tied_to for order in self._orders}
        warps = (
            order if in_its_reed(order) or order.key in old else _on_its_loom(order) for order in self._orders
        )
        return replace(
            self.guild,
            yarns=_without_notes(self.guild.yarns),
            cones=_without_notes(self.guild.cones),
            looms=_without_notes(self.guild.looms),
            warps=tuple(warps),
        )

    @cached_property
    def _orders(self) -> tuple[WarpOrder, ...]:
        """The warps as they are planned: what is noted of them changes no plan."""
        return _without_notes(self.guild.warps)

    @cached_property
    def _wound(self) -> Chain:
        return tuple((each, self._used(each)) for each in self._orders if each.wound or each.off)

    def _used(self, order: WarpOrder) -> Used:
        """The drafts of a warp and its pieces, by their paths; of a warp in its reed those of all such."""
        others = [each for each in self.guild.warps if in_its_reed(each)] if in_its_reed(order) else []
        others += self._under(order)
        paths = dict.fromkeys(path for each in (order, *others) for path in each.drafts)
        return tuple((path, self.drafts[path]) for path in paths)

    def _under(self, order: WarpOrder) -> list[WarpOrder]:
        """The old warp that an order is tied on to, and those under it in turn."""
        found: list[WarpOrder] = []
        warps = {each.key: each for each in self.guild.warps}
        while order.tied_to is not None:
            order = warps[order.tied_to]
            found.append(order)
        return found

    def plan_of(self, key: str) -> Planned | None:
        return next((each for each in self.planned if each.order.key == key), None)

    @cached_property
    def problems(self) -> tuple[Problem, ...]:
        return findings.of_guild(self.guild)


Noted = TypeVar("Noted", Yarn, Cone, Loom, WarpOrder)


def _without_notes(records: tuple[Noted, ...]) -> tuple[Noted, ...]:
    return tuple(replace(each, notes="") if each.notes else each for each in records)


def _on_its_loom(order: WarpOrder) -> WarpOrder:
    return WarpOrder(order.key, order.loom, "", (), (), 1.0, (), 1.0, off=order.off, own_name=order.own_name)


class _Chained:
    """Cache key: a shelf, equal if the same orders took yarn from it before."""

    def __init__(self, shelf: Shelf, chain: Chain) -> None:
        self.shelf, self.chain = shelf, chain

    def __hash__(self) -> int:
        return hash(self.chain)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Chained) and self.chain == other.chain


@lru_cache(maxsize=8)
def _shelf_now(bare: Guild, wound: Chain) -> Shelf:
    drafts = {path: draft for _, used in wound for path, draft in used}
    return shelf_now(bare, [order for order, _ in wound], drafts)


@lru_cache(maxsize=256)
def _plan(order: WarpOrder, bare: Guild, used: Used, before: _Chained) -> Planned:
    try:
        plan, remains = plan_warp(order, bare, dict(used), before.shelf)
    except BadInput as error:
        return Planned(order, None, error, before.shelf)
    return Planned(order, plan, None, remains)


@lru_cache(maxsize=512)
def parsed(text: str) -> reader.WifFile:
    """A draft's file, parsed once: the same text is the same draft object."""
    return reader.parse(text.encode())


def title_of(draft: Draft, key: str) -> str:
    """A draft's title, or the name of its file."""
    return draft.title or PurePosixPath(key).stem


_entries: dict[tuple[int, int, str], Entry] = {}


def current_snapshot() -> Snapshot:
    """The guild as it is stored now.

    :raises BadInput: the records do not make a guild; the transaction that made them so must go back
    """
    rows = list(Record.objects.values_list("pk", "version", "mark", "kind", "key"))
    kept = {row[:3]: entry for row in rows if (entry := _entries.get(row[:3])) is not None}
    unknown = [row[0] for row in rows if row[:3] not in kept]
    for record in Record.objects.filter(pk__in=unknown) if unknown else ():
        entry = Entry(record.kind, record.key, record.version, record.fields)
        kept[record.pk, record.version, record.mark] = entry
    _entries.update(kept)
    if len(_entries) > 2 * len(kept) + _KEPT:
        for old in [each for each in list(_entries) if each not in kept]:
            _entries.pop(old, None)
    if any(row[:3] not in kept for row in rows):  # changed between the two looks
        return current_snapshot()
    entries = {(kind, key): kept[pk, version, mark] for pk, version, mark, kind, key in rows}
    return _snapshot(_Entries(entries))


def forget_entries() -> None:
    """Read every record again: the table is filled with rows that were not written here."""
    _entries.clear()


class _Entries(dict[tuple[str, str], Entry]):
    """Entries that can be a cache's key: equal when they are the very same ones."""

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(tuple((*names, id(entry)) for names, entry in self.items()))

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, _Entries)
            and list(self) == list(other)
            and all(mine is theirs for mine, theirs in zip(self.values(), other.values(), strict=True))
        )


@lru_cache(maxsize=8)
def _snapshot(entries: _Entries) -> Snapshot:
    return Snapshot(entries)


def tree(entries: Mapping[tuple[str, str], Entry]) -> Fields:
    """The guild file's tree, every text as it was typed."""
    made: Fields = {}
    for name, section in SECTIONS.items():
        tables = [dated(name, entry.fields) for entry in _in_order(entries, name)]
        if tables:
            made[name] = tables if section.many else tables[0]
    return made


def _in_order(entries: Mapping[tuple[str, str], Entry], name: str) -> list[Entry]:
    """The records of a section in order of creation; warps in the guild's order, new ones last."""
    found = [entry for (kind, _), entry in entries.items() if kind == name]
    order = entries.get(("order", name))
    if order is not None:
        place = {key: number for number, key in enumerate(order.fields["keys"])}
        found.sort(key=lambda entry: place.get(entry.key, len(place)))
    return found


def _guild(entries: Mapping[tuple[str, str], Entry]) -> Guild:
    records = {name: tuple(_in_order(entries, name)) for name in SECTIONS}
    records["looms"] = tuple(_measured(loom, entries.get(("beam", loom.key))) for loom in records["looms"])
    return _decoded(_Sections(tuple(records.items())))


def _measured(loom: Entry, beam: Entry | None) -> Entry:
    """A loom with what was measured around its beam at the loom, where its own table does not say it.

    An earlier version kept measures that are out of range; these say nothing.
    """
    around = None if beam is None else beam.fields.get("around")
    if not around or "beam_around" in loom.fields:
        return loom
    try:
        AROUND_BEAM.read(around)
    except BadInput:
        return loom
    return replace(loom, fields=loom.fields | {"beam_around": around})


class _Sections:
    """Cache key: the records of a guild file, equal if they hold the same."""

    def __init__(self, records: tuple[tuple[str, tuple[Entry, ...]], ...]) -> None:
        self.records = records
        self._texts = tuple((name, tuple(each.text for each in entries)) for name, entries in records)

    def __hash__(self) -> int:
        return hash(self._texts)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Sections) and self._texts == other._texts


@lru_cache(maxsize=16)
def _decoded(sections: _Sections) -> Guild:
    made: Fields = {}
    for name, entries in sections.records:
        found = [dated(name, entry.fields) for entry in entries]
        if SECTIONS[name].many:
            made[name] = found
        elif found:
            made[name] = found[0]
    return guildfile.decode(made)


def dated(kind: str, fields: Fields) -> Fields:
    """Dates as the codec wants them."""
    return as_json.dated(SECTIONS[kind], fields)


def plain(fields: Fields) -> Fields:
    """A table of the guild file as JSON holds it."""
    made: Fields = json.loads(json.dumps(fields, default=lambda day: day.isoformat()))
    return made
