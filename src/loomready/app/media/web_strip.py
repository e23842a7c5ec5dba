"""The web strip on a page: the warp as on the loom, cut into stretches that link to their part of the
page."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import get_language, gettext_lazy, ngettext
from django.utils.translation import gettext as _

from loomready.app.i18n.words import READERS, translated
from loomready.app.media.pictures import HIGH, NARROW, WIDE, Strips
from loomready.cloth.strip import Mark, strip_svg
from loomready.loomside.steps import second_told
from loomready.loomside.steps.sleying import ends_of_dents
from loomready.warp.across import Floats, places
from loomready.warp.result import WarpPlan

VIEWS: dict[str, Any] = {
    "bouts": gettext_lazy("bouts"),
    "dents": gettext_lazy("dents"),
    "repeats": gettext_lazy("repeats"),
}
_OF_BAND: dict[str, Any] = {"bouts": gettext_lazy("band"), "repeats": gettext_lazy("repeats")}
MOST = 24  # stretches that a finger can still hit


@dataclass(frozen=True, slots=True)
class Stretch:
    """Neighboring ends, from 1, that belong together: ``key`` is the part of the page that they link to."""

    key: str
    label: str
    first_end: int
    last_end: int
    says: tuple[str, ...] = ()
    before: int = 0

    @property
    def first_told(self) -> int:
        """The number of its first end in its own warp: ``before`` ends are of the first."""
        return self.first_end - self.before

    @property
    def last_told(self) -> int:
        return self.last_end - self.before


def web_strip(plan: WarpPlan, view: str) -> Strips:
    """The warp as it lies, with bouts, dents or repeats under it; view "none": only the warp."""
    return _drawn(plan, view, get_language() or "")


@lru_cache(maxsize=128)
def _drawn(plan: WarpPlan, view: str, language: str) -> Strips:
    colors = [plan.guild.yarn(key).color for key in plan.order.warp_yarns]
    ends = [colors[role] for role in plan.web.role.tolist()]
    if view == "bouts":
        ends = [ends[place] for place in plan.wound_order.tolist()]
    cut = stretches(plan, view)
    marks = [Mark(each.first_end, each.last_end, each.label) for each in cut]
    side = {"left": _("end 1 at the left"), "right": _("end 1 at the right")}[plan.guild.end_1]
    count = ngettext("%d end", "%d ends", len(ends)) % len(ends)
    wide, narrow = (
        strip_svg(
            ends,
            width,
            HIGH if marks else HIGH - 20,
            marks,
            end_1=plan.guild.end_1,
            title=_("The warp on the loom"),
            words=f"{count}, {side}",
            catalog=READERS,
            places=_places(plan, view),
        )
        for width in (WIDE, NARROW)
    )
    return Strips(wide, narrow, touch(plan, cut, view))


def _places(plan: WarpPlan, view: str) -> Floats | None:
    """Where each end lies; of two warps the bouts show the ends in the order of winding, evenly."""
    return None if view == "bouts" and plan.second is not None else places(plan)


def touch(plan: WarpPlan, cut: list[Stretch], view: str) -> SafeString:
    """The links over the strip for fingers and keys: one for each stretch, as wide as it is."""
    if not cut:
        return SafeString()
    from_right = plan.guild.end_1 == "right"
    lie = _places(plan, view)

    def area(each: Stretch) -> tuple[str, str, str, str]:
        near, far = float(each.first_end - 1), float(each.last_end)
        if lie is not None:
            near, far = (
                float(lie[each.first_end - 1][0]) * plan.web.ends,
                float(lie[each.last_end - 1][1]) * plan.web.ends,
            )
        start = plan.web.ends - far if from_right else near
        return each.key, f"{each.label}, {_ends(each)}", f"{start:g}", f"{far - near:g}"

    areas = format_html_join(
        "",
        '<a href="#{}" aria-label="{}"><rect x="{}" width="{}" height="1"/></a>',
        (area(each) for each in (reversed(cut) if from_right else cut)),
    )
    box = '<svg class="touch" viewBox="0 0 {} 1" preserveAspectRatio="none">{}</svg>'
    return format_html(box, plan.web.ends, areas)


def _ends(each: Stretch) -> str:
    return _("ends %(first)d–%(last)d") % {"first": each.first_told, "last": each.last_told}


def stretches(plan: WarpPlan, view: str) -> list[Stretch]:
    """The strip's parts, end 1 first."""
    made = {"bouts": _bouts, "dents": _dents, "repeats": _repeats}.get(view)
    return made(plan) if made else []


