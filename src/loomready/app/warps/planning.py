"""The planning page: its view of a plan, the form of a new warp, applying a remedy."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import PurePosixPath
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from loomready import guildfile
from loomready.app.forms import fields, form_check, warp_form, yarns_for_draft
from loomready.app.i18n.words import READERS, translated
from loomready.app.media.pictures import Cloth, Strips, bar, cloth
from loomready.app.media.web_strip import VIEWS, Stretch, stretches, views_of, web_strip
from loomready.app.progress import overview
from loomready.app.state import places, store
from loomready.app.state.snapshot import Entry, Planned, Snapshot, plain
from loomready.app.warps import weft_used, wound_cones
from loomready.draft.draft import Draft
from loomready.loomside.steps.cutting_told import CutRow, cut_rows, cutting_told
from loomready.loomside.steps.dents_told import sleyed_in_stripes
from loomready.loomside.steps.double_told import double_told
from loomready.loomside.steps.piece_steps import Told, pieces_told
from loomready.loomside.steps.treadling_told import Treadlings, treadlings
from loomready.loomside.steps.ways import Way, ways
from loomready.model import dressing_order
from loomready.model.guild import DONE_SINCE_WOUND, WarpOrder
from loomready.phrases import phrase
from loomready.problems import BadInput, Problem
from loomready.report.money import money
from loomready.units import PER_CM, Shown, near
from loomready.warp import edge_turns, rigid
from loomready.warp.figures import Figure, figures, yarn_figures
from loomready.warp.plan import plan_once, plan_warp
from loomready.warp.result import WarpPlan, YarnNeed
from loomready.warp.shelf import Shelf
from loomready.warp.stripe_setts import stripe_setts

NEW = ("key", "loom", "draft", "finished_width", "sett", "ppi")
NEW_ITEM = ("finished_length", "count")
USUAL_FIRMNESS = "80 %"


@dataclass(frozen=True, slots=True)
class ConeLine:
    name: str
    ends: str
    left: str


@dataclass(frozen=True, slots=True)
class YarnLine:
    need: YarnNeed
    taken: str
    needed: str
    sure: str
    available: str
    bar: str
    figures: tuple[Figure, ...]
    cones: tuple[ConeLine, ...]
    cost: str = ""  # where the yarn has a price


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything the planning page shows of one warp. ``plan`` None: ``error`` gives the reason."""

    state: overview.State
    plan: WarpPlan | None
    error: str
    loom: str
    title: str
    draft: str
    version: int
    figures: tuple[Figure, ...] = ()
    pieces: tuple[Told, ...] = ()
    treadling: Treadlings | None = None
    cut: tuple[CutRow, ...] = ()
    cut_told: tuple[str, ...] = ()
    brief: tuple[tuple[str, str], ...] = ()
    sley: str = ""
    heddles: tuple[tuple[int, int], ...] = ()
    advice: tuple[str, ...] = ()
    yarns: tuple[YarnLine, ...] = ()
    picks: str = ""
    cost: str = ""  # of all yarn, where each has a price
    edge_hint: str = ""
    cloth: Cloth | None = None
    strip: Strips | None = None
    bare_strip: str = ""
    view: str = "bouts"
    views: tuple[tuple[str, Any], ...] = tuple(VIEWS.items())
    ways: tuple[Way, ...] = ()
    stretches: tuple[Stretch, ...] = ()
    stops: tuple[Problem, ...] = ()
    warns: tuple[Problem, ...] = ()


