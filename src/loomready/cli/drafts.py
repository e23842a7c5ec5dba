"""Commands about one draft."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from loomready.cli.common import AsJson, DraftFile, EndOne, ShaftOne, Shed, app, print_json
from loomready.phrases import phrase
from loomready.problems import BadInput


@app.command()
def check(draft: DraftFile, as_json: AsJson = False) -> None:
    """Check a draft: what it is and what it does on the loom."""
    from dataclasses import replace

    from loomready.draft.structure import analysis
    from loomready.draft.wif import reader

    read = reader.read(draft)
    try:
        found = analysis.analyze(read.draft)
    except BadInput as error:
        raise error.in_file(str(draft)) from None
    found = replace(found, problems=(*found.problems, *read.warnings))
    if as_json:
        print_json(analysis.as_json(found))
    else:
        from loomready.report.plan_text import tell_draft

        sys.stdout.write(tell_draft(found, str(draft)))


@app.command()
def picture(
    draft: DraftFile,
    out: Annotated[Path, typer.Option("--out", "-o", metavar="FILE", help="FILE.png or FILE.svg")],
    cell: Annotated[int | None, typer.Option(min=1, max=100, help="size of a thread in pixels")] = None,
    cloth: Annotated[bool, typer.Option("--cloth", help="the cloth in its colors, not the draft")] = False,
    end_1: Annotated[EndOne, typer.Option("--end-1", help="where end 1 lies")] = EndOne.right,
    shaft_1: Annotated[ShaftOne, typer.Option("--shaft-1", help="where shaft 1 hangs")] = ShaftOne.front,
) -> None:
    """Draw the draft with its drawdown, or the cloth."""
    from loomready.cloth.render import render
    from loomready.draft.wif import reader
    from loomready.files import write_whole

    kind = out.suffix.lower()
    if kind not in {".png", ".svg"}:
        raise BadInput(
            phrase("a picture is a .png or a .svg file; expected one of these endings"), file=str(out)
        )
    read = reader.read(draft)
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
    """Convert a draft to a lift plan that weaves the same cloth."""
    from loomready.draft.wif import reader, writer

    read = reader.read(draft)
    writer.save(out, read.draft.as_lift_plan())
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
            print_json(registry.as_json(chosen))
        else:
            sys.stdout.write(options.listed(chosen))
        return
    if family is None or family.startswith("-"):
        raise BadInput(
            phrase("no family given; expected: make FAMILY --option value ... -o OUT.wif, or make --list")
        )
    if as_json:
        raise BadInput(phrase("--json is for the list of families; expected it with --list"))
    made = options.make_as_typed(registry.family(family), context.args)
    if out is None:
        raise BadInput(phrase("no file given for the draft; expected -o OUT.wif"))
    from loomready.draft.wif import writer

    writer.save(out, made)
    print(f"wrote {out}", file=sys.stderr)


@app.command()
def tieup(
    draft: DraftFile,
    treadles: Annotated[int, typer.Option(min=1, max=64, metavar="N", help="treadles on the loom")],
    feet: Annotated[int, typer.Option(min=1, max=3, help="most treadles at once in a pick")] = 2,
    shed: Annotated[Shed, typer.Option(help="how the sheds open")] = Shed.rising,
    out: Annotated[Path | None, typer.Option("--out", "-o", metavar="OUT.wif", help="the new file")] = None,
    as_json: AsJson = False,
) -> None:
    """Find the tie-up with the fewest treadles that weaves the same cloth."""
    from loomready.draft.shedding import fewest_treadles
    from loomready.draft.wif import reader, writer

    read = reader.read(draft)
    try:
        made = fewest_treadles.fewest_treadles(read.draft, feet=feet, shed=shed.value)
    except BadInput as error:
        raise error.in_file(str(draft)) from None
    fits = made.treadles <= treadles
    if out is not None and fits:
        writer.save(out, fewest_treadles.on_treadles(read.draft, made))
        print(f"wrote {out}", file=sys.stderr)
    if as_json:
        print_json(fewest_treadles.as_json(made, treadles))
    else:
        from loomready.report.drafts_text import tell_tieup

        sys.stdout.write(tell_tieup(made, read.draft.title or str(draft), treadles))
    if not fits:
        raise typer.Exit(1)


@app.command()
def balance(
    draft: DraftFile,
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="OUT.wif", help="the draft with the first proposal applied"),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Check whether a threading is symmetrical, and find what would make it so."""
    from loomready.draft.balance import balance as balancing
    from loomready.draft.wif import reader, writer

    read = reader.read(draft)
    try:
        found = balancing.balance(read.draft)
    except BadInput as error:
        raise error.in_file(str(draft)) from None
    if out is not None:
        best = found.offers[0] if found.offers else None
        writer.save(out, balancing.balanced(read.draft, best) if best else read.draft)
        print(
            phrase("wrote {out}: {kind}", out=out, kind=best.kind if best else phrase("already symmetrical")),
            file=sys.stderr,
        )
    if as_json:
        print_json(balancing.as_json(found))
    else:
        from loomready.report.drafts_text import tell_balance

        sys.stdout.write(tell_balance(found, read.draft.title or str(draft)))
