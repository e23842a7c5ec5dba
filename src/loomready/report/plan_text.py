"""A plan told in plain text: what to wind, sley, thread, and what falls short."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from loomready.draft.structure.analysis import Analysis
from loomready.loomside.board.ties import choke_ties
from loomready.loomside.board.winding_path import BoardPath
from loomready.loomside.steps import direct, painting, second_told, sectional, tying_in
from loomready.loomside.steps.cutting_told import cutting_told
from loomready.loomside.steps.dents_told import sleyed_in_stripes
from loomready.loomside.steps.double_told import double_told
from loomready.loomside.steps.doubled_told import winding_told
from loomready.loomside.steps.lifting import raised_by_treadles
from loomready.loomside.steps.piece_steps import pieces_told
from loomready.loomside.steps.stripes_told import warp_told
from loomready.model.guild import Board
from loomready.phrases import (
    ENGLISH,
    Catalog,
    Part,
    Phrase,
    joined,
    listed,
    listed_with_and,
    phrase,
    plural,
    some,
    word,
)
from loomready.problems import Problem
from loomready.report.layout import in_lines, indented, labeled, named
from loomready.report.money import money
from loomready.units import Shown, System
from loomready.warp import rigid
from loomready.warp.figures import figures
from loomready.warp.result import GuildPlan, WarpPlan, YarnNeed
from loomready.warp.sections import Sections
from loomready.warp.stripe_setts import stripe_setts
from loomready.yarn.label import is_read_by_fiber, label

SIGNS = {"stop": phrase("STOP"), "warn": phrase("check")}


def tell_plan(plan: GuildPlan, catalog: Catalog = ENGLISH) -> str:
    """The whole plan as lines of text, in the catalog's language."""
    lines = [plan.guild.name]
    for warp in plan.warps:
        lines += ["", *_warp(warp, catalog)]
    if plan.problems:
        lines += ["", *_problems(plan.problems)]
    return in_lines(lines, catalog)


def state_of(plan: WarpPlan) -> Phrase:
    """Where the warp stands, in a few words."""
    if plan.order.off is not None:
        return phrase("off the loom")
    if plan.order.wound is not None:
        return phrase("wound, but see the stops below") if plan.stopped else phrase("wound")
    if plan.stopped:
        return phrase("can't be dressed as planned")
    return phrase("can be wound; see the checks below") if plan.problems else phrase("ready to wind")


def _yarn(plan: WarpPlan, need: YarnNeed) -> Phrase:
    """What one yarn gave already, what it has to give, and whether it lasts."""
    show = Shown(plan.guild.units)
    read = (label(need.yarn),) if is_read_by_fiber(need.yarn) else ()
    name, all_m = listed((need.yarn.name, *read)), need.warp_m + need.weft_m
    weight = listed(filter(None, (show.weight(need.weight_g), money(need.cost, plan.guild.currency))))
    if plan.order.off is not None:
        return phrase(
            "{yarn}: used {length} ({weight})", yarn=name, length=show.yarn_needed(all_m), weight=weight
        )
    there = phrase(
        "expected {on_shelf}, sure {sure}, available {available}: {enough_or_short}",
        on_shelf=show.yarn(need.on_shelf_m),
        sure=show.yarn_there(need.sure_m),
        available=show.yarn_there(need.available_m),
        enough_or_short=phrase("enough") if need.enough else phrase("SHORT"),
    )
    if plan.order.wound is None:
        return phrase(
            "{yarn}: needs {length} ({weight}); {there}",
            yarn=name,
            length=show.yarn_needed(all_m),
            weight=weight,
            there=there,
        )
    wound = phrase("{length} wound", length=show.yarn_needed(need.warp_m)) if need.warp_ends else ""
    woven_m = need.weft_m - need.wanted_m
    woven = phrase("{length} woven", length=show.yarn_needed(woven_m)) if woven_m > 0 else ""
    weft = (
        phrase("needs {length} of weft; {there}", length=show.yarn_needed(need.wanted_m), there=there)
        if need.weft_m
        else ""
    )
    told = joined("; ", (part for part in (wound, woven, weft) if part))
    return phrase("{yarn}: {told}", yarn=name, told=told)


def _warp(plan: WarpPlan, catalog: Catalog) -> Iterator[str]:
    show = Shown(plan.guild.units)
    yield phrase(
        "{warp} on {loom}: {draft} ({state})",
        warp=named(plan.order),
        loom=plan.loom.name,
        draft=plan.draft.title or plan.order.draft,
        state=state_of(plan),
    )
    if plan.order.loom_is_open:
        yield indented(
            "  ",
            phrase(
                "Planned on the first of its looms: loomready event chooses one of {looms}.",
                looms=listed_with_and(plan.guild.loom(each).name for each in plan.order.looms),
            ),
        )
    yield ""
    yield from labeled(((figure.label, figure.shown) for figure in figures(plan)), 18, catalog)
    yield ""
    yield indented("  ", phrase("Weave, each piece and hem from pick 1 of its draft:"))
    for piece in pieces_told(plan):
        yield indented("    ", piece.title)
        yield from (indented("      ", step.line) for step in piece.steps)
    yield from (indented("    ", line) for line in cutting_told(plan))
    yield ""
    yield from (indented("  ", line) for line in _dressing(plan, show))
    yield ""
    yield from (indented("  ", line) for line in _winding(plan))
    yield ""
    for need in plan.yarns:
        yield indented("  ", _yarn(plan, need))
    if plan.problems:
        yield ""
        yield from (indented("  ", line) for line in _problems(plan.problems))


