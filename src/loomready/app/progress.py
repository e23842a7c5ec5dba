"""How far each warp is, what comes next, and the walk through a first warp."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from loomready.app.pictures import Strips
from loomready.app.room import Planned, Room
from loomready.app.strip import web_strip
from loomready.model.guild import Loom

STEPS: tuple[tuple[str, Any, Any], ...] = (
    ("planned", _("planned"), _("wind the warp")),
    ("wound", _("wound"), _("sley the reed")),
    ("sleyed", _("sleyed"), _("thread the heddles")),
    ("threaded", _("threaded"), _("beam the warp")),
    ("beamed", _("beamed"), _("tie on")),
    ("tied on", _("tied on"), _("weave a test")),
    ("tested", _("tested"), _("weave")),
    ("weaving", _("weaving"), _("weave on, then cut off")),
    ("cut off", _("cut off"), _("wet-finish")),
)
# Where what follows a step is done: the job's page beside the loom.
JOBS = {
    "planned": "winding",
    "wound": "sleying",
    "sleyed": "threading",
    "threaded": "beaming",
    "beamed": "tying",
    "tied on": "weaving",
    "tested": "weaving",
    "weaving": "weaving",
}
LOOM_KINDS = {
    "table": _("table loom"),
    "jack": _("jack loom"),
    "counterbalance": _("counterbalance loom"),
    "countermarche": _("countermarche loom"),
    "rigid heddle": _("rigid heddle loom"),
}
NAMES = tuple(name for name, _label, _next in STEPS)


@dataclass(frozen=True, slots=True)
class Step:
    name: str
    label: Any
    done: bool
    now: bool


@dataclass(frozen=True, slots=True)
class State:
    """Where one warp stands. ``short``: what stops it, in the plan's own words; ``look``: what to look at,
    the first words of it; ``goes``: the page where the next thing is done.
    """

    planned: Planned
    step: str
    steps: tuple[Step, ...]
    next: Any
    goes: str
    short: tuple[str, ...]
    look: tuple[str, ...]
    strip: Strips | None

    @property
    def label(self) -> Any:
        """How far it is, in words."""
        return label_of(self.step)

    @property
    def title(self) -> str:
        return self.planned.order.key


@dataclass(frozen=True, slots=True)
class OnLoom:
    loom: Loom
    states: tuple[State, ...]
    facts: tuple[tuple[Any, str], ...] = ()

    @property
    def kind(self) -> str:
        """Its kind and its shafts, in one line."""
        shafts = ngettext("%d shaft", "%d shafts", self.loom.shafts) % self.loom.shafts
        return f"{LOOM_KINDS[self.loom.kind]}, {shafts}"

    @property
    def same_heddles(self) -> int | None:
        """How many hang on every shaft, if it is the same number."""
        return self.loom.heddles[0] if len(set(self.loom.heddles)) == 1 else None


def step_of(room: Room, key: str) -> str:
    """How far the warp was ticked off."""
    entry = room.entry("progress", key)
    step = str(entry.fields.get("step", "planned")) if entry else "planned"
    return step if step in NAMES else "planned"


def is_wound(room: Room, key: str) -> bool:
    """Whether the warp is wound, or further."""
    planned = room.plan_of(key)
    return step_of(room, key) != "planned" or (planned is not None and planned.order.wound is not None)


def label_of(step: str) -> Any:
    return next(label for name, label, _next in STEPS if name == step)


def state(room: Room, planned: Planned) -> State:
    at = NAMES.index(step_of(room, planned.order.key))
    plan = planned.plan
    stops = tuple(p.message for p in plan.problems if p.level == "stop") if plan else ()
    if planned.error is not None:
        stops = (planned.error.line(),)
    key, job = planned.order.key, JOBS.get(NAMES[at])
    following, goes = STEPS[at][2], reverse("warps-plan", args=[key])
    if at == 0 and stops:
        following, goes = _("settle what is short"), f"{goes}#answers"
    elif job is not None and plan is not None:
        goes = reverse("loomside-job", args=[key, job])
    return State(
        planned=planned,
        step=NAMES[at],
        steps=tuple(Step(name, label, n <= at, n == at) for n, (name, label, _next) in enumerate(STEPS)),
        next=following,
        goes=goes,
        short=stops,
        look=tuple(p.message.partition(": ")[0] for p in plan.problems if p.level == "warn") if plan else (),
        strip=web_strip(plan, "none") if plan else None,
    )


def looms(room: Room) -> list[OnLoom]:
    return [
        OnLoom(
            loom,
            tuple(state(room, each) for each in room.planned if each.order.loom == loom.key),
            tuple(_facts(room, loom)),
        )
        for loom in room.guild.looms
    ]


def _facts(room: Room, loom: Loom) -> Iterator[tuple[Any, str]]:
    if loom.treadles:
        yield _("Treadles"), str(loom.treadles)
    elif loom.kind == "table":
        yield _("Levers"), str(loom.shafts)
    yield _("Weaving width"), room.show.width(loom.weaving_width_mm)
    yield _("Loom waste"), room.show.piece(loom.waste_m)


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of the walk through a first warp."""

    label: Any
    url: str
    done: bool


def walk(room: Room) -> list[Stage] | None:
    """What a new guild still has to do before its first plan; None once there is a warp."""
    return None if room.guild.warps else stages(room)


def stages(room: Room) -> list[Stage]:
    """From nothing to a first plan, in order."""
    guild = room.guild
    return [
        Stage(_("Put a yarn on the shelf"), "/shelf/new-yarn", bool(guild.yarns)),
        Stage(_("Weigh its first cone"), "/shelf/new-cone", bool(guild.cones)),
        Stage(_("Tell of a loom"), "/looms/new", bool(guild.looms)),
        Stage(_("Tell of a reed"), "/looms/new-reed", bool(guild.reeds)),
        Stage(_("Bring in a draft"), "/drafts", bool(room.drafts)),
        Stage(_("Plan a warp"), "/warps-new", False),
    ]


def next_day(room: Room) -> str:
    """The next date and how far off it is."""
    entry = room.entry("day", "next")
    if entry is None:
        return ""
    name, day = entry.fields["name"], date.fromisoformat(entry.fields["date"])
    days = (day - date.today()).days
    if days < 0:
        return ""
    if days == 0:
        return str(_("%(name)s is today")) % {"name": name}
    return ngettext("%(name)s in %(days)d day", "%(name)s in %(days)d days", days) % {
        "name": name,
        "days": days,
    }
