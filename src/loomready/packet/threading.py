"""The threading sheet: groups of ends with what to take, what to thread, and sums to check against."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np

from loomready.cloth.color import ink_on
from loomready.colors import hex_color
from loomready.loomside.steps.doubled_told import threading_told
from loomready.loomside.steps.groups import Group, groups
from loomready.loomside.steps.threading import running, shaft_of_end, shaft_totals, shafts_used
from loomready.loomside.steps.words import span
from loomready.packet.words import Data, Letters, runs_shown
from loomready.phrases import joined, phrase, some, word
from loomready.warp import rigid
from loomready.warp.bouts import runs
from loomready.warp.result import Ints, WarpPlan

_ALIKE = 4  # so many groups alike in a row are written once, with a tick and sums for each
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
                    "End 1 is at the {side}. Thread from the {side} to the {other}: the first number of each "
                    "group is the end nearest the {side} edge.",
                    side=word(side),
                    other=word(other),
                ),
                *rigid.lines(plan),
                *threading_told(plan),
            ),
        ),
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
        "in_heddles": some(web.heddle_ends, "end"),
        "ends": some(web.ends, "end"),
        "floating": some(web.floating, "floating selvedge") if web.floating else "",
        "in_none": _in_none(plan),
    }


def _in_none(plan: WarpPlan) -> str:
    left_out = plan.web.ends - plan.web.heddle_ends - plan.web.floating
    return phrase("{ends} of the draft not threaded (–)", ends=some(left_out, "end")) if left_out else ""


def _blocks(plan: WarpPlan, letters: Letters, made: tuple[Group, ...], used: list[int]) -> Iterator[Data]:
    """Groups in order; many alike in a row become one block with a line for each."""
    shafts = shaft_of_end(plan)
    sums = running(shafts, made, used)
    number = 0
    for _, alike in itertools.groupby(range(len(made)), key=lambda at: _looks(plan, shafts, made[at])):
        all_alike = list(alike)
        together = [all_alike] if len(all_alike) >= _ALIKE else [[at] for at in all_alike]
        for some_alike in together:
            block = _block(plan, letters, made[some_alike[0]], shafts, used)
            block["lines"] = [
                {
                    **_where(plan, made[at], number + step),
                    "sums": _lines(
                        [
                            {"shaft": f"{shaft}", "count": f"{count:,}"}
                            for shaft, count in zip(used, sums[at].tolist(), strict=True)
                        ]
                    ),
                }
                for step, at in enumerate(some_alike, start=1)
            ]
            number += len(some_alike)
            block["times"] = f"{len(some_alike):,}" if len(some_alike) > 1 else ""
            block["numbers_said"] = span(number - len(some_alike) + 1, number)
            yield block


def _looks(plan: WarpPlan, shafts: Ints, group: Group) -> tuple[bytes, bytes]:
    cut = slice(group.first, group.stop)
    return shafts[cut].tobytes(), plan.web.role[cut].tobytes()


def _where(plan: WarpPlan, group: Group, number: int) -> Data:
    share, width = group.first / plan.web.ends, group.size / plan.web.ends
    left = share if plan.guild.end_1 == "left" else 1 - share - width
    return {
        "number": f"{number}",
        "ends": span(group.first + 1, group.stop),
        "place": group.place,
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
        "size": some(group.size, "end"),
        "take": _lines(
            [{"shaft": f"{shaft}", "count": f"{count}" if count else "·"} for shaft, count in taken]
        ),
        "fours": [ends[at : at + 4] for at in range(0, len(ends), 4)],
        "colors": runs_shown(plan, letters, _joined(colored)),
        "heddled": any(here),
    }


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
