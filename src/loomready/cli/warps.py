"""Commands about a guild and its warps."""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from loomready.cli.common import AsJson, app, print_json, read_option
from loomready.cli.language import _, catalog, language, tell
from loomready.phrases import joined, listed, phrase
from loomready.problems import BadInput

if TYPE_CHECKING:
    from loomready.guildfile import Loaded


class OnPaper(StrEnum):
    a4 = "a4"
    letter = "letter"


@app.command(help=_("Plan every warp: what to wind, sley and thread, and what falls short."))
def plan(
    guild_file: Annotated[
        Path, typer.Argument(metavar="GUILD.toml", help=_("what the guild owns and plans"))
    ],
    warp: Annotated[str | None, typer.Option(metavar="KEY", help=_("print this warp only"))] = None,
    as_json: AsJson = False,
    packet: Annotated[
        Path | None, typer.Option(metavar="DIR", help=_("save one PDF per warp in DIR"))
    ] = None,
    long: Annotated[
        bool, typer.Option("--long", help=_("packet: also a row for each pick of the repeat"))
    ] = False,
    large: Annotated[bool, typer.Option("--large", help=_("packet: large print"))] = False,
    card: Annotated[
        bool, typer.Option("--card", help=_("packet: also a pocket card, DIR/cards/KEY-card.pdf, A6"))
    ] = False,
    hours: Annotated[
        bool, typer.Option("--hours", help=_("packet: the record asks for the hours of each job"))
    ] = False,
    paper: Annotated[
        OnPaper | None, typer.Option(help=_("packet: default Letter with US units, else A4"))
    ] = None,
) -> None:
    from dataclasses import replace

    from loomready import guildfile
    from loomready.warp.plan import plan_guild

    if packet is None and (long or large or card or hours or paper):
        raise BadInput(
            phrase("--long, --large, --card, --hours and --paper are for packets; expected --packet DIR too")
        )
    loaded = guildfile.load(guild_file)
    if warp is not None:
        _must_have(loaded, warp, guild_file)
    try:
        made = plan_guild(loaded.guild, loaded.drafts, until=warp)
    except BadInput as error:
        raise error.in_file(str(guild_file)) from None
    of_drafts = tuple(
        replace(problem, message=joined(": ", (path, problem.message)))
        for path, problems in loaded.warnings.items()
        for problem in problems
    )
    shown = made.warps if warp is None else made.warps[-1:]
    made = replace(made, warps=shown, problems=(*made.problems, *of_drafts))
    if packet is not None:
        from loomready.packet.options import Options, Paper

        papers: dict[OnPaper, Paper] = {OnPaper.a4: "a4", OnPaper.letter: "us-letter"}
        from loomready.packet.packet import write_packets

        sheets = Options(papers[paper] if paper else None, every_pick=long, large=large, hours=hours)
        for options in (sheets, replace(sheets, card=True)) if card else (sheets,):
            folder = packet / "cards" if options.card else packet  # "x-card" may be a warp's key, too
            for path in write_packets(made, folder, options, language=language()):
                tell(phrase("wrote {file}", file=f"{path}"))
    if as_json:
        from loomready.report.as_json import plan_as_json

        print_json(plan_as_json(made))
    else:
        from loomready.report.plan_text import tell_plan

        sys.stdout.write(tell_plan(made, catalog()))
    if made.stopped:
        raise typer.Exit(1)


GuildFile = Annotated[Path, typer.Argument(metavar="GUILD.toml", help=_("what the guild owns and plans"))]
OneWarp = Annotated[str, typer.Option("--warp", metavar="KEY", help=_("the warp it is for"))]


def with_warp(guild_file: Path, warp: str) -> Loaded:
    """The guild, if it has such a warp."""
    from loomready import guildfile

    loaded = guildfile.load(guild_file)
    _must_have(loaded, warp, guild_file)
    return loaded


def _must_have(loaded: Loaded, warp: str, guild_file: Path) -> None:
    known = [order.key for order in loaded.guild.warps]
    if warp in known:
        return
    warps = listed(known) if known else phrase("none there")
    raise BadInput(
        phrase('no warp "{warp}"; expected one of: {warps}', warp=warp, warps=warps), file=str(guild_file)
    )


