"""What to check in a draft before dressing a loom with it."""

from __future__ import annotations

import math

import numpy as np

from loomready.draft.draft import Draft, shed
from loomready.draft.draft import Floats as FloatArray
from loomready.draft.structure import floats
from loomready.draft.structure.integrity import Part, Parts
from loomready.draft.structure.periods import AnyInts, Numbered, Numbers, number, smallest_period
from loomready.phrases import Phrase, capitalized, joined, listed_with_and, phrase, plural, some, word
from loomready.problems import Problem

SNAGS_MM = 10.0  # floats longer than about 3/8 in snag in use: common practice, no source

_LIMIT_MM = SNAGS_MM + 1e-6  # rounding: a hundred threads of 0.1 mm, added up, are not over it
_NAMED = 6  # so many threads are listed one by one
_PARTS_NAMED = 4
_CELLS = 1 << 22  # cells of a drawdown that may be expanded at once


def named(kind: str, threads: AnyInts) -> Phrase:
    """Threads (from 0) named from 1, a long list shortened.

    >>> named("end", np.array([2])), named("pick", np.arange(0, 40, 2))
    ('end 3', 'picks 1, 3, 5, 7, 9, 11 and 14 more')
    """
    more = len(threads) - _NAMED if len(threads) > _NAMED + 1 else 0
    numbers = ", ".join(str(thread + 1) for thread in threads[: len(threads) - more].tolist())
    noun = word(kind if len(threads) == 1 else f"{kind}s")
    if more:
        return phrase(
            "{ends_or_picks} {numbers} and {more} more", ends_or_picks=noun, numbers=numbers, more=more
        )
    return phrase("{ends_or_picks} {numbers}", ends_or_picks=noun, numbers=numbers)


def _together(ends: AnyInts, picks: AnyInts) -> Phrase:
    kinds = (named(kind, threads) for kind, threads in (("end", ends), ("pick", picks)) if len(threads))
    return listed_with_and(kinds)


def _members(part: Part) -> Phrase:
    return _together(part.ends, part.picks)


def apart(parts: Parts, repeat: tuple[int, int], draft: Draft) -> list[Problem]:
    """falls-apart: the cloth comes apart, and which threads of the repeat lift off together."""
    if parts.count == 1:
        return []
    more = parts.count - _PARTS_NAMED if parts.count > _PARTS_NAMED + 1 else 0
    top, *below = (parts[part] for part in range(parts.count - more))
    said = [
        phrase("{threads} lifts off alone", threads=_members(top))
        if top.single
        else phrase("{threads} lift off as a separate cloth", threads=_members(top))
    ]
    said += [
        phrase("below lies {threads}", threads=_members(part))
        if part.single
        else phrase("below lie {threads}", threads=_members(part))
        for part in below
    ]
    if more:
        said.append(phrase("below that are {more} more parts", more=more))
    where = ""
    if repeat != (draft.ends, draft.picks):
        where = phrase(
            ", counted in the first repeat of {ends} and {picks}",
            ends=some(repeat[0], "end"),
            picks=some(repeat[1], "pick"),
        )
    message = phrase(
        "The cloth comes apart in {parts} parts{counted}: {layers}.",
        parts=parts.count,
        counted=where,
        layers=joined("; ", said),
    )
    return [Problem("falls-apart", "warn", message)]


def loose(draft: Draft) -> list[Problem]:
    """loose-thread: ends and picks that never interlace."""
    by_shaft = np.zeros(draft.shafts + 1, dtype=np.int64)  # the last: ends not threaded
    by_shaft[:-1] = np.count_nonzero(draft.lifts, axis=0)
    never = (by_shaft == 0) | (by_shaft == draft.picks)
    up = _ends_up(draft)
    ends = np.flatnonzero(never[draft.threading])
    picks = np.flatnonzero((up == 0) | (up == draft.ends))
    if not len(ends) + len(picks):
        return []
    message = plural(
        len(ends) + len(picks),
        "{threads} never interlaces: it lies loose on the cloth.",
        "{threads} never interlace: they lie loose on the cloth.",
        threads=capitalized(_together(ends, picks)),
    )
    return [Problem("loose-thread", "warn", message)]


