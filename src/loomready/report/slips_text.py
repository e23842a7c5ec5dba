"""Threading slips and test picks told in plain text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from loomready.draft.draft import Bools
from loomready.phrases import ENGLISH, Catalog, Phrase, joined, listed, phrase, plural, some, translated
from loomready.report.layout import columns, in_lines, indented
from loomready.slips.as_json import Answer
from loomready.slips.mending import Mending
from loomready.slips.result import MOST_ODDS, Slip
from loomready.slips.slip_words import what, where
from loomready.slips.test_picks import TestPicks, cannot_tell, more_picks, shafts_up
from loomready.slips.tied_treadles import TiedTreadles, to_tie, ways

_MOST_TOLD = 24


def tell_slips(made: Answer, catalog: Catalog = ENGLISH) -> str:
    """Slips with their odds, what cannot be told, and what to do, cheapest first, in a catalog's language."""
    found, picks = made.found, len(made.seen.lifts)
    ends = some(len(made.planned.threading), "end")
    others: dict[int, list[Slip]] = {}
    for each in found.alternatives:
        others.setdefault(each.instead_of, []).append(each.slip)
    rows = [
        (
            tuple(translated(each, catalog) for each in (*_row(slip, picks_of), _odds(slip))),
            others.get(number, []),
            slip,
        )
        for number, slip, picks_of in _once(found.slips)
    ]
    lines = [
        phrase(
            "{planned}: {slips} in {ends}, seen on {picks}",
            planned=made.planned.name,
            slips=some(len(rows), "slip"),
            ends=ends,
            picks=some(picks, "pick"),
        ),
        "",
    ]
    wide = [max(map(len, column)) for column in zip(*(row for row, _, _ in rows), strict=True)]
    for row, instead, slip in rows:
        lines.append(
            "  " + "  ".join(cell.ljust(size) for cell, size in zip(row, wide, strict=True)).rstrip()
        )
        if instead:
            others_said = phrase("or {ends_or_shafts}", ends_or_shafts=_or(slip, instead))
            lines.append(indented("  ", joined("", (" " * (wide[0] + 2), others_said))))
    if rows:
        lines.append("")
    share = f"{100 * found.explains:.1f}".removesuffix(".0")
    lines.append(
        indented(
            "  ",
            phrase("{share} % of the seen cells agree with these slips.", share=share)
            if found.slips
            else phrase("{share} % of the seen cells agree with the threading.", share=share),
        )
    )
    lines += _untold(found.cannot_tell, made.more)
    for number, mending in enumerate(made.mending):
        lines += ["", *mending_lines(mending, number)]
    if made.mending and found.slips and made.floats_left != made.floats_planned:
        was, left = made.floats_planned, made.floats_left
        lines += [
            "",
            indented(
                "  ",
                phrase(
                    "If all is left, floats are warp {warp}, weft {weft};",
                    warp=_float(left.warp),
                    weft=_float(left.weft),
                ),
            ),
            indented(
                "  ",
                phrase("as planned, warp {warp}, weft {weft}.", warp=_float(was.warp), weft=_float(was.weft)),
            ),
        ]
    return in_lines(lines, catalog)


def tell_picks(
    name: str,
    picks: TestPicks,
    own: Bools,
    used: Sequence[int],
    tied: TiedTreadles | None = None,
    catalog: Catalog = ENGLISH,
) -> str:
    """Test picks to weave, on tied treadles with these, and what the draft's own lifts leave untold."""
    how = phrase(", proved fewest") if picks.proved else ""
    lines = [
        phrase(
            "{draft}: {test_picks} for {shafts}{proved}",
            draft=name,
            test_picks=some(len(picks.lifts), "test pick"),
            shafts=some(len(used), "shaft"),
            proved=how,
        ),
        "",
    ]
    lifts = [(f"{number}", " ".join(map(str, pick))) for number, pick in enumerate(picks.picks, start=1)]
    if tied is None:
        lines += columns([(phrase("Pick"), phrase("Lift")), *lifts], [0], catalog)
    else:
        pressed = [" ".join(map(str, way.pressed)) for way in ways(tied, picks.picks)]
        rows = [(*lift, treadles) for lift, treadles in zip(lifts, pressed, strict=True)]
        lines += columns([(phrase("Pick"), phrase("Lift"), phrase("Treadles")), *rows], [0], catalog)
        lines += [
            *([""] if to_tie(tied, picks.picks) else []),
            *(indented("  ", line) for line in to_tie(tied, picks.picks)),
        ]
    if len(used) > 1:
        lines += [
            "",
            indented(
                "  ", phrase("Any two shafts differ in {picks} or more.", picks=some(picks.apart, "pick"))
            ),
        ]
    warp, weft = picks.longest_warp_float, picks.longest_weft_float
    if warp is not None and weft is not None:
        lines.append(
            indented(
                "  ",
                phrase(
                    "Woven as a continuous repeat: floats warp over {warp}, weft over {weft}.",
                    warp=warp,
                    weft=weft,
                ),
            )
        )
    else:
        lines.append(indented("  ", phrase("Alone they weave no cloth: some threads never interlace.")))
    pairs = [(one + 1, other + 1) for one, other in cannot_tell(own, used)]
    if pairs:
        lines += ["", indented("  ", phrase("The draft's own picks are not enough:"))]
        lines += _untold(pairs, shafts_up(more_picks(own, used)))
    else:
        lines += ["", indented("  ", phrase("The draft's own picks tell all its shafts apart too."))]
    return in_lines(lines, catalog)


