"""Packets are laid out in processes of their own, a few at a time; the others wait.

Layout takes much memory, which a long-lived process would keep; a process that ends returns it.
"""

from __future__ import annotations

import pickle
import threading
from collections.abc import Callable, Mapping, Sequence

from django.utils.translation import get_language, gettext_lazy, to_locale
from django.utils.translation import gettext as _

from loomready.event.plan_event import EventPlan
from loomready.packet.apart import AT_ONCE, EventSheetWanted, PacketWanted, apart
from loomready.packet.options import PAPERS, SHEETS, USUAL, Options
from loomready.problems import BadInput
from loomready.processes import WAIT_S
from loomready.warp.result import WarpPlan

FOR_ONE = 6  # packets of one device that wait or are laid out

SHEET_LABELS = {
    "project": gettext_lazy("Project, yarns, painting"),
    "winding": gettext_lazy("Winding"),
    "dressing": gettext_lazy("Sley and heddles"),
    "threading": gettext_lazy("Threading, tying in"),
    "test_weave": gettext_lazy("Test weave"),
    "weaving": gettext_lazy("Weaving"),
    "finishing": gettext_lazy("Finishing and record"),
}

_places = threading.BoundedSemaphore(AT_ONCE)
_of: dict[str, int] = {}
_guard = threading.Lock()


def enter(who: str) -> None:
    """Take a place in the queue for a device; :func:`leave` gives it back.

    :raises BadInput: it has as many packets under way as one device may have
    """
    with _guard:
        if _of.get(who, 0) >= FOR_ONE:
            says = _("you have %(n)d packets under way already; wait until one is done, or cancel one")
            raise BadInput(says % {"n": FOR_ONE})
        _of[who] = _of.get(who, 0) + 1


def leave(who: str) -> None:
    with _guard:
        _of[who] -= 1
        if not _of[who]:
            del _of[who]


def options_of(posted: Mapping[str, str], sheets: Sequence[str] = ()) -> Options:
    """The choices of the form that prints; what is not chosen, or unknown, is as usual.

    :param sheets: the sheets that are checked, by name; all or none of them: the whole packet
    """
    paper, only = posted.get("paper"), posted.get("only")
    wanted = (only,) if only else sheets
    chosen = tuple(each for each in SHEETS if each in wanted)
    return Options(
        paper=next((each for each in PAPERS if each == paper), None),
        every_pick=bool(posted.get("every_pick")),
        large=bool(posted.get("large")),
        card=posted.get("what") == "card",
        hours=bool(posted.get("hours")),
        sheets=() if len(chosen) == len(SHEETS) else chosen,
        preview=bool(posted.get("look")),
    )


def packet(
    plan: WarpPlan, version: int | None, wanted: Callable[[], object], options: Options = USUAL
) -> bytes:
    """The packet as a PDF.

    :param version: of the draft
    :param wanted: raises where nobody wants the packet any more: its process is stopped then
    :raises BadInput: what the packet itself refuses
    """
    return _laid_out(PacketWanted(plan, options, version), wanted)


def event_sheet(plan: EventPlan, sheet: str, wanted: Callable[[], object]) -> bytes:
    """A sheet of an event as a PDF, as :func:`packet`; empty where nothing stands on it."""
    return _laid_out(EventSheetWanted(plan, sheet), wanted)


def _laid_out(asked: PacketWanted | EventSheetWanted, wanted: Callable[[], object]) -> bytes:
    while not _places.acquire(timeout=WAIT_S):
        wanted()
    try:
        return apart(asked, _tag(), wanted)
    finally:
        _places.release()


def pages(made: bytes) -> list[bytes]:
    """The pages of a packet that was laid out to look at."""
    found: list[bytes] = pickle.loads(made)  # written by our own process
    return found


def _tag() -> str:
    """The reader's language as a tag: "en-US", "pt-BR". The English of loomready is American."""
    language = get_language() or "en"
    return "en-US" if language.startswith("en") else to_locale(language).replace("_", "-")
