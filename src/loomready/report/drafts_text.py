"""Drafts turned to treadles and balanced, told in plain text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from loomready.draft.balance.balance import Balance, BalanceOffer, Cloth, leaning, matching_edges, mirror_ends
from loomready.draft.draft import Bools
from loomready.draft.shedding.fewest_treadles import Tieup
from loomready.draft.shedding.treadle_order import footwork
from loomready.loomside.steps.treadling_told import lines_of
from loomready.loomside.steps.words import span
from loomready.phrases import ENGLISH, Catalog, Phrase, joined, phrase, plural, some
from loomready.report.layout import columns, in_lines, indented, labeled

KINDS = {
    "slide": phrase("slide"),
    "add": phrase("add"),
    "drop": phrase("drop"),
    "change": phrase("change"),
}
"""What a proposal does with ends, in a word."""
_MOST_TOLD = 24  # of a list; the written file has them all


def tell_tieup(made: Tieup, name: str, within: int, catalog: Catalog = ENGLISH) -> str:
    """The tie-up with the fewest treadles: what is tied, what is pressed, in the catalog's language."""
    fits = made.treadles <= within
    proof = (
        phrase("proved least")
        if made.proved_least
        else phrase("not proved least: {at_least} are a lower bound", at_least=made.at_least)
    )
    lines: list[str] = [
        phrase(
            "{draft}: {treadles}, {proof}", draft=name, treadles=some(made.treadles, "treadle"), proof=proof
        )
    ]
    if not fits and made.at_least > within:
        lines.append(
            phrase("It can't be woven with {treadles} on this shed.", treadles=some(within, "treadle"))
        )
    elif not fits:
        lines.append(
            phrase(
                "No tie-up with {treadles} was found; it is not proved that none exists.",
                treadles=some(within, "treadle"),
            )
        )
    lines.append(phrase("With one treadle per lift it takes {treadles}.", treadles=made.own))
    lines += _feet(made)
    lines += ["", *_ties(made, catalog)]
    pressed = [tuple((np.flatnonzero(row) + 1).tolist()) for row in made.treadling]
    told = [(f"{span(line.first, line.last):>7}", line.told) for line in lines_of(pressed)]
    head = (phrase("Picks"), phrase("Treadles; in brackets: woven so many times"))
    lines += ["", *labeled([head, *told], 8, catalog)]
    return in_lines(lines, catalog)


def _ties(made: Tieup, catalog: Catalog) -> list[str]:
    tied = [_places(treadle) for treadle in made.tieup.T]
    rows: list[tuple[str, ...]]
    if made.sinks is None:
        head = phrase("Sinks") if made.shed == "sinking" else phrase("Lifts")
        rows = [(phrase("Treadle"), head)]
        rows += [(f"{place}", each) for place, each in enumerate(tied, start=1)]
    else:
        rows = [(phrase("Treadle"), phrase("Lifts"), phrase("Sinks"))]
        sunk = map(_places, made.sinks.T)
        rows += [(f"{place}", *each) for place, each in enumerate(zip(tied, sunk, strict=True), start=1)]
    return columns(rows, (0,), catalog)


def _feet(made: Tieup) -> Iterator[Phrase]:
    work = footwork(made.treadling)
    if made.most_pressed > 1:
        yield phrase("A pick presses up to {treadles} treadles.", treadles=made.most_pressed)
    if work.out_of_reach:
        yield phrase(
            "{picks} with one foot on treadles that are not neighbors: press them one after the other.",
            picks=some(work.out_of_reach, "pick"),
        )
    yield phrase(
        "Feet alternate in {turns} of {steps}, last to first too.",
        turns=work.turns,
        steps=some(work.steps, "step"),
    )


def tell_balance(found: Balance, name: str, catalog: Catalog = ENGLISH) -> str:
    """Whether a threading balances, and what would balance it: the best first, each with its cloth."""
    return in_lines(_balance(found, name), catalog)


def _balance(found: Balance, name: str) -> Iterator[str]:
    ends = found.draft.ends
    if found.already:
        axis = found.axes[0]
        yield phrase(
            "{draft}: symmetrical as a continuous repeat, about {axis}", draft=name, axis=_axis(axis, ends)
        )
        yield ""
        yield from _edges(axis, ends)
        return
    axis, spoiling = leaning(found.draft)
    yield phrase(
        "{draft}: not symmetrical. It is closest to symmetrical about {axis};",
        draft=name,
        axis=_axis(axis, ends),
    )
    yield phrase("ends that don't mirror: {ends}.", ends=_ends(spoiling))
    yield ""
    yield from _woven(phrase("As it is"), found.before)
    for offer in found.offers:
        yield ""
        yield from _woven(_what(offer), offer.cloth)
        axis, ends = offer.axis, len(offer.sources)
        mirror = phrase("Mirror about {axis}", axis=_axis(axis, ends))
        yield from (indented("    ", line) for line in (*_how(offer), mirror, *_edges(axis, ends)))