def _once(slips: Sequence[Slip]) -> Iterator[tuple[int, Slip, list[int]]]:
    """Each slip with its place and its picks; a wrong tie-up, which shows on several picks, once."""
    tied: dict[tuple[int | None, int | None], list[int]] = {}
    for slip in slips:
        if slip.tied and slip.pick is not None:
            tied.setdefault((slip.planned, slip.found), []).append(slip.pick)
    for number, slip in enumerate(slips):
        picks = tied[slip.planned, slip.found] if slip.tied else [slip.pick or 0]
        if picks[0] == (slip.pick or 0):
            yield number, slip, picks


def _row(slip: Slip, picks: Sequence[int]) -> tuple[Phrase, Phrase]:
    if slip.tied:
        return (
            phrase("Picks {picks}", picks=_first(list(map(str, picks)))),
            phrase("{slip}, on every pick of this lift: the tie-up", slip=what(slip)),
        )
    return where(slip), what(slip)


def _or(named: Slip, slips: list[Slip]) -> Phrase:
    """What could be so instead: ends that look the same or nearly so, and shafts of the same end."""
    ends = sorted({slip.end for slip in slips if slip.end not in (None, named.end)}, key=lambda end: end or 0)
    shafts = sorted({slip.found for slip in slips if slip.found and slip.found != named.found})
    said = []
    if ends:
        listed_ends = _first([f"{end}" for end in ends])
        said.append(
            plural(len(ends), "before end {ends}", "before ends {ends}", ends=listed_ends)
            if named.kind == "extra"
            else plural(len(ends), "end {ends}", "ends {ends}", ends=listed_ends)
        )
    if shafts:
        listed_shafts = _first([f"{shaft}" for shaft in shafts])
        said.append(plural(len(shafts), "on shaft {shafts}", "on shafts {shafts}", shafts=listed_shafts))
    return joined(phrase(", or "), said)


def _odds(slip: Slip) -> Phrase:
    if slip.odds >= MOST_ODDS:
        return phrase("odds over 1,000,000 to 1")
    shown = f"{slip.odds:,.0f}" if slip.odds >= 10 else f"{slip.odds:.1g}"
    return phrase("odds {odds} to 1", odds=shown)


def _untold(pairs: Sequence[tuple[int, int]], more: Sequence[tuple[int, ...]]) -> Iterator[Phrase]:
    if not pairs:
        return
    said = _first([phrase("{one} and {other}", one=one, other=other) for one, other in pairs])
    yield indented("  ", phrase("They cannot tell apart shafts {pairs}.", pairs=said))
    lifts = "; ".join(" ".join(map(str, pick)) for pick in more)
    yield indented("  ", phrase("{picks} more would: {lifts}.", picks=some(len(more), "pick"), lifts=lifts))


def mending_lines(mending: Mending, number: int) -> Iterator[Phrase]:
    """What to do, step by step; the first way (0) is the cheapest."""
    minutes = _minutes(mending.minutes)
    if number:
        yield indented("  ", phrase("Or, about {minutes}", minutes=minutes))
    elif mending.proved:
        yield indented(
            "  ", phrase("Mend, about {minutes} (proved least of the usual ways)", minutes=minutes)
        )
    else:
        yield indented("  ", phrase("Mend, about {minutes}", minutes=minutes))
    for action in mending.actions:
        yield joined("", ("    ", action.do, ": ", _minutes(action.minutes)))
        if action.needs.spare_heddles:
            counts = {shaft: action.needs.spare_heddles.count(shaft) for shaft in action.needs.spare_heddles}
            said = _first(
                [
                    phrase("{heddles} on shaft {shaft}", heddles=count, shaft=shaft)
                    for shaft, count in counts.items()
                ]
            )
            yield joined("", (" " * 6, phrase("spare heddles: {counts}", counts=said)))


def _minutes(minutes: float) -> Phrase:
    return phrase("{minutes:g} min", minutes=minutes)


def _float(threads: int | None) -> Phrase:
    return phrase("without end") if threads is None else phrase("over {threads}", threads=threads)


def _first(said: Sequence[str]) -> Phrase:
    first, more = listed(said[:_MOST_TOLD]), len(said) - _MOST_TOLD
    return phrase("{first} and {more} more", first=first, more=more) if more > 0 else first
