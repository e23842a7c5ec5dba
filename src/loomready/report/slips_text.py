"""Threading slips and test picks told in plain text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from loomready.draft.draft import Bools
from loomready.phrases import phrase
from loomready.slips.answer import Answer
from loomready.slips.found import MOST_ODDS, Slip
from loomready.slips.mending import Mending
from loomready.slips.slip_words import what, where
from loomready.slips.test_picks import TestPicks, cannot_tell, more_picks, shafts_up

_MOST_TOLD = 24


def tell_slips(made: Answer) -> str:
    """Slips with their odds, what cannot be told, and what to do, cheapest first."""
    found, picks = made.found, len(made.seen.lifts)
    ends = _some(len(made.planned.threading), "end")
    others: dict[int, list[Slip]] = {}
    for each in found.alternatives:
        others.setdefault(each.instead_of, []).append(each.slip)
    rows = [
        ((*_row(slip, picks_of), _odds(slip)), others.get(number, []), slip)
        for number, slip, picks_of in _once(found.slips)
    ]
    lines = [
        phrase(
            "{planned}: {slips} in {ends}, seen on {picks}",
            planned=made.planned.name,
            slips=_some(len(rows), "slip"),
            ends=ends,
            picks=_some(picks, "pick"),
        ),
        "",
    ]
    wide = [max(map(len, column)) for column in zip(*(row for row, _, _ in rows), strict=True)]
    for row, instead, slip in rows:
        lines.append(
            "  " + "  ".join(cell.ljust(size) for cell, size in zip(row, wide, strict=True)).rstrip()
        )
        if instead:
            lines.append(phrase("  {what}  or {or_}", what=f"{'':{wide[0]}}", or_=_or(slip, instead)))
    if rows:
        lines.append("")
    share = f"{100 * found.explains:.1f}".removesuffix(".0")
    lines.append(
        phrase(
            "  {share} % of the seen cells agree with {what}.",
            share=share,
            what=phrase("these slips") if found.slips else phrase("the threading"),
        )
    )
    lines += _untold(found.cannot_tell, made.more)
    for number, mending in enumerate(made.mending):
        lines += ["", *mending_lines(mending, number)]
    if made.mending and found.slips and made.floats_left != made.floats_planned:
        was, left = made.floats_planned, made.floats_left
        lines += [
            "",
            phrase(
                "  If all is left, floats are warp {float}, weft {float_2};",
                float=_float(left.warp),
                float_2=_float(left.weft),
            ),
            phrase(
                "  as planned, warp {float}, weft {float_2}.",
                float=_float(was.warp),
                float_2=_float(was.weft),
            ),
        ]
    return "\n".join(lines) + "\n"


def tell_picks(name: str, picks: TestPicks, own: Bools, used: Sequence[int]) -> str:
    """Test picks to weave, and what the draft's own lifts leave untold."""
    how = phrase(", proved fewest") if picks.proved else ""
    lines = [
        phrase(
            "{name}: {test_picks} for {shafts}{how}",
            name=name,
            test_picks=_some(len(picks.lifts), phrase("test pick")),
            shafts=_some(len(used), "shaft"),
            how=how,
        ),
        "",
    ]
    lines += [phrase("  Pick  Lift")]
    lines += [
        f"  {number:>4}  {' '.join(map(str, pick))}" for number, pick in enumerate(picks.picks, start=1)
    ]
    if len(used) > 1:
        lines += ["", phrase("  Any two shafts differ in {picks} or more.", picks=_some(picks.apart, "pick"))]
    warp, weft = picks.longest_warp_float, picks.longest_weft_float
    if warp is not None and weft is not None:
        lines.append(
            phrase(
                "  Woven as a continuous repeat: floats warp over {warp}, weft over {weft}.",
                warp=warp,
                weft=weft,
            )
        )
    else:
        lines.append(phrase("  Alone they weave no cloth: some threads never interlace."))
    pairs = [(one + 1, other + 1) for one, other in cannot_tell(own, used)]
    if pairs:
        lines += ["", phrase("  The draft's own picks are not enough:")]
        lines += _untold(pairs, shafts_up(more_picks(own, used)))
    else:
        lines += ["", phrase("  The draft's own picks tell all its shafts apart too.")]
    return "\n".join(lines) + "\n"


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


def _row(slip: Slip, picks: Sequence[int]) -> tuple[str, str]:
    if slip.tied:
        return (
            phrase("Picks {first}", first=_first(list(map(str, picks)))),
            phrase("{what}, on every pick of this lift: the tie-up", what=what(slip)),
        )
    return where(slip), what(slip)


def _or(named: Slip, slips: list[Slip]) -> str:
    """What could be so instead: ends that look the same or nearly so, and shafts of the same end."""
    ends = sorted({slip.end for slip in slips if slip.end not in (None, named.end)}, key=lambda end: end or 0)
    shafts = sorted({slip.found for slip in slips if slip.found and slip.found != named.found})
    said = []
    if ends:
        before = "before " if named.kind == "extra" else ""
        said.append(f"{before}{'end' if len(ends) == 1 else 'ends'} {_first(list(map(str, ends)))}")
    if shafts:
        said.append(f"on {'shaft' if len(shafts) == 1 else 'shafts'} {_first(list(map(str, shafts)))}")
    return ", or ".join(said)


def _odds(slip: Slip) -> str:
    if slip.odds >= MOST_ODDS:
        return phrase("odds over 1,000,000 to 1")
    shown = f"{slip.odds:,.0f}" if slip.odds >= 10 else f"{slip.odds:.1g}"
    return phrase("odds {shown} to 1", shown=shown)


def _untold(pairs: Sequence[tuple[int, int]], more: Sequence[tuple[int, ...]]) -> Iterator[str]:
    if not pairs:
        return
    said = _first([phrase("{one} and {other}", one=one, other=other) for one, other in pairs])
    yield phrase("  They cannot tell apart shafts {said}.", said=said)
    lifts = "; ".join(" ".join(map(str, pick)) for pick in more)
    yield phrase("  {picks} more would: {lifts}.", picks=_some(len(more), "pick"), lifts=lifts)


def mending_lines(mending: Mending, number: int) -> Iterator[str]:
    """What to do, step by step; the first way (0) is the cheapest."""
    proved = phrase(" (proved least of the usual ways)") if number == 0 and mending.proved else ""
    heading = "Mend" if number == 0 else "Or"
    yield phrase(
        "  {heading}, about {minutes}{proved}",
        heading=heading,
        minutes=_minutes(mending.minutes),
        proved=proved,
    )
    for action in mending.actions:
        yield f"    {action.do}: {_minutes(action.minutes)}"
        if action.needs.spare_heddles:
            counts = {shaft: action.needs.spare_heddles.count(shaft) for shaft in action.needs.spare_heddles}
            said = _first(
                [
                    phrase("{count} on shaft {shaft}", count=count, shaft=shaft)
                    for shaft, count in counts.items()
                ]
            )
            yield phrase("      spare heddles: {said}", said=said)


def _minutes(minutes: float) -> str:
    return phrase("{minutes:g} min", minutes=minutes)


def _float(threads: int | None) -> str:
    return phrase("without end") if threads is None else f"over {threads}"


def _first(said: list[str]) -> str:
    more = len(said) - _MOST_TOLD
    return ", ".join(said[:_MOST_TOLD]) + (phrase(" and {more} more", more=more) if more > 0 else "")


def _some(count: int, noun: str) -> str:
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"
