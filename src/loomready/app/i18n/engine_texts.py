"""Every phrase of the engine, found in its source, for the catalog's template.

A template is a literal in the call of ``phrase``, ``plural`` or ``some``: what is not a literal cannot be
found, and stops the search.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from loomready.phrases import WORDS, some

ENGINE = Path(__file__).parents[2]
_KEYWORDS = {"phrase": 1, "plural": 2, "some": 1}  # how many texts each takes


@dataclass(frozen=True, slots=True)
class Found:
    """A text, with its plural where it counts something, and where it stands."""

    text: str | tuple[str, str]
    file: str
    line: int


def of_engine(root: Path = ENGINE) -> list[Found]:
    """Every phrase of the modules below ``root``, the app's too, in file order.

    :raises ValueError: a template that is not a literal, with its place
    """
    found = [Found(text, "phrases.py", 1) for text in WORDS]
    for path in sorted(root.rglob("*.py")):
        if path not in (root / "phrases.py", Path(__file__)):
            found += _of_file(path, path.relative_to(root).as_posix())
    return found


def _of_file(path: Path, name: str) -> Iterator[Found]:
    source = path.read_text(encoding="utf-8")
    if "loomready.phrases" not in source:
        return
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in _KEYWORDS:
            yield Found(_text(node.func.id, node.args, f"{name}:{node.lineno}"), name, node.lineno)


def _text(function: str, arguments: list[ast.expr], place: str) -> str | tuple[str, str]:
    count = _KEYWORDS[function]
    given = arguments[1:] if function in {"plural", "some"} else arguments
    texts = [node.value for node in given[:count] if isinstance(node, ast.Constant)]
    if len(texts) != count or not all(isinstance(text, str) for text in texts):
        raise ValueError(f"{place}: {function} needs its text as a literal")
    if function == "some":
        counted = some(1, str(texts[0]))
        return counted.one, counted.many
    return (str(texts[0]), str(texts[1])) if function == "plural" else str(texts[0])
