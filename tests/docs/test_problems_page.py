"""docs/problems.md lists the problems that the code can raise: these codes, these levels, and no others."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from pathlib import Path

from loomready.warp import remedies
from tests.docs.consoles import ROOT

SOURCES = tuple(sorted((ROOT / "src" / "loomready").rglob("*.py")))


def raised(source: str) -> tuple[set[tuple[str, str]], int]:
    """(code, level) of every ``Problem("code", "level", ...)``, and how many pass on a code already made."""
    found, passed_on = set(), 0
    for node in ast.walk(ast.parse(source)):
        if not (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Problem"):
            continue
        code, level = node.args[:2]
        assert isinstance(level, ast.Constant), ast.unparse(node)
        if isinstance(code, ast.Constant):
            found.add((code.value, level.value))
        else:
            assert ast.unparse(code) == "problem.code", ast.unparse(node)
            passed_on += 1
    return found, passed_on


def levels_in_the_code(paths: tuple[Path, ...] = SOURCES) -> dict[str, set[str]]:
    levels: defaultdict[str, set[str]] = defaultdict(set)
    for path in paths:
        for code, level in raised(path.read_text(encoding="utf-8"))[0]:
            levels[code].add(level)
    return dict(levels)


def rows() -> list[list[str]]:
    page = (ROOT / "docs" / "problems.md").read_text(encoding="utf-8")
    return [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in page.splitlines()
        if re.match(r"\| `", line)
    ]


def test_the_page_of_problems_lists_each_code_once_with_its_levels() -> None:
    listed = [row[0].strip("`") for row in rows()]
    assert len(listed) == len(set(listed))
    assert {row[0].strip("`"): set(row[1].split(", ")) for row in rows()} == levels_in_the_code()


def test_the_page_of_problems_says_what_is_tried_just_where_something_is() -> None:
    tried = {row[0].strip("`"): len(list(filter(None, row[3].split("; ")))) for row in rows()}
    assert {code: count for code, count in tried.items() if count} == {
        code: len(kinds) for code, kinds in remedies._KINDS.items()
    }


def test_a_new_code_and_a_new_level_are_noticed() -> None:
    found, passed_on = raised(
        'Problem("a", "stop", x)\nProblem(problem.code, "warn", x)\nProblem("a", "warn", x)'
    )
    assert found == {("a", "stop"), ("a", "warn")}
    assert passed_on == 1
