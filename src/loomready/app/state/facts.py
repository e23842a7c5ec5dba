"""Facts from the loom: stored once each, sent to pages, compared with the current plan."""

from __future__ import annotations

import json
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import connection, transaction
from django.db.models import Count, F, Max, Sum, Window
from django.db.models.functions import RowNumber

from loomready.app.models import Change, JobPlan, Record, RemovedFact
from loomready.app.models import Fact as Kept
from loomready.app.sharing.devices import Member
from loomready.app.state.facts_quota import quota
from loomready.loomside.log import facts as engine
from loomready.loomside.log.facts import Fact, Moves
from loomready.loomside.log.plan_diff import difference, moves, plan_name
from loomready.phrases import phrase
from loomready.problems import BadInput, shorten

MOST_AT_ONCE = 20_000
MOST_PLANS = 40
# A page counts on from the highest counter it saw: one that is further ahead than this was not counted.
MOST_AHEAD = 2**20
_SUMMED = 1_000_003  # counters are summed modulo this, so that a browser's numbers hold the sum exactly
MOST_HELD = 200
Rows = list[list[str | int]]
# The plans of opened pages, until their first exchange writes them: opening a page writes nothing.
_held: dict[tuple[str, str, str], list[str]] = {}
_guard = threading.Lock()


@dataclass(frozen=True, slots=True)
class Taken:
    """The result of storing facts.

    ``wrong``: for each row that was not stored its place in the list, from 0, and why.
    """

    kept: int
    known: int
    wrong: tuple[tuple[int, str], ...]
    gone: bool


def take(warp: str, rows: Any, who: str, *, by: Member | None = None, trusted: bool = False) -> Taken:
    """Store the facts, each once. Facts of a removed warp are kept until the warp is back.

    :param by: who sent them; there is a limit for each sender and hour
    :param trusted: they come from the owner's backup: also for warps that never were here
    :raises BadInput: this is not a list of facts at all, or there never was such a warp
    :raises quota.Reached: too many in an hour; none of them is kept
    """
    if not isinstance(rows, list) or len(rows) > MOST_AT_ONCE:
        raise BadInput(phrase("no list of steps; expected at most {most:,} of them", most=MOST_AT_ONCE))
    gone = not Record.objects.filter(kind="warps", key=warp).exists()
    if gone and not trusted and not Change.objects.filter(kind="warps", key=warp).exists():
        raise BadInput(
            phrase('there is no warp "{warp}" here; expected steps of a planned warp', warp=shorten(warp))
        )
    found: dict[str, Fact] = {}
    wrong = []
    highest = engine.MOST_COUNTER if trusted else highest_counter(warp) + MOST_AHEAD
    for place, row in enumerate(rows):
        try:
            fact = engine.read(row)
            if fact.counter > highest:
                raise BadInput(
                    phrase(
                        "its counter {counter} is far ahead; expected at most {highest}",
                        counter=fact.counter,
                        highest=highest,
                    )
                )
            found[f"{warp}/{fact.name}"] = fact
        except BadInput as error:
            wrong.append((place, error.line()))
    with transaction.atomic():
        names = list(found)
        known: set[str] = set()
        for at in range(0, len(names), 500):
            for there in (Kept, RemovedFact):
                known |= set(
                    there.objects.filter(name__in=names[at : at + 500]).values_list("name", flat=True)
                )
        device = by.device if by else None
        fresh = [kept(warp, name, fact, who, device) for name, fact in found.items() if name not in known]
        quota.spend(by, len(fresh))
        Kept.objects.bulk_create(fresh, ignore_conflicts=True, batch_size=500)
        by_plan = {(fact.job, fact.plan) for fact in found.values()}
        _keep(warp, {each: _held[warp, *each] for each in by_plan if (warp, *each) in _held})
    return Taken(len(fresh), len(known), tuple(wrong), gone)


def kept(warp: str, name: str, fact: Fact, who: str, device: int | None) -> Kept:
    """A fact as it is stored."""
    return Kept(
        name=name,
        warp=warp,
        job=fact.job,
        plan=fact.plan,
        first=fact.first,
        last=fact.last,
        done=fact.done,
        counter=fact.counter,
        hand=fact.hand,
        who=who[:80],
        device=device,
    )


_PARTS = ("job", "plan", "first", "last", "done", "counter", "hand")


def since(warp: str, number: int) -> tuple[Rows, int]:
    """The facts of a warp that came after the one of this number, and the number of the last."""
    text, last = since_as_json(warp, number)
    rows: Rows = json.loads(text)
    return rows, last