@app.command(
    help=_("List the sizes that the yarn on the shelf will cover: each width with its greatest length.")
)
def fit(guild_file: GuildFile, warp: OneWarp, as_json: AsJson = False) -> None:
    from loomready.choose.size.size import fit as fitted

    loaded = with_warp(guild_file, warp)
    try:
        found = fitted(loaded.guild, loaded.drafts, warp)
    except BadInput as error:
        raise error.in_file(str(guild_file)) from None
    if as_json:
        from loomready.report.choices_text import fit_as_json

        print_json(fit_as_json(found))
    else:
        from loomready.report.choices_text import tell_fit

        sys.stdout.write(tell_fit(found, catalog()))
    if found.stopped:
        raise typer.Exit(1)


class OrderBy(StrEnum):
    contrast = "contrast"
    lightness = "lightness"
    hue_angle = "hue_angle"
    color_vision = "color_vision"
    odd_cones = "odd_cones"


class LikeWhat(StrEnum):
    planned = "planned"
    one_another = "one-another"


@app.command(help=_("Choose colors from the shelf for a warp: yarns that last and go together."))
def colors(
    guild_file: GuildFile,
    warp: OneWarp,
    count: Annotated[int, typer.Option(min=1, max=1000, help=_("how many choices to show"))] = 24,
    order_by: Annotated[OrderBy, typer.Option(help=_("the column, greatest first"))] = OrderBy.contrast,
    least_first: Annotated[bool, typer.Option("--least-first", help=_("least first instead"))] = False,
    distance: Annotated[str, typer.Option(help=_("viewing distance"))] = "3 m",
    like: Annotated[
        LikeWhat | None,
        typer.Option(
            help=_(
                "yarns like the planned ones (planned) or only like one another (one-another); default: "
                "planned if a sett is given, else one-another"
            )
        ),
    ] = None,
    grist_band: Annotated[
        str, typer.Option(help=_("how much coarser one yarn may be than another"))
    ] = "15 %",
    any_fiber: Annotated[
        bool, typer.Option("--any-fiber", help=_("allow fibers with different shrinkage"))
    ] = False,
    first: Annotated[
        bool, typer.Option("--first", help=_("claim yarn ahead of later warps in the file"))
    ] = False,
    as_json: AsJson = False,
) -> None:
    from loomready.choose.colors.choices import Wishes, choose_colors
    from loomready.choose.colors.narrower import narrower
    from loomready.units import LENGTH_M, SHARE

    loaded = with_warp(guild_file, warp)
    wishes = Wishes(
        order_by=order_by.value,
        least_first=least_first,
        count=count,
        distance_m=read_option("--distance", distance, LENGTH_M),
        like=like.value if like else None,
        band=read_option("--grist-band", grist_band, SHARE),
        any_fiber=any_fiber,
        first=first,
    )
    try:
        found = choose_colors(loaded.guild, loaded.drafts, warp, wishes)
        fewer = None if found.offers else narrower(loaded.guild, loaded.drafts, warp, wishes)
    except BadInput as error:
        raise error.in_file(str(guild_file)) from None
    if as_json:
        from loomready.report.choices_text import colors_as_json

        print_json(colors_as_json(found, fewer))
    else:
        from loomready.report.choices_text import tell_colors

        sys.stdout.write(tell_colors(found, fewer, catalog()))
    if not found.offers:
        raise typer.Exit(1)


@app.command("open", help=_("Open the guild in your browser: shelf, looms, drafts and warps."))
def open_(
    home: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help=_("folder of the guild (default: LOOMREADY_HOME)")),
    ] = None,
    port: Annotated[int, typer.Option(min=0, max=65535, help=_("0: any free port"))] = 8642,
    no_browser: Annotated[bool, typer.Option("--no-browser", help=_("only print the address"))] = False,
    demo: Annotated[bool, typer.Option("--demo", help=_("start an empty home with the demo guild"))] = False,
    empty: Annotated[
        bool, typer.Option("--empty", help=_("start an empty home with an empty guild"))
    ] = False,
    share: Annotated[
        bool, typer.Option("--share", help=_("share with other devices on this network"))
    ] = False,
) -> None:
    from loomready.app.server.serve import open_guild

    if demo and empty:
        raise BadInput(phrase("--demo and --empty exclude each other; expected one of them"))
    begin = "demo" if demo else "empty" if empty else None
    open_guild(home, port, browser=not no_browser, begin=begin, share=share)
