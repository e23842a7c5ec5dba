"""Options on a command line: ``--shafts 8 --no-tabby`` read for a family, and all options listed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from textwrap import wrap

from loomready.draft.draft import Draft
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Parameter, Switch
from loomready.phrases import ENGLISH, Catalog, Phrase, capitalized, phrase, translated
from loomready.problems import BadInput, shorten

_WIDTH = 100


def read_options(family: Family, words: Sequence[str]) -> dict[str, str]:
    """The options by name from words: ``--name value``, ``--name=value``, ``--switch``, ``--no-switch``.

    :raises BadInput: a word that is no option of the family, an option twice or without its value
    """
    switches = {parameter.name for parameter in family.own if isinstance(parameter, Switch)}
    known = {parameter.name for parameter in family.parameters}
    found: dict[str, str] = {}
    left = list(words)
    while left:
        word = left.pop(0)
        name, equals, value = word.removeprefix("--").partition("=")
        if word.startswith("--no-") and name.removeprefix("no-") in switches and not equals:
            name, value = name.removeprefix("no-"), "no"
        elif not word.startswith("--") or name not in known:
            options = ", ".join(f"--{parameter.name}" for parameter in family.parameters)
            raise BadInput(
                phrase(
                    "{family} has no such option; expected one of: {options}",
                    family=family.name,
                    options=options,
                ),
                where=shorten(word),
            )
        elif not equals and name in switches:
            value = "yes"
        elif not equals:
            if not left or left[0].startswith("--"):
                raise BadInput(
                    phrase("its value is missing; expected {expected}", expected=_expected(family, name)),
                    where=word,
                )
            value = left.pop(0)
        if name in found:
            raise BadInput(phrase("given twice; expected once"), where=f"--{name}")
        found[name] = value
    return found


def make_as_typed(family: Family, words: Sequence[str]) -> Draft:
    """The draft for the options of a command line.

    :raises BadInput: as :func:`read_options` and :meth:`Family.make`; the place is the option as typed
    """
    options = read_options(family, words)
    try:
        return family.make(options)
    except BadInput as error:
        if error.where in options or any(error.where == parameter.name for parameter in family.parameters):
            raise BadInput(error.what, where=f"--{error.where}") from None
        raise


def _expected(family: Family, name: str) -> Phrase:
    return next(parameter.expected for parameter in family.parameters if parameter.name == name)


def listed(families: Iterable[Family], catalog: Catalog = ENGLISH) -> str:
    """Families with their options, for reading, in the catalog's language."""
    lines: list[str] = []
    group = ""
    for family in families:
        if family.group != group:
            group = family.group
            head = translated(capitalized(family.group), catalog)
            lines += ["", head, ""] if lines else [head, ""]
        lines += _wrapped(f"  {family.name}: ", translated(family.says, catalog), 6)
        for parameter in family.parameters:
            told = translated(_told(parameter), catalog)
            lines += _wrapped(f"      --{parameter.name:<10} ", told, 19)
    return "\n".join(lines) + "\n"


def _told(parameter: Parameter) -> Phrase:
    return phrase(
        "{meaning}: {expected}; default: {default}",
        meaning=parameter.meaning,
        expected=parameter.expected,
        default=parameter.default or parameter.unsaid or "",
    )


def _wrapped(first: str, text: str, indent: int) -> list[str]:
    return wrap(text, _WIDTH, initial_indent=first, subsequent_indent=" " * indent)
