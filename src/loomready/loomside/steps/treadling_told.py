"""The treadling of each weft in a weaver's short form: repeats in brackets, tabby said once.

Written as handbooks write it (common practice, no source): "4 × (3, tabby)", "1–8" for eight treadles one
after the other. On a loom with levers, lifts of many shafts get numbers, and the order names the numbers.
Pieces that are treadled alike share one list.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from loomready.draft import tabby
from loomready.draft.draft import Draft
from loomready.loomside.steps.lifting import Lifting, lifting
from loomready.loomside.steps.short_form import Part, short_form, tabby_picks, written
from loomready.loomside.steps.threading import loom_shaft
from loomready.phrases import Phrase, joined, listed, phrase
from loomready.problems import BadInput
from loomready.warp.length import pick_roles
from loomready.warp.result import WarpPlan, Weft
from loomready.warp.rigid import Through, through

TABBY = -1  # in place of a number: the next of the two tabby sheds
RUN = 5  # numbers one after the other that are written as "1–5" (our choice)
A_LINE = 12  # picks in a line where nothing repeats (our choice)
DIRECT = 16  # lifts of several shafts that are written out in the lines; more get numbers (our choice)
TABBY_SHARE = 0.3  # of all picks that are tabby where tabby is worth a word (our choice)


@dataclass(frozen=True, slots=True)
class Shed:
    """What is pressed or lifted for one pick: ``moved`` treadles, or shafts on levers; ``yarn`` or ""."""

    moved: tuple[int, ...]
    yarn: str


@dataclass(frozen=True, slots=True)
class Line:
    """Picks ``first`` to ``last`` of the repeat, from 1. ``yarn``: of all that it names, "" if it says them
    itself or the weft has but one."""

    first: int
    last: int
    yarn: str
    told: str


@dataclass(frozen=True, slots=True, eq=False)
class Treadling:
    """One list of picks, for all wefts that are treadled so.

    ``places``: of those wefts in the plan; ``label`` names them. ``repeat``: picks after which it begins
    again. ``tabby``: a sentence about the tabby picks, "" where the lines name none. ``lines``: the repeat in
    order.
    """

    places: tuple[int, ...]
    label: Phrase
    repeat: int
    tabby: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Treadlings:
    """All treadlings of a warp. ``lifts``: what the numbers in the lines stand for, number 1 first; empty
    where the lines name treadles or shafts themselves."""

    lifts: tuple[tuple[int, ...], ...]
    lists: tuple[Treadling, ...]


def treadlings(plan: WarpPlan, letter: Callable[[str], str] = str) -> Treadlings:
    """How every weft of the plan is treadled; no lists where the loom has too few treadles.

    :param letter: for a yarn's key, what the lines name it by
    """
    made = [_woven(plan, weft) for weft in plan.wefts]
    on_loom, way = loom_shaft(plan), through(plan)
    alike: dict[tuple[Shed, ...], list[int]] = {}
    for place, (woven, sheds) in enumerate(made):
        if not woven.too_few:
            alike.setdefault(sheds, []).append(place)
    prepared = [
        (tuple(places), _Listed.of(plan.wefts[places[0]].draft, made[places[0]][0], sheds, on_loom))
        for sheds, places in alike.items()
    ]
    levers = any(woven.treadles is None for woven, _ in made) and way is None
    numbered = levers and _worth_numbers([each for _, each in prepared])
    lifts = _lifts([each for _, each in prepared]) if numbered else ()
    number = {lift: (place,) for place, lift in enumerate(lifts, start=1)}
    lists = []
    for places, each in prepared:
        say = _Say(way, number, letter)
        label = listed(plan.wefts[place].label for place in places)
        lists.append(Treadling(places, label, len(each.sheds), each.tabby_told(say), tuple(each.lines(say))))
    return Treadlings(lifts, tuple(lists))


def lines_of(picks: Sequence[tuple[int, ...]]) -> tuple[Line, ...]:
    """Picks without yarns or tabby in the short form.

    :param picks: for each the treadles pressed, or the shafts lifted, from 1

    >>> [line.told for line in lines_of([(1,), (2,)] * 3 + [(1, 3)])]
    ['3 × (1, 2)', '1 3']
    """
    sheds = tuple(Shed(pick, "") for pick in picks)
    made = _Listed(sheds, range(len(sheds)), sheds, None, None)
    return tuple(made.lines(_Say(None, {}, str)))


def _woven(plan: WarpPlan, weft: Weft) -> tuple[Lifting, tuple[Shed, ...]]:
    """The repeat; yarns only where it has several, so that pieces in other yarns can share the list."""
    woven = lifting(weft.draft, plan.loom, loom_shaft(plan), plan.treadles, in_stripes=bool(weft.stripes))
    yarns = [""] * woven.repeat
    if not weft.stripes:
        keys = [weft.yarns[role] for role in pick_roles(weft, woven.repeat).tolist()]
        yarns = keys if len(set(keys)) > 1 else yarns
    moved = woven.treadles or [tuple((np.flatnonzero(row) + 1).tolist()) for row in woven.up]
    return woven, tuple(map(Shed, moved, yarns))


@dataclass(frozen=True, slots=True, eq=False)
class _Listed:
    """A repeat with its tabby picks found.

    ``kept``: the picks that are listed, as places. ``tokens``: what each of them is written as. ``tabby``:
    the first two tabby sheds. ``begins``: where all tabby is left out, whether the first pick is tabby.
    """

    sheds: tuple[Shed, ...]
    kept: range
    tokens: tuple[Shed, ...]
    tabby: tuple[Shed, Shed] | None
    begins: bool | None

    @classmethod
    def of(
        cls, draft: Draft, woven: Lifting, sheds: tuple[Shed, ...], on_loom: Sequence[int | None]
    ) -> _Listed:
        lifts = [frozenset((np.flatnonzero(row) + 1).tolist()) for row in woven.up]
        plain = _plain(draft, on_loom)
        ground = tabby_picks(lifts, [shed.yarn for shed in sheds], plain)
        if ground is not None:
            kept = range(1 if ground.begins else 0, len(sheds), 2)
            one, other = (sheds[place] for place in ground.sheds)
            return cls(sheds, kept, tuple(sheds[place] for place in kept), (one, other), ground.begins)
        tokens, pair = _with_tabby(lifts, sheds, plain)
        return cls(sheds, range(len(sheds)), tokens, pair, None)

    def tabby_told(self, say: _Say) -> str:
        if self.tabby is None:
            return ""
        one, other = (say.pick(shed, with_yarn=True) for shed in self.tabby)
        if self.begins is None:
            return phrase("Tabby: {one} and {other} in turn, starting with {one}.", one=one, other=other)
        if self.begins:
            return phrase(
                "Tabby: {one} and {other} in turn, one pick before each pick listed; tabby is not listed.",
                one=one,
                other=other,
            )
        return phrase(
            "Tabby: {one} and {other} in turn, one pick after each pick listed; tabby is not listed.",
            one=one,
            other=other,
        )

    def lines(self, say: _Say) -> Iterator[Line]:
        each, at = self.kept.step, 0
        units, parts = _brackets(self.tokens, say)
        for part in parts:
            yarns = {shed.yarn for place in _named(part) for shed in units[place]}
            yarn = yarns.pop() if len(yarns) == 1 else ""
            for picks, told in _in_lines(part, units, say, with_yarn=not yarn):
                yield Line(at * each + 1, (at + picks) * each, yarn, told)
                at += picks


Unit = tuple[Shed, ...]
"""Picks that are written together: one, or a run."""


@dataclass(frozen=True, slots=True)
class _Say:
    """How one pick is written: its treadles or shafts, the number of its lift, or where the heddle stands."""

    way: Through | None
    number: dict[tuple[int, ...], tuple[int]]
    letter: Callable[[str], str]

    def numbers(self, shed: Shed) -> tuple[int, ...]:
        return self.number.get(shed.moved, shed.moved)

    def pick(self, shed: Shed, *, with_yarn: bool) -> str:
        if shed.moved == (TABBY,):
            which: str = phrase("tabby")
        elif self.way is not None:
            which = self.way.moves(frozenset(shed.moved))
        else:
            which = " ".join(map(str, self.numbers(shed))) or phrase("none")
        return self.of_yarn(which, shed) if with_yarn else which

    def of_yarn(self, told: str, shed: Shed) -> str:
        return joined(" ", (told, self.letter(shed.yarn))) if shed.yarn else told

    def in_run(self, shed: Shed) -> int | None:
        """The one number of the pick, if it can be part of a run."""
        numbers = self.numbers(shed)
        return numbers[0] if len(numbers) == 1 and numbers[0] != TABBY and self.way is None else None


def _plain(draft: Draft, on_loom: Sequence[int | None]) -> frozenset[frozenset[int]]:
    """The two tabby sheds of the threading on the loom's shafts; none where it cannot be woven plain."""
    try:
        made = tabby.tabby_of(draft.threading, draft.shafts)
    except BadInput:
        return frozenset()
    return frozenset(
        frozenset(shaft for n in np.flatnonzero(side).tolist() if (shaft := on_loom[n]) is not None)
        for side in (made.a, made.b)
    )