def since_as_json(warp: str, number: int) -> tuple[str, int]:
    """The same, as the database writes it: thousands of rows take little memory and time."""
    parts = ", ".join(f'"{part}"' for part in _PARTS)
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT json_group_array(json_array({parts})), max(id) FROM "
            f"(SELECT id, {parts} FROM {Kept._meta.db_table} WHERE warp = %s AND id > %s ORDER BY id)",
            [warp, number],
        )
        text, last = cursor.fetchone()
    return text, number if last is None else last


def highest_counter(warp: str) -> int:
    return int(Kept.objects.filter(warp=warp).aggregate(Max("counter"))["counter__max"] or 0)


def removed(warp: str) -> list[str]:
    """The facts of a warp that the owner removed, by their names: pages drop them."""
    names = RemovedFact.objects.filter(warp=warp).values_list("name", flat=True)
    return [name[len(warp) + 1 :] for name in names]


def held(warp: str, last: int) -> list[int]:
    """A summary of a warp's facts up to this number: their count and three sums.

    facts.js makes the same summary of what a page holds: where they differ, the page asks for all facts.
    """
    sums = Kept.objects.filter(warp=warp, pk__lte=last).aggregate(
        count=Count("pk"), counters=Sum(F("counter") % _SUMMED), firsts=Sum("first"), lasts=Sum("last")
    )
    return [int(sums[name] or 0) for name in ("count", "counters", "firsts", "lasts")]


def of_job(warp: str, job: str) -> list[Fact]:
    """The facts by which a job stands where it stands: of those about the same ends only the last one.

    Many phones say the same again and again; the database leaves that out.
    """
    place = Window(
        RowNumber(),
        partition_by=[F("plan"), F("first"), F("last")],
        order_by=[F("counter").desc(), F("hand").desc(), F("done").desc()],
    )
    lasting = Kept.objects.filter(warp=warp, job=job).annotate(place=place).filter(place=1).order_by()
    return [Fact(*parts) for parts in lasting.values_list(*_PARTS)]


def warps() -> list[str]:
    """The warps that have facts, removed ones included."""
    return sorted(set(Kept.objects.values_list("warp", flat=True)))


def checked(warp: str, fields: Any) -> dict[str, Any]:
    """The facts of a warp as a backup holds them, and what the plans held by which they were done.

    :raises BadInput: one of them is none
    """
    rows, plans = fields.get("made"), fields.get("plans", [])
    if rows is None and "steps" in fields:
        rows = _unfolded(fields["steps"])
    if not isinstance(rows, list) or not 0 < len(rows) <= 50 * MOST_AT_ONCE:
        raise BadInput(
            phrase("holds no steps, or too many; expected at most {most:,}", most=50 * MOST_AT_ONCE)
        )
    if not isinstance(plans, list) or not all(isinstance(each, list) and len(each) == 3 for each in plans):
        raise BadInput(phrase("holds plans of jobs that are none; expected job, name and content of each"))
    made: dict[str, Any] = {"made": [engine.read(row).row() for row in rows]}
    if plans:
        made["plans"] = [_checked_plan(*plan) for plan in plans]
    return made


def _folded(rows: Rows) -> list[list[Any]]:
    """Steps in short: for each job, plan and hand one row; in it first, last, done, counter of each step."""
    found: dict[tuple[Any, ...], list[Any]] = {}
    for job, plan, first, last, done, counter, hand in rows:
        found.setdefault((job, plan, hand), []).extend((first, last, done, counter))
    return [[*names, numbers] for names, numbers in found.items()]


def _unfolded(steps: Any) -> Rows:
    """:raises BadInput: these are no steps in short"""
    expected = BadInput(
        phrase("holds no steps in short; expected job, plan, hand, and four numbers for each step")
    )
    if not isinstance(steps, list):
        raise expected
    rows: Rows = []
    for each in steps:
        if not isinstance(each, list) or len(each) != 4:
            raise expected
        job, plan, hand, numbers = each
        if not isinstance(numbers, list) or len(numbers) % 4:
            raise expected
        fours = zip(*[iter(numbers)] * 4, strict=True)
        rows += [[job, plan, first, last, done, counter, hand] for first, last, done, counter in fours]
    return rows


def _checked_plan(job: Any, plan: Any, signs: Any) -> list[Any]:
    """A plan's name is a hash of its content, so a changed plan is detected."""
    texts = isinstance(signs, list) and all(isinstance(each, str) and len(each) < 1000 for each in signs)
    if job not in engine.JOBS or not texts or len(signs) > engine.MOST or plan_name(job, signs) != plan:
        raise BadInput(phrase("holds the plan of a job that was changed or broken"))
    return [job, plan, signs]


