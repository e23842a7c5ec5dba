"""Commands about one draft."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from loomready.cli.common import AsJson, DraftFile, EndOne, ShaftOne, Shed, app, print_json
from loomready.cli.language import _, catalog, tell
from loomready.phrases import phrase
from loomready.problems import BadInput


@app.command(help=_("Check a draft: what it is and what it does on the loom."))
def check(draft: DraftFile, as_json: AsJson = False) -> None:
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

        sys.stdout.write(tell_draft(found, str(draft), catalog()))


@app.command(help=_("Draw the draft with its drawdown, or the cloth."))
def picture(
    draft: DraftFile,
    out: Annotated[Path, typer.Option("--out", "-o", metavar="FILE", help=_("FILE.png or FILE.svg"))],
    cell: Annotated[int | None, typer.Option(min=1, max=100, help=_("size of a thread in pixels"))] = None,
    cloth: Annotated[bool, typer.Option("--cloth", help=_("the cloth in its colors, not the draft"))] = False,
    end_1: Annotated[EndOne, typer.Option("--end-1", help=_("where end 1 lies"))] = EndOne.right,
    shaft_1: Annotated[ShaftOne, typer.Option("--shaft-1", help=_("where shaft 1 hangs"))] = ShaftOne.front,
) -> None:
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
            read.draft,
            kind=kind[1:],
            cloth=cloth,
            cell=cell,
            end_1=end_1.value,
            shaft_1=shaft_1.value,
            catalog=catalog(),
        )
    except BadInput as error:
        raise error.in_file(str(draft)) from None
    write_whole(out, data)
    tell(phrase("wrote {file}", file=f"{out}"))


@app.command(help=_("Convert a draft to a lift plan that weaves the same cloth."))
def lifts(
    draft: DraftFile,
    out: Annotated[Path, typer.Option("--out", "-o", metavar="OUT.wif", help=_("the new file"))],
) -> None:
    from loomready.draft.wif import reader, writer

    read = reader.read(draft)
    writer.save(out, read.draft.as_lift_plan())
    tell(phrase("wrote {file}", file=f"{out}"))


@app.command(
    context_settings={"allow_extra_args": True, "ignore_unknown_options": True},
    help=_("Make a draft of a family from its options: make FAMILY --option value ... -o OUT.wif."),
)
def make(
    context: typer.Context,
    family: Annotated[
        str | None, typer.Argument(metavar="FAMILY", help=_("point-twill, huck-lace, ..."))
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="OUT.wif", help=_("the new file"))
    ] = None,
    list_them: Annotated[bool, typer.Option("--list", help=_("the families and their options"))] = False,
    as_json: AsJson = False,
) -> None:
    from loomready.draft.families import options, registry

    if list_them:
        chosen = list(registry.FAMILIES.values()) if family is None else [registry.family(family)]
        if as_json:
            print_json(registry.as_json(chosen))
        else:
            sys.stdout.write(options.listed(chosen, catalog()))
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
    tell(phrase("wrote {file}", file=f"{out}"))


@app.command(help=_("Find the tie-up with the fewest treadles that weaves the same cloth."))
def tieup(
    draft: DraftFile,
    treadles: Annotated[int, typer.Option(min=1, max=64, metavar="N", help=_("treadles on the loom"))],
    feet: Annotated[int, typer.Option(min=1, max=3, help=_("most treadles at once in a pick"))] = 2,
    shed: Annotated[Shed, typer.Option(help=_("how the sheds open"))] = Shed.rising,
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="OUT.wif", help=_("the new file"))
    ] = None,
    as_json: AsJson = False,
) -> None:
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
        tell(phrase("wrote {file}", file=f"{out}"))
    if as_json:
        print_json(fewest_treadles.as_json(made, treadles))
    else:
        from loomready.report.drafts_text import tell_tieup

        sys.stdout.write(tell_tieup(made, read.draft.title or str(draft), treadles, catalog()))
    if not fits:
        raise typer.Exit(1)


@app.command(help=_("Check whether a threading is symmetrical, and find what would make it so."))
def balance(
    draft: DraftFile,
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="OUT.wif", help=_("the draft with the first proposal applied")),
    ] = None,
    as_json: AsJson = False,
) -> None:
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
        from loomready.report.drafts_text import KINDS

        change = KINDS[best.kind] if best else phrase("already symmetrical")
        tell(phrase("wrote {file}: {change}", file=f"{out}", change=change))
    if as_json:
        print_json(balancing.as_json(found))
    else:
        from loomready.report.drafts_text import tell_balance

        sys.stdout.write(tell_balance(found, read.draft.title or str(draft), catalog()))