def _what(offer: BalanceOffer) -> Phrase:
    ends = some(offer.ends, "end")
    match offer.kind:
        case "slide":
            return phrase("Slide {runs}, {ends}", runs=some(offer.runs or 0, "run"), ends=ends)
        case "add":
            return phrase("Add {ends}", ends=ends)
        case "drop":
            return phrase("Drop {ends}", ends=ends)
        case "change":
            return phrase("Change {ends}", ends=ends)


def _how(offer: BalanceOffer) -> Iterator[Phrase]:
    threading = offer.cloth.threading
    one_place = offer.touched[-1] - offer.touched[0] == len(offer.touched) - 1
    if offer.kind == "add" and not one_place:
        yield _first(
            [
                phrase("new end {end} on shaft {shaft}", end=end, shaft=int(threading[end - 1]) + 1)
                for end in offer.touched
            ]
        )
    elif offer.kind == "add":
        shafts = _first([f"{threading[end - 1] + 1}" for end in offer.touched], " ")
        yield phrase("after end {end}, on shafts {shafts}", end=offer.touched[0] - 1, shafts=shafts)
    elif offer.kind == "drop":
        yield _ends(offer.touched)
    elif offer.kind == "change":
        yield _first(
            [
                phrase("end {end} to shaft {shaft}", end=end, shaft=int(threading[end - 1]) + 1)
                for end in offer.touched
            ]
        )
    for run in offer.moved[:_MOST_TOLD]:
        ends = (
            phrase("end {end}", end=run.first)
            if run.first == run.last
            else phrase("ends {first}-{last}", first=run.first, last=run.last)
        )
        shafts = some(abs(run.step), "shaft")
        yield (
            phrase("{ends}: {shafts} up", ends=ends, shafts=shafts)
            if run.step > 0
            else phrase("{ends}: {shafts} down", ends=ends, shafts=shafts)
        )
    more = len(offer.moved) - _MOST_TOLD
    if more > 0:
        yield plural(more, "and {count} run more", "and {count} runs more")


def _woven(what: Phrase, cloth: Cloth) -> Iterator[Phrase]:
    warp, weft = (
        phrase("loose thread") if threads is None else phrase("over {threads}", threads=threads)
        for threads in (cloth.longest_warp_float, cloth.longest_weft_float)
    )
    yield indented("  ", what)
    told = (
        phrase("floats: warp {in_warp}, weft {in_weft}", in_warp=warp, in_weft=weft),
        phrase("holds together") if cloth.holds_together else phrase("FALLS APART"),
        phrase("plain weave can be woven") if cloth.plain_weave else phrase("plain weave cannot be woven"),
    )
    yield indented("    ", joined("; ", told))
    yield indented("    ", phrase("heddles: {heddles}", heddles=" ".join(map(str, cloth.heddles))))


def _axis(axis: int, ends: int) -> Phrase:
    """The end, or the two ends, where the mirror line runs."""
    one, *other = mirror_ends(axis, ends)
    if other:
        return phrase("the line between ends {one} and {other}", one=one, other=other[0])
    return phrase("end {end}", end=one)


def _edges(axis: int, ends: int) -> Iterator[Phrase]:
    start, more = matching_edges(axis, ends)
    yield (
        phrase(
            "Both edges match in a warp that starts on end {end} and has whole repeats and 1 end more.",
            end=start,
        )
        if more
        else phrase("Both edges match in a warp that starts on end {end} and has whole repeats.", end=start)
    )


def _ends(ends: tuple[int, ...]) -> Phrase:
    """Ends told as runs: ``ends 3-7, 9``."""
    runs: list[list[int]] = []
    for end in ends:
        if runs and end == runs[-1][-1] + 1:
            runs[-1][1:] = [end]
        else:
            runs.append([end])
    said = _first(["-".join(map(str, run)) for run in runs])
    return plural(len(ends), "end {ends}", "ends {ends}", ends=said)


def _first(every: Sequence[str], between: str = ", ") -> Phrase:
    """The first of many, and how many more there are."""
    more = len(every) - _MOST_TOLD
    first = joined(between, every[:_MOST_TOLD])
    return phrase("{first} and {more} more", first=first, more=more) if more > 0 else first


def _places(row: Bools) -> str:
    return " ".join(map(str, (np.flatnonzero(row) + 1).tolist())) or phrase("none")
