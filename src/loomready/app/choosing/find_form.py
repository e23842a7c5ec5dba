"""The form of a search for drafts, and the wish made from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready import guildfile
from loomready.app.forms import stripes_form
from loomready.app.forms.fields import Field, Form, take
from loomready.app.forms.quantity_input import plain
from loomready.app.i18n.loom_size import shafts_of
from loomready.app.i18n.words import sentence, translated
from loomready.app.state.snapshot import Snapshot
from loomready.choose.drafts.finding import Setting, Wish, ends_across, mm_a_thread, setting_of, usual_setting
from loomready.colors import RGB
from loomready.draft.draft import DARK, LIGHT, Draft
from loomready.model.guild import Loom
from loomready.problems import BadInput
from loomready.units import LENGTH_M, PER_CM, WIDTH_MM, Kind, read
from loomready.warp.result import WarpPlan

MOST_STEPS_TALKING = 4
MOST_LIFTS_TALKING = 8


@dataclass(frozen=True, slots=True)
class SentForm:
    """A form with its wish. ``wish`` None: it is not sent yet, or something in it is wrong.

    warp, draft   keys of the warp or draft that the search starts from, or ""
    liked         that draft
    """

    form: Form
    wish: Wish | None
    loom: Loom | None
    warp: str
    draft: str
    liked: Draft | None
    like: bool
    query: tuple[tuple[str, str], ...]

    @property
    def plain_weave(self) -> bool:
        return self.wish is not None and self.wish.plain_weave


def asked(snapshot: Snapshot, sent: Mapping[str, str]) -> SentForm:
    """The form as it was sent, or as it begins."""
    warp, draft = sent.get("warp", ""), sent.get("draft", "")
    planned = snapshot.plan_of(warp)
    warp = warp if planned is not None else ""
    plan = planned.plan if planned is not None else None
    draft = planned.order.draft if planned is not None else draft
    liked = snapshot.drafts.get(draft)
    draft = draft if liked is not None else ""
    start = planned.order.loom if planned is not None else sent.get("loom", "")
    if not start and liked is not None:
        start = next((each.key for each in snapshot.guild.looms if each.shafts >= liked.shafts), "")
    form = _form(snapshot, start, plan, liked)
    if "picks" in sent:
        take(form, sent)
    loom = next((each for each in snapshot.guild.looms if each.key == form["loom"].text), None)
    near = form["near"].text if "near" in form.fields else "any"
    wish = None
    if "picks" in sent and loom is None:
        form.change("loom", error=_("Is missing; expected one of your looms"))
    elif "picks" in sent and loom is not None:
        wish = _wish(
            form, loom, plan, liked if near == "threading" else None, us=snapshot.guild.units == "us"
        )
    query = [(name, each.text) for name, each in form.fields.items() if each.text]
    query += [(name, value) for name, value in (("warp", warp), ("draft", draft)) if value]
    return SentForm(form, wish, loom, warp, draft, liked, near == "character", tuple(query))


def _form(snapshot: Snapshot, loom: str, plan: WarpPlan | None, liked: Draft | None) -> Form:
    looms = tuple((each.key, f"{each.name} · {_loom(each)}") for each in snapshot.guild.looms)
    show, us = snapshot.show, snapshot.guild.units == "us"
    setting = usual_setting(4) if plan is None else _of_plan(plan, 4)
    per_end, per_pick = (mm_a_thread(mm) for mm in (setting.mm_per_end, setting.mm_per_pick))
    talk = _("easy to remember: at most %(steps)d steps, %(lifts)d lifts") % {
        "steps": MOST_STEPS_TALKING,
        "lifts": MOST_LIFTS_TALKING,
    }
    made = [
        Field("loom", _("Loom"), loom or (looms[0][0] if looms else ""), "choice", choices=looms),
        Field("picks", _("Pick repeat at most"), "12", "number"),
        Field(
            "float",
            _("Longest float"),
            "",
            help=_("threads, or a length at the sett: 5, or %(length)s")
            % {"length": "1/4 in" if us else "6 mm"},
            placeholder="7",
        ),
        Field(
            "woven",
            _("Treadling"),
            "quiet",
            "choice",
            choices=(("quiet", _("any")), ("talk", talk)),
        ),
        Field("symmetric", _("Symmetric: the edges match"), "", "flag"),
        Field(
            "plain",
            _("Plain weave can be woven"),
            "",
            "flag",
            help=_("with treadles: tabby has its own"),
        ),
    ]
    if liked is not None:
        near = (
            ("any", _("anything")),
            ("character", _("similar in character")),
            ("threading", _("on the same threading")),
        )
        made.append(Field("near", _("Show"), "character", "choice", choices=near))
    made += [
        Field("sett", _("Sett of the cloth"), show.density(per_end)),
        Field("ppi", _("Picks of the cloth"), show.density(per_pick)),
        Field("distance", _("Seen from"), "10 ft" if us else "3 m"),
        Field(
            "width",
            _("Width of the cloth"),
            "" if plan is None else show.width(plan.finished_width_mm),
            help=_("if chosen, only threadings that fit the heddles on its shafts"),
        ),
    ]
    return Form({each.name: each for each in made})


def _loom(loom: Loom) -> str:
    shafts = shafts_of(loom)
    treadles = ngettext("%d treadle", "%d treadles", loom.treadles) % loom.treadles
    if loom.direct_tie_up:
        treadles = _("direct tie-up")
    return f"{shafts}, {treadles if loom.treadles else _('levers')}"


def _wish(form: Form, loom: Loom, plan: WarpPlan | None, threading: Draft | None, *, us: bool) -> Wish | None:
    """The wish; an error is shown beside its field. A bare number is in the guild's units."""
    setting = _setting(form, loom, plan, us)
    float_text = form["float"].text
    threads = int(float_text) if float_text.isdecimal() and len(float_text) < 5 else None
    mm = None if threads is not None or not float_text else _quantity(form, "float", WIDTH_MM, "")
    width = _quantity(form, "width", WIDTH_MM, "in" if us else "cm") if form["width"].text else None
    picks = _count(form, "picks")
    if threading is not None and int(threading.threading.max(initial=0)) >= loom.draft_shafts:
        form.change("near", error=_("This threading needs more shafts than the loom has."))
    if threading is not None and int(threading.threading.min(initial=0)) < 0:
        form.change(
            "near", error=_("This threading leaves ends unthreaded; expected one with every end in a heddle.")
        )
    if form.wrong or setting is None or picks is None:
        return None
    talk = form["woven"].text == "talk"
    treadles = [count for count in (loom.free_treadles, MOST_LIFTS_TALKING if talk else 0) if count]
    try:
        return Wish(
            setting,
            picks,
            max_float=threads,
            max_float_mm=mm,
            symmetric=bool(form["symmetric"].text),
            plain_weave=bool(form["plain"].text),
            treadles=min(treadles, default=None),
            max_steps=MOST_STEPS_TALKING if talk else None,
            heddles=None if width is None or loom.has_open_ends else loom.heddles,
            ends=None if width is None else ends_across(width, setting),
            threading=None if threading is None else tuple(threading.threading.tolist()),
        )
    except BadInput as error:
        name = {"max-float": "float", "picks": "picks", "distance": "distance"}.get(error.where, "")
        if name:
            form.change(name, error=translated(error.what))
        else:
            form.error = error.line()
        return None