def sheet(snapshot: Snapshot, key: str, view: str) -> Sheet:
    planned = snapshot.plan_of(key)
    if planned is None:
        raise BadInput(phrase('there is no warp "{key}"', key=key))
    order, plan = planned.order, planned.plan
    loom = snapshot.guild.loom(order.loom)
    draft = snapshot.drafts[order.draft]
    base = Sheet(
        state=overview.state(snapshot, planned),
        plan=plan,
        error="" if planned.error is None else planned.error.line(),
        loom=loom.name,
        title=draft.title or PurePosixPath(order.draft).stem,
        draft=order.draft,
        version=snapshot.entries["drafts", order.draft].version,
        view=view,
    )
    if plan is None:
        return base
    return replace(
        base,
        figures=tuple(figures(plan)),
        pieces=pieces_told(plan),
        treadling=treadlings(plan, lambda key: plan.guild.yarn(key).name),
        cut=cut_rows(plan),
        cut_told=tuple(map(translated, cutting_told(plan))),
        brief=(
            (str(plan.web.ends), _("working ends") if plan.web.is_doubled else _("ends")),
            (
                snapshot.show.width(plan.width_in_reed_mm),
                _("on the loom") if plan.loom.kind == "inkle" else _("in reed"),
            ),
            (snapshot.show.length(plan.warp_length_m), ""),
        ),
        sley=_sley(plan),
        heddles=tuple(
            (loom_shaft, count)
            for loom_shaft, count in zip(plan.heddles.assignment, plan.heddles.needed, strict=True)
            if loom_shaft is not None
        ),
        advice=tuple(map(translated, _advice(plan, snapshot.show))),
        yarns=tuple(_yarn(snapshot, plan, need) for need in plan.yarns),
        picks=f"{plan.picks:,}",
        cost=money(plan.cost, plan.guild.currency),
        edge_hint=translated(edge) if (edge := edge_turns.hint(plan)) is not None else "",
        cloth=cloth(plan),
        strip=web_strip(plan, view),
        bare_strip=web_strip(plan, "none").narrow if plan.order.stripes else "",
        stretches=tuple(stretches(plan, view)),
        views=views_of(plan),
        ways=ways(plan, READERS),
        stops=tuple(problem for problem in plan.problems if problem.level == "stop"),
        warns=tuple(
            problem for problem in base.state.at.open_problems(plan.problems) if problem.level == "warn"
        ),
    )


def _advice(plan: WarpPlan, show: Shown) -> list[str]:
    """How to sley, and what is known about the sett."""
    uneven = [sleyed_in_stripes(plan, plan.sley)] if plan.sley is not None and plan.sley.denting else []
    setts = [each.line(show) for each in stripe_setts(plan)]
    return [*double_told(plan), *rigid.lines(plan), *uneven, *setts, *plan.sett_advice.lines(show)]


def _sley(plan: WarpPlan) -> str:
    if plan.sley is not None and rigid.through(plan) is not None:
        return _("heddle, %(cycle)s per hole and slot, starting in place %(first)d") % {
            "cycle": plan.sley.told,
            "first": plan.sley.first_dent,
        }
    if plan.loom.kind == "inkle":
        return _("no reed: heddled and open ends in turn")
    if plan.sley is None:
        return _("no reed fits")
    if plan.sley.denting and not plan.order.stripes:
        return _("reed %(reed)s, %(cycle)s per dent, wider at the fold, starting in dent %(first)d") % {
            "reed": plan.sley.reed.name,
            "cycle": plan.sley.told,
            "first": plan.sley.first_dent,
        }
    if plan.sley.denting:
        return _("reed %(reed)s, by stripes, starting in dent %(first)d") % {
            "reed": plan.sley.reed.name,
            "first": plan.sley.first_dent,
        }
    return _("reed %(reed)s, %(cycle)s per dent, starting in dent %(first)d") % {
        "reed": plan.sley.reed.name,
        "cycle": plan.sley.told,
        "first": plan.sley.first_dent,
    }


def _yarn(snapshot: Snapshot, plan: WarpPlan, need: YarnNeed) -> YarnLine:
    show, wanted = snapshot.show, need.wanted_m
    return YarnLine(
        need=need,
        taken=show.yarn_needed(need.taken_m) if need.taken_m > 0 else "",
        needed=show.yarn_needed(wanted) if wanted > 0 else "",
        sure=show.yarn_there(need.sure_m),
        available=show.yarn_there(need.available_m),
        bar=bar(need.yarn.color, wanted, need.on_shelf_m, need.available_m),
        figures=yarn_figures(plan, need),
        cones=tuple(
            ConeLine(
                snapshot.name("cones", use.cone),
                _cone_gives(use.ends, use.weft_m),
                show.yarn_there(use.sure_after_m),
            )
            for use in need.uses
            if use.ends or use.weft_m > 0
        ),
        cost=money(need.cost, plan.guild.currency),
    )


