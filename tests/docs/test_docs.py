"""The README and docs/ say what is so: examples run, links lead somewhere, pictures are real and small."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from PIL import Image

from loomready import __version__, cli
from loomready.draft.families.registry import FAMILIES
from tests.docs.consoles import PAGES, ROOT, Example, agrees, examples, results

DECISIONS = tuple(sorted((ROOT / "docs" / "decisions").glob("*.md")))
EVERY_PAGE = (*PAGES, *DECISIONS, ROOT / "CONTRIBUTING.md", ROOT / "CHANGELOG.md")


def name(path: Path) -> str:
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("page", PAGES, ids=name)
def test_every_command_shown_prints_what_the_page_shows(page: Path, tmp_path: Path) -> None:
    for example, printed, code in results(page.read_text(encoding="utf-8"), tmp_path):
        assert agrees(example.shown, printed), f"$ {example.command}\n{printed}"
        refused = "loomready: " in example.shown
        assert (code == 2) == refused, f"$ {example.command} ended with {code}"


def test_the_documents_plan_a_warp_from_nothing() -> None:
    pages = [ROOT / "docs" / name for name in ("first-plan.md", "commands.md")]
    found = [each for page in pages for each in examples(page.read_text(encoding="utf-8"))]
    files = [each[0] for each in found if not isinstance(each, Example)]
    commands = [each.command for each in found if isinstance(each, Example)]
    assert any(file.endswith(".toml") for file in files)
    assert any(file.endswith(".wif") for file in files)
    for command in ("plan", "make", "check", "picture", "lifts", "tieup", "balance"):
        assert any(line.startswith(f"loomready {command} ") for line in commands)


def test_the_page_of_commands_has_a_line_for_every_command_there_is() -> None:
    page = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")
    commands = cli.app.registered_commands
    there = {str(each.name or getattr(each.callback, "__name__", "")) for each in commands}
    assert set(re.findall(r"^\| `(\w+)[^`]*` \|", page, re.M)) == there


def test_the_readme_counts_the_families_right() -> None:
    for page in ("README.md", "CHANGELOG.md"):
        text = " ".join((ROOT / page).read_text(encoding="utf-8").split())
        assert re.search(rf"drafts of {len(FAMILIES)} families|make`\): {len(FAMILIES)}, from", text), page


def test_a_page_that_shows_something_else_is_caught() -> None:
    assert agrees("Ends 4\n...\nPicks 8\n", "Ends 4\nand\nmore\nPicks 8\n")
    assert not agrees("Ends 4\n", "Ends 5\n")
    assert not agrees("Ends 4\n", "Ends 4\nPicks 8\n")


@pytest.mark.parametrize("page", EVERY_PAGE, ids=name)
def test_every_link_inside_the_repository_leads_to_a_file(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
        if "://" not in target:
            assert (page.parent / target).exists(), target


def test_pictures_are_real_and_small() -> None:
    pictures = sorted((ROOT / "docs" / "images").glob("*"))
    assert pictures
    for path in pictures:
        assert path.stat().st_size <= 300_000
        with Image.open(path) as picture:
            assert min(picture.size) >= 200
    shown = " ".join(page.read_text(encoding="utf-8") for page in EVERY_PAGE)
    assert all(path.name in shown for path in pictures)


def test_every_dependency_is_explained() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    page = (ROOT / "docs" / "dependencies.md").read_text(encoding="utf-8")
    for line in (*project["dependencies"], *project["optional-dependencies"]["dev"]):
        package = re.split(r"[<>=~\[]", line)[0]
        assert re.search(rf"^\| `{re.escape(package)}` ", page, re.M), package


def test_the_architecture_page_names_every_folder_and_no_module_that_is_gone() -> None:
    page = (ROOT / "docs" / "architecture.md").read_text(encoding="utf-8")
    package = ROOT / "src" / "loomready"
    for floor in package.iterdir():
        if (floor / "__init__.py").exists():
            assert re.search(rf"^{floor.name}/ ", page, re.M), floor.name
    for inner in package.rglob("__init__.py"):
        assert f"{inner.parent.name}/" in page or inner.parent == package, inner.parent.name
    for beside in ("demo", "tests", "benchmarks", "docs", ".ci"):
        assert (ROOT / beside).is_dir()
        assert f"`{beside}/`" in page, beside
    for module in re.findall(r"\b(\w+)\.py\b", page):
        assert any(package.rglob(f"{module}.py")), module


def test_the_newest_heading_of_the_change_log_is_the_version() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    versions = re.findall(r"^## (\d+\.\d+\.\d+)", text, re.MULTILINE)
    assert versions[0] == __version__
    assert versions == sorted(
        versions, key=lambda each: [int(part) for part in each.split(".")], reverse=True
    )
    assert tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dynamic"] == [
        "version"
    ]


def test_the_change_log_is_short_lines_under_a_version() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    assert text.count("\n## Unreleased\n") <= 1
    assert set(re.findall(r"^### (.*)", text, re.MULTILINE)) == {"Added", "Changed", "Fixed"}
