"""The plan of an event as the JSON document of the command line."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from loomready.event.day.kits import KitLine
from loomready.event.plan_event import EventPlan
from loomready.event.replan import Changes, Session
from loomready.report.as_json import problem_as_json
from loomready.report.event_words import way_told

Json = dict[str, Any]


def event_as_json(plan: EventPlan) -> Json:
    """``allotment``, ``work``, ``rota``, ``kits``, ``packing`` and ``problems``.

    Moments are local, hours are decimal.

    ``jobs``: the hours of each job as planned, and where they come from. ``most_spare_h``: no plan leaves
    more. ``ways``: what would help where something is short. ``changes``, where an earlier plan was given:
    by person, their sessions that are planned no longer, and the new ones. ``done``: sessions of earlier
    plans that are over, for the next plan.
    """
    return {
        "allotment": _allotment(plan),
        "work": _work(plan),
        "rota": _rota(plan),
        "kits": [_kit(each) for each in plan.kits],
        "packing": [
            {"for": each.packed_for, "thing": each.thing, "count": each.count, "source": each.source}
            for each in plan.packing
        ],
        "problems": [problem_as_json(problem, None) for problem in plan.problems],
    } | ({} if plan.changes is None else {"changes": [_changes(each) for each in plan.changes]})


def _changes(each: Changes) -> Json:
    return {
        "person": each.person,
        "no_longer": [_session(session) for session in each.no_longer],
        "new": [_session(session) for session in each.new],
    }


def _session(each: Session) -> Json:
    return {
        "start": _moment(each.start),
        "end": _moment(each.end),
        "warp": each.warp,
        "job": each.job,
        "people": list(each.people),
    }


def _allotment(plan: EventPlan) -> Json:
    made = plan.allotment
    return {
        "warps": [
            {
                "key": key,
                "loom": place.loom,
                "reed": place.reed,
                "heddles_moved": place.heddles_moved,
            }
            for key, place in made.places.items()
        ],
        "buy": [
            {"yarn": each.cone.yarn, "shop": each.cone.key, "cones": each.cones, "cost": float(each.cost)}
            for each in made.buy
        ],
        "cost": float(made.cost),
        "proved": made.proved,
    }


def _rota(plan: EventPlan) -> Json:
    """A turn without a stand and a class is on duty to mend. ``open``: slot by slot."""
    day = plan.day
    return {
        "turns": [
            {
                "start": _moment(each.start),
                "end": _moment(each.end),
                "stand": each.stand,
                "class": each.lesson,
                "person": each.person,
            }
            for each in day.turns
        ],
        "open": [
            {
                "start": _moment(each.start),
                "end": _moment(each.end),
                "stand": each.stand,
                "class": each.lesson,
                "lacks": each.lacks,
            }
            for each in day.open
        ],
        "nobody_to_mend": [{"start": _moment(start), "end": _moment(end)} for start, end in day.unmended],
        "proved": day.proved,
    }


def _kit(each: KitLine) -> Json:
    return {
        "class": each.lesson,
        "yarn": each.yarn,
        "thing": each.thing,
        "needed": _hours(each.needed),
        "have": _hours(each.have),
        "short": _hours(each.short),
        "unit": "g" if each.yarn is not None else "",
    }


def _work(plan: EventPlan) -> Json:
    found, slot_h = plan.found, plan.slots.slot_h
    spare, most = plan.least_spare_h, found.most_spare
    return {
        "ready": [
            {
                "warp": plan.work.chains[chain].warp,
                "at": _moment(plan.ready_at(chain)),
                "spare_h": _hours(plan.spare_h(chain)),
            }
            for chain in sorted(found.worth.ready)
        ],
        "left_out": list(plan.left_out),
        "spare_h": None if spare is None else _hours(spare),
        "most_spare_h": None if most is None else _hours(max(most * slot_h, spare or 0)),
        "proved": found.proved,
        "ended_early": plan.ended_early,
        "sessions": [_session(each) for each in plan.sessions],
        "done": [_session(each) for each in plan.past],
        "in_time": 0.0 if plan.sure is None else plan.sure.in_time,
        "short": [
            {
                "job": each.skill,
                "hours": _hours(each.slots * slot_h),
                "before": _moment(plan.slots.start_of(each.before)),
            }
            for each in plan.lacking
        ],
        "ways": [{"says": way_told(plan, way), "hours": _hours(way.all_slots * slot_h)} for way in plan.ways],
        "jobs": [
            {"warp": warp, "job": each.job, "hours": _hours(each.hours), "source": each.source}
            for warp, times in plan.jobs.items()
            for each in times
        ],
    }


def _hours(hours: float) -> float:
    """Hours without the rounding of sums: 0.3, not 0.30000000000000004."""
    return round(hours, 4)


def _moment(moment: datetime) -> str:
    return moment.isoformat(timespec="minutes")
