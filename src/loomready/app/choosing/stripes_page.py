"""The page that proposes stripes for a warp: what was asked, and each proposal with its strip and yarn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app.i18n.words import translated
from loomready.app.media.pictures import Strips
from loomready.app.media.web_strip import web_strip
from loomready.app.state.snapshot import Snapshot
from loomready.choose.stripes.proposals import MOST_YARNS, Limits, Proposal, propose
from loomready.loomside.steps.stripes_told import warp_told
from loomready.model.guild import Yarn
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.warp.plan import shelf_before

NAMES = {
    "even": gettext_lazy("Even"),
    "growing": gettext_lazy("Growing"),
    "shrinking": gettext_lazy("Shrinking"),
    "growing and shrinking": gettext_lazy("Growing and shrinking"),
    "fibonacci": gettext_lazy("Fibonacci: each as wide as the two before it together"),
    "random": gettext_lazy("Random"),
}
USUAL = Limits()
COUNTS = {
    "narrowest": (gettext_lazy("Narrowest, ends"), USUAL.narrowest),
    "widest": (gettext_lazy("Widest, ends"), USUAL.widest),
    "stripes": (gettext_lazy("Stripes before they repeat"), USUAL.stripes),
    "seed": (gettext_lazy("Random: number to start from"), 1),
}


@dataclass(frozen=True, slots=True)
class StripesCard:
    kind: str
    name: Any
    strip: Strips
    stripes: str
    short: tuple[str, ...]
    whole: bool


@dataclass(frozen=True, slots=True)
class StripesPage:
    """``yarns``: (yarn, whether it is chosen). ``counts``: (name, label, text). ``error``: why none."""

    yarns: tuple[tuple[Yarn, bool], ...]
    counts: tuple[tuple[str, Any, str], ...]
    cards: tuple[StripesCard, ...] = ()
    error: str = ""
    next_seed: int = 2


def asked_yarns(snapshot: Snapshot, key: str, given: QueryDict) -> list[str]:
    """The yarns asked for; at first those of the warp, its weft's too where its warp has but one."""
    if "yarn" in given:
        return given.getlist("yarn")
    order = next(each for each in snapshot.guild.warps if each.key == key)
    keys = dict.fromkeys(order.warp_yarns)
    return list(keys if len(keys) > 1 else dict.fromkeys((*keys, *order.all_weft_yarns)))[:MOST_YARNS]


def proposals(snapshot: Snapshot, key: str, given: QueryDict) -> tuple[Proposal, ...]:
    """:raises BadInput: what was asked is not valid, or there is no plan"""
    planned = snapshot.plan_of(key)
    if planned is None or planned.plan is None:
        raise (planned.error if planned else None) or BadInput(phrase("there is no plan to work by"))
    counts = {name: _count(given, name) for name in COUNTS}
    seed = counts.pop("seed")
    yarns = asked_yarns(snapshot, key, given)
    shelf = shelf_before(snapshot.guild, snapshot.drafts, key)
    return propose(
        planned.plan, yarns, snapshot.guild, snapshot.drafts, shelf, limits=Limits(**counts), seed=seed
    )


def _count(given: QueryDict, name: str) -> int:
    text = given.get(name, "").strip() or str(COUNTS[name][1])
    if not (text.isascii() and text.isdigit() and len(text) < 9):
        raise BadInput(
            phrase('"{text}" is no whole number; expected one', text=text[:20]), where=str(COUNTS[name][0])
        )
    return int(text)


def stripes_page(snapshot: Snapshot, key: str, given: QueryDict) -> StripesPage:
    chosen = set(asked_yarns(snapshot, key, given))
    shown = StripesPage(
        yarns=tuple((yarn, yarn.key in chosen) for yarn in snapshot.guild.yarns),
        counts=tuple(
            (name, label, given.get(name, "").strip() or str(usual))
            for name, (label, usual) in COUNTS.items()
        ),
    )
    try:
        found = proposals(snapshot, key, given)
    except BadInput as error:
        return StripesPage(shown.yarns, shown.counts, error=translated(error.line()))
    cards = tuple(_card(snapshot, each) for each in found)
    return StripesPage(shown.yarns, shown.counts, cards, next_seed=_count(given, "seed") + 1)


def _card(snapshot: Snapshot, proposal: Proposal) -> StripesCard:
    names = {yarn.key: yarn.name for yarn in snapshot.guild.yarns}
    short = tuple(
        _("%(yarn)s is short %(ends)d warp ends") % {"yarn": names[key], "ends": ends}
        if ends
        else _("%(yarn)s is short %(length)s of weft")
        % {"yarn": names[key], "length": snapshot.show.yarn_needed(weft_m)}
        for key, ends, weft_m in proposal.missing
    )
    plan = proposal.plan
    return StripesCard(
        proposal.kind,
        NAMES[proposal.kind],
        web_strip(plan, "none"),
        warp_told(plan.order, plan.web.heddle_ends, plan.guild.names_of_yarns),
        short,
        proposal.whole,
    )
