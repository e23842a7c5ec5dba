"""The command about warping boards."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from loomready.cli.common import AsJson, app, print_json
from loomready.cli.language import _, catalog, tell
from loomready.phrases import joined, listed, phrase
from loomready.problems import BadInput


@app.command(
    help=_("Find the path of a warp over the pegs of a warping board, with the least excess length.")
)
def board(
    guild_file: Annotated[
        Path, typer.Argument(metavar="GUILD.toml", help=_("what the guild owns and plans"))
    ],
    board_key: Annotated[str, typer.Option("--board", metavar="KEY", help=_("which warping board or mill"))],
    length: Annotated[str, typer.Option(metavar="LENGTH", help=_('the warp to wind, like "5 yd"'))],
    as_json: AsJson = False,
) -> None:
    from loomready import guildfile, units
    from loomready.files import named
    from loomready.guildfile.toml import read_bytes
    from loomready.loomside.board.winding_path import as_json as path_as_json
    from loomready.loomside.board.winding_path import find_path, wanted_length_mm

    try:
        wanted_mm = wanted_length_mm(units.read(length, units.WIDTH_MM))
    except BadInput as error:
        raise error.at("--length") from None
    try:
        guild = guildfile.decode(guildfile.parse(read_bytes(guild_file)))
        known = {each.key: each for each in guild.boards}
        if board_key not in known:
            raise BadInput(
                phrase(
                    'no board "{board}"; expected one of: {boards}',
                    board=board_key,
                    boards=listed(known) if known else phrase("none there"),
                )
            )
        path = find_path(known[board_key], wanted_mm)
    except BadInput as error:
        raise error.in_file(named(guild_file)) from None
    if as_json:
        print_json(path_as_json(path))
    else:
        from loomready.report.plan_text import tell_board

        sys.stdout.write(tell_board(known[board_key], path, guild.units, catalog()))
    if not path.enough:
        tell(joined(": ", ("loomready", path.shortfall(units.Shown(guild.units)))))
        raise typer.Exit(1)