def _dressing(plan: WarpPlan, show: Shown) -> Iterator[str]:
    """The sett, the sleying, the threading and the tie-up."""
    yield from double_told(plan)
    yield from plan.sett_advice.lines(show)
    yield from tying_in.lines(plan)
    yield from (each.line(show) for each in stripe_setts(plan))
    heddle, stays = rigid.lines(plan), tying_in.left_out(plan)
    yield from heddle
    if plan.sley and plan.sley.denting and "sleying" not in stays:
        yield sleyed_in_stripes(plan, plan.sley)
    elif plan.sley and not heddle and "sleying" not in stays:
        sley = plan.sley
        yield (
            phrase(
                "Sley reed {reed}, {cycle} per dent, starting in dent {first}, a floating selvedge in its "
                "own dent at each side",
                reed=sley.reed.name,
                cycle=sley.told,
                first=sley.first_dent,
            )
            if plan.web.floating
            else phrase(
                "Sley reed {reed}, {cycle} per dent, starting in dent {first}",
                reed=sley.reed.name,
                cycle=sley.told,
                first=sley.first_dent,
            )
        )
    if not heddle and "threading" not in stays:
        yield phrase(
            "Thread from end 1 at the {left_or_right}; shaft 1 is at the {front_or_back}",
            left_or_right=word(plan.guild.end_1),
            front_or_back=word(plan.guild.shaft_1),
        )
        yield joined(
            "; ",
            (
                phrase("shaft {shaft} {heddles}", shaft=shaft, heddles=heddles)
                for shaft, heddles in zip(plan.heddles.assignment, plan.heddles.needed, strict=True)
                if shaft is not None
            ),
        )
    yield from _tieup(plan)


def _winding(plan: WarpPlan) -> Iterator[Phrase]:
    """The stripes of the warp, and its bouts with their cones, or its sections with their yarns."""
    yield from winding_told(plan)
    if plan.order.stripes:
        stripes = warp_told(plan.order, plan.web.heddle_ends, plan.guild.names_of_yarns)
        yield phrase("Warp in stripes from end 1: {stripes}", stripes=stripes)
    yield from painting.lines(plan)
    if plan.sections is not None:
        yield from sectional.lines(plan)
        yield from _sections(plan, plan.sections)
        return
    to_wind = plan.order.wound is None and plan.order.off is None
    nothing = phrase("no cone is left") if to_wind else phrase("wound")
    yield from second_told.lines(plan)
    for bout in plan.bouts:
        given = [
            phrase("{ends} from {cone}", ends=ends, cone=plan.guild.name_of_cone(cone))
            for cone, ends in bout.cones
        ]
        cones = listed(given) if given else nothing
        if not tying_in.has_bouts(plan):
            yield phrase(
                "Ends {first}-{last}: {cones}", first=bout.first_end, last=bout.last_end, cones=cones
            )
            continue
        first, last = second_told.ends_of(plan, bout)
        told = plural(
            bout.ends,
            "Bout {number}: ends {first}-{last}, {count} end ({cones})",
            "Bout {number}: ends {first}-{last}, {count} ends ({cones})",
            number=bout.number,
            first=first,
            last=last,
            cones=cones,
        )
        yield (
            told if plan.second is None else phrase("{bout}, {warp}", bout=told, warp=second_told.which(bout))
        )


def _sections(plan: WarpPlan, sections: Sections) -> Iterator[Phrase]:
    """The yarns of each section in their order; neighbors that are alike together."""
    numbered = enumerate(plan.bouts, sections.first)
    for colors, group in itertools.groupby(numbered, key=lambda each: each[1].colors):
        alike = list(group)
        (first, opening), (last, closing) = alike[0], alike[-1]
        parts: dict[str, Part] = {
            "first": opening.first_end,
            "last": closing.last_end,
            "yarns": listed(phrase("{ends} {yarn}", ends=ends, yarn=yarn) for yarn, ends in colors),
        }
        yield (
            phrase("Section {number}: ends {first}-{last}: {yarns}", number=first, **parts)
            if first == last
            else phrase(
                "Sections {numbers}: ends {first}-{last}: {yarns} in each", numbers=f"{first}-{last}", **parts
            )
        )


