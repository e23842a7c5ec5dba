"""The command about a public day: looms, purchases, and who does what when."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from loomready.cli.common import AsJson, app, print_json, read_option
from loomready.cli.language import _, catalog, language, tell
from loomready.cli.warps import GuildFile
from loomready.phrases import phrase
from loomready.problems import BadInput

if TYPE_CHECKING:
    from loomready.event.places import Kept
    from loomready.event.replan import Session

_MOST_BYTES = 16 * 1024 * 1024
_MOST_KEPT_H = 10_000


@app.command(
    help=_(
        "Plan the work before an event: looms, reeds, cones to buy, and who does what when until it opens."
    )
)
def event(
    guild_file: GuildFile,
    start: Annotated[
        str | None,
        typer.Option("--from", metavar='"DATE TIME"', help=_("nothing is planned before this; default: now")),
    ] = None,
    told: Annotated[
        Path | None,
        typer.Option(
            metavar="PLAN.json", help=_("what --json printed before: change as few sessions of it as can be")
        ),
    ] = None,
    keep: Annotated[
        str | None,
        typer.Option(metavar="TIME", help=_("with --told: for so long its sessions are kept; default: 48 h")),
    ] = None,
    as_json: AsJson = False,
    ics: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help=_("save calendars in DIR: one for each person and one for all")),
    ] = None,
    packet: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help=_("save the sheets of the days in DIR: rota, a list for each person, kits, packing lists"),
        ),
    ] = None,
) -> None:
    from loomready import guildfile
    from loomready.event.hours_text import read_moment
    from loomready.event.plan_event import STANDS_H, plan_event
    from loomready.units import TIME_H

    if keep is not None and told is None:
        raise BadInput(phrase("--keep is for an earlier plan; expected --told PLAN.json too"))
    keep_h = STANDS_H if keep is None else read_option("--keep", keep, TIME_H)
    if not 0 <= keep_h <= _MOST_KEPT_H:
        raise BadInput(phrase("is out of range; expected a time from 0 h to 10000 h"), where="--keep")
    earlier, places = (None, None) if told is None else _earlier(told)
    try:
        now = datetime.now().replace(second=0, microsecond=0) if start is None else read_moment(start)
    except BadInput as error:
        raise error.at("--from") from None
    loaded = guildfile.load(guild_file)
    if earlier and not {each.warp for each in earlier} & {order.key for order in loaded.guild.warps}:
        raise BadInput(
            phrase("is the plan of other warps; expected a plan of this guild file"), file=str(told)
        )
    try:
        made = plan_event(loaded.guild, loaded.drafts, now, told=earlier, stands_h=keep_h, told_places=places)
    except BadInput as error:
        raise error.in_file(str(guild_file)) from None
    if ics is not None:
        from loomready.report.event_calendar import write_calendars

        for path in write_calendars(made, ics, catalog(), datetime.now(UTC)):
            tell(phrase("wrote {file}", file=f"{path}"))
    if packet is not None:
        from loomready.packet.event_sheets import write_event_sheets

        for path in write_event_sheets(made, packet, catalog=catalog(), language=language()):
            tell(phrase("wrote {file}", file=f"{path}"))
    if as_json:
        from loomready.report.event_json import event_as_json

        print_json(event_as_json(made))
    else:
        from loomready.report.event_text import tell_event

        sys.stdout.write(tell_event(made, catalog()))
    if made.stopped:
        raise typer.Exit(1)


def _earlier(path: Path) -> tuple[tuple[Session, ...], dict[str, Kept]]:
    """The sessions of an earlier plan, and its looms and reeds, as --json printed it."""
    import json

    from loomready.event.replan import read_places, read_told
    from loomready.files import named, read_bounded

    expected = phrase("a plan that loomready event --json printed")
    try:
        data = read_bounded(
            path,
            _MOST_BYTES,
            expected=expected,
            too_large=lambda size: phrase("is too large; expected {expected}", expected=expected),
        )
        try:
            document = json.loads(data)
        except (ValueError, RecursionError):
            raise BadInput(phrase("is not JSON; expected {expected}", expected=expected)) from None
        return read_told(document), read_places(document)
    except BadInput as error:
        raise error.in_file(named(path)) from None
