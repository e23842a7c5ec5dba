"""The gallery of drafts, and the import of drafts."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready.app.archive.guild_files import normal
from loomready.app.changes import change_guard
from loomready.app.i18n.words import translated
from loomready.app.state import store
from loomready.app.state.snapshot import Entry, Snapshot, current_snapshot, parsed
from loomready.draft.draft import Draft
from loomready.draft.structure.analysis import Analysis
from loomready.problems import BadInput, Problem
from loomready.warp.plan import analysis_of


@dataclass(frozen=True, slots=True)
class Fact:
    label: str
    value: str


@dataclass(frozen=True, slots=True)
class DraftCard:
    entry: Entry
    title: str
    stem: str
    draft: Draft
    facts: tuple[Fact, ...]
    loose: bool
    warps: tuple[str, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Arrival:
    """The result of importing a file: ``level`` is done, warn or stop."""

    name: str
    level: str
    says: str
    key: str = ""


def cards(snapshot: Snapshot) -> list[DraftCard]:
    return [card(snapshot, entry) for entry in snapshot.of_kind("drafts")]


def card(snapshot: Snapshot, entry: Entry) -> DraftCard:
    file = parsed(entry.fields["wif"])
    found = analysis_of(file.draft)
    stem = PurePosixPath(entry.key).stem
    return DraftCard(
        entry=entry,
        title=file.draft.title or stem,
        stem=stem,
        draft=file.draft,
        facts=tuple(_facts(found)),
        loose=not found.holds_together,
        warps=tuple(order.key for order in snapshot.guild.warps if entry.key in order.drafts),
        problems=(*found.problems, *file.warnings),
    )


def _facts(found: Analysis) -> Iterable[Fact]:
    yield Fact(_("Shafts"), f"{found.shafts_used}")
    yield Fact(_("Treadles"), _("lift plan") if found.treadles is None else f"{found.treadles}")
    yield Fact(_("Repeat"), _("%(e)d ends × %(p)d picks") % {"e": found.repeat[0], "p": found.repeat[1]})
    yield Fact(_("Longest float"), _float(found.longest_warp_float, found.longest_weft_float))
    parts = ngettext("%d part", "%d parts", found.parts) % found.parts
    yield Fact(_("Holds together"), _("yes") if found.holds_together else _("no: %s") % parts)
    yield Fact(_("Plain weave"), _("can be woven") if found.plain_weave else _("not on this threading"))


def _float(warp: int | None, weft: int | None) -> str:
    never = _("loose thread")
    return _("warp %(warp)s, weft %(weft)s") % {
        "warp": never if warp is None else warp,
        "weft": never if weft is None else weft,
    }


def bring_in(
    files: Sequence[tuple[str, bytes]],
    who: str,
    tell: Callable[[int, int], None] = lambda done, of: None,
    settle: Callable[[], None] = lambda: None,
) -> list[Arrival]:
    """Save each draft under its own name; each that cannot be read gets a line with the reason.

    All readable ones are saved in one change. ``tell`` and ``settle`` as in :func:`store.load`.
    """
    entries = current_snapshot().of_kind("drafts")
    known = {entry.fields["wif"]: entry.key for entry in entries}
    taken = {entry.key for entry in entries}
    arrivals, things = [], []
    for number, (name, data) in enumerate(files):
        tell(number, 2 * len(files))
        try:
            text = normal(data, "")
        except BadInput as error:
            arrivals.append(Arrival(name, "stop", error.line()))
            continue
        if text in known:
            arrivals.append(Arrival(name, "warn", _("already imported"), known[text]))
            continue
        key = known[text] = _free_key(taken, name)
        taken.add(key)
        things.append(("drafts", key, {"wif": text}))
        arrivals.append(_arrived(name, text, key))
    store.load(
        things,
        who=who,
        all_new=True,
        tell=lambda done, of: tell(len(files) + done, len(files) + of),
        settle=settle,
    )
    return arrivals


def _arrived(name: str, text: str, key: str) -> Arrival:
    odd = parsed(text).warnings
    says = "; ".join(translated(problem.message) for problem in odd) or _("is in the gallery")
    return Arrival(name, "warn" if odd else "done", says, key)


def not_taken(names: Sequence[str], most: int) -> list[Arrival]:
    """The lines for files beyond the largest number imported at once."""
    if not names:
        return []
    many = ngettext("%d file was not imported", "%d files were not imported", len(names)) % len(names)
    says = _("at most %(most)d files at a time; import these again: %(names)s")
    return [Arrival(many, "stop", says % {"most": most, "names": ", ".join(names)})]


def _free_key(taken: Collection[str], name: str) -> str:
    """A path of the drafts' folder that no draft has."""
    stem = PurePosixPath(name.replace("\\", "/")).stem
    stem = re.sub(r"[^\w -]+", "-", stem).strip("-. ")[:64] or "draft"
    key, number = f"drafts/{stem}.wif", 2
    while key in taken:
        key, number = f"drafts/{stem}-{number}.wif", number + 1
    return key


def new_version(key: str, data: bytes, version: int | None, who: str, *, sure: bool = False) -> Any:
    """Replace a draft with another file; the earlier one stays in the history.

    :param sure: also if it contradicts warps in progress
    :raises BadInput: no draft; :raises Conflict: changed in the meantime
    :raises InProgress: it contradicts what is done of a warp
    """
    fields = {"wif": normal(data, "")}
    if not sure and (touched := change_guard.touched(current_snapshot(), "drafts", key, fields)):
        raise change_guard.InProgress(touched)
    return store.write("drafts", key, fields, version=version or 0, who=who)
