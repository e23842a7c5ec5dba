"""Balancing a draft on a page: where it is not symmetrical, what would balance it, and webs whose edges
match."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import get_language, ngettext, override
from django.utils.translation import gettext as _

from loomready.app import background
from loomready.app.drafts import draft_preview, save_draft
from loomready.app.state.snapshot import Entry, Snapshot
from loomready.app.workshop import draft_version
from loomready.app.workshop.balance_picture import leaning as drawn
from loomready.draft.balance import matching_edges as balance_web
from loomready.draft.balance.balance import Balance, BalanceOffer, balance, balanced, leaning, mirror_ends
from loomready.draft.balance.matching_edges import MatchingWeb
from loomready.draft.draft import Draft
from loomready.phrases import phrase
from loomready.problems import BadInput

_MOST_TOLD = 12
_WARPS = 4
_MOST_ENDS = 5_000
MOST_ABOUT = 20_000
_AT_ONCE = 500  # ends of a draft that is looked at while the page waits
_MOST_PAGES = 6
_STEPS = 6  # the look at the draft, and at most five offers
_one_at_a_time, _guard = threading.Lock(), threading.Lock()
_pages: dict[tuple[object, ...], Page] = {}
_under_way: dict[tuple[object, ...], str] = {}


@dataclass(frozen=True, slots=True)
class OnWarp:
    """A warp on the draft, and whether its loom has the heddles that an offer takes."""

    key: str
    says: str
    level: draft_preview.Level


@dataclass(frozen=True, slots=True)
class ShownOffer:
    """An offer as the page shows it; ``number`` is its value in the form."""

    number: int
    title: str
    how: tuple[str, ...]
    picture: SafeString
    lines: tuple[draft_preview.FigureChange, ...]
    heddles: tuple[tuple[int, int, int], ...]
    warps: tuple[OnWarp, ...]
    name: str


@dataclass(frozen=True, slots=True)
class Web:
    """A web whose edges match, and the draft that makes it."""

    web: MatchingWeb
    says: str
    name: str


@dataclass(frozen=True, slots=True)
class Page:
    """All that the page shows. ``ways``: offers for a draft that is not symmetrical; ``webs``: for one that
    does not."""

    says: str
    level: draft_preview.Level
    picture: SafeString
    ways: tuple[ShownOffer, ...] = ()
    about: int = 0
    webs: tuple[Web, ...] = ()
    colors_left_out: bool = False


def page(snapshot: Snapshot, found: draft_version.Seen, about: int | None) -> Page | str:
    """All that the page shows; or, for a long draft, the name of the work that puts it together.

    However many ask for the same at once, it is put together once.

    :raises BadInput: no ends or no picks, or more ends than a page can show
    """
    draft = found.draft
    if draft.ends > _MOST_ENDS:
        raise BadInput(
            phrase(
                "{ends} ends are too many for this page; expected one repeat, of {most} ends at most",
                ends=draft.ends,
                most=_MOST_ENDS,
            )
        )
    if draft.ends <= _AT_ONCE:
        return _page(snapshot, found, about, lambda done, of: None)
    language = get_language() or "en"
    asked = (snapshot, draft, found.entry.key, found.version, about, language)
    with _guard:
        if asked in _pages:
            return _pages[asked]
        token = _under_way.get(asked, "")
        job = background.find(token)
        if job is not None and (job.error or not job.over):
            return token

        def work(job: background.Job) -> None:
            with override(language):
                made = _page(snapshot, found, about, job.tell)
            with _guard:
                _kept(_pages, asked, made)

        key = found.entry.key
        goes = f"/drafts/{key}/balance" + (f"?about={about}" if about else "")
        says = _("Balancing %s") % found.title
        token = background.start(background.Job(says, "", "", f"/drafts/{key}/look", goes=goes), work)
        _kept(_under_way, asked, token)
        return token


def _kept(into: dict[Any, Any], asked: object, value: object) -> None:
    while len(into) >= _MOST_PAGES:
        del into[next(iter(into))]
    into[asked] = value


def _page(
    snapshot: Snapshot, found: draft_version.Seen, about: int | None, tell: Callable[[int, int], None]
) -> Page:
    draft = found.draft
    tell(0, _STEPS)
    looked = _looked(draft)
    tell(1, _STEPS)
    end_1 = snapshot.guild.end_1
    if looked.already:
        repeat = balance_web.one_repeat(draft)
        axes, colors_left_out = balance_web.axes(repeat)
        near = about or _usual(snapshot, found)
        says = _("Symmetrical as a continuous repeat, about %s.") % axis_said(axes[0], repeat.ends)
        if balance_web.edges_match(draft, repeat):
            says += " " + _("Both edges match as it is.")
        return Page(
            says,
            "done",
            drawn(repeat, axes[0], (), end_1, says),
            about=near,
            webs=tuple(_webs(repeat, found, axes, near)),
            colors_left_out=colors_left_out,
        )
    axis, spoiling = leaning(draft)
    says = _(
        "Not symmetrical. It is closest to symmetrical about %(axis)s; ends that don't mirror: %(ends)s."
    ) % {
        "axis": axis_said(axis, draft.ends),
        "ends": ends_said(spoiling),
    }
    ways = []
    for number in range(len(looked.offers)):
        tell(1 + number, _STEPS)
        ways.append(_way(snapshot, found, looked, number))
    return Page(says, "warn", drawn(draft, axis, spoiling, end_1, says), tuple(ways))


def _looked(draft: Draft) -> Balance:
    """The draft looked at once, however many ask at the same time."""
    with _one_at_a_time:
        return _looked_once(draft)


@lru_cache(maxsize=8)
def _looked_once(draft: Draft) -> Balance:
    return balance(draft)


def taken(draft: Draft, number: int) -> Draft:
    """The draft with an offer taken.

    :raises BadInput: it has no such offer
    """
    offers = _looked(draft).offers
    if not 0 <= number < len(offers):
        raise BadInput(phrase("this draft has no such choice; check it again"))
    return balanced(draft, offers[number])


def begun(draft: Draft, start: int, ends: int) -> Draft:
    """The draft started so that webs of its repeats and extra ends mirror edge to edge.

    :raises BadInput: they do not
    """
    repeat = balance_web.one_repeat(draft)
    axes, _left_out = balance_web.axes(repeat)
    webs = balance_web.matching_webs(axes, repeat.ends, ends, 1, repeat.ends)
    if not webs or (webs[0].start, webs[0].ends) != (start, ends):
        raise BadInput(phrase("a warp started there is not symmetrical from edge to edge; check it again"))
    return balance_web.starting_on(repeat, start, webs[0].more)


def repeat_of(draft: Draft) -> int:
    """Ends of the draft that a web repeats."""
    return balance_web.one_repeat(draft).ends


def _usual(snapshot: Snapshot, found: draft_version.Seen) -> int:
    """The approximate number of ends: as many as a warp on it has; else some repeats."""
    for planned in snapshot.planned:
        if planned.order.draft == found.entry.key and planned.plan is not None:
            return planned.plan.web.heddle_ends
    repeat = repeat_of(found.draft)
    return repeat * max(1, round(200 / repeat))


def _webs(draft: Draft, found: draft_version.Seen, axes: Sequence[int], about: int) -> list[Web]:
    made = []
    for web in balance_web.matching_webs(axes, draft.ends, about, 3, draft.ends):
        repeats = ngettext("%d repeat", "%d repeats", web.repeats) % web.repeats
        more = ngettext("%d more end", "%d more ends", web.more) % web.more
        made.append(
            Web(
                web,
                (
                    _("%(ends)d ends: start on end %(start)d, %(repeats)s and %(more)s.")
                    if web.more
                    else _("%(ends)d ends: start on end %(start)d, %(repeats)s.")
                )
                % {"ends": web.ends, "start": web.start, "repeats": repeats, "more": more},
                _("%s, edges matched") % found.title,
            )
        )
    return made


def _way(snapshot: Snapshot, found: draft_version.Seen, looked: Balance, number: int) -> ShownOffer:
    offer = looked.offers[number]
    made = balanced(found.draft, offer)
    title = _title(offer)
    marked = offer.touched if offer.kind != "drop" else ()
    mirror = _("Mirror about %s.") % axis_said(offer.axis, made.ends)
    return ShownOffer(
        number=number,
        title=title,
        how=(*_how(offer), mirror),
        picture=drawn(made, offer.axis, marked, snapshot.guild.end_1, f"{title}. {mirror}"),
        lines=tuple(line for line in draft_preview.compared(found.draft, made) if line.differs or line.sound),
        heddles=tuple(
            (shaft, before, after)
            for shaft, (before, after) in enumerate(
                zip(looked.before.heddles, offer.cloth.heddles, strict=True), 1
            )
        ),
        warps=tuple(_on_warps(snapshot, found, made)),
        name=_("%s, balanced") % found.title,
    )


def _title(offer: BalanceOffer) -> str:
    ends = ngettext("%d end", "%d ends", offer.ends) % offer.ends
    if offer.kind == "slide":
        runs = ngettext("%d run", "%d runs", offer.runs or 0) % (offer.runs or 0)
        return _("Slide %(runs)s, %(ends)s") % {"runs": runs, "ends": ends}
    together = offer.ends > 1 and offer.touched[-1] - offer.touched[0] == offer.ends - 1
    if offer.kind == "add":
        return (_("Add %s in one place") if together else _("Add %s")) % ends
    if offer.kind == "drop":
        return (_("Drop %s in one place") if together else _("Drop %s")) % ends
    return _("Change %s") % ends


def _how(offer: BalanceOffer) -> list[str]:
    threading = offer.cloth.threading
    if offer.kind == "drop":
        return [_("Out: %s.") % ends_said(offer.touched)]
    if offer.kind in ("add", "change"):
        words = _("%(end)d on shaft %(shaft)d")
        told = [words % {"end": end, "shaft": threading[end - 1] + 1} for end in offer.touched[:_MOST_TOLD]]
        more = len(offer.touched) - len(told)
        ends = ", ".join(told) + (f" {_('and %d more') % more}" if more else "")
        return [(_("New ends: %s.") if offer.kind == "add" else _("Ends: %s.")) % ends]
    said = []
    for run in offer.moved[:_MOST_TOLD]:
        ends = (
            ends_said(range(run.first, run.last + 1)) if run.first <= run.last else f"{run.first}–{run.last}"
        )
        shafts = ngettext("%d shaft", "%d shafts", abs(run.step)) % abs(run.step)
        said.append(
            (_("%(ends)s: %(shafts)s up.") if run.step > 0 else _("%(ends)s: %(shafts)s down."))
            % {"ends": ends[:1].upper() + ends[1:], "shafts": shafts}
        )
    if len(offer.moved) > _MOST_TOLD:
        said.append(_("And %d more runs.") % (len(offer.moved) - _MOST_TOLD))
    return said


def _on_warps(snapshot: Snapshot, found: draft_version.Seen, made: Draft) -> list[OnWarp]:
    """Each warp on the draft planned again with the offer applied, to check its heddles."""
    key = found.entry.key
    on_it = [order.key for order in snapshot.guild.warps if order.draft == key][:_WARPS]
    if not on_it:
        return []
    entry = Entry("drafts", key, 0, {"wif": save_draft.text_of(made)})
    tried = Snapshot({**snapshot.entries, ("drafts", key): entry})
    said = []
    for warp in on_it:
        planned = tried.plan_of(warp)
        plan = planned.plan if planned else None
        if plan is None:
            said.append(OnWarp(warp, _("can't be planned this way"), "warn"))
        elif plan.heddles.short:
            short = plan.heddles.short
            said.append(OnWarp(warp, ngettext("%d heddle short", "%d heddles short", short) % short, "stop"))
        elif plan.heddles.moved:
            moved = plan.heddles.moved
            said.append(
                OnWarp(warp, ngettext("%d heddle to move", "%d heddles to move", moved) % moved, "warn")
            )
        else:
            said.append(OnWarp(warp, _("the heddles are in place"), "done"))
    return said


def with_repeats(snapshot: Snapshot, key: str, draft: Draft, repeat: int) -> dict[str, dict[str, Any]]:
    """Warps on a draft with matching edges that need ``repeat_ends``, by key."""
    tables: dict[str, dict[str, Any]] = {}
    unasked = balance_web.repeats_by_itself(draft, repeat)
    for entry in snapshot.of_kind("warps"):
        if entry.fields.get("draft") != key:
            continue
        table = {name: value for name, value in entry.fields.items() if name != "repeat_ends"}
        if not unasked:
            table["repeat_ends"] = [1, repeat]
        if table != entry.fields:
            tables[entry.key] = table
    return tables


def axis_said(axis: int, ends: int) -> str:
    """The end, or the two ends, where the mirror line runs."""
    one, *other = mirror_ends(axis, ends)
    if not other:
        return _("end %d") % one
    return _("the line between ends %(one)d and %(other)d") % {"one": one, "other": other[0]}


def ends_said(ends: Sequence[int]) -> str:
    """Ends listed as runs: ends 3–7, 9."""
    runs: list[list[int]] = []
    for end in ends:
        if runs and end == runs[-1][-1] + 1:
            runs[-1][1:] = [end]
        else:
            runs.append([end])
    told = ", ".join("–".join(map(str, run)) for run in runs[:_MOST_TOLD])
    more = len(runs) - _MOST_TOLD
    said = ngettext("end %s", "ends %s", len(ends)) % told
    return f"{said} {_('and %d more') % more}" if more > 0 else said