def _cone_gives(ends: int, weft_m: float) -> str:
    parts = ([_("%d ends") % ends] if ends else []) + ([_("weft")] if weft_m > 0 else [])
    return _(" and ").join(parts)


def new_form(snapshot: Snapshot, loom: str = "", draft: str = "") -> fields.Form:
    """The short form of a new warp, on the loom and with the draft asked for.

    A loom that is not asked for can weave the draft; drafts that the loom's shafts can weave stand first.
    """
    system = snapshot.guild.units
    form = fields.make("warps", NEW, {}, system)
    form.fields.update(fields.make("items", NEW_ITEM, {"count": 1}, system, "items-1-").fields)
    model = warp_form.form_of(snapshot, {})
    looms = {each.key: each.shafts for each in snapshot.guild.looms}
    wanted = [snapshot.drafts[draft]] if draft in snapshot.drafts else list(snapshot.drafts.values())
    able = [key for key, has in looms.items() if any(_fits(each, has) for each in wanted)]
    chosen = next(iter([loom] if loom in looms else able or looms), "")
    shafts = looms.get(chosen, 0)
    drafts = sorted(model["draft"].choices, key=lambda each: not _fits(snapshot.drafts[each[0]], shafts))
    form.change("loom", kind="choice", choices=model["loom"].choices, text=chosen)
    first = drafts[0][0] if drafts else ""
    text = draft if draft in snapshot.drafts else first
    form.change("draft", kind="choice", choices=tuple(drafts), text=text)
    form.change("key", help=_("a name: hall runner, towels"), echo=reverse("warps-new-name"))
    form.change("sett", help=_("leave empty to calculate it from yarn and draft"))
    form.change("ppi", help=_("leave empty for as many picks as ends"), needed=False)
    return form


def _fits(draft: Draft, shafts: int) -> bool:
    return draft.shafts <= shafts


def new_table(snapshot: Snapshot, form: fields.Form, named: fields.NewName) -> dict[str, Any] | None:
    """A warp's table from the short form; None if something in the form is wrong."""
    item = fields.table("items", form, {}, "items-1-")
    own = fields.Form({name: each for name, each in form.fields.items() if "-" not in name})
    made = fields.table("warps", own, {})
    form.fields.update(own.fields)
    draft = snapshot.drafts.get(made.get("draft", ""))
    if form.wrong or draft is None:
        return None
    made = named.into(made) | {"items": [item]}
    for side in ("warp", "weft"):
        wanted, warp = yarns_for_draft.colors(draft, side), made.get("warp_yarns", [])
        made[f"{side}_yarns"] = list(yarns_for_draft.fit((), wanted, snapshot, beside=warp))
    if "sett" not in made:
        made["firmness"] = USUAL_FIRMNESS
    if "ppi" not in made:
        made["ppi"] = _as_close_as_ends(snapshot, made)
    return made if form_check.check("warps", made, form) and tried(snapshot, "", made, form) else None


def _as_close_as_ends(snapshot: Snapshot, table: dict[str, Any]) -> str:
    """As many picks as ends, as in balanced cloth."""
    if "sett" in table:
        return str(table["sett"])
    order = guildfile.decode_record("warps", plain(table) | {"ppi": "20 /in"})
    plan, _left = plan_warp(order, snapshot.guild, snapshot.drafts, Shelf(snapshot.guild))
    us = snapshot.guild.units == "us"
    return near(plan.asked_sett_per_cm, PER_CM, "/in" if us else "/cm", 0 if us else 1)


def tried(snapshot: Snapshot, key: str, table: dict[str, Any], form: fields.Form) -> bool:
    """Whether the table can be planned at all; what keeps it from that is put beside its field."""
    name = ("warps", key or str(table["key"]))
    entry = Entry("warps", name[1], 0, table)
    try:
        planned = Snapshot({**snapshot.entries, name: entry}).plan_of(name[1])
    except BadInput as error:
        form.blame(error)
        return False
    if planned is not None and planned.error is not None:
        form.blame(planned.error)
        return False
    return True


