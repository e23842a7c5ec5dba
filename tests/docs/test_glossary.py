"""Pages, messages, sheets, help texts and documents use the words of docs/glossary.md."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.docs.consoles import PAGES, ROOT

GLOSSARY = ROOT / "docs" / "glossary.md"
SOURCE = ROOT / "src" / "loomready"
TEXTS = (
    *(path for path in PAGES if path != GLOSSARY),
    ROOT / "CONTRIBUTING.md",
    ROOT / "CHANGELOG.md",
    *sorted(path for path in SOURCE.rglob("*") if path.suffix in {".html", ".typ", ".py"}),
)


def banned() -> dict[str, str]:
    """Each phrase that we do not use, with what to write instead."""
    table = GLOSSARY.read_text(encoding="utf-8").split("## Words we do not use")[1]
    rows = re.findall(r"^\| (`.*?) \| (.*?) \| .*? \|$", table, re.M)
    return {phrase: instead for cell, instead in rows for phrase in re.findall(r"`([^`]+)`", cell)}


def literals(source: str) -> Iterator[str]:
    """Texts of a module that are not docstrings; single names are left out."""
    tree = ast.parse(source)
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        text = node.value if isinstance(node, ast.Constant) and id(node) not in docs else None
        if isinstance(text, str) and not text.isidentifier():
            yield text


def read(path: Path) -> str:
    """What a person reads of a file."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".py":
        return "\n".join(literals(text))
    if path.suffix == ".md":
        text = re.sub(r"```.*?```|`[^`\n]*`", "", text, flags=re.S)
    return re.sub(r"{{.*?}}", "", text)


def offenses(text: str) -> list[str]:
    said = " ".join(text.split())
    return [
        f"{found[0]!r}: write {instead!r} (… {said[max(0, found.start() - 40) : found.end() + 30]} …)"
        for phrase, instead in banned().items()
        for found in re.finditer(rf"\b{re.escape(phrase)}\b", said, re.I)
    ]


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_a_text_uses_the_words_of_the_glossary(path: Path) -> None:
    assert offenses(read(path)) == []


@pytest.mark.parametrize("text", ["1-2 a dent", "The draft was taken back.", "Beside\n the loom"])
def test_a_word_that_we_do_not_use_is_found(text: str) -> None:
    assert offenses(text)


def test_what_to_write_instead_is_itself_allowed() -> None:
    assert banned()
    assert offenses(" ; ".join(banned().values())) == []
