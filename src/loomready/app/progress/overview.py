"""The progress of each warp, what comes next, and the guide through a first warp."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from loomready.app.i18n.loom_size import shafts_of
from loomready.app.i18n.words import translated
from loomready.app.loomside.jobs_words import words
from loomready.app.media.pictures import Strips
from loomready.app.media.web_strip import web_strip
from loomready.app.progress.warp_progress import progress_of
from loomready.app.state.snapshot import Planned, Snapshot
from loomready.loomside.log.progress import Progress
from loomready.model.dressing_order import CUT_OFF
from loomready.model.guild import Loom
from loomready.warp.rigid import own_reed

LABELS = {
    "planned": _("planned"),
    "wound": _("wound"),
    "sleyed": _("sleyed"),
    "threaded": _("threaded"),
    "beamed": _("beamed"),
    "tied in": _("tied in"),
    "tied on": _("tied on"),
    "tested": _("tested"),
    "weaving": _("weaving"),
    "cut off": _("cut off"),
}
# What to do to reach a step.
DOING = {
    "wound": _("wind the warp"),
    "sleyed": _("sley the reed"),
    "threaded": _("thread the heddles"),
    "beamed": _("beam the warp"),
    "tied in": _("tie the ends to the old warp"),
    "tied on": _("tie on"),
    "tested": _("weave a test"),
    "weaving": _("weave"),
    "cut off": _("weave on, then cut off"),
}
LOOM_KINDS = {
    "table": _("table loom"),
    "jack": _("jack loom"),
    "counterbalance": _("counterbalance loom"),
    "countermarche": _("countermarche loom"),
    "rigid heddle": _("rigid heddle loom"),
    "inkle": _("inkle loom"),
}


@dataclass(frozen=True, slots=True)
class Step:
    name: str
    label: Any
    done: bool
    now: bool


@dataclass(frozen=True, slots=True)
class State:
    """The state of one warp. ``short``: what stops it, in the plan's own words; ``look``: what to check,
    its first words; ``goes``: the page for the next step."""

    planned: Planned
    at: Progress
    label: Any
    steps: tuple[Step, ...]
    next: Any
    goes: str
    short: tuple[str, ...]
    look: tuple[str, ...]
    strip: Strips | None

    @property
    def begun(self) -> bool:
        """Whether something is done of it."""
        return bool(self.at.begun)

    @property
    def partly(self) -> bool:
        """Whether a job is partly reported, so that the label shows the progress."""
        return self.at.now is not None and self.at.now.partly

    @property
    def steps_left(self) -> int:
        return sum(not step.done for step in self.steps)

    @property
    def not_ticked(self) -> Any:
        """The step that was reported at the loom but is not marked, in words; None where both agree."""
        return LABELS[self.at.step] if self.at.step != self.at.ticked else None

    @property
    def is_off(self) -> bool:
        """Whether the cloth is off the loom."""
        return self.at.step == CUT_OFF

    @property
    def key(self) -> str:
        return self.planned.order.key

    @property
    def title(self) -> str:
        return self.planned.order.name


@dataclass(frozen=True, slots=True)
class OnLoom:
    loom: Loom
    states: tuple[State, ...]
    facts: tuple[tuple[Any, str], ...] = ()

    @property
    def kind(self) -> str:
        """Its kind and its shafts, in one line."""
        return f"{LOOM_KINDS[self.loom.kind]}, {shafts_of(self.loom)}"

    @property
    def rigid(self) -> bool:
        return self.loom.has_open_ends

    @property
    def same_heddles(self) -> int | None:
        """How many hang on every shaft, if it is the same number."""
        return self.loom.heddles[0] if len(set(self.loom.heddles)) == 1 else None


def begun(snapshot: Snapshot, planned: Planned) -> tuple[str, ...]:
    """The jobs of which something is done, by the marked step or by reports from the loom."""
    return progress_of(snapshot, planned).begun


def is_wound(snapshot: Snapshot, key: str) -> bool:
    """Whether winding is begun, or the warp is further."""
    planned = snapshot.plan_of(key)
    return planned is not None and bool(begun(snapshot, planned))


def label_of(at: Progress) -> Any:
    """The progress of a warp in words: "wound", or "winding, 86 of 258 ends" while a job is partly
    reported."""
    now = at.now
    if now is None or not now.partly:
        return LABELS[at.step]
    what = {"job": words()[now.name], "done": f"{now.done:,}", "of": f"{now.of:,}"}
    if now.name == "weaving":
        return _("%(job)s, %(done)s of %(of)s picks") % what
    if now.name in ("winding", "sleying", "threading"):
        return _("%(job)s, %(done)s of %(of)s ends") % what
    return _("%(job)s, %(done)s of %(of)s") % what


def state(snapshot: Snapshot, planned: Planned) -> State:
    at = progress_of(snapshot, planned)
    plan = planned.plan
    problems = at.open_problems(plan.problems) if plan else ()
    stops = tuple(p.message for p in problems if p.level == "stop")
    if planned.error is not None:
        stops = (planned.error.line(),)
    key = planned.order.key
    next_step = at.next_step
    if plan is not None and next_step == "sleyed" and plan.loom.is_rigid_heddle:  # one step
        next_step = "threaded"
    following = DOING.get(next_step, _("wet-finish"))
    goes = reverse("warps-plan", args=[key])
    if not at.begun and stops:
        following, goes = _("solve the problems"), f"{goes}#answers"
    elif at.now is not None and plan is not None:
        goes = reverse("loomside-job", args=[key, at.now.name])
    reached = at.steps.index(at.step)
    return State(
        planned=planned,
        at=at,
        label=label_of(at),
        steps=tuple(Step(name, LABELS[name], n <= reached, n == reached) for n, name in enumerate(at.steps)),
        next=following,
        goes=goes,
        short=stops,
        look=tuple(translated(p.message).partition(": ")[0] for p in problems if p.level == "warn"),
        strip=web_strip(plan, "none") if plan else None,
    )


def looms(snapshot: Snapshot) -> list[OnLoom]:
    """Each loom with the warps on it and planned for it; a warp that is cut off is no longer on it."""
    return [
        OnLoom(
            loom,
            tuple(
                made
                for each in snapshot.planned
                if each.order.loom == loom.key and (made := state(snapshot, each)).at.step != CUT_OFF
            ),
            tuple(_facts(snapshot, loom)),
        )
        for loom in snapshot.guild.looms
    ]


def _facts(snapshot: Snapshot, loom: Loom) -> Iterator[tuple[Any, str]]:
    if loom.treadles:
        yield (
            _("Treadles"),
            _("%d, direct tie-up") % loom.treadles if loom.direct_tie_up else str(loom.treadles),
        )
    elif loom.kind == "table":
        yield _("Levers"), str(loom.shafts)
    elif loom.gauge_per_cm is not None:
        yield _("Gauge"), snapshot.show.epi(loom.gauge_per_cm)
    yield _("Weaving width"), snapshot.show.width(loom.weaving_width_mm)
    yield _("Loom waste"), snapshot.show.piece(loom.waste_m)


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of the guide through a first warp."""

    label: Any
    url: str
    done: bool


