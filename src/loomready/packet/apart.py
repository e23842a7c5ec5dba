"""Packets, and the sheets of an event, laid out in processes of their own.

The typesetter keeps some hundred megabytes for every packet until its process ends.
"""

from __future__ import annotations

import pickle
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from loomready.event.plan_event import EventPlan
from loomready.packet.options import USUAL, Options
from loomready.phrases import Catalog, phrase
from loomready.processes import answer
from loomready.warp.result import WarpPlan

COMMAND = ("-m", "loomready.packet")
AT_ONCE = 2
LONGEST_S = 300  # for one packet; the largest warp takes a small part of it


class Unwanted(Exception):
    """An earlier packet failed: this one is laid out for nobody."""


@dataclass(frozen=True, slots=True)
class PacketWanted:
    """``version``: of the draft."""

    plan: WarpPlan
    options: Options
    version: int | None

    def made(self, catalog: Catalog, language: str) -> bytes:
        """The PDF; its pages as pictures, pickled, where the options ask for a preview."""
        from loomready.packet.packet import packet_pages, packet_pdf

        if self.options.preview:
            pages = packet_pages(
                self.plan, self.options, version=self.version, catalog=catalog, language=language
            )
            return pickle.dumps(pages)
        return packet_pdf(self.plan, self.options, version=self.version, catalog=catalog, language=language)


@dataclass(frozen=True, slots=True)
class EventSheetWanted:
    """``sheet``: its name, without ".pdf"."""

    plan: EventPlan
    sheet: str

    def made(self, catalog: Catalog, language: str) -> bytes:
        """The PDF; empty where nothing stands on it."""
        from loomready.packet.event_sheets import event_sheet

        return event_sheet(self.plan, self.sheet, catalog=catalog, language=language) or b""


def packet_apart(
    plan: WarpPlan,
    options: Options,
    language: str,
    wanted: Callable[[], object],
    *,
    version: int | None = None,
) -> bytes:
    """The packet as a PDF; its pages as pictures, pickled, where the options ask for a preview.

    :param language: as a tag: "de", "pt-BR"
    :param wanted: raises where nobody wants the packet any more: its process is stopped then
    :param version: of the draft
    :raises BadInput: what the packet itself refuses
    """
    return apart(PacketWanted(plan, options, version), language, wanted)


def apart(asked: PacketWanted | EventSheetWanted, language: str, wanted: Callable[[], object]) -> bytes:
    """What is asked for, made in a process of its own.

    :raises BadInput: what the sheets themselves refuse
    """
    return answer(
        COMMAND,
        pickle.dumps((asked, language)),
        wanted,
        LONGEST_S,
        too_long=phrase("the packet took too long to lay out"),
        failed=phrase("the packet could not be laid out"),
    )


def packets_apart(plans: Sequence[WarpPlan], options: Options = USUAL, *, language: str) -> list[bytes]:
    """The packets of many warps, a few at a time; where one fails, those after it are not laid out.

    :raises BadInput: what a packet itself refuses
    """
    stop = threading.Event()

    def wanted() -> None:
        if stop.is_set():
            raise Unwanted

    with ThreadPoolExecutor(AT_ONCE) as pool:
        try:
            return list(pool.map(lambda plan: packet_apart(plan, options, language, wanted), plans))
        finally:
            stop.set()
