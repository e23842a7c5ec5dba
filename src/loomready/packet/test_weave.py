"""The sheet for the test weave: picks with room to write, what a wrong end means here, what mending needs."""

from __future__ import annotations

from collections.abc import Callable

from loomready.loomside.steps.groups import groups
from loomready.loomside.steps.tying_in import left_out
from loomready.loomside.steps.words import spans
from loomready.packet.words import Data
from loomready.phrases import Phrase, joined, listed, phrase, plural
from loomready.slips import job
from loomready.slips.sentences import means
from loomready.slips.test_picks import one_by_one, used_shafts
from loomready.slips.tied_treadles import to_tie, ways
from loomready.warp.result import WarpPlan

_LINES, _FEWER = 6, 3  # slips that there is room to write down, and where there are many picks
_MANY, _VERY_MANY = 8, 16  # picks


def test_weave(plan: WarpPlan) -> Data | None:
    """None where no end is in a heddle."""
    work = job.job(plan)
    if work is None:
        return None
    picks = work.picks(work.use_own)
    tied = work.planned.tied
    shafts = [shaft + 1 for shaft in used_shafts(work.planned.threading)]
    return {
        "own": work.use_own,
        "picks": [
            {
                "number": f"{number}",
                "treadles": "" if way is None else " ".join(map(str, way.pressed)),
                "up": [f"{shaft}" if shaft in pick else "" for shaft in shafts],
            }
            for number, (pick, way) in enumerate(
                zip(picks, ways(tied, picks) if tied else [None] * len(picks), strict=True), start=1
            )
        ],
        "treadled": tied is not None,
        "to_tie": list(to_tie(tied, picks)) if tied else [],
        "shafts": [f"{shaft}" for shaft in shafts],
        # An end lies as its shaft's row: a wrong one is read off against the row that it agrees with.
        "rows": [{"shaft": f"{shaft}", "up": [shaft in pick for pick in picks]} for shaft in shafts],
        "without_weaving": _without_weaving(plan, work),
        "alone": _alone(plan, work) if work.shafts_move_alone else [],
        "means": [list(line) for line in means(treadles_are_tied=plan.loom.free_treadles > 0)],
        "needs": _needs(plan, work, shafts),
        "lines": _LINES if len(picks) <= _MANY else _FEWER,
        "close": len(picks) > _MANY,
        "tight": len(picks) > _VERY_MANY,
    }


test_weave.__test__ = False  # type: ignore[attr-defined]  # a name that begins with test is not a case for pytest


def _without_weaving(plan: WarpPlan, work: job.Job) -> Phrase | None:
    """None where no shaft moves alone."""
    if not work.shafts_move_alone:
        return None
    by_hand = work.planned.tied is not None
    lift = phrase("raise each shaft alone by hand") if by_hand else phrase("lift each shaft alone")
    if "threading" in left_out(plan):
        return phrase("Without weaving: {lift}; the ends that rise are those threaded on it.", lift=lift)
    return phrase(
        "Without weaving: {lift}; the ends that rise are those with its number on the threading sheet.",
        lift=lift,
    )


def _alone(plan: WarpPlan, work: job.Job) -> list[Data]:
    """The way that needs no weaving: for groups alike, which of their ends rise with each shaft alone.

    Ends count from the first of the group; groups without an end in a heddle are left out.
    """
    made = [(group.first, group.stop - group.first) for group in groups(plan.web)]
    by_shaft = list(one_by_one(work.planned.threading, made))
    alike: dict[tuple[tuple[int, str], ...], list[int]] = {}
    for number in range(len(made)):
        rising = tuple(
            (shaft + 1, " ".join(map(str, places[number]))) for shaft, places in by_shaft if places[number]
        )
        if rising:
            alike.setdefault(rising, []).append(number + 1)
    named = _by_ends(made) if "threading" in left_out(plan) else _by_number
    return [
        {
            "groups": named(numbers),
            "rising": [{"shaft": f"{shaft}", "ends": ends} for shaft, ends in rising],
        }
        for rising, numbers in alike.items()
    ]


def _by_number(numbers: list[int]) -> Phrase:
    """Groups as the threading sheet numbers them."""
    return plural(len(numbers), "Group {numbers}", "Groups {numbers}", numbers=listed(spans(numbers)))


def _by_ends(made: list[tuple[int, int]]) -> Callable[[list[int]], Phrase]:
    """Groups alike by their ends, where no threading sheet numbers them."""

    def named(numbers: list[int]) -> Phrase:
        taken = [
            end for number in numbers for end in range(made[number - 1][0] + 1, sum(made[number - 1]) + 1)
        ]
        ends = listed(spans(taken))
        if len(taken) == 1:
            return phrase("End {end}", end=ends)
        if len(numbers) == 1:
            return phrase("Ends {ends}", ends=ends)
        return phrase("Ends {ends}, {size} at a time", ends=ends, size=made[numbers[0] - 1][1])

    return named


def _needs(plan: WarpPlan, work: job.Job, shafts: list[int]) -> list[Phrase]:
    """Common practice, no source."""
    spare = work.planned.loom.spare
    yarns = dict.fromkeys(work.planned.loom.yarn or ())
    lines = [
        phrase("Threading hook, reed hook, scissors, T-pins"),
        phrase("A repair heddle, or a loop of strong thread, for each end on a wrong shaft"),
        phrase("For a new end: a weight, and a length of the warp from the cones of this packet"),
    ]
    if yarns:
        names = joined("; ", [plan.guild.yarn(key).name for key in yarns])  # a name may hold commas
        lines.append(phrase("Warp yarn: {yarns}", yarns=names))
    if spare is not None:
        there = [
            phrase("{heddles} on {shaft}", heddles=sum(spare[shaft - 1]), shaft=shaft)
            for shaft in shafts
            if sum(spare[shaft - 1])
        ]
        lines.append(
            phrase("Spare heddles by shaft: {there}", there=listed(there) if there else phrase("none"))
        )
    return lines
