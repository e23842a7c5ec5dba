"""Drafts turned to treadles and balanced, told in plain text."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from loomready.draft.balance.balance import Balance, Cloth, Offer, leaning, matching_edges, mirror_ends
from loomready.draft.draft import Bools
from loomready.draft.shedding.fewest_treadles import Tieup
from loomready.draft.shedding.treadle_order import footwork
from loomready.phrases import phrase

_MOST_TOLD = 24  # of a list; the written file has them all


def tell_tieup(made: Tieup, name: str, within: int) -> str:
    """The tie-up with the fewest treadles: what is tied, what is pressed."""
    least = _some(made.treadles, "treadle")
    fits = made.treadles <= within
    proof = (
        phrase("proved least")
        if made.proved_least
        else phrase("not proved least: {at_least} are a lower bound", at_least=made.at_least)
    )
    lines = [f"{name}: {least}, {proof}"]
    if not fits and made.at_least > within:
        lines.append(
            phrase("It can't be woven with {treadles} on this shed.", treadles=_some(within, "treadle"))
        )
    elif not fits:
        lines.append(
            phrase(
                "No tie-up with {treadles} was found; it is not proved that none exists.",
                treadles=_some(within, "treadle"),
            )
        )
    lines.append(phrase("With one treadle per lift it takes {own}.", own=made.own))
    lines += _feet(made)
    lines += ["", *_ties(made)]
    lines += ["", phrase("  Pick     Treadles")]
    lines += [
        f"  {place:>7}  {pressed}" for place, pressed in enumerate(map(_places, made.treadling), start=1)
    ]
    return "\n".join(lines) + "\n"


def _ties(made: Tieup) -> Iterator[str]:
    tied = [_places(treadle) for treadle in made.tieup.T]
    if made.sinks is None:
        yield phrase("  Treadle  {what}", what="Sinks" if made.shed == "sinking" else "Lifts")
        yield from (f"  {place:>7}  {each}" for place, each in enumerate(tied, start=1))
        return
    wide = max([len("Lifts"), *map(len, tied)])
    yield phrase("  Treadle  {what}  Sinks", what=f"{'Lifts':<{wide}}")
    for place, (up, down) in enumerate(zip(tied, map(_places, made.sinks.T), strict=True), start=1):
        yield f"  {place:>7}  {up:<{wide}}  {down}".rstrip()


def _feet(made: Tieup) -> Iterator[str]:
    work = footwork(made.treadling)
    if made.most_pressed > 1:
        yield phrase("A pick presses up to {most_pressed} treadles.", most_pressed=made.most_pressed)
    if work.out_of_reach:
        yield (
            phrase(
                "{picks} with one foot on treadles that are not neighbors: press them one after the other.",
                picks=_some(work.out_of_reach, "pick"),
            )
        )
    yield phrase(
        "Feet alternate in {turns} of {steps}, last to first too.",
        turns=work.turns,
        steps=_some(work.steps, "step"),
    )


def tell_balance(found: Balance, name: str) -> str:
    """Whether a threading balances, and what would balance it: the best first, each with its cloth."""
    ends = found.draft.ends
    if found.already:
        axis = found.axes[0]
        lines = [
            phrase(
                "{name}: symmetrical as a continuous repeat, about {axis}", name=name, axis=_axis(axis, ends)
            ),
            "",
            *_edges(axis, ends),
        ]
        return "\n".join(lines) + "\n"
    axis, spoiling = leaning(found.draft)
    lines = [
        phrase(
            "{name}: not symmetrical. It is closest to symmetrical about {axis};",
            name=name,
            axis=_axis(axis, ends),
        )
    ]
    lines += [
        phrase("ends that don't mirror: {ends}.", ends=_ends(spoiling)),
        "",
        *_woven(phrase("As it is"), found.before),
    ]
    for offer in found.offers:
        lines += ["", *_woven(_what(offer), offer.cloth)]
        lines += [f"    {line}" for line in _how(offer)]
        lines += [phrase("    Mirror about {axis}", axis=_axis(offer.axis, len(offer.sources)))]
        lines += [f"    {line}" for line in _edges(offer.axis, len(offer.sources))]
    return "\n".join(lines) + "\n"


def _what(offer: Offer) -> str:
    ends = _some(offer.ends, "end")
    if offer.kind == "slide":
        return phrase("Slide {runs}, {ends}", runs=_some(offer.runs or 0, "run"), ends=ends)
    return f"{offer.kind.capitalize()} {ends}"


def _how(offer: Offer) -> Iterator[str]:
    threading = offer.cloth.threading
    one_place = offer.touched[-1] - offer.touched[0] == len(offer.touched) - 1
    if offer.kind == "add" and not one_place:
        yield _first(
            [
                phrase("new end {end} on shaft {threading}", end=end, threading=threading[end - 1] + 1)
                for end in offer.touched
            ]
        )
    elif offer.kind == "add":
        shafts = _first([f"{threading[end - 1] + 1}" for end in offer.touched], " ")
        yield phrase("after end {touched}, on shafts {shafts}", touched=offer.touched[0] - 1, shafts=shafts)
    elif offer.kind == "drop":
        yield _ends(offer.touched)
    elif offer.kind == "change":
        yield _first(
            [
                phrase("end {end} to shaft {threading}", end=end, threading=threading[end - 1] + 1)
                for end in offer.touched
            ]
        )
    for run in offer.moved[:_MOST_TOLD]:
        ends = (
            f"end {run.first}"
            if run.first == run.last
            else phrase("ends {first}-{last}", first=run.first, last=run.last)
        )
        yield f"{ends}: {_some(abs(run.step), 'shaft')} {'up' if run.step > 0 else 'down'}"
    if len(offer.moved) > _MOST_TOLD:
        yield phrase("and {count} runs more", count=len(offer.moved) - _MOST_TOLD)


def _woven(what: str, cloth: Cloth) -> Iterator[str]:
    floats = [
        phrase("loose thread") if threads is None else f"over {threads}"
        for threads in (cloth.longest_warp_float, cloth.longest_weft_float)
    ]
    yield f"  {what}"
    yield (
        phrase(
            "    floats: warp {floats}, weft {floats_2}; {what}; plain weave {what_2} be woven",
            floats=floats[0],
            floats_2=floats[1],
            what=phrase("holds together") if cloth.holds_together else phrase("FALLS APART"),
            what_2="can" if cloth.plain_weave else "cannot",
        )
    )
    yield phrase("    heddles: {list}", list=" ".join(map(str, cloth.heddles)))


def _axis(axis: int, ends: int) -> str:
    """The end, or the two ends, where the mirror line runs."""
    one, *other = mirror_ends(axis, ends)
    return (
        phrase("the line between ends {one} and {other}", one=one, other=other[0]) if other else f"end {one}"
    )


def _edges(axis: int, ends: int) -> Iterator[str]:
    start, more = matching_edges(axis, ends)
    after = phrase(" and 1 end more") if more else ""
    yield phrase(
        "Both edges match in a warp that starts on end {start} and has whole repeats{after}.",
        start=start,
        after=after,
    )


def _ends(ends: tuple[int, ...]) -> str:
    """Ends told as runs: ``ends 3-7, 9``."""
    runs: list[list[int]] = []
    for end in ends:
        if runs and end == runs[-1][-1] + 1:
            runs[-1][1:] = [end]
        else:
            runs.append([end])
    said = _first(["-".join(map(str, run)) for run in runs])
    return f"{'end' if len(ends) == 1 else 'ends'} {said}"


def _first(said: list[str], between: str = ", ") -> str:
    """The first of many, and how many more there are."""
    more = len(said) - _MOST_TOLD
    return between.join(said[:_MOST_TOLD]) + (phrase(" and {more} more", more=more) if more > 0 else "")


def _places(row: Bools) -> str:
    return " ".join(map(str, (np.flatnonzero(row) + 1).tolist())) or "none"


def _some(count: int, noun: str) -> str:
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"
