"""What the forms of a yarn, a cone, a loom and a reed have in common: filled, read, asked about, saved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from loomready.app.changes import change_guard
from loomready.app.changes.saving import entry_or_404, save
from loomready.app.forms import fields, form_check, mends
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Snapshot, current_snapshot


@dataclass(slots=True)
class RecordForm:
    """A record of one kind on its page.

    ``entry`` is None for a new one; ``before`` holds what the form is filled with. ``hanging``: the warps in
    progress that the change contradicts, until it is confirmed.
    """

    request: HttpRequest
    snapshot: Snapshot
    kind: str
    entry: Entry | None
    before: dict[str, Any]
    form: fields.Form
    hanging: tuple[change_guard.Touched, ...] = ()

    @property
    def key(self) -> str:
        return self.entry.key if self.entry else ""

    def take(self) -> dict[str, Any]:
        """Read what was typed: the record's table, without its key if it is new."""
        fields.take(self.form, self.request.POST)
        return fields.table(self.kind, self.form, self.before)

    def named(self, missing: str, taken: str, others: dict[str, str]) -> str:
        """The record's key; a new one's comes from its name. A missing or taken name is an error beside it.

        :param others: the names of all records of this kind, by their keys
        """
        name = self.form["name"].text
        if not name:
            self.form.change("name", error=missing)
        elif fields.equal(name, (each for key, each in others.items() if key != self.key)):
            self.form.change("name", error=taken)
        return self.key or fields.slug(name, set(others))

    def renamed(self, made: dict[str, Any]) -> dict[str, Any]:
        """The record's table with the name typed; a name that is taken is an error beside it."""
        name = fields.one_line(self.form["name"].text)
        others = self.snapshot.names(self.kind)
        self.form.change("name", text=name, error=fields.name_trouble(name, others, self.key))
        return fields.with_name(made, name)

    def checked(self, made: dict[str, Any]) -> bool:
        """Whether the table is a valid record; errors are shown beside their fields."""
        return form_check.check(self.kind, made, self.form)

    def saved(self, made: dict[str, Any], back: str, more: Iterable[store.Write] = ()) -> HttpResponse | None:
        """Save a table that was checked: the answer, or None if the form is shown again.

        :param more: what changes with it
        """
        key = made["key"]
        if self.kind in change_guard.GUARDED and not self.request.POST.get("sure"):
            self.hanging = change_guard.touched(self.snapshot, self.kind, key, made)
        if self.hanging:
            return None
        return save(self.request, self.form, self.kind, key, made, lambda: redirect(back), more)

    def shown(self, template: str, title: str, **more: Any) -> HttpResponse:
        """The page with the form; its status says whether something has to be changed or confirmed."""
        if self.form.wrong and self.kind in mends.KINDS:
            mends.offer(self.form, self.kind, self.snapshot)
        shown = {"title": title, "form": self.form, "entry": self.entry, "hanging": self.hanging, **more}
        asks = self.form.wrong or self.hanging or more.get("heavier")
        return render(self.request, template, shown, status=422 if asks else 200)


def record_form(
    request: HttpRequest, kind: str, key: str, names: tuple[str, ...], new: dict[str, Any]
) -> RecordForm:
    """The form of a record, or of a new one filled with ``new``.

    :raises Http404: there is no such record
    """
    snapshot = current_snapshot()
    entry = entry_or_404(snapshot, kind, key) if key else None
    before = entry.fields if entry else new
    return RecordForm(
        request, snapshot, kind, entry, before, fields.make(kind, names, before, snapshot.guild.units)
    )
