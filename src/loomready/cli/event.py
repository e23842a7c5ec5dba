"""The command about a public day: looms, purchases, and who does what when."""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from loomready.cli.common import AsJson, app, print_json
from loomready.cli.language import _, catalog, tell
from loomready.cli.warps import GuildFile
from loomready.phrases import phrase
from loomready.problems import BadInput


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
    as_json: AsJson = False,
    ics: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help=_("save calendars in DIR: one for each person and one for all")),
    ] = None,
) -> None:
    from loomready import guildfile
    from loomready.event.hours_text import read_moment
    from loomready.event.plan_event import plan_event

    try:
        now = datetime.now().replace(second=0, microsecond=0) if start is None else read_moment(start)
    except BadInput as error:
        raise error.at("--from") from None
    loaded = guildfile.load(guild_file)
    try:
        made = plan_event(loaded.guild, loaded.drafts, now)
    except BadInput as error:
        raise error.in_file(str(guild_file)) from None
    if ics is not None:
        from loomready.report.event_calendar import write_calendars

        for path in write_calendars(made, ics, catalog()):
            tell(phrase("wrote {file}", file=f"{path}"))
    if as_json:
        from loomready.report.event_json import event_as_json

        print_json(event_as_json(made))
    else:
        from loomready.report.event_text import tell_event

        sys.stdout.write(tell_event(made, catalog()))
    if made.stopped:
        raise typer.Exit(1)
