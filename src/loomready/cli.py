"""The command line. Thin: it reads, asks the floors below, and prints. Heavy modules load when needed."""

from __future__ import annotations

import json
import os
import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from loomready import __version__
from loomready.problems import BadInput

app = typer.Typer(
    add_completion=False,
    no_args_is_help=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="From the cone on the scale to the warp on the loom: drafts checked, warps planned, sheets printed.",
)

DraftFile = Annotated[Path, typer.Argument(metavar="DRAFT.wif", help="a draft, WIF 1.1")]
AsJson = Annotated[bool, typer.Option("--json", help="print one JSON document and nothing else")]


class EndOne(StrEnum):
    left = "left"
    right = "right"


class ShaftOne(StrEnum):
    front = "front"
    back = "back"


class Shed(StrEnum):
    rising = "rising"
    sinking = "sinking"
    countermarche = "countermarche"


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"loomready {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def top(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="say the version")
    ] = False,
) -> None:
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


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

        _print_json(plan_as_json(made))
    else:
        from loomready.telling import tell_plan

        sys.stdout.write(tell_plan(made))
    if made.stopped:
        raise typer.Exit(1)


@app.command()
def check(draft: DraftFile, as_json: AsJson = False) -> None:
    """What a draft is and what it will do on the loom."""
    from dataclasses import replace

    from loomready.draft import analysis, wif

    read = wif.read(draft)
    try:
        found = analysis.analyze(read.draft)
    except BadInput as error:
        raise error.in_file(str(draft)) from None
    found = replace(found, problems=(*found.problems, *read.warnings))
    if as_json:
        _print_json(analysis.as_json(found))
    else:
        from loomready.telling import tell_draft

        sys.stdout.write(tell_draft(found, str(draft)))


@app.command()
def picture(
    draft: DraftFile,
    out: Annotated[Path, typer.Option("--out", "-o", metavar="FILE", help="FILE.png or FILE.svg")],
    cell: Annotated[int | None, typer.Option(min=1, max=100, help="size of a thread, pixels")] = None,
    cloth: Annotated[bool, typer.Option("--cloth", help="the cloth in its colors, not the draft")] = False,
    end_1: Annotated[EndOne, typer.Option("--end-1", help="where end 1 lies")] = EndOne.right,
    shaft_1: Annotated[ShaftOne, typer.Option("--shaft-1", help="where shaft 1 hangs")] = ShaftOne.front,
) -> None:
    """A picture of the draft with its drawdown, or of the cloth."""
    from loomready.cloth.render import render
    from loomready.draft import wif
    from loomready.files import write_whole

    kind = out.suffix.lower()
    if kind not in {".png", ".svg"}:
        raise BadInput("a picture is a .png or a .svg file; expected one of these endings", file=str(out))
    read = wif.read(draft)
    try:
        data = render(
            read.draft, kind=kind[1:], cloth=cloth, cell=cell, end_1=end_1.value, shaft_1=shaft_1.value
        )
    except BadInput as error:
        raise error.in_file(str(draft)) from None
    write_whole(out, data)
    print(f"wrote {out}", file=sys.stderr)


@app.command()
def lifts(
    draft: DraftFile,
    out: Annotated[Path, typer.Option("--out", "-o", metavar="OUT.wif", help="the new file")],
) -> None:
    """The same cloth as a lift plan."""
    from loomready.draft import wif, wif_write

    read = wif.read(draft)
    wif_write.save(out, read.draft.as_lift_plan())
    print(f"wrote {out}", file=sys.stderr)


