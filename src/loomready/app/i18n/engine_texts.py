"""Every text outside the app's own gettext calls, found in the source, for the catalog's template.

The engine's phrases, help texts of the command line, and the words of the sheets' templates. A template is a
literal in its call: what is not a literal cannot be found, and stops the search.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from loomready.packet import template_words
from loomready.phrases import WORDS, some

ROOT = Path(__file__).parents[2]
_HERE = ("phrases.py", "app/i18n/engine_texts.py")
_PLURAL, _COUNTED = "plural", "some"  # their first argument is the count
_TEXTS = {"phrase": 1, "template": 1, _PLURAL: 2, _COUNTED: 1}  # how many texts a call takes
_HELP = "_"  # of the command line; the app's own are gettext's


@dataclass(frozen=True, slots=True)
class EngineText:
    """A text, with its plural where it counts something, and where it stands."""

    text: str | tuple[str, str]
    file: str
    line: int


def of_engine(root: Path = ROOT) -> list[EngineText]:
    """Every text below ``root``, in file order.

    :raises ValueError: a template that is not a literal, with its place
    """
    found = [EngineText(text, "phrases.py", 1) for text in WORDS]
    for path in sorted(root.rglob("*.py")):
        name = path.relative_to(root).as_posix()
        if name not in _HERE:
            found += _of_file(path, name)
    return found + [EngineText(text, "packet/templates", 1) for text in template_words.texts()]


def _of_file(path: Path, name: str) -> Iterator[EngineText]:
    source = path.read_text(encoding="utf-8")
    takes = _TEXTS if "loomready.phrases" in source else {}
    if name.startswith("cli/"):
        takes = takes | {_HELP: 1}
    for node in ast.walk(ast.parse(source)) if takes else ():
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in takes:
            yield EngineText(
                _text(node.func.id, takes, node.args, f"{name}:{node.lineno}"), name, node.lineno
            )


def _text(
    function: str, takes: dict[str, int], arguments: list[ast.expr], place: str
) -> str | tuple[str, str]:
    given = arguments[1:] if function in (_PLURAL, _COUNTED) else arguments
    texts = [node.value for node in given if isinstance(node, ast.Constant) and isinstance(node.value, str)]
    if len(texts) != takes[function] or len(given) != len(texts):
        raise ValueError(f"{place}: {function} needs its text as a literal")
    if function == _COUNTED:
        counted = some(1, texts[0])
        return counted.one, counted.many
    return (texts[0], texts[1]) if function == _PLURAL else texts[0]
