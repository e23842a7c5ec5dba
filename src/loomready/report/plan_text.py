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
from loomready.phrases import phrase
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
        return phrase("off the loom")
    if plan.order.wound is not None:
        return phrase("wound, but see the stops below") if plan.stopped else "wound"
    if plan.stopped:
        return phrase("can't be dressed as planned")
    return phrase("can be wound; see the checks below") if plan.problems else phrase("ready to wind")


def _yarn(plan: WarpPlan, need: YarnNeed) -> str:
    """What one yarn gave already, what it has to give, and whether it lasts."""
    show = Shown(plan.guild.units)
    cost = "" if need.cost is None else f", {need.cost:.2f} {plan.guild.currency or ''}".rstrip()
    read = f", {label(need.yarn)}" if is_read_by_fiber(need.yarn) else ""
    name, all_m = f"{need.yarn.name}{read}", need.warp_m + need.weft_m
    if plan.order.off is not None:
        return phrase(
            "  {name}: used {all} ({weight}{cost})",
            name=name,
            all=show.yarn_needed(all_m),
            weight=show.weight(need.weight_g),
            cost=cost,
        )
    there = phrase(
        "expected {on_shelf}, sure {sure}, available {available}: {what}",
        on_shelf=show.yarn(need.on_shelf_m),
        sure=show.yarn_there(need.sure_m),
        available=show.yarn_there(need.available_m),
        what="enough" if need.enough else "SHORT",
    )
    if plan.order.wound is None:
        return phrase(
            "  {name}: needs {all} ({weight}{cost}); {there}",
            name=name,
            all=show.yarn_needed(all_m),
            weight=show.weight(need.weight_g),
            cost=cost,
            there=there,
        )
    wound = phrase("{warp} wound", warp=show.yarn_needed(need.warp_m)) if need.warp_ends else ""
    woven_m = need.weft_m - need.wanted_m
    woven = phrase("{woven} woven", woven=show.yarn_needed(woven_m)) if woven_m > 0 else ""
    weft = (
        phrase("needs {wanted} of weft; {there}", wanted=show.yarn_needed(need.wanted_m), there=there)
        if need.weft_m
        else ""
    )
    return f"  {name}: {'; '.join(part for part in (wound, woven, weft) if part)}"