def _tieup(plan: WarpPlan) -> Iterator[Phrase]:
    """The one tie-up for all that is woven on the warp, in the loom's shafts."""
    made = plan.treadles
    if made is None or made.short:
        return
    if made.direct:
        yield from direct.lines(plan)
        return
    ties = [" ".join(map(str, shafts)) for shafts in raised_by_treadles(plan)]
    told = joined(
        "; ",
        (
            phrase("treadle {treadle}: {shafts}", treadle=treadle, shafts=shafts or phrase("none"))
            for treadle, shafts in enumerate(ties, start=1)
        ),
    )
    yield (
        phrase("Tie-up for all pieces, the fewest that will do: {ties} (shafts that rise)", ties=told)
        if made.proved
        else phrase("Tie-up for all pieces: {ties} (shafts that rise)", ties=told)
    )
    together = direct.pressed_together(plan)
    if together is not None:
        yield together


def _problems(problems: tuple[Problem, ...]) -> Iterator[str]:
    for problem in problems:
        yield joined(": ", (SIGNS[problem.level], problem.message))
        yield from (indented("      - ", remedy.says) for remedy in problem.remedies)


def tell_draft(found: Analysis, name: str, catalog: Catalog = ENGLISH) -> str:
    """What a draft is, in plain text, in the catalog's language."""
    warp, weft = found.longest_warp_float, found.longest_weft_float
    turned = [word(each) for each, has in (("ends", found.mirror_ends), ("picks", found.mirror_picks)) if has]
    rows = (
        (
            phrase("Shafts"),
            phrase("{used} used of {shafts}", used=found.shafts_used, shafts=found.shafts),
        ),
        (phrase("Treadles"), phrase("none: a lift plan") if found.treadles is None else f"{found.treadles}"),
        (phrase("Ends, picks"), _ends_and_picks(found.ends, found.picks)),
        (phrase("Repeat"), _ends_and_picks(*found.repeat)),
        (phrase("Repeat in color"), _ends_and_picks(*found.color_repeat)),
        (
            phrase("Heddles"),
            listed(
                phrase("shaft {shaft} {heddles}", shaft=shaft, heddles=heddles)
                for shaft, heddles in enumerate(found.heddles, start=1)
            ),
        ),
        (
            phrase("Longest float"),
            phrase("warp {in_warp}, weft {in_weft}", in_warp=_float(warp), in_weft=_float(weft)),
        ),
        (
            phrase("Holds together"),
            phrase("yes") if found.holds_together else phrase("no: {parts} parts", parts=found.parts),
        ),
        (
            phrase("Plain weave"),
            phrase("can be woven") if found.plain_weave else phrase("cannot be woven on this threading"),
        ),
        (phrase("Symmetrical"), listed_with_and(turned) if turned else phrase("no")),
        (
            phrase("Lifts"),
            plural(
                found.most_shafts_up,
                "{lifts} different, {count} shaft up at most",
                "{lifts} different, {count} shafts up at most",
                lifts=found.distinct_lifts,
            ),
        ),
        (
            phrase("Levers"),
            phrase(
                "{levers} moved in all the picks, the last to the first included",
                levers=found.lever_moves,
            ),
        ),
    )
    lines = [found.title or name, "", *labeled(rows, 16, catalog)]
    if found.problems:
        lines += ["", *(indented("  ", line) for line in _problems(found.problems))]
    return in_lines(lines, catalog)


def _ends_and_picks(ends: int, picks: int) -> Phrase:
    return listed((some(ends, "end"), some(picks, "pick")))


def _float(threads: int | None) -> Phrase:
    if threads is None:
        return phrase("loose: a thread never interlaces")
    return phrase("over {threads}", threads=threads)


def tell_board(board: Board, path: BoardPath, system: System, catalog: Catalog = ENGLISH) -> str:
    """A path over a warping board as lines of text, in the catalog's language."""
    show = Shown(system)
    start, one, two, *others = path.pegs
    length_m, excess_m = path.length_mm / 1000, path.excess_mm / 1000
    nearer = (
        phrase("no other path is closer")
        if path.proved_least
        else phrase("the best path found; there may be a closer one")
    )
    rows: list[tuple[str, str]] = [
        (phrase("Start at"), start),
        (phrase("Cross between"), listed_with_and((one, two))),
        (
            phrase("Then over"),
            " - ".join(others) or phrase("no further peg: the end loop is at {peg}", peg=two),
        ),
        (
            phrase("Length"),
            phrase("{length}, that is {short}", length=show.length(length_m), short=show.piece(length_m)),
        ),
    ]
    if path.enough:
        ties = choke_ties(length_m, show.us)
        rows += [
            (
                phrase("Longer by"),
                phrase("{excess} ({nearer})", excess=show.piece(excess_m), nearer=nearer),
            ),
            (
                phrase("Choke ties"),
                phrase("{ties}, about one every yard", ties=ties)
                if show.us
                else phrase("{ties}, about one every meter", ties=ties),
            ),
        ]
    else:
        rows.append((phrase("Less than asked"), show.piece(-excess_m)))
    wanted = show.length(path.wanted_mm / 1000)
    head = phrase("{board}: a warp of {wanted}", board=board.name, wanted=wanted)
    return in_lines([head, "", *labeled(rows, 18, catalog)], catalog)