def backup(warp: str) -> dict[str, Any]:
    """All facts of a warp, and the plans by which they were done: without these they would not count."""
    plans_kept = JobPlan.objects.filter(warp=warp, plan__in=Kept.objects.filter(warp=warp).values("plan"))
    plans = [[each.job, each.plan, each.signs] for each in plans_kept.order_by("job", "plan")]
    made: dict[str, Any] = {"steps": _folded(since(warp, 0)[0])}
    return made | ({"plans": plans} if plans else {})


def bring(warp: str, fields: dict[str, Any], who: str) -> None:
    """Add the facts of a backup to the existing ones."""
    rows = fields["made"]
    for job, plan, signs in fields.get("plans", ()):
        JobPlan.objects.get_or_create(warp=warp, job=job, plan=plan, defaults={"signs": signs})
    for at in range(0, len(rows), MOST_AT_ONCE):
        take(warp, rows[at : at + MOST_AT_ONCE], who, trusted=True)


def all_known(warp: str, fields: dict[str, Any]) -> bool:
    here = set(JobPlan.objects.filter(warp=warp).values_list("job", "plan"))
    plans = {(job, plan) for job, plan, _signs in fields.get("plans", ())}
    rows = {"/".join(map(str, row)) for row in fields["made"]}
    known = {"/".join(map(str, row)) for row in since(warp, 0)[0]} | set(removed(warp))
    return plans <= here and rows <= known


def aside() -> list[tuple[str, int]]:
    """Removed warps, and how many facts are kept for them."""
    here = set(Record.objects.filter(kind="warps").values_list("key", flat=True))
    counts: dict[str, int] = {}
    for warp in Kept.objects.values_list("warp", flat=True):
        if warp not in here:
            counts[warp] = counts.get(warp, 0) + 1
    return sorted(counts.items())


def contents(warp: str, job: str) -> dict[str, list[str]]:
    """The content of each plan of a job that was kept, by its name."""
    return {each.plan: each.signs for each in JobPlan.objects.filter(warp=warp, job=job)}


def against_earlier(warp: str, job: str, plan: str, signs: list[str]) -> dict[str, Any]:
    """What a job's earlier plans share with the current one, and what differs.

    ``earlier``: plan name to moves; ``differs``: spans done otherwise, changed ahead; ``lost``: facts of a
    plan whose content nobody kept.
    """
    hold(warp, job, plan, signs)
    facts = of_job(warp, job)
    names = {fact.plan for fact in facts} - {plan}
    contents = {each.plan: each.signs for each in JobPlan.objects.filter(warp=warp, job=job, plan__in=names)}
    earlier: dict[str, Moves] = {name: moves(was, signs) for name, was in contents.items()}
    done_now = engine.state(facts, len(signs), plan, earlier)
    otherwise: list[tuple[int, int]] = []
    ahead: set[tuple[int, int]] = set()
    for name, was in contents.items():
        done_before = engine.state([fact for fact in facts if fact.plan == name], len(was), name)
        told = difference(was, signs, done_before, done_now)
        otherwise += told.otherwise
        ahead |= set(told.ahead)
    return {
        "earlier": earlier,
        "otherwise": sorted(set(otherwise)),
        "ahead": sorted(ahead),
        "lost": sorted(names - set(contents)),
    }


def hold(warp: str, job: str, plan: str, signs: list[str]) -> None:
    """Hold a plan's content in memory until steps done under it arrive; nothing is written."""
    with _guard:
        _held.pop((warp, job, plan), None)
        _held[warp, job, plan] = signs
        while len(_held) > MOST_HELD:
            del _held[next(iter(_held))]


def remember(warp: str, contents: Mapping[tuple[str, str], list[str]]) -> None:
    """Store the content of these plans; of plans without steps only the latest.

    :param contents: for each job and the name of its plan what each of its ends, turns or picks is
    """
    _keep(warp, contents)


def _keep(warp: str, plans: Mapping[tuple[str, str], list[str]]) -> None:
    names = [plan for _job, plan in plans]
    there = set(JobPlan.objects.filter(warp=warp, plan__in=names).values_list("job", "plan"))
    missing = [each for each in plans if each not in there]
    if not missing:
        return
    with transaction.atomic():
        for job, plan in missing:
            JobPlan.objects.get_or_create(warp=warp, job=job, plan=plan, defaults={"signs": plans[job, plan]})
            used = Kept.objects.filter(warp=warp, job=job).values_list("plan", flat=True)
            idle = JobPlan.objects.filter(warp=warp, job=job).exclude(plan__in=used).order_by("-pk")
            JobPlan.objects.filter(pk__in=[each.pk for each in idle[MOST_PLANS:]]).delete()
