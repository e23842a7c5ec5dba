"""A plan told in plain text: what to wind, sley, thread, and what falls short."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from loomready.draft.structure.analysis import Analysis
from loomready.loomside.board.ties import choke_ties
from loomready.loomside.board.winding_path import BoardPath
from loomready.loomside.steps.piece_steps import pieces_told
from loomready.loomside.steps.stripes_told import warp_told
from loomready.loomside.steps.threading import loom_shaft
from loomready.model.guild import Board
from loomready.problems import Problem
from loomready.units import Shown, System
from loomready.warp import rigid
from loomready.warp.figures import figures
from loomready.warp.result import GuildPlan, WarpPlan, YarnNeed
from loomready.yarn.label import is_read_by_fiber, label

SIGNS = {"stop": "STOP", "warn": "check"}


def tell_plan(plan: GuildPlan) -> str:
    """The whole plan as lines of text."""
    lines = [plan.guild.name]
    for warp in plan.warps:
        lines += ["", *_warp(warp)]
    if plan.problems:
        lines += ["", *_problems(plan.problems)]
    return "\n".join(lines) + "\n"


def state_of(plan: WarpPlan) -> str:
    """Where the warp stands, in a few words."""
    if plan.order.off is not None:
        return "off the loom"
    if plan.order.wound is not None:
        return "wound, but see the stops below" if plan.stopped else "wound"
    if plan.stopped:
        return "can't be dressed as planned"
    return "can be wound; see the checks below" if plan.problems else "ready to wind"


def _yarn(plan: WarpPlan, need: YarnNeed) -> str:
    """What one yarn gave already, what it has to give, and whether it lasts."""
    show = Shown(plan.guild.units)
    cost = "" if need.cost is None else f", {need.cost:.2f} {plan.guild.currency or ''}".rstrip()
    read = f", {label(need.yarn)}" if is_read_by_fiber(need.yarn) else ""
    name, all_m = f"{need.yarn.name}{read}", need.warp_m + need.weft_m
    if plan.order.off is not None:
        return f"  {name}: used {show.yarn_needed(all_m)} ({show.weight(need.weight_g)}{cost})"
    there = (
        f"expected {show.yarn(need.on_shelf_m)}, sure {show.yarn_there(need.sure_m)}, "
        f"available {show.yarn_there(need.available_m)}: {'enough' if need.enough else 'SHORT'}"
    )
    if plan.order.wound is None:
        return f"  {name}: needs {show.yarn_needed(all_m)} ({show.weight(need.weight_g)}{cost}); {there}"
    wound = f"{show.yarn_needed(need.warp_m)} wound" if need.warp_ends else ""
    woven_m = need.weft_m - need.wanted_m
    woven = f"{show.yarn_needed(woven_m)} woven" if woven_m > 0 else ""
    weft = f"needs {show.yarn_needed(need.wanted_m)} of weft; {there}" if need.weft_m else ""
    return f"  {name}: {'; '.join(part for part in (wound, woven, weft) if part)}"


def _warp(plan: WarpPlan) -> Iterator[str]:
    show = Shown(plan.guild.units)
    title = plan.draft.title or plan.order.draft
    state = state_of(plan)
    yield f"{plan.order.key} on {plan.loom.name}: {title} ({state})"
    yield ""
    for figure in figures(plan):
        yield f"  {figure.label:<18} {figure.shown}"
    yield ""
    yield "  Weave, each piece and hem from pick 1 of its draft:"
    for piece in pieces_told(plan):
        yield from (f"    {line}" for line in piece.lines)
    yield ""
    sett = plan.sett_advice
    for line in sett.lines(show):
        yield f"  {line}"
    heddle = rigid.lines(plan)
    yield from (f"  {line}" for line in heddle)
    if plan.sley and not heddle:
        sley = plan.sley
        floating = ", a floating selvedge in its own dent at each side" if plan.web.floating else ""
        cycle = "-".join(map(str, sley.cycle))
        yield f"  Sley reed {sley.reed.key}, {cycle} per dent, starting in dent {sley.first_dent}{floating}"
    if not heddle:
        yield f"  Thread from end 1 at the {plan.guild.end_1}; shaft 1 is at the {plan.guild.shaft_1}"
        yield "  " + "; ".join(
            f"shaft {loom} {count}"
            for loom, count in zip(plan.heddles.assignment, plan.heddles.needed, strict=True)
            if loom is not None
        )
    yield from _tieup(plan)
    yield ""
    if plan.order.stripes:
        yield f"  Warp in stripes from end 1: {warp_told(plan.order, plan.web.heddle_ends)}"
    nothing = "no cone is left" if plan.order.wound is None and plan.order.off is None else "wound"
    for bout in plan.bouts:
        cones = ", ".join(f"{count} from {key}" for key, count in bout.cones) or nothing
        yield f"  Bout {bout.number}: ends {bout.first_end}-{bout.last_end}, {bout.ends} ends ({cones})"
    yield ""
    for need in plan.yarns:
        yield _yarn(plan, need)
    if plan.problems:
        yield ""
        yield from (f"  {line}" for line in _problems(plan.problems))


def _tieup(plan: WarpPlan) -> Iterator[str]:
    """The one tie-up for all that is woven on the warp, in the loom's shafts."""
    made = plan.treadles
    if made is None or made.short:
        return
    on_loom = np.array([shaft or 0 for shaft in loom_shaft(plan)])
    ties = [" ".join(map(str, on_loom[np.flatnonzero(column)].tolist())) for column in made.rises.T]
    told = "; ".join(f"treadle {number}: {tied or 'none'}" for number, tied in enumerate(ties, start=1))
    fewest = ", the fewest that will do" if made.proved else ""
    yield f"  Tie-up for all pieces{fewest}: {told} (shafts that rise)"


