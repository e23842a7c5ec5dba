"""The threading sheet: groups of ends with what to take, what to thread, and sums to check against."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from loomready.cloth.color import ink_on
from loomready.colors import hex_color
from loomready.loomside.steps import second_told
from loomready.loomside.steps.doubled_told import threading_told
from loomready.loomside.steps.groups import Group, groups
from loomready.loomside.steps.threading import running, shaft_of_end, shaft_totals, shafts_used
from loomready.loomside.steps.words import span
from loomready.packet.words import Data, Letters, runs_shown
from loomready.phrases import Phrase, joined, phrase, plural, some, word
from loomready.warp.across import places
from loomready.warp.bouts import runs
from loomready.warp.result import Ints, WarpPlan

_PATTERN = 40  # groups that are looked at as one repeat
_SAVED = 2  # groups that a line "again" must save
_LINE = 24  # shafts in a line of counts
_ROOMY, _MIDDLING = 4, 10  # shafts up to which counts and shaft numbers share lines


def threading(plan: WarpPlan, letters: Letters) -> Data:
    used, web = shafts_used(plan), plan.web
    made = groups(web)
    totals = shaft_totals(plan)
    side, other = plan.guild.end_1, "left" if plan.guild.end_1 == "right" else "right"
    return {
        "direction": joined(
            " ",
            (
                phrase(
                    "Each group is printed as it hangs on the loom: end 1 at the {side}. Thread from the "
                    "{side} to the {other}.",
                    side=word(side),
                    other=word(other),
                ),
                *threading_told(plan),
                *second_told.threading_told(plan),
            ),
        ),
        "side": side,
        "layout": "row" if len(used) <= _ROOMY else "pair" if len(used) <= _MIDDLING else "stack",
        "lettered": len(dict.fromkeys(plan.order.warp_yarns)) > 1,
        "key": [letters.chip(plan, key) for key in dict.fromkeys(plan.order.warp_yarns)],
        "groups_in_all": some(len(made), "group"),
        "count_says": phrase("ends of this group on each shaft")
        if plan.loom.is_rigid_heddle
        else phrase("heddles this group needs on each shaft; count them out first"),
        "shafts": _lines([{"shaft": f"{shaft}"} for shaft in used]),
        "blocks": list(_blocks(plan, letters, made, used)),
        "totals": _lines([{"shaft": f"{shaft}", "count": f"{totals[shaft]:,}"} for shaft in used]),
        "in_heddles": phrase("{ends} in holes and slots", ends=some(web.heddle_ends, "end"))
        if plan.loom.is_rigid_heddle
        else phrase("{ends} in heddles", ends=some(web.heddle_ends, "end")),
        "ends": some(web.ends, "end"),
        "floating": some(web.floating, "floating selvedge") if web.floating else "",
        "in_none": _in_none(plan),
    }


def _in_none(plan: WarpPlan) -> str:
    left_out = plan.web.ends - plan.web.heddle_ends - plan.web.floating
    return phrase("{ends} of the draft not threaded (–)", ends=some(left_out, "end")) if left_out else ""


def _blocks(plan: WarpPlan, letters: Letters, made: tuple[Group, ...], used: list[int]) -> Iterator[Data]:
    """Groups in order; what is threaded again is a line for each time, with its ticks and totals."""
    shafts = shaft_of_end(plan)
    sums = running(shafts, made, used).tolist()
    looks = [_looks(plan, shafts, group) for group in made]
    at = 0
    while at < len(made):
        size, times = _again(looks, at)
        for place in range(at, at + size):
            block = _block(plan, letters, made[place], shafts, used)
            yield block | _where(plan, made[place : place + 1], place) | {"sums": _sums(used, sums[place])}
        if times > 1:
            yield {
                "again": _again_says(at + 1, size, times - 1),
                "lines": [
                    {
                        **_where(plan, made[first : first + size], first),
                        "ticks": size,
                        "place": made[first].place if size == 1 else "",
                        "sums": _sums(used, sums[first + size - 1]),
                    }
                    for first in range(at + size, at + size * times, size)
                ],
            }
        at += size * times


def _again(looks: list[tuple[bytes, bytes]], at: int) -> tuple[int, int]:
    """How many groups from ``at`` on are threaded how often, so that most are saved; (1, 1): not again."""
    best, saved = (1, 1), _SAVED - 1
    for size in range(1, min(_PATTERN, (len(looks) - at) // 2) + 1):
        times = 1
        while looks[at + times * size : at + (times + 1) * size] == looks[at : at + size]:
            times += 1
        if (times - 1) * size > saved:
            best, saved = (size, times), (times - 1) * size
    return best


def _again_says(first: int, size: int, times: int) -> Phrase:
    ticks = phrase("tick each one")
    if size == 1:
        return plural(
            times,
            "Group {group} again; tick it:",
            "Group {group} again, {count} times; {ticks}:",
            group=first,
            ticks=ticks,
        )
    return plural(
        times,
        "Groups {groups} once more; {ticks}:",
        "Groups {groups} again, {count} times; {ticks}:",
        groups=span(first, first + size - 1),
        ticks=ticks,
    )


def _sums(used: list[int], sums: list[int]) -> list[list[Data]]:
    pairs = zip(used, sums, strict=True)
    return _lines([{"shaft": f"{shaft}", "count": f"{count:,}"} for shaft, count in pairs])


def _looks(plan: WarpPlan, shafts: Ints, group: Group) -> tuple[bytes, bytes]:
    cut = slice(group.first, group.stop)
    return shafts[cut].tobytes(), plan.web.role[cut].tobytes()


def _where(plan: WarpPlan, some_of: tuple[Group, ...], before: int) -> Data:
    """Numbers and ends of groups in a row, and where they lie on the strip in percent of its width."""
    first, stop = some_of[0].first, some_of[-1].stop
    lie = places(plan)
    share = first / plan.web.ends if lie is None else float(lie[first, 0])
    width = (stop / plan.web.ends if lie is None else float(lie[stop - 1, 1])) - share
    left = share if plan.guild.end_1 == "left" else 1 - share - width
    return {
        "number": span(before + 1, before + len(some_of)),
        "ends": span(first + 1, stop),
        "left": round(left * 100, 4),
        "width": round(width * 100, 4),
    }


def _block(plan: WarpPlan, letters: Letters, group: Group, shafts: Ints, used: list[int]) -> Data:
    cut = slice(group.first, group.stop)
    keys = plan.order.warp_yarns
    here, roles = shafts[cut].tolist(), plan.web.role[cut].tolist()
    chips = [_end_chip(plan, letters, key) for key in keys]
    taken = [(shaft, here.count(shaft)) for shaft in used]
    ends = [
        {"shaft": f"{shaft}" if shaft else "–", **chips[role]}
        for shaft, role in zip(here, roles, strict=True)
    ]
    colored = [(keys[role], count) for role, count in runs(np.asarray(roles))]
    return {
        "again": "",
        "place": group.place,
        "take": _lines(
            [{"shaft": f"{shaft}", "count": f"{count}" if count else "·"} for shaft, count in taken]
        ),
        "fours": _as_on_the_loom(plan, [ends[at : at + 4] for at in range(0, len(ends), 4)]),
        "many": len(ends),
        "colors": runs_shown(plan, letters, _joined(colored)),
        "heddled": any(here),
    }


def _as_on_the_loom(plan: WarpPlan, fours: list[list[Data]]) -> list[list[Data]]:
    """From left to right as they hang, so that end 1 lies at its side."""
    return fours if plan.guild.end_1 == "left" else [four[::-1] for four in fours[::-1]]


def _end_chip(plan: WarpPlan, letters: Letters, key: str) -> Data:
    return {**letters.chip(plan, key), "letter_ink": hex_color(ink_on(plan.guild.yarn(key).color))}


def _joined(colored: list[tuple[str, int]]) -> list[tuple[str, int]]:
    """Two roles of one yarn side by side are one run to the eye."""
    joined: list[tuple[str, int]] = []
    for key, count in colored:
        if joined and joined[-1][0] == key:
            joined[-1] = (key, joined[-1][1] + count)
        else:
            joined.append((key, count))
    return joined


def _lines(cells: list[Data]) -> list[list[Data]]:
    """Counts by shaft in lines of about equal length."""
    number = -(-len(cells) // _LINE) or 1
    step = -(-len(cells) // number) or 1
    return [cells[at : at + step] for at in range(0, len(cells), step)]