def _with_tabby(
    lifts: Sequence[frozenset[int]], sheds: tuple[Shed, ...], plain: frozenset[frozenset[int]]
) -> tuple[tuple[Shed, ...], tuple[Shed, Shed] | None]:
    """The picks with TABBY for those in a tabby shed, if these come in turn through the whole repeat."""
    places = [place for place, lift in enumerate(lifts) if lift in plain]
    if len(places) % 2 or not TABBY_SHARE * len(sheds) <= len(places) < len(sheds):
        return sheds, None
    moved = [sheds[place].moved for place in places]
    if moved[0] == moved[1] or moved != moved[:2] * (len(places) // 2):
        return sheds, None
    if len({sheds[place].yarn for place in places}) > 1:
        return sheds, None
    inside = set(places)
    tokens = (Shed((TABBY,), shed.yarn) if at in inside else shed for at, shed in enumerate(sheds))
    return tuple(tokens), (sheds[places[0]], sheds[places[1]])


def _worth_numbers(prepared: list[_Listed]) -> bool:
    """Whether the lifts get numbers: too many of several shafts would have to be written out."""
    several = any(len(shed.moved) > 1 for each in prepared for shed in each.sheds)
    return several and sum(written(short_form(each.tokens)) for each in prepared) > DIRECT


def _lifts(prepared: list[_Listed]) -> tuple[tuple[int, ...], ...]:
    every = (shed.moved for each in prepared for shed in (*(each.tabby or ()), *each.tokens))
    return tuple(dict.fromkeys(moved for moved in every if moved != (TABBY,)))


def _brackets(tokens: Sequence[Shed], say: _Say) -> tuple[list[Unit], tuple[Part, ...]]:
    """The picks in brackets, with runs where that is shorter; the parts count units."""
    single: list[Unit] = [(token,) for token in tokens]
    with_runs = list(_runs(tokens, say))
    plain, shorter = short_form(single), short_form(with_runs)
    numbers = sum(min(2, len(with_runs[place])) for part in shorter for place in _named(part))
    return (with_runs, shorter) if numbers < written(plain) else (single, plain)


def _runs(tokens: Sequence[Shed], say: _Say) -> Iterator[Unit]:
    """The picks; five and more whose numbers go up, or down, by one in one yarn are one unit."""
    at = 0
    while at < len(tokens):
        picks = _run(tokens[at:], say)
        picks = picks if picks >= RUN else 1
        yield tuple(tokens[at : at + picks])
        at += picks


def _run(sheds: Sequence[Shed], say: _Say) -> int:
    """Picks from the first on that go up, or down, by one."""
    picks, before, step = 1, say.in_run(sheds[0]), 0
    while picks < len(sheds) and before is not None:
        here = say.in_run(sheds[picks])
        if here is None or sheds[picks].yarn != sheds[0].yarn or abs(here - before) != 1:
            break
        if step and here - before != step:
            break
        before, step, picks = here, here - before, picks + 1
    return picks


def _in_lines(
    part: Part, units: Sequence[Unit], say: _Say, *, with_yarn: bool
) -> Iterator[tuple[int, Phrase]]:
    """The part in lines, each with its listed picks; long stretches without repeats are cut, so that a place
    in them can be kept."""
    items = list(_items(part.inside, units, say, with_yarn=with_yarn))
    picks = sum(count for count, _ in items)
    if part.times > 1:
        yield part.times * picks, _told(part, units, say, with_yarn=with_yarn)
        return
    for at in range(0, len(items), A_LINE):
        line = items[at : at + A_LINE]
        yield sum(count for count, _ in line), joined(", ", (told for _, told in line))


def _named(part: Part) -> Iterator[int]:
    for each in part.inside:
        if isinstance(each, Part):
            yield from _named(each)
        else:
            yield each


def _told(part: Part, units: Sequence[Unit], say: _Say, *, with_yarn: bool) -> Phrase:
    picks = joined(", ", (told for _, told in _items(part.inside, units, say, with_yarn=with_yarn)))
    return picks if part.times == 1 else phrase("{times} × ({picks})", times=part.times, picks=picks)


def _items(
    inside: Sequence[int | Part], units: Sequence[Unit], say: _Say, *, with_yarn: bool
) -> Iterator[tuple[int, str]]:
    """What stands between commas, each with its listed picks: brackets, runs and single picks."""
    for each in inside:
        if isinstance(each, Part):
            picks = sum(count for count, _ in _items(each.inside, units, say, with_yarn=with_yarn))
            yield each.times * picks, _told(each, units, say, with_yarn=with_yarn)
        elif len(unit := units[each]) == 1:
            yield 1, say.pick(unit[0], with_yarn=with_yarn)
        else:
            first, last = (say.pick(shed, with_yarn=False) for shed in (unit[0], unit[-1]))
            run = phrase("{first}–{last}", first=first, last=last)
            yield len(unit), say.of_yarn(run, unit[0]) if with_yarn else run
