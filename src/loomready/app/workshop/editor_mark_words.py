"""The marks on the cloth, described in words beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready import units
from loomready.app.forms.quantity_input import plain
from loomready.app.i18n.words import translated
from loomready.draft.draft import Draft
from loomready.draft.edit.as_json import marks_as_json
from loomready.draft.edit.edges import Edge
from loomready.draft.edit.marks import Marks, marks, threads_within
from loomready.draft.structure import analysis, findings
from loomready.draft.structure.periods import Numbers
from loomready.problems import BadInput

DEFAULT_LIMIT = "5"


@dataclass(frozen=True, slots=True)
class FloatLimit:
    """The longest float allowed, as typed: threads, or a length at the setts of warp and weft."""

    limit: str = DEFAULT_LIMIT
    sett: str = ""
    picks: str = ""


def asked(typed: Mapping[str, Any]) -> FloatLimit:
    """What came with a request; what is not text is ignored."""
    found = {name: typed.get(name) for name in ("limit", "sett", "picks")}
    return FloatLimit(**{name: text.strip()[:40] for name, text in found.items() if isinstance(text, str)})


def limit_in_threads(asked: FloatLimit, system: units.System) -> tuple[int, int]:
    """Longest warp float (over picks) and weft float (over ends) allowed.

    :raises BadInput: no such limit; ``where`` is the field
    """
    text = asked.limit or DEFAULT_LIMIT
    if text.isdecimal():
        if not 1 <= len(text) <= 5 or int(text) < 1:
            raise BadInput(_("expected 1 thread or more"), where="limit")
        return int(text), int(text)
    limit_mm = _read(text, units.WIDTH_MM, "limit", "in" if system == "us" else "mm")
    if not asked.sett:
        raise BadInput(_("a limit in length needs the sett"), where="sett")
    unit = "/in" if system == "us" else "/cm"
    ends = _read(asked.sett, units.PER_CM, "sett", unit)
    picks = _read(asked.picks, units.PER_CM, "picks", unit) if asked.picks else ends
    return threads_within(limit_mm, picks), threads_within(limit_mm, ends)


def _read(text: str, kind: units.Kind, where: str, unit: str) -> float:
    try:
        found = units.read(plain(text, kind, unit), kind)
    except BadInput as error:
        raise error.at(where) from None
    if not 0 < found <= 100_000:
        raise BadInput(_("expected a figure above 0"), where=where)
    return found


def looked_at(draft: Draft, asked: FloatLimit, system: units.System) -> dict[str, Any]:
    """All marks of the draft with their words, as JSON."""
    error: BadInput | None = None
    try:
        limit = limit_in_threads(asked, system)
    except BadInput as wrong:
        error, limit = wrong, (int(DEFAULT_LIMIT), int(DEFAULT_LIMIT))
    found = marks(draft, limit)
    whole = analysis.analyze(draft)
    return {
        "error": None if error is None else {"field": error.where, "says": translated(error.what)},
        "says": [
            {"kind": kind, "level": level, "text": text}
            for kind, level, text in (
                _floats(found),
                _empty(draft, found),
                _loose(found),
                _parts(draft, found, whole),
                _mirror(found),
                _edges(draft, found),
            )
        ],
        "facts": _facts(whole),
        "heddles": list(whole.heddles),
        "marks": marks_as_json(found),
    }


def _facts(whole: analysis.Analysis) -> list[list[str]]:
    never = _("loose thread")
    warp, weft = whole.longest_warp_float, whole.longest_weft_float
    return [
        [_("Ends"), f"{whole.ends}"],
        [_("Picks"), f"{whole.picks}"],
        [_("Repeat"), _("%(e)d ends × %(p)d picks") % {"e": whole.repeat[0], "p": whole.repeat[1]}],
        [
            _("Longest float"),
            _("warp %(warp)s, weft %(weft)s")
            % {"warp": never if warp is None else warp, "weft": never if weft is None else weft},
        ],
        [_("Plain weave"), _("can be woven") if whole.plain_weave else _("not on this threading")],
        [_("Different lifts"), f"{whole.distinct_lifts}"],
    ]


Said = tuple[str, str, str]


def _floats(found: Marks) -> Said:
    picks, ends = found.limit
    over = (
        ngettext("over %(ends)d thread", "over %(ends)d threads", ends) % {"ends": ends}
        if picks == ends
        else _("over %(picks)d picks or %(ends)d ends") % {"picks": picks, "ends": ends}
    )
    if found.count is None:
        return "floats", "warn", _("Too many floats go %(over)s to mark them.") % {"over": over}
    face, back = found.count
    if not face + back:
        return "floats", "done", _("No float goes %(over)s.") % {"over": over}
    text = ngettext(
        "%(n)d float goes %(over)s: %(face)d on the face, %(back)d on the back.",
        "%(n)d floats go %(over)s: %(face)d on the face, %(back)d on the back.",
        face + back,
    )
    return "floats", "warn", text % {"n": face + back, "over": over, "face": face, "back": back}


def _empty(draft: Draft, found: Marks) -> Said:
    """Ends that are not threaded and picks that open no shed, and what becomes of them."""
    ends, picks = found.not_threaded, found.no_treadle
    said = []
    if ends:
        text = ngettext(
            "Not threaded: %(ends)s. It lies under every pick, loose on the back.",
            "Not threaded: %(ends)s. They lie under every pick, loose on the back.",
            len(ends),
        )
        said.append(text % {"ends": findings.named("end", np.array(ends))})
    if picks:
        text = _("No treadle: %(picks)s.") if draft.treadling is not None else _("Lifts no shaft: %(picks)s.")
        said.append(text % {"picks": findings.named("pick", np.array(picks))})
        said.append(_("No shed opens there for the shuttle."))
    if not said:
        every = _("Every end is threaded and every pick has a treadle.")
        return (
            "empty",
            "done",
            every
            if draft.treadling is not None
            else _("Every end is threaded and every pick lifts a shaft."),
        )
    return "empty", "warn", " ".join(said)


def _loose(found: Marks) -> Said:
    """Threads that never interlace, but for those that :func:`_empty` names."""
    said = [
        findings.named(kind, np.array(threads))
        for kind, loose, empty in (
            ("end", found.loose_ends, found.not_threaded),
            ("pick", found.loose_picks, found.no_treadle),
        )
        if (threads := sorted({*loose} - {*empty}))
    ]
    if not said and found.loose_ends + found.loose_picks:
        return "loose", "done", _("No other thread is loose.")
    if not said:
        return "loose", "done", _("No loose threads.")
    return "loose", "warn", _("Never interlaced: %(threads)s.") % {"threads": "; ".join(said)}


def _parts(draft: Draft, found: Marks, whole: analysis.Analysis) -> Said:
    if not found.parts:
        return "parts", "done", _("It holds together as one cloth.")
    message = next(problem.message for problem in whole.problems if problem.code == "falls-apart")
    means = _(
        "No thread goes from one part to another, so they can be lifted off each other. "
        "Letters beside the cloth mark the parts from A, on top; the top one is shaded."
    )
    return "parts", "warn", f"{translated(message)} {means}"


def _mirror(found: Marks) -> Said:
    ends, picks = bool(found.mirror_ends), bool(found.mirror_picks)
    if ends and picks:
        return "mirror", "done", _("Symmetrical across the ends and across the picks.")
    if ends:
        return "mirror", "done", _("Symmetrical across the ends, not across the picks.")
    if picks:
        return "mirror", "done", _("Symmetrical across the picks, not across the ends.")
    return "mirror", "done", _("Not symmetrical: no mirror line.")


def _edges(draft: Draft, found: Marks) -> Said:
    start = (
        _("with pick 1 thrown from the side of end 1")
        if found.edges.starts_at_end_1
        else _("with pick 1 thrown from the side of the last end")
    )
    if not found.edges.missed:
        return "edges", "done", _("Both edges catch the weft at every turn, %(start)s.") % {"start": start}
    said = "; ".join(_edge(edge) for edge in found.edges.edges if edge.missed)
    text = _("%(said)s, %(start)s. A floating selvedge catches them.")
    return "edges", "warn", text % {"said": said[:1].upper() + said[1:], "start": start}


def _edge(edge: Edge) -> str:
    after: Numbers = np.array(edge.missed)
    return _("end %(end)d does not catch the weft after %(picks)s") % {
        "end": edge.end + 1,
        "picks": findings.named("pick", after),
    }