def no_shed(draft: Draft) -> list[Problem]:
    """no-shed: picks that lift no end, or lift them all: there is nothing to pass the shuttle through."""
    up = _ends_up(draft)
    said = []
    nothing = np.flatnonzero(up == 0)
    if draft.treadling is not None:
        idle = (up == 0) & ~draft.treadling.any(axis=1)
        untied = np.flatnonzero(idle)
        nothing = np.flatnonzero((up == 0) & ~idle)
        if len(untied):
            said.append(
                plural(
                    len(untied),
                    "{picks} has no treadle",
                    "{picks} have no treadle",
                    picks=named("pick", untied),
                )
            )
    if len(nothing):
        said.append(
            plural(
                len(nothing),
                "{picks} lifts no end",
                "{picks} lift no end",
                picks=named("pick", nothing),
            )
        )
    every = np.flatnonzero(up == draft.ends)
    if len(every):
        said.append(
            plural(
                len(every), "{picks} lifts every end", "{picks} lift every end", picks=named("pick", every)
            )
        )
    if not said:
        return []
    return [
        Problem(
            "no-shed",
            "warn",
            phrase("{picks}: there is no shed to weave through.", picks=capitalized(joined("; ", said))),
        )
    ]


def _ends_up(draft: Draft) -> Numbers:
    """How many ends each pick lifts, int[P]."""
    threading = draft.threading
    counts = np.bincount(threading[threading >= 0], minlength=draft.shafts)
    up = draft.lifts.astype(np.float32) @ counts.astype(np.float32)  # exact: whole numbers below 2**24
    return up.astype(np.int64)


def long_floats(draft: Draft, end_ids: AnyInts, picks: Numbered) -> list[Problem]:
    """long-float: floats over more than 10 mm, where the file says how far apart the threads stand.

    Each float is measured over the threads that it passes, as a continuous repeat the smallest repeat of
    structure and spacing. Threads that never interlace are another problem.
    """
    said = []
    if draft.weft_spacing_mm is not None:
        said += _long_warp(draft, draft.weft_spacing_mm, picks)
    if draft.warp_spacing_mm is not None:
        said += _long_weft(draft, draft.warp_spacing_mm, end_ids, picks)
    if not said:
        return []
    message = phrase(
        "Long floats: {floats}. Floats over about 10 mm (3/8 in) snag in use.", floats=joined("; ", said)
    )
    return [Problem("long-float", "warn", message)]


def _long_warp(draft: Draft, spacing_mm: FloatArray, picks: Numbered) -> list[Phrase]:
    spaced = smallest_period(number(picks.ids, spacing_mm).ids)
    shafts, shaft_of_end = np.unique(draft.threading, return_inverse=True)
    lines = shed(draft.lifts[:spaced], shafts.astype(np.int16)).T
    widths = floats.widest_mm(lines, spacing_mm[:spaced])
    return _say("end", np.flatnonzero((widths > _LIMIT_MM)[shaft_of_end]), widths.max(), "picks")


def _long_weft(draft: Draft, spacing_mm: FloatArray, end_ids: AnyInts, picks: Numbered) -> list[Phrase]:
    spaced = smallest_period(number(end_ids, spacing_mm).ids)
    threading, spacing_mm = draft.threading[:spaced], spacing_mm[:spaced]
    lifts, most = draft.lifts[picks.first], float(spacing_mm.max())
    if most <= 0:
        return []
    # Skip picks whose floats pass too few ends to reach the limit even at the widest spacing.
    over = floats.weft_reaching(lifts, threading, math.floor(_LIMIT_MM / most) + 1)
    if float(spacing_mm.min()) == most:
        widest = most * floats.weft(lifts, threading).threads
    else:
        widths = np.zeros(picks.count)
        candidates, step = np.flatnonzero(over), max(1, _CELLS // spaced)
        for start in range(0, len(candidates), step):  # some rows of the drawdown at a time
            part = candidates[start : start + step]
            rows = np.ascontiguousarray(shed(lifts[part], threading))
            widths[part] = floats.widest_mm(rows, spacing_mm)
        over, widest = widths > _LIMIT_MM, float(widths.max())
    return _say("pick", np.flatnonzero(over[picks.ids]), widest, "ends")


def _say(kind: str, threads: AnyInts, widest_mm: float, passed: str) -> list[Phrase]:
    if not len(threads):
        return []
    return [
        phrase(
            "{threads} over up to {widest:.1f} mm of {passed}",
            threads=named(kind, threads),
            widest=widest_mm,
            passed=word(passed),
        )
    ]
