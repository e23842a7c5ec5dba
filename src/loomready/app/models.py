"""Two tables hold everything a guild owns and plans: records, and the changes to them.

``fields`` is the record's table in the guild file, texts as they were typed ("20 in"), dates as ISO texts.
Three small tables hold who else may view and change: devices, open codes, wrong codes.
"""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any

from django.db import models


def new_mark() -> str:
    return uuid.uuid4().hex


class Record(models.Model):
    kind: models.CharField[str, str] = models.CharField(max_length=16)
    key: models.CharField[str, str] = models.CharField(max_length=1000)
    position: models.PositiveIntegerField[int, int] = models.PositiveIntegerField()
    version: models.PositiveIntegerField[int, int] = models.PositiveIntegerField(default=1)
    fields = models.JSONField()
    saved: models.DateTimeField[datetime, datetime] = models.DateTimeField(auto_now=True)
    # A different one for each saved version, independent of the clock, so that cached reads are recognized.
    mark: models.CharField[str, str] = models.CharField(max_length=32, default=new_mark)

    class Meta:
        ordering = ("position", "pk")
        constraints = (models.UniqueConstraint(fields=("kind", "key"), name="one_record_a_key"),)

    def save(self, *args: Any, **options: Any) -> None:
        self.mark = new_mark()
        if options.get("update_fields") is not None:
            options["update_fields"] = {*options["update_fields"], "mark"}
        super().save(*args, **options)

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class Change(models.Model):
    """``before`` None: it was made; ``after`` None: it was removed. ``undoes``: the change that this one
    reversed.

    Of a draft they hold the name of its text; draft_texts.whole returns the text.

    ``batch``: changes made together carry the number of the first; they are undone together.
    """

    kind: models.CharField[str, str] = models.CharField(max_length=16)
    key: models.CharField[str, str] = models.CharField(max_length=1000)
    position: models.PositiveIntegerField[int, int] = models.PositiveIntegerField()
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)
    who: models.CharField[str, str] = models.CharField(max_length=80)
    at: models.DateTimeField[datetime, datetime] = models.DateTimeField(auto_now_add=True)
    batch: models.PositiveIntegerField[int | None, int | None] = models.PositiveIntegerField(null=True)
    undone: models.BooleanField[bool, bool] = models.BooleanField(default=False)
    undoes_id: int | None
    undoes: models.ForeignKey[Change | None, Change | None] = models.ForeignKey(
        "self", null=True, on_delete=models.PROTECT
    )

    class Meta:
        ordering = ("-pk",)
        indexes = (models.Index(fields=("kind", "key"), name="changes_of_a_record"),)

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class DraftText(models.Model):
    """A version of a draft's file, kept once: ``name`` is its SHA-256, ``packed`` what draft_texts made.

    ``base``: the text from which ``packed`` is a difference, ``steps`` differences away from a whole one;
    None: it is whole.
    """

    name: models.CharField[str, str] = models.CharField(max_length=64, primary_key=True)
    base_id: str | None
    base: models.ForeignKey[DraftText | None, DraftText | None] = models.ForeignKey(
        "self", null=True, on_delete=models.PROTECT
    )
    steps: models.PositiveIntegerField[int, int] = models.PositiveIntegerField()
    packed: models.BinaryField[bytes, bytes] = models.BinaryField()

    def __str__(self) -> str:
        return self.name


class Device(models.Model):
    """A device that uses this guild; the role "owner" is this machine.

    ``token``: the token's keyed hash, never the token; None for the owner, who needs none.
    """

    name: models.CharField[str, str] = models.CharField(max_length=60, unique=True)
    role: models.CharField[str, str] = models.CharField(max_length=16)
    token: models.CharField[str | None, str | None] = models.CharField(max_length=64, null=True, unique=True)
    since: models.DateTimeField[datetime, datetime] = models.DateTimeField(auto_now_add=True)
    seen: models.DateTimeField[datetime | None, datetime | None] = models.DateTimeField(null=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.name


class Code(models.Model):
    """An open invitation for one device. ``hash``: the code's keyed hash, never the code."""

    hash: models.CharField[str, str] = models.CharField(max_length=64, unique=True)
    name: models.CharField[str, str] = models.CharField(max_length=60, blank=True)
    role: models.CharField[str, str] = models.CharField(max_length=16)
    until: models.DateTimeField[datetime, datetime] = models.DateTimeField()

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.name or self.role


class WrongCode(models.Model):
    """A wrong code that was entered: too many of them close joining for a while."""

    at: models.DateTimeField[datetime, datetime] = models.DateTimeField()

    def __str__(self) -> str:
        return str(self.at)


class Fact(models.Model):
    """A step done or undone at a loom, see loomready.loomside.log.facts; facts are only added.

        ``name`` is its whole content, so that the same fact is kept once. A fact of a missing warp is kept
        too.
    ``device``: the number of the device that sent it; None: the owner's, or kept before devices were noted.
    """

    name: models.CharField[str, str] = models.CharField(max_length=1200, unique=True)
    warp: models.CharField[str, str] = models.CharField(max_length=1000)
    job: models.CharField[str, str] = models.CharField(max_length=16)
    plan: models.CharField[str, str] = models.CharField(max_length=16)
    first: models.PositiveIntegerField[int, int] = models.PositiveIntegerField()
    last: models.PositiveIntegerField[int, int] = models.PositiveIntegerField()
    done: models.BooleanField[bool, bool] = models.BooleanField()
    counter: models.PositiveBigIntegerField[int, int] = models.PositiveBigIntegerField()
    hand: models.CharField[str, str] = models.CharField(max_length=32)
    who: models.CharField[str, str] = models.CharField(max_length=80)
    device: models.PositiveBigIntegerField[int | None, int | None] = models.PositiveBigIntegerField(null=True)

    class Meta:
        ordering = ("pk",)
        indexes = (models.Index(fields=("warp", "id"), name="facts_of_a_warp"),)

    def __str__(self) -> str:
        return self.name


class RemovedFact(models.Model):
    """A fact that the owner removed: recognized by its name when a page sends it again.

    ``batch``: facts removed together have the same number; they are put back together.
    """

    name: models.CharField[str, str] = models.CharField(max_length=1200, unique=True)
    warp: models.CharField[str, str] = models.CharField(max_length=1000)
    who: models.CharField[str, str] = models.CharField(max_length=80)
    device: models.PositiveBigIntegerField[int | None, int | None] = models.PositiveBigIntegerField(null=True)
    batch: models.PositiveBigIntegerField[int, int] = models.PositiveBigIntegerField()

    class Meta:
        ordering = ("pk",)
        indexes = (models.Index(fields=("warp", "id"), name="removed_facts_of_a_warp"),)

    def __str__(self) -> str:
        return self.name


class JobPlan(models.Model):
    """The content of a job's plan when somebody opened it: a later plan is compared with it."""

    warp: models.CharField[str, str] = models.CharField(max_length=1000)
    job: models.CharField[str, str] = models.CharField(max_length=16)
    plan: models.CharField[str, str] = models.CharField(max_length=16)
    signs = models.JSONField()

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(fields=("warp", "job", "plan"), name="one_content_a_job_plan"),
        )

    def __str__(self) -> str:
        return f"{self.warp} {self.job} {self.plan}"
