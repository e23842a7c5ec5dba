"""All that the page of a test weave shows: what the engine found, with links and words for a reader."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from loomready.app.i18n.words import said
from loomready.app.loomside import slips_ask, slips_drawn
from loomready.app.loomside.slips_ask import Asking
from loomready.app.state.tested import WeaveSeen
from loomready.loomside.learning.finished_warps import Happened
from loomready.loomside.steps import threading as threading_job
from loomready.slips import at_loom, slip_words
from loomready.slips import test_picks as picking
from loomready.slips.answer import Floats, Planned
from loomready.slips.asking import Lift, Looks, Question, Where
from loomready.slips.at_loom import WINDOW, Outcome
from loomready.slips.found import MOST_ODDS, Alternative, Slip
from loomready.slips.mending import Action, Mending
from loomready.warp.result import WarpPlan

Shown = dict[str, Any]
SIGNS: dict[str, Any] = {
    "one end": gettext_lazy("One end lies differently from its neighbors"),
    "two ends": gettext_lazy("Two ends side by side have changed places"),
    "shift": gettext_lazy("The pattern is shifted from one place on"),
    "gap": gettext_lazy("A gap between two ends"),
    "crowded": gettext_lazy("A dense line: ends too close together"),
    "late": gettext_lazy("One end hangs loose or moves late"),
}
# What a sign at the loom may be, for the printed page (common practice, no source).
MEANS: tuple[tuple[Any, Any, Any], ...] = (
    (
        SIGNS["one end"],
        gettext_lazy("on a wrong shaft, or not threaded"),
        gettext_lazy("a repair heddle on the right shaft"),
    ),
    (
        SIGNS["two ends"],
        gettext_lazy("crossed in the heddles, or between heddles and reed"),
        gettext_lazy("thread both again; between heddles and reed, only sley them again"),
    ),
    (
        SIGNS["shift"],
        gettext_lazy("a heddle skipped, an end missing, or one end too many"),
        gettext_lazy("a new end from a weight; or take the end out"),
    ),
    (
        SIGNS["gap"],
        gettext_lazy("an empty dent, or an end missing"),
        gettext_lazy("sley again to the nearer edge; or a new end"),
    ),
    (
        SIGNS["crowded"],
        gettext_lazy("an end too many in a dent"),
        gettext_lazy("sley again to the nearer edge, or to an empty dent"),
    ),
    (
        SIGNS["late"],
        gettext_lazy("round its heddle, or slack"),
        gettext_lazy("thread it again; tie it on again"),
    ),
    (
        gettext_lazy("All ends of a shaft differ in one pick"),
        gettext_lazy("a wrong lift, or a treadle tied wrong"),
        gettext_lazy("tie it again; the pick may stay"),
    ),
)
_MOST_PATTERNS = 6
_MOST_GROUPS = 60


def page(
    plan: WarpPlan,
    planned: Planned,
    tested: WeaveSeen,
    query: QueryDict,
    here: str,
    results: Sequence[Happened],
) -> Shown:
    """:raises BadInput: an address that no page leads to"""
    lifts = at_loom.lifts_of(tested.picks, planned.lifts.shape[1])
    rates, warps = at_loom.learned(plan.loom.key, results)
    found = at_loom.outcome(planned, lifts, tested.windows, tested.kept, rates)
    ends = len(planned.threading)
    asked = query.get("end", "")
    number = int(asked) if asked.isascii() and asked.isdecimal() and len(asked) < 7 else 1
    end = min(max(number, 1), ends)
    first = end - (end - 1) % WINDOW
    used = picking.used_shafts(planned.threading)
    return {
        "ends": ends,
        "end_1": plan.guild.end_1,
        "picks": [{"number": n, "shafts": pick} for n, pick in enumerate(tested.picks, start=1)],
        "shafts": range(1, planned.lifts.shape[1] + 1),
        "own": tested.picks == at_loom.shafts_of(at_loom.own_picks(planned)),
        "own_enough": at_loom.own_are_enough(planned),
        "untold": [(a + 1, b + 1) for a, b in picking.cannot_tell(lifts, used)],
        "alone": _alone(plan, planned),
        "means": MEANS,
        "learned": warps,
        "web": slips_drawn.web(plan, planned, lifts, tested.windows, found, here, first),
        "window": _window(planned, tested, lifts, first),
        "ask": _ask(plan, planned, tested, query, here),
        "looked": found.looked,
        "unexplained": found.unexplained,
        "slips": _slips(found, tested, ends),
        "mend": _mend(plan, planned, found, tested),
        "cloth": slips_drawn.cloths(planned, found, plan.guild.end_1),
        "floats": _floats(found),
    }


def _alone(plan: WarpPlan, planned: Planned) -> Shown:
    """The way that needs no weaving: each shaft lifted alone, and which ends of each group rise."""
    groups = threading_job.threading(plan).groups[:_MOST_GROUPS]
    spans = [(group.first, group.stop - group.first) for group in groups]
    rows = [
        {"shaft": shaft + 1, "places": [" ".join(map(str, each)) or "–" for each in places]}
        for shaft, places in picking.one_by_one(planned.threading, spans)
    ]
    return {"groups": [(first + 1, first + size) for first, size in spans], "rows": rows}


def _window(planned: Planned, tested: WeaveSeen, lifts: Any, first: int) -> Shown:
    ends = len(planned.threading)
    last = min(first + WINDOW - 1, ends)
    cells = at_loom.cells_planned(planned, lifts)[:, first - 1 : last]
    seen = next((each for each in tested.windows if each.first == first), None)
    rows = []
    for pick in range(len(cells) - 1, -1, -1):
        row = []
        for place, up in enumerate(cells[pick].tolist()):
            differs = seen is not None and seen.rows[pick][place : place + 1] not in ("", "01"[up])
            row.append(
                {
                    "name": f"{pick + 1}-{first + place}",
                    "up": up,
                    "differs": differs,
                    "says": _("pick %(pick)d, end %(end)d: %(planned)s planned")
                    % {
                        "pick": pick + 1,
                        "end": first + place,
                        "planned": _("warp on top") if up else _("weft on top"),
                    },
                }
            )
        rows.append({"pick": pick + 1, "shafts": tested.picks[pick], "cells": row})
    return {
        "first": first,
        "last": last,
        "rows": rows,
        "heads": [
            {"end": end, "shaft": int(planned.threading[end - 1]) + 1, "free": bool(planned.free[end - 1])}
            for end in range(first, last + 1)
        ],
        "seen": seen is not None,
        "before": first - WINDOW if first > 1 else None,
        "after": last + 1 if last < ends else None,
    }


def _ask(plan: WarpPlan, planned: Planned, tested: WeaveSeen, query: QueryDict, here: str) -> Shown:
    texts = query.getlist("said")
    asking = Asking.of(planned, texts)
    question = asking.question(at_loom.at_hand(planned, tested.picks))
    slip = asking.slip()

    def link(*more: str) -> str:
        return f"{here}?{urlencode([('said', each) for each in (*texts, *more)])}#ask"

    return {
        "said": texts,
        "word": query.get("word", "")[:200],
        "question": None if question is None else _question(question, plan, link),
        "back": f"{here}?{urlencode([('said', each) for each in texts[:-1]])}#ask" if texts else "",
        "again": f"{here}#ask",
        "slip": None if slip is None else _slip(slip, len(planned.threading)),
        "sure": asking.sure(),
    }


def _question(question: Question, plan: WarpPlan, link: Any) -> Shown:
    """:param link: makes the address that one answer more leads to"""
    leftward = plan.guild.end_1 == "right"
    if isinstance(question, Where):
        spans = [
            {
                "says": _("ends %(a)d to %(b)d") % {"a": a, "b": b} if b > a else _("end %d") % a,
                "href": link(slips_ask.at(a, b)),
            }
            for a, b in question.stretches
        ]
        asks = _("Where does the cloth look wrong?")
        return {
            "asks": asks,
            "leftward": leftward,
            "across": True,
            "answers": spans,
            "pass": link(slips_ask.passed(question)),
        }
    if isinstance(question, Looks):
        signs = [{"says": str(says), "href": link(f"looks:{sign}")} for sign, says in SIGNS.items()]
        return {
            "asks": _("What do you see there?"),
            "answers": signs,
            "pass": link(slips_ask.passed(question)),
        }
    return _lift(question, leftward, link)


def _lift(question: Lift, leftward: bool, link: Any) -> Shown:
    shafts = " ".join(map(str, question.shafts))
    asks = ngettext(
        "Lift shaft %(shafts)s and no other. Which of these ends rise?",
        "Lift shafts %(shafts)s and no others. Which of these ends rise?",
        len(question.shafts),
    ) % {"shafts": shafts}
    answers = []
    for pattern in question.patterns[:_MOST_PATTERNS]:
        up = [str(end) for end, rises in zip(question.ends, pattern, strict=True) if rises]
        answers.append(
            {
                "ends": [
                    {"end": end, "up": rises} for end, rises in zip(question.ends, pattern, strict=True)
                ],
                "says": _("these rise: %(ends)s") % {"ends": ", ".join(up)} if up else _("none rises"),
                "href": link(slips_ask.rose(question, pattern)),
            }
        )
    return {
        "asks": asks,
        "leftward": leftward,
        "answers": answers,
        "pass": link(slips_ask.passed(question)),
    }


def _odds(slip: Slip) -> str:
    if slip.odds >= MOST_ODDS:
        return _("certain, as far as cells can be")
    return _("%(odds)s to 1") % {"odds": f"{slip.odds:,.0f}" if slip.odds >= 10 else f"{slip.odds:.2g}"}


def _slip(slip: Slip, ends: int) -> Shown:
    return {
        "where": slip_words.where(slip),
        "what": said(slip_words.what(slip)),
        "odds": _odds(slip),
        "doubtful": slip.odds < 3,
        "end": slip.end,
        "at": min(slip.end or 1, ends),
    }


def _slips(found: Outcome, tested: WeaveSeen, ends: int) -> list[Shown]:
    """The slips; ``drop``: the place of one that questions found, which can be removed."""
    places = {id(slip): place for place, slip in enumerate(tested.kept)}
    return [
        {
            **_slip(slip, ends),
            "drop": places.get(id(slip)),
            "or": [_alternative(each) for each in found.alternatives if each.instead_of == number][:6],
        }
        for number, slip in enumerate(found.slips)
    ]


def _alternative(each: Alternative) -> str:
    return f"{slip_words.where(each.slip)}: {said(slip_words.what(each.slip))}"


def _mend(plan: WarpPlan, planned: Planned, found: Outcome, tested: WeaveSeen) -> Shown | None:
    if not found.mending:
        return None
    way = min(tested.way, len(found.mending) - 1)
    return {
        "finished": all(each.do in tested.done for each in found.mending[way].actions),
        "ways": [
            {"number": number, "minutes": _minutes(each.minutes), "chosen": number == way, "says": _way(each)}
            for number, each in enumerate(found.mending)
        ],
        "minutes": _minutes(found.mending[way].minutes),
        "proved": found.mending[way].proved and way == 0,
        "actions": [_action(each, plan, tested) for each in _in_order(found.mending[way], plan)],
    }


def _minutes(minutes: float) -> str:
    return _("%(minutes)s min") % {"minutes": f"{minutes:.0f}" if minutes >= 10 else f"{round(minutes, 1):g}"}


def _way(mending: Mending) -> str:
    return "; ".join(action.do for action in mending.actions)


def _in_order(mending: Mending, plan: WarpPlan) -> list[Action]:
    """From the right of the loom to its left."""
    return sorted(mending.actions, key=lambda each: each.ends, reverse=plan.guild.end_1 == "left")


def _action(action: Action, plan: WarpPlan, tested: WeaveSeen) -> Shown:
    needs = []
    for shaft in dict.fromkeys(action.needs.repair_heddles):
        count = action.needs.repair_heddles.count(shaft)
        told = ngettext("%(n)d repair heddle for shaft %(s)d", "%(n)d repair heddles for shaft %(s)d", count)
        needs.append(told % {"n": count, "s": shaft})
    for shaft in dict.fromkeys(action.needs.spare_heddles):
        count = action.needs.spare_heddles.count(shaft)
        told = ngettext("%(n)d spare heddle on shaft %(s)d", "%(n)d spare heddles on shaft %(s)d", count)
        needs.append(told % {"n": count, "s": shaft})
    for key in action.needs.yarns:
        name = plan.guild.yarn(key).name if key else _("warp yarn")
        needs.append(_("a weight, and %(m).1f m of %(yarn)s") % {"m": plan.warp_length_m, "yarn": name})
    return {
        "do": action.do,
        "minutes": _minutes(action.minutes),
        "needs": needs,
        "done": action.do in tested.done,
        "ends": action.ends,
    }


def _floats(found: Outcome) -> Shown:
    def told(longest: Floats) -> str:
        over = [
            _("without end") if each is None else _("over %d") % each for each in (longest.warp, longest.weft)
        ]
        return _("warp %(warp)s, weft %(weft)s") % {"warp": over[0], "weft": over[1]}

    return {"planned": told(found.floats_planned), "left": told(found.floats_left)}