def remedied(snapshot: Snapshot, key: str, code: str, says: str) -> dict[str, Any] | None:
    """The warp's table with a remedy's change made; None if the plan offers no such remedy (any more)."""
    planned, entry = snapshot.plan_of(key), snapshot.entry("warps", key)
    if planned is None or planned.plan is None or entry is None:
        return None
    for problem in planned.plan.problems:
        for offer in problem.remedies:
            if problem.code == code and translated(offer.says) == says:
                return changed_table(snapshot, planned.order, entry.fields, offer.change)
    return None


def changed_table(
    snapshot: Snapshot, order: WarpOrder, before: dict[str, Any], change: dict[str, Any]
) -> dict[str, Any]:
    """Only the keys that differ are written again; everything else stays as it was typed."""
    system = snapshot.guild.units
    was = guildfile.encode_record("warps", order, system)
    now = guildfile.encode_record("warps", replace(order, **change), system)
    made = dict(before)
    for name in dict.fromkeys((*was, *now)):
        if was.get(name) == now.get(name):
            continue
        if name in now:
            made[name] = now[name]
        else:
            made.pop(name, None)
    return plain(made)


def tick(snapshot: Snapshot, key: str, step: str, who: str) -> None:
    """Mark the progress of a warp.

    From "wound" on the record has the time of winding, and later of cutting off. The cones that give its ends
    in the current plan are stored with it.

    :raises BadInput: no such warp or step
    """
    entry = snapshot.entry("warps", key)
    if entry is None or step not in dressing_order.STEPS:
        raise BadInput(phrase("there is no such warp or step; check the page again"))
    there = snapshot.entry("progress", key)
    table = dict(entry.fields)
    now = datetime.now().isoformat()
    if step == "planned":
        for name in ("wound", *DONE_SINCE_WOUND):
            table.pop(name, None)
    elif "wound" not in table:
        table["wound"] = now
        planned = snapshot.plan_of(key)
        from_cones = wound_cones.as_planned(planned.plan if planned else None)
        if from_cones:
            table["wound_from"] = from_cones
        table |= _wound_for(snapshot, planned)
    if step == "cut off":
        if "off" not in table:
            table["off"] = now
            rest = weft_used.rest_of_weft(snapshot, snapshot.plan_of(key)) if "wound" in entry.fields else []
            if rest:
                table["woven_from"] = [*table.get("woven_from", []), *rest]
    elif "off" in table:
        table |= weft_used.on_the_loom_again(snapshot, snapshot.plan_of(key))
        for name in ("off", "cut_early"):
            table.pop(name, None)
        if not table.get("woven_from"):
            table.pop("woven_from", None)
    writes: list[store.Write] = [("progress", key, {"step": step}, there.version if there else None)]
    if table != entry.fields:
        writes.insert(0, ("warps", key, table, entry.version))
    store.write_together(writes, who=who)


def _wound_for(snapshot: Snapshot, planned: Planned | None) -> dict[str, Any]:
    """The reed and sley that a warp keeps once it is wound; nothing where it has none, or a heddle for it."""
    if planned is None or planned.plan is None or planned.plan.loom.is_rigid_heddle:
        return {}
    wound = replace(planned.order, wound=datetime.now())
    sley = plan_once(wound, snapshot.guild, snapshot.drafts, Shelf(snapshot.guild))[0].sley
    return {} if sley is None else {"wound_reed": sley.reed.key, "wound_sley": list(sley.cycle)}


def move(snapshot: Snapshot, key: str, to: str, who: str) -> None:
    """Let a warp take yarn before or after others.

    Warps off the loom keep their places: they take no yarn.

    :param to: one of :data:`places.PLACES`
    :raises BadInput: no such warp or place, or it is there already
    """
    orders = snapshot.guild.warps
    off = frozenset(order.key for order in orders if order.off is not None)
    places.move(snapshot, "warps", [order.key for order in orders], off, key, to, who)