def views_of(plan: WarpPlan) -> tuple[tuple[str, Any], ...]:
    """What the strip can mark under the warp, with the word for it: a band has no bouts and no dents."""
    if plan.loom.kind == "inkle":
        return tuple(_OF_BAND.items())
    return tuple((VIEWS | ({"bouts": _("sections")} if plan.sections else {})).items())


def _bouts(plan: WarpPlan) -> list[Stretch]:
    """Bouts, or the sections of the beam by their numbers there; ends of a section come from the rack."""
    sections, first = plan.sections, plan.sections.first if plan.sections else 1
    named = (
        _("section %(number)d · %(ends)d")
        if sections
        else _("the band · %(ends)d")
        if plan.loom.kind == "inkle"
        else _("bout %(number)d · %(ends)d")
    )
    return [
        Stretch(
            f"bout-{bout.number}",
            named % {"number": number, "ends": bout.ends},
            bout.first_end,
            bout.last_end,
            (
                "" if plan.second is None else translated(second_told.which(bout)),
                ", ".join(f"{count} {plan.guild.yarn(yarn).name}" for yarn, count in bout.colors[:MOST])
                + (" …" if len(bout.colors) > MOST else ""),
                ", ".join(
                    _("%(cone)s gives %(ends)d") % {"cone": plan.guild.name_of_cone(cone), "ends": ends}
                    for cone, ends in (() if sections else bout.cones)
                ),
            ),
            bout.first_end - second_told.ends_of(plan, bout)[0],
        )
        for number, bout in enumerate(plan.bouts, first)
    ]


def _repeats(plan: WarpPlan) -> list[Stretch]:
    """The draft's repeats; of very many, several to a stretch."""
    starts, together = plan.web.repeat_starts, -(-plan.web.repeats // MOST)
    made = []
    for first in range(0, plan.web.repeats, together):
        last = min(first + together, plan.web.repeats)
        numbers = {"first": first + 1, "last": last}
        label = _("repeat %(first)d") if last == first + 1 else _("repeats %(first)d–%(last)d")
        made.append(Stretch(f"repeat-{first + 1}", label % numbers, starts[first] + 1, starts[last]))
    return made


def _dents(plan: WarpPlan) -> list[Stretch]:
    """Stretches of ten dents or more, as the sley fills them."""
    if plan.sley is None:
        none = _("no reed") if plan.loom.kind == "inkle" else _("no reed fits")
        return [Stretch("dents", none, 1, plan.web.ends)]
    dents = ends_of_dents(plan, plan.sley)
    size = next(size for size in (10, 20, 50, 100, 200, 500, 1000, 20000) if len(dents) / size <= 12)
    made = []
    for at in range(0, len(dents), size):
        taken = [dent for dent in dents[at : at + size] if dent[1] >= dent[0]]
        if taken:
            first = plan.sley.first_dent + at
            last = plan.sley.first_dent + min(at + size, len(dents)) - 1
            words = (
                _("places %(first)d–%(last)d") if plan.loom.is_rigid_heddle else _("dents %(first)d–%(last)d")
            )
            label = words % {"first": first, "last": last}
            counts = "-".join(str(max(0, end - start + 1)) for start, end in dents[at : at + size][:MOST])
            more = " …" if len(dents[at : at + size]) > MOST else ""
            says = _("ends in them: %s") % f"{counts}{more}"
            made.append(Stretch(f"dents-{first}", label, taken[0][0], taken[-1][1], (says,)))
    return made
