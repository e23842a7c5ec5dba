"""Commands that choose: a draft."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from loomready.cli.common import AsJson, app, print_json, read_option
from loomready.cli.language import _, catalog, tell
from loomready.phrases import listed, phrase
from loomready.problems import BadInput

if TYPE_CHECKING:
    from types import FrameType

    from loomready.draft.draft import Draft
    from loomready.units import Kind


@app.command(help=_("Search for drafts that fit a loom and limits, chosen to differ."))
def find(
    shafts: Annotated[int, typer.Option(metavar="S", help=_("shafts of the loom, 2 to 40"))],
    picks: Annotated[int, typer.Option(metavar="P", help=_("most picks in the repeat, 1 to 400"))],
    max_float: Annotated[
        str | None,
        typer.Option(
            metavar="N", help=_('longest float, threads or "5 mm" at the sett (default: 7 threads)')
        ),
    ] = None,
    symmetric: Annotated[bool, typer.Option("--symmetric", help=_("a mirror line along the ends"))] = False,
    plain_weave: Annotated[
        bool, typer.Option("--plain-weave", help=_("plain weave can be woven on the threading"))
    ] = False,
    levers: Annotated[
        bool, typer.Option("--levers", help=_("any lifts, for a loom with levers (default)"))
    ] = False,
    treadles: Annotated[
        int | None,
        typer.Option(
            metavar="N", help=_("fits on N treadles, one treadle per pick; --plain-weave: tabby too")
        ),
    ] = None,
    distance: Annotated[str, typer.Option(metavar="LENGTH", help=_("viewing distance"))] = "3 m",
    sett: Annotated[str, typer.Option(metavar="SETT", help=_("of the finished cloth"))] = "20 /in",
    ppi: Annotated[
        str | None,
        typer.Option(metavar="PICKS", help=_("of the finished cloth (default: as many as the sett)")),
    ] = None,
    count: Annotated[int, typer.Option(min=1, max=400, help=_("how many drafts"))] = 24,
    seed: Annotated[int, typer.Option(help=_("another seed gives other drafts"))] = 1,
    order: Annotated[
        str | None, typer.Option(metavar="COLUMN", help=_("contrast, picks, lifts, steps, moves, float, ..."))
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="DIR", help=_("save each draft as WIF"))
    ] = None,
    as_json: AsJson = False,
) -> None:
    from dataclasses import replace

    from loomready.choose.drafts import columns
    from loomready.choose.drafts import finding as drafts
    from loomready.units import LENGTH_M, PER_CM, WIDTH_MM

    if levers and treadles is not None:
        raise BadInput(phrase("--levers and --treadles exclude each other; expected one of them"))
    if order is not None and order not in columns.COLUMNS:
        known = listed(columns.COLUMNS)
        raise BadInput(
            phrase("no column {column!r}; expected one of: {columns}", column=order, columns=known),
            where="--order",
        )
    in_threads = max_float is None or max_float.strip().lstrip("+-").isdecimal()
    try:
        setting = drafts.Setting(
            shafts,
            mm_per_end=drafts.mm_a_thread(_above_0("--sett", sett, PER_CM)),
            mm_per_pick=drafts.mm_a_thread(_above_0("--ppi", ppi or sett, PER_CM)),
            distance_m=_above_0("--distance", distance, LENGTH_M),
        )
        wish = drafts.Wish(
            setting,
            picks,
            max_float=int(max_float) if max_float is not None and in_threads else None,
            max_float_mm=None
            if max_float is None or in_threads
            else read_option("--max-float", max_float, WIDTH_MM),
            symmetric=symmetric,
            plain_weave=plain_weave,
            treadles=treadles,
            seed=seed,
        )
    except BadInput as error:
        option = f"--{error.where.removeprefix('--')}"
        raise BadInput(error.what, where=option) from None
    with _until_told_to_stop() as stopped:
        found = drafts.find(wish, count, stopped=stopped)
        cut_short = stopped()
        if cut_short:
            tell(phrase("stopped; found so far:"))
    if order is not None:
        found = replace(found, offers=tuple(columns.ordered(found.offers, order)))
    if out is not None:
        on_treadles = treadles is not None
        _write(
            [drafts.as_file(each, on_treadles=on_treadles, tabby=plain_weave) for each in found.offers], out
        )
    if as_json:
        print_json(drafts.as_document(found))
    else:
        from loomready.report.search_text import tell_found

        sys.stdout.write(tell_found(found, wish, catalog()))
    if not found.offers:
        raise typer.Exit(130 if cut_short else 1)


@contextmanager
def _until_told_to_stop() -> Iterator[Callable[[], bool]]:
    """Ctrl-C once: a search ends with its round and keeps what it found. Twice: the command ends."""
    told = False

    def stop(number: int, frame: FrameType | None) -> None:
        nonlocal told
        told = True
        signal.signal(signal.SIGINT, before)

    before = signal.signal(signal.SIGINT, stop)
    try:
        yield lambda: told
    finally:
        signal.signal(signal.SIGINT, before)


def _above_0(option: str, text: str, kind: Kind) -> float:
    value = read_option(option, text, kind)
    if value <= 0:
        raise BadInput(phrase("is not above 0; expected a size"), where=option)
    return value


def _write(drafts: list[Draft], folder: Path) -> None:
    """A WIF for each: find-01.wif and so on, in a folder that is made if it is missing."""
    from loomready.draft.wif import writer
    from loomready.files import named

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(
            phrase("cannot be made: {reason}", reason=error.strerror or f"{error}"), file=named(folder)
        ) from None
    for number, draft in enumerate(drafts, 1):
        path = folder / f"find-{number:02d}.wif"
        writer.save(path, draft)
        tell(phrase("wrote {file}", file=f"{path}"))