def walk(snapshot: Snapshot) -> list[Stage] | None:
    """What a new guild still has to do before its first plan; None once there is a warp."""
    return None if snapshot.guild.warps else stages(snapshot)


@dataclass(frozen=True, slots=True)
class Onward:
    """The next stage of the guide, and how many are done."""

    stage: Stage
    behind: int
    all: int


def onward(snapshot: Snapshot, here: str) -> Onward | None:
    """What comes next in the walk for somebody on the page ``here``; None once there is a warp.

    None too before the first stage is done, and where the page itself is the stage.
    """
    walked = walk(snapshot) or []
    behind = sum(stage.done for stage in walked)
    stage = next((each for each in walked if not each.done), None)
    if stage is None or not behind or stage.url == here:
        return None
    return Onward(stage, behind, len(walked))


def stages(snapshot: Snapshot) -> list[Stage]:
    """From nothing to a first plan, in order."""
    guild = snapshot.guild
    own = any(own_reed(loom) for loom in guild.looms)
    return [
        Stage(_("Add a yarn"), "/shelf/new-yarn", bool(guild.yarns)),
        Stage(_("Weigh its first cone"), "/shelf/new-cone", bool(guild.cones)),
        Stage(_("Add a loom"), "/looms/new", bool(guild.looms)),
        Stage(
            _("Add a reed"),
            "/looms/new-reed",
            bool(guild.reeds) or own,
        ),
        Stage(_("Import a draft"), "/drafts", bool(snapshot.drafts)),
        Stage(_("Plan a warp"), "/warps-new", False),
    ]


def next_day(snapshot: Snapshot) -> str:
    """The next event and how far off it is."""
    entry = snapshot.entry("day", "next")
    if entry is None:
        return ""
    name, day = entry.fields["name"], date.fromisoformat(entry.fields["date"])
    return _how_far(name, day)


def coming_event(snapshot: Snapshot) -> str:
    """The event that the guild works for and how far off it is; "" if there is none, or it is over."""
    event = snapshot.guild.event
    if event is None:
        return ""
    left = [day.start.date() for day in event.days if day.start.date() >= date.today()]
    return _how_far(event.name, min(left)) if left else ""


def _how_far(name: str, day: date) -> str:
    days = (day - date.today()).days
    if days < 0:
        return ""
    if days == 0:
        return str(_("%(name)s is today")) % {"name": name}
    return ngettext("%(name)s in %(days)d day", "%(name)s in %(days)d days", days) % {
        "name": name,
        "days": days,
    }
