"""The command about threading slips."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from loomready.cli.common import AsJson, app, print_json
from loomready.cli.language import _, catalog
from loomready.phrases import phrase
from loomready.problems import BadInput

if TYPE_CHECKING:
    from loomready.slips.as_json import Planned
    from loomready.slips.test_picks import TestPicks


@app.command(
    help=_("Find the slips of a threading in a few picks of test weave, and the cheapest way to mend them.")
)
def slips(
    source: Annotated[
        Path, typer.Argument(metavar="DRAFT.wif|GUILD.toml", help=_("a draft, or with --warp a guild file"))
    ],
    seen_file: Annotated[
        Path | None,
        typer.Option(
            "--seen", metavar="SEEN.csv", help=_("lifted shafts and a cell for each end, a row per pick")
        ),
    ] = None,
    warp: Annotated[
        str | None, typer.Option(metavar="KEY", help=_("the ends are those of this warp"))
    ] = None,
    picks: Annotated[bool, typer.Option("--picks", help=_("only the test picks to weave"))] = False,
    floats: Annotated[
        int | None,
        typer.Option(min=1, max=40, metavar="N", help=_("with --picks: a cloth with floats of at most N")),
    ] = None,
    count: Annotated[
        int | None,
        typer.Option(min=2, max=40, metavar="N", help=_("with --picks: so many, for cells hard to read")),
    ] = None,
    photo: Annotated[
        Path | None, typer.Option(metavar="FILE", help=_("a photograph of the test weave (a trial)"))
    ] = None,
    corners: Annotated[
        str | None,
        typer.Option(
            metavar='"X,Y X,Y X,Y X,Y"',
            help=_("with --photo: first and last end at the first pick, then at the last, in pixels"),
        ),
    ] = None,
    ends: Annotated[
        str | None, typer.Option(metavar="FIRST-LAST", help=_("with --photo: the ends between the corners"))
    ] = None,
    woven: Annotated[
        Path | None,
        typer.Option(
            metavar="PICKS.csv",
            help=_("with --photo: lifted shafts, a row per pick; default: the draft's picks"),
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    if (picks, seen_file is not None, photo is not None).count(True) != 1:
        raise BadInput(phrase("expected either --seen SEEN.csv or --picks, or --photo FILE"))
    if photo is None and (corners, ends, woven) != (None, None, None):
        raise BadInput(
            phrase("--corners, --ends and --woven are for a photograph; expected them with --photo")
        )
    if not picks and (floats is not None or count is not None):
        raise BadInput(phrase("--floats and --count are for test picks; expected them with --picks"))
    planned = _planned(source, warp)
    if not (planned.threading >= 0).any():
        raise BadInput(phrase("no end is threaded; expected a threading"), file=str(source))
    if picks:
        _print_picks(planned, _test_picks(source, planned, floats, count), as_json)
        return
    if photo is not None:
        from loomready.cli.slips_photo import tell_photograph

        tell_photograph(planned, photo, corners, ends, woven, as_json)
        return
    from loomready.slips.as_json import answer, slips_as_json
    from loomready.slips.cells_csv import read

    assert seen_file is not None
    made = answer(planned, read(seen_file, planned.lifts.shape[1], len(planned.threading)))
    if as_json:
        print_json(slips_as_json(made))
    else:
        from loomready.report.slips_text import tell_slips

        sys.stdout.write(tell_slips(made, catalog()))


def _planned(source: Path, warp: str | None) -> Planned:
    from loomready.slips.planned import of_draft, of_warp

    if warp is None:
        if source.suffix.lower() == ".toml":
            raise BadInput(phrase("is a guild file; expected --warp KEY with it"), file=str(source))
        from loomready.draft.wif import reader

        return of_draft(reader.read(source).draft, str(source))
    if source.suffix.lower() == ".wif":
        raise BadInput(phrase("is a draft; expected a guild file with --warp"), file=str(source))
    from loomready.cli.warps import with_warp
    from loomready.warp.plan import plan_guild

    loaded = with_warp(source, warp)
    try:
        return of_warp(plan_guild(loaded.guild, loaded.drafts, until=warp).warps[-1])
    except BadInput as error:
        raise error.in_file(str(source)) from None


def _test_picks(source: Path, planned: Planned, floats: int | None, count: int | None) -> TestPicks:
    from loomready.slips.asked_picks import asked_picks

    try:
        return asked_picks(planned, floats, count)
    except BadInput as error:
        raise error.in_file(str(source)) from None


def _print_picks(planned: Planned, made: TestPicks, as_json: bool) -> None:
    from loomready.slips.test_picks import used_shafts

    used = used_shafts(planned.threading)
    if as_json:
        from loomready.slips.as_json import picks_as_json

        print_json(picks_as_json(made, planned.lifts, used, planned.tied))
    else:
        from loomready.report.slips_text import tell_picks

        sys.stdout.write(tell_picks(planned.name, made, planned.lifts, used, planned.tied, catalog()))