def _setting(form: Form, loom: Loom, plan: WarpPlan | None, us: bool) -> Setting | None:
    closeness = "/in" if us else "/cm"
    per_end = _quantity(form, "sett", PER_CM, closeness)
    per_pick = _quantity(form, "ppi", PER_CM, closeness)
    distance = _quantity(form, "distance", LENGTH_M, "ft" if us else "m")
    if per_end is None or per_pick is None or distance is None:
        return None
    warp, weft = (DARK, LIGHT) if plan is None else main_colors(plan)
    return Setting(
        loom.draft_shafts - loom.pick_up_sticks,
        mm_a_thread(per_end),
        mm_a_thread(per_pick),
        distance,
        warp,
        weft,
    )


def _quantity(form: Form, name: str, kind: Kind, unit: str) -> float | None:
    try:
        value = read(plain(form[name].text, kind, unit), kind)
        if value <= 0:
            raise BadInput(_("is not above 0; expected a size"))
    except BadInput as error:
        form.change(name, error=sentence(error.what))
        return None
    return value


def _count(form: Form, name: str) -> int | None:
    text = form[name].text
    if not text.isdecimal() or len(text) > 6:
        form.change(name, error=_("Is not a whole number; expected 2 to 400"))
        return None
    return int(text)


def main_colors(plan: WarpPlan) -> tuple[RGB, RGB]:
    """The color of most ends, and of the picks: another one where there is one."""
    warp, weft = main_yarns(guildfile.encode_record("warps", plan.order), plan.draft)
    return plan.guild.yarn(warp).color, plan.guild.yarn(weft).color


def main_yarns(table: Mapping[str, Any], draft: Draft) -> tuple[str, str]:
    """The yarn of most ends, and one for all picks: that of most picks which is not the warp's.

    :param table: of a warp, in the yarns of the draft's colors or in stripes
    """
    of_ends = _by_stripes(table, "stripes") or _by_use(table["warp_yarns"], draft.warp_colors)
    of_picks = _by_stripes(table, "weft_stripes") or _by_use(table["weft_yarns"], draft.weft_colors)
    others = [key for key in (*of_picks, *of_ends) if key != of_ends[0]]
    return of_ends[0], (others or of_picks)[0]


def _by_stripes(table: Mapping[str, Any], name: str) -> list[str]:
    """The yarns of a list of stripes, the most used first."""
    many: dict[str, int] = {}
    for row in table.get(name, ()):
        if "yarn" not in row:  # empty dents
            continue
        many[row["yarn"]] = many.get(row["yarn"], 0) + row[stripes_form.COUNTED[name]]
    return sorted(many, key=lambda key: -many[key])


def _by_use(yarns: Sequence[str], colors: Any) -> list[str]:
    """Yarns given in the order in which their colors first appear, the most used first."""
    _colors, first, count = np.unique(colors, return_index=True, return_counts=True)
    many = dict(zip(yarns, count[np.argsort(first)].tolist(), strict=False))
    return sorted(many, key=lambda key: -many[key])


def _of_plan(plan: WarpPlan, shafts: int) -> Setting:
    return setting_of(plan, shafts, 1.0, (DARK, LIGHT))
