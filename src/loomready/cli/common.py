"""What the commands share: the command itself, its options' types, and how a document is printed."""

from __future__ import annotations

import json
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loomready.cli.language import _
from loomready.problems import BadInput

if TYPE_CHECKING:
    from loomready.units import Kind

app = typer.Typer(
    add_completion=False,
    no_args_is_help=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help=_(
        "From the cone on the scale to the warp on the loom: drafts checked, warps planned, sheets printed."
    ),
)

DraftFile = Annotated[Path, typer.Argument(metavar="DRAFT.wif", help=_("a draft, WIF 1.1"))]
AsJson = Annotated[bool, typer.Option("--json", help=_("print one JSON document and nothing else"))]


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


def print_json(document: dict[str, Any]) -> None:
    print(json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1))


def read_option(option: str, text: str, kind: Kind) -> float:
    """A quantity of the command line, in its kind's unit.

    :raises BadInput: it is none; the option is named
    """
    from loomready.units import read

    try:
        return read(text, kind)
    except BadInput as error:
        raise error.at(option) from None