def _warp(plan: WarpPlan) -> Iterator[str]:
    show = Shown(plan.guild.units)
    title = plan.draft.title or plan.order.draft
    state = state_of(plan)
    yield phrase(
        "{order} on {loom}: {title} ({state})",
        order=plan.order.key,
        loom=plan.loom.name,
        title=title,
        state=state,
    )
    yield ""
    for figure in figures(plan):
        yield f"  {figure.label:<18} {figure.shown}"
    yield ""
    yield phrase("  Weave, each piece and hem from pick 1 of its draft:")
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
        floating = phrase(", a floating selvedge in its own dent at each side") if plan.web.floating else ""
        cycle = "-".join(map(str, sley.cycle))
        yield phrase(
            "  Sley reed {reed}, {cycle} per dent, starting in dent {first_dent}{floating}",
            reed=sley.reed.key,
            cycle=cycle,
            first_dent=sley.first_dent,
            floating=floating,
        )
    if not heddle:
        yield phrase(
            "  Thread from end 1 at the {end_1}; shaft 1 is at the {shaft_1}",
            end_1=plan.guild.end_1,
            shaft_1=plan.guild.shaft_1,
        )
        yield "  " + "; ".join(
            f"shaft {loom} {count}"
            for loom, count in zip(plan.heddles.assignment, plan.heddles.needed, strict=True)
            if loom is not None
        )
    yield from _tieup(plan)
    yield ""
    if plan.order.stripes:
        yield phrase(
            "  Warp in stripes from end 1: {warp_told}", warp_told=warp_told(plan.order, plan.web.heddle_ends)
        )
    nothing = phrase("no cone is left") if plan.order.wound is None and plan.order.off is None else "wound"
    for bout in plan.bouts:
        cones = (
            ", ".join(phrase("{count} from {key}", count=count, key=key) for key, count in bout.cones)
            or nothing
        )
        yield phrase(
            "  Bout {bout_number}: ends {first_end}-{last_end}, {ends} ends ({cones})",
            bout_number=bout.number,
            first_end=bout.first_end,
            last_end=bout.last_end,
            ends=bout.ends,
            cones=cones,
        )
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
    told = "; ".join(
        phrase("treadle {number}: {tied}", number=number, tied=tied or "none")
        for number, tied in enumerate(ties, start=1)
    )
    fewest = phrase(", the fewest that will do") if made.proved else ""
    yield phrase("  Tie-up for all pieces{fewest}: {told} (shafts that rise)", fewest=fewest, told=told)


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
        (
            "Shafts",
            phrase("{shafts_used} used of {shafts}", shafts_used=found.shafts_used, shafts=found.shafts),
        ),
        ("Treadles", phrase("none: a lift plan") if found.treadles is None else f"{found.treadles}"),
        (phrase("Ends, picks"), phrase("{ends} ends, {picks} picks", ends=found.ends, picks=found.picks)),
        (
            "Repeat",
            phrase("{repeat} ends, {repeat_2} picks", repeat=found.repeat[0], repeat_2=found.repeat[1]),
        ),
        (
            phrase("Repeat in color"),
            phrase(
                "{color_repeat} ends, {color_repeat_2} picks",
                color_repeat=found.color_repeat[0],
                color_repeat_2=found.color_repeat[1],
            ),
        ),
        ("Heddles", ", ".join(f"shaft {n} {count}" for n, count in enumerate(found.heddles, start=1))),
        (
            phrase("Longest float"),
            phrase("warp {float}, weft {float_2}", float=_float(warp), float_2=_float(weft)),
        ),
        (
            phrase("Holds together"),
            "yes" if found.holds_together else phrase("no: {parts} parts", parts=found.parts),
        ),
        (
            phrase("Plain weave"),
            phrase("can be woven") if found.plain_weave else phrase("cannot be woven on this threading"),
        ),
        ("Symmetrical", " and ".join(turned) or "no"),
        (
            "Lifts",
            phrase(
                "{distinct_lifts} different, {most_shafts_up} shafts up at most",
                distinct_lifts=found.distinct_lifts,
                most_shafts_up=found.most_shafts_up,
            ),
        ),
        (
            "Levers",
            phrase(
                "{lever_moves} moved in all the picks, the last to the first included",
                lever_moves=found.lever_moves,
            ),
        ),
    )
    lines = [found.title or name, "", *(f"  {label:<16} {value}" for label, value in rows)]
    if found.problems:
        lines += ["", *(f"  {line}" for line in _problems(found.problems))]
    return "\n".join(lines) + "\n"


def _float(threads: int | None) -> str:
    return phrase("loose: a thread never interlaces") if threads is None else f"over {threads}"


def tell_board(board: Board, path: BoardPath, system: System) -> str:
    """A path over a warping board as lines of text."""
    show = Shown(system)
    start, one, two, *others = path.pegs
    length_m, excess_m = path.length_mm / 1000, path.excess_mm / 1000
    nearer = (
        phrase("no other path is closer")
        if path.proved_least
        else phrase("the best path found; there may be a closer one")
    )
    lines = [
        phrase("{board}: a warp of {wanted}", board=board.name, wanted=show.length(path.wanted_mm / 1000)),
        "",
        phrase("  Start at           {start}", start=start),
        phrase("  Cross between      {one} and {two}", one=one, two=two),
        phrase(
            "  Then over          {list}",
            list=" - ".join(others) or phrase("no further peg: the end loop is at ") + two,
        ),
        phrase(
            "  Length             {length}, that is {length_2}",
            length=show.length(length_m),
            length_2=show.piece(length_m),
        ),
    ]
    if path.enough:
        lines.append(
            phrase("  Longer by           {excess} ({nearer})", excess=show.piece(excess_m), nearer=nearer)
        )
        ties = choke_ties(length_m, show.us)
        lines.append(
            phrase(
                "  Choke ties         {ties}, about one every {what}",
                ties=ties,
                what="yard" if show.us else "meter",
            )
        )
    else:
        lines.append(phrase("  Less than asked    {excess}", excess=show.piece(-excess_m)))
    return "\n".join(lines) + "\n"