def _problems(problems: tuple[Problem, ...]) -> Iterator[str]:
    for problem in problems:
        yield f"{SIGNS[problem.level]}: {problem.message}"
        for remedy in problem.remedies:
            yield f"      - {remedy.says}"


def tell_draft(found: Analysis, name: str) -> str:
    """What a draft is, in plain text."""
    warp, weft = found.longest_warp_float, found.longest_weft_float
    turned = [word for word, has in (("ends", found.mirror_ends), ("picks", found.mirror_picks)) if has]
    rows = (
        ("Shafts", f"{found.shafts_used} used of {found.shafts}"),
        ("Treadles", "none: a lift plan" if found.treadles is None else f"{found.treadles}"),
        ("Ends, picks", f"{found.ends} ends, {found.picks} picks"),
        ("Repeat", f"{found.repeat[0]} ends, {found.repeat[1]} picks"),
        ("Repeat in color", f"{found.color_repeat[0]} ends, {found.color_repeat[1]} picks"),
        ("Heddles", ", ".join(f"shaft {n} {count}" for n, count in enumerate(found.heddles, start=1))),
        ("Longest float", f"warp {_float(warp)}, weft {_float(weft)}"),
        ("Holds together", "yes" if found.holds_together else f"no: {found.parts} parts"),
        ("Plain weave", "can be woven" if found.plain_weave else "cannot be woven on this threading"),
        ("Symmetrical", " and ".join(turned) or "no"),
        ("Lifts", f"{found.distinct_lifts} different, {found.most_shafts_up} shafts up at most"),
        ("Levers", f"{found.lever_moves} moved in all the picks, the last to the first included"),
    )
    lines = [found.title or name, "", *(f"  {label:<16} {value}" for label, value in rows)]
    if found.problems:
        lines += ["", *(f"  {line}" for line in _problems(found.problems))]
    return "\n".join(lines) + "\n"


def _float(threads: int | None) -> str:
    return "loose: a thread never interlaces" if threads is None else f"over {threads}"


def tell_board(board: Board, path: BoardPath, system: System) -> str:
    """A path over a warping board as lines of text."""
    show = Shown(system)
    start, one, two, *others = path.pegs
    length_m, excess_m = path.length_mm / 1000, path.excess_mm / 1000
    nearer = (
        "no other path is closer" if path.proved_least else "the best path found; there may be a closer one"
    )
    lines = [
        f"{board.name}: a warp of {show.length(path.wanted_mm / 1000)}",
        "",
        f"  Start at           {start}",
        f"  Cross between      {one} and {two}",
        f"  Then over          {' - '.join(others) or 'no further peg: the end loop is at ' + two}",
        f"  Length             {show.length(length_m)}, that is {show.piece(length_m)}",
    ]
    if path.enough:
        lines.append(f"  Longer by           {show.piece(excess_m)} ({nearer})")
        ties = choke_ties(length_m, show.us)
        lines.append(f"  Choke ties         {ties}, about one every {'yard' if show.us else 'meter'}")
    else:
        lines.append(f"  Less than asked    {show.piece(-excess_m)}")
    return "\n".join(lines) + "\n"
