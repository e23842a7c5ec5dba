"""The owner removes wrong steps, of a warp's job or of a device, and may put them back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import Count, Max

from loomready.app.models import Fact, RemovedFact
from loomready.app.state import facts
from loomready.loomside.log import facts as engine
from loomready.phrases import phrase
from loomready.problems import BadInput

_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class DeviceSteps:
    """Steps of one device; of one job of a warp, or of all where ``warp`` is empty."""

    warp: str
    job: str
    who: str
    device: int | None
    steps: int
    counter: int


@dataclass(frozen=True, slots=True)
class Batch:
    """Steps that were removed together."""

    number: int
    warps: tuple[str, ...]
    steps: int


def groups(*by: str) -> list[DeviceSteps]:
    """All steps, counted by warp, job, and device."""
    counted = (
        Fact.objects.order_by()
        .values(*by, "who", "device")
        .annotate(steps=Count("pk"), highest=Max("counter"))
        .order_by(*by, "who", "device")
    )
    return [
        DeviceSteps(
            each.get("warp", ""),
            each.get("job", ""),
            each["who"],
            each["device"],
            each["steps"],
            each["highest"],
        )
        for each in counted
    ]


def latest() -> int:
    return Fact.objects.aggregate(Max("pk"))["pk__max"] or 0


def remove(until: int, **which: Any) -> int:
    """Remove the steps that came up to this number and are ``which``: how many.

    :raises BadInput: there are none any more
    """
    with transaction.atomic():
        chosen = Fact.objects.filter(pk__lte=until, **which)
        batch = (RemovedFact.objects.aggregate(Max("batch"))["batch__max"] or 0) + 1
        gone = [
            RemovedFact(name=name, warp=warp, who=who, device=device, batch=batch)
            for name, warp, who, device in chosen.values_list("name", "warp", "who", "device")
        ]
        if not gone:
            raise BadInput(phrase("these steps are no longer there; check the page again"))
        RemovedFact.objects.bulk_create(gone, batch_size=_AT_ONCE)
        chosen.delete()
    return len(gone)


def batches() -> list[Batch]:
    """What was removed, the latest first."""
    found: dict[int, tuple[set[str], int]] = {}
    counted = RemovedFact.objects.order_by().values("batch", "warp").annotate(steps=Count("pk"))
    for each in counted:
        warps, steps = found.get(each["batch"], (set(), 0))
        found[each["batch"]] = (warps | {each["warp"]}, steps + each["steps"])
    return [Batch(number, tuple(sorted(warps)), steps) for number, (warps, steps) in sorted(found.items())][
        ::-1
    ]


def put_back(batch: int) -> int:
    """Let the steps that were removed together count again: how many.

    :raises BadInput: there are none any more
    """
    with transaction.atomic():
        gone = list(RemovedFact.objects.filter(batch=batch))
        if not gone:
            raise BadInput(phrase("these steps are there again already; check the page again"))
        made = [facts.kept(each.warp, each.name, _read(each), each.who, each.device) for each in gone]
        Fact.objects.bulk_create(made, ignore_conflicts=True, batch_size=_AT_ONCE)
        RemovedFact.objects.filter(batch=batch).delete()
    return len(gone)


def _read(gone: RemovedFact) -> engine.Fact:
    """The fact that a name stands for."""
    job, plan, first, last, done, counter, hand = gone.name[len(gone.warp) + 1 :].split("/")
    return engine.Fact(job, plan, int(first), int(last), done == "1", int(counter), hand)