@app.command(context_settings={"allow_extra_args": True, "ignore_unknown_options": True})
def make(
    context: typer.Context,
    family: Annotated[
        str | None, typer.Argument(metavar="FAMILY", help="point-twill, huck-lace, ...")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", "-o", metavar="OUT.wif", help="the new file")] = None,
    list_them: Annotated[bool, typer.Option("--list", help="the families and their options")] = False,
    as_json: AsJson = False,
) -> None:
    """Make a draft of a family from its options: make FAMILY --option value ... -o OUT.wif."""
    from loomready.draft.families import options, registry

    if list_them:
        chosen = list(registry.FAMILIES.values()) if family is None else [registry.family(family)]
        if as_json:
            _print_json(registry.as_json(chosen))
        else:
            sys.stdout.write(options.listed(chosen))
        return
    if family is None or family.startswith("-"):
        raise BadInput("no family named; expected: make FAMILY --option value ... -o OUT.wif, or make --list")
    if as_json:
        raise BadInput("--json is for the list of families; expected it with --list")
    made = options.make_as_typed(registry.family(family), context.args)
    if out is None:
        raise BadInput("no file named for the draft; expected -o OUT.wif")
    from loomready.draft import wif_write

    wif_write.save(out, made)
    print(f"wrote {out}", file=sys.stderr)


@app.command()
def tieup(
    draft: DraftFile,
    treadles: Annotated[int, typer.Option(min=1, max=64, metavar="N", help="how many treadles there are")],
    feet: Annotated[int, typer.Option(min=1, max=3, help="treadles pressed in one pick, at most")] = 2,
    shed: Annotated[Shed, typer.Option(help="what the treadles do")] = Shed.rising,
    out: Annotated[Path | None, typer.Option("--out", "-o", metavar="OUT.wif", help="the new file")] = None,
    as_json: AsJson = False,
) -> None:
    """The tie-up with the fewest treadles that weaves the same cloth."""
    from loomready.draft import shedding, wif, wif_write

    read = wif.read(draft)
    made = shedding.fewest_treadles(read.draft, feet=feet, shed=shed.value)
    fits = made.treadles <= treadles
    if out is not None and fits:
        wif_write.save(out, shedding.on_treadles(read.draft, made))
        print(f"wrote {out}", file=sys.stderr)
    if as_json:
        _print_json(shedding.as_json(made, treadles))
    else:
        from loomready.telling_drafts import tell_tieup

        sys.stdout.write(tell_tieup(made, read.draft.title or str(draft), treadles))
    if not fits:
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


@app.command()
def balance(
    draft: DraftFile,
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="OUT.wif", help="the draft with the first offer taken"),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Whether the threading leans, and what would balance it."""
    from loomready.draft import balance as balancing
    from loomready.draft import wif, wif_write

    read = wif.read(draft)
    try:
        found = balancing.balance(read.draft)
    except BadInput as error:
        raise error.in_file(str(draft)) from None
    if out is not None:
        best = found.offers[0] if found.offers else None
        wif_write.save(out, balancing.balanced(read.draft, best) if best else read.draft)
        print(f"wrote {out}: {best.kind if best else 'balanced already'}", file=sys.stderr)
    if as_json:
        _print_json(balancing.as_json(found))
    else:
        from loomready.telling_drafts import tell_balance

        sys.stdout.write(tell_balance(found, read.draft.title or str(draft)))


def _print_json(document: dict[str, Any]) -> None:
    print(json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1))


def main(arguments: list[str] | None = None) -> int:
    """Run a command. Returns 0 done, 1 done with a stop, 2 bad input (one line on standard error)."""
    # A closed stream is None: what is said there goes nowhere, and not elsewhere.
    sys.stdout = sys.stdout or open(os.devnull, "w")  # noqa: PTH123, SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w")  # noqa: PTH123, SIM115
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    command = typer.main.get_command(app)
    try:
        code = command.main(args=arguments, prog_name="loomready", standalone_mode=False)
        sys.stdout.flush()
    except BadInput as error:
        return _refuse(error.line())
    except BrokenPipeError:
        # The reader has gone (a pager closed): nothing more can be said, and nothing is wrong.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130
    except MemoryError:
        return _refuse("this does not fit into memory; expected something smaller")
    except OSError as error:
        return _refuse(f"{error.filename or 'file'}: {error.strerror or error}")
    except Exception as error:
        return _last_resort(error)
    return code if isinstance(code, int) else 0


def _last_resort(error: Exception) -> int:
    """Usage errors of the option parser, and what nobody foresaw: one line, never a traceback."""
    if hasattr(error, "format_message"):
        return _refuse(f"{error.format_message()} Try: loomready --help")
    if os.environ.get("LOOMREADY_TRACE"):
        raise error
    return _refuse(
        f"a fault in loomready itself: {type(error).__name__}: {error} (LOOMREADY_TRACE=1 shows where)"
    )


def _refuse(line: str) -> int:
    print(f"loomready: {' '.join(line.split())}", file=sys.stderr)
    return 2


if __name__ == "__main__":
    sys.exit(main())
