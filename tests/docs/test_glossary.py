"""Pages, messages, sheets, documents, comments and docstrings use the words of docs/glossary.md."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.docs.consoles import PAGES, ROOT

GLOSSARY = ROOT / "docs" / "glossary.md"
SOURCE = ROOT / "src" / "loomready"
KINDS = {".css", ".html", ".js", ".py", ".typ"}
TEXTS = (
    *(path for path in PAGES if path != GLOSSARY),
    *sorted((ROOT / "docs" / "decisions").glob("*.md")),
    ROOT / "CONTRIBUTING.md",
    ROOT / "CHANGELOG.md",
    *sorted(path for path in SOURCE.rglob("*") if path.suffix in KINDS and "vendor" not in path.parts),
    *sorted(path for path in (ROOT / "tests").rglob("*.py") if path != Path(__file__)),
)


def banned() -> dict[str, str]:
    """Each phrase that we do not use, with what to write instead."""
    table = GLOSSARY.read_text(encoding="utf-8").split("## Words we do not use")[1]
    rows = re.findall(r"^\| (`.*?) \| (.*?) \| .*? \|$", table, re.M)
    return {phrase: instead for cell, instead in rows for phrase in re.findall(r"`([^`]+)`", cell)}


def literals(source: str) -> Iterator[str]:
    """Texts and docstrings of a module; single names are left out."""
    for node in ast.walk(ast.parse(source)):
        text = node.value if isinstance(node, ast.Constant) else None
        if isinstance(text, str) and not text.isidentifier():
            yield text


def comments(source: str) -> str:
    """The comments of a Python module, one after the other."""
    tokens = tokenize.generate_tokens(io.StringIO(source).readline)
    return "\n".join(token.string.strip("# ") for token in tokens if token.type == tokenize.COMMENT)


def read(path: Path) -> str:
    """What a person reads of a file."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".py":
        return "\n".join([*literals(text), comments(text)])
    if path.suffix == ".md":
        text = re.sub(r"```.*?```|`[^`\n]*`", "", text, flags=re.S)
    if path.suffix in {".js", ".css"}:
        text = re.sub(r"^\s*(//|\*)|\"\w+\"", "", text, flags=re.M)
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


@pytest.mark.parametrize(
    "text", ["1-2 a dent", "The draft was taken back.", "Beside\n the loom", "as she likes"]
)
def test_a_word_that_we_do_not_use_is_found(text: str) -> None:
    assert offenses(text)


def test_what_to_write_instead_is_itself_allowed() -> None:
    assert banned()
    assert offenses(" ; ".join(banned().values())) == []


def test_a_comment_and_a_docstring_are_read_as_well_as_a_text() -> None:
    source = '"""Round and round."""\n# taken\n# back\nLABEL = "in no heddle"\n'
    assert len(offenses("\n".join([*literals(source), comments(source)]))) == 3
