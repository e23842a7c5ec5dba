"""Commands about a guild and its warps."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from loomready.cli.common import AsJson, app, print_json
from loomready.problems import BadInput


@app.command()
def plan(
    guild_file: Annotated[Path, typer.Argument(metavar="GUILD.toml", help="what the guild owns and plans")],
    warp: Annotated[str | None, typer.Option(metavar="KEY", help="print this warp only")] = None,
    as_json: AsJson = False,
    packet: Annotated[Path | None, typer.Option(metavar="DIR", help="write one PDF a warp into DIR")] = None,
) -> None:
    """Plan every warp: what to wind, sley and thread, and what falls short."""
    from dataclasses import replace

    from loomready import guildfile
    from loomready.warp.plan import plan_guild

    loaded = guildfile.load(guild_file)
    known = [order.key for order in loaded.guild.warps]
    if warp is not None and warp not in known:
        raise BadInput(
            f'no warp "{warp}"; expected one of: {", ".join(known) or "none there"}', file=str(guild_file)
        )
    try:
        made = plan_guild(loaded.guild, loaded.drafts, until=warp)
    except BadInput as error:
        raise error.in_file(str(guild_file)) from None
    of_drafts = tuple(
        replace(problem, message=f"{path}: {problem.message}")
        for path, problems in loaded.warnings.items()
        for problem in problems
    )
    shown = made.warps if warp is None else made.warps[-1:]
    made = replace(made, warps=shown, problems=(*made.problems, *of_drafts))
    if packet is not None:
        from loomready.packet.packet import write_packets

        for path in write_packets(made, packet):
            print(f"wrote {path}", file=sys.stderr)
    if as_json:
        from loomready.answer import plan_as_json

        print_json(plan_as_json(made))
    else:
        from loomready.telling import tell_plan

        sys.stdout.write(tell_plan(made))
    if made.stopped:
        raise typer.Exit(1)


@app.command("open")
def open_(
    home: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="where the guild lives, else LOOMREADY_HOME"),
    ] = None,
    port: Annotated[int, typer.Option(min=0, max=65535, help="0: any free one")] = 8642,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="only say the address")] = False,
    demo: Annotated[bool, typer.Option("--demo", help="begin an empty home with the demo guild")] = False,
    empty: Annotated[bool, typer.Option("--empty", help="begin an empty home with an empty guild")] = False,
) -> None:
    """The guild in your browser: shelf, looms, drafts and warps, live."""
    from loomready.app.serve import open_guild

    if demo and empty:
        raise BadInput("--demo and --empty stand beside each other; expected one of them")
    open_guild(home, port, browser=not no_browser, begin="demo" if demo else "empty" if empty else None)
