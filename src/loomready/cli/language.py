"""The language of the command line: what it prints for people passes here. JSON does not.

The catalogs are those of the app. Which one is taken, gettext decides from LANGUAGE, LC_ALL, LC_MESSAGES and
LANG; where there is none, the texts stay English.
"""

from __future__ import annotations

import functools
import os
import sys
from typing import Any

from loomready.catalogs import catalog_of
from loomready.phrases import Catalog, translated

_ASKED = ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")  # in the order in which gettext looks
_ENGLISH = ("en", "C", "POSIX")


def _(text: str) -> str:
    """A help text, a literal in its call: the catalog is made from these. :func:`in_language` looks it up."""
    return text


OF_THE_OPTION_PARSER = (
    _("Usage:"),
    _("Show this message and exit."),
    _("Arguments"),
    _("Options"),
    _("Commands"),
    _("default: {default}"),
    _("required"),
    _("(dynamic)"),
    _("env var: {var}"),
    _("Missing command."),
    _("No such command {name!r}."),
    _("Aborted!"),
)
"""What typer prints itself. The sentences of its usage errors are not among them: they stay English."""


@functools.cache
def catalog() -> Catalog:
    """The reader's catalog; ENGLISH where there is none."""
    return catalog_of(languages())


def languages() -> list[str]:
    """What the environment asks for, in order. English ends the list: it needs no catalog.

    >>> os.environ["LANGUAGE"] = "pt_BR:de:en:fr"
    >>> languages()
    ['pt_BR', 'de']
    """
    asked = next((os.environ[name] for name in _ASKED if os.environ.get(name)), "").split(":")
    wanted: list[str] = []
    for language in asked:
        if not language or language.replace(".", "_").partition("_")[0] in _ENGLISH:
            break
        wanted.append(language)
    return wanted


def language() -> str:
    """The catalog's language: "de", "pt-BR"."""
    info: dict[str, str] = getattr(catalog(), "info", dict)()
    return (info.get("language") or "en-US").replace("_", "-")


def tell(text: str) -> None:
    """Print a line for people on standard error."""
    print(translated(text, catalog()), file=sys.stderr)


def in_language(command: Any) -> None:
    """Puts the help of a command, of its options and of its subcommands in the reader's language."""
    context = command.context_class
    command.context_class = type("InLanguage", (context,), {"formatter_class": _formatter(context)})
    for each in (command, *command.get_params(command.context_class(command))):
        if getattr(each, "help", None):
            each.help = catalog().gettext(each.help)
    for inner in getattr(command, "commands", {}).values():
        in_language(inner)


def _formatter(context: Any) -> type:
    """The option parser's formatter, with its first word looked up, which is English there."""

    def write_usage(formatter: Any, program: str, arguments: str = "", prefix: str | None = None) -> None:
        usual.write_usage(formatter, program, arguments, prefix or f"{catalog().gettext('Usage:')} ")

    usual = context.formatter_class
    return type("InLanguage", (usual,), {"write_usage": write_usage})
