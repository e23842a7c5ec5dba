"""The examples of the README and of docs/, run as a reader would run them.

A block whose first line is a comment that names a file ("# first.toml", "; twill.wif") is that file. In a
console block a line that begins with "$ " is a command, the lines after it are what it prints, standard
error after standard output; "..." on a line of its own stands for any lines. ``$ echo $?`` shows the exit
code of the command before it. Commands run in a folder that holds the files shown above them, and demo/.

    python -m tests.docs.consoles         puts what the commands print now into the pages
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGES = (ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md")))

_BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.M | re.S)
_NAMED = re.compile(r"[#;] ([\w./-]+\.(?:toml|wif|csv))\n")


@dataclass(frozen=True, slots=True)
class Example:
    """A command, what the page says it prints, and where in the page that stands."""

    command: str
    shown: str
    start: int
    stop: int


def examples(page: str) -> Iterator[tuple[str, str] | Example]:
    """The files of a page as (name, text) and its commands, in order."""
    for block in _BLOCK.finditer(page):
        kind, text = block.groups()
        named = _NAMED.match(text)
        if named:
            yield named[1], text
        if kind != "console":
            continue
        at = block.start(2)
        for part in re.finditer(r"^\$ (.*)\n((?:(?!\$ ).*\n)*)", text, re.M):
            yield Example(part[1], part[2], at + part.start(2), at + part.end(2))


def results(page: str, folder: Path) -> Iterator[tuple[Example, str, int]]:
    """Each command with what it prints and its exit code."""
    shutil.copytree(ROOT / "demo", folder / "demo", dirs_exist_ok=True)
    code = 0
    for found in examples(page):
        if not isinstance(found, Example):
            name, text = found
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(text, encoding="utf-8")
        elif found.command == "echo $?":
            yield found, f"{code}\n", 0
        else:
            printed, code = run(found.command, folder)
            yield found, printed, code


def run(command: str, folder: Path) -> tuple[str, int]:
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(
        command,
        shell=True,
        cwd=folder,
        env={**os.environ, "PATH": path, "COLUMNS": "100"},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    return done.stdout + done.stderr, done.returncode


def agrees(shown: str, printed: str) -> bool:
    pattern = "".join(
        r"(?:.*\n)*" if line.strip() == "..." else re.escape(line.rstrip()) + r"[ ]*\n"
        for line in shown.splitlines()
    )
    return re.fullmatch(pattern, printed) is not None


def refreshed(page: str, folder: Path) -> str:
    """The page with what its commands print now; shortened examples are left as they are."""
    made, at = "", 0
    for example, printed, _ in results(page, folder):
        if "an error in loomready itself" in printed:
            raise SystemExit(f"$ {example.command}\n{printed}nothing was put into the page")
        if "...\n" not in example.shown:
            made += page[at : example.start] + "".join(f"{line.rstrip()}\n" for line in printed.splitlines())
            at = example.stop
    return made + page[at:]


def main() -> None:
    for path in PAGES:
        with tempfile.TemporaryDirectory() as folder:
            path.write_text(refreshed(path.read_text(encoding="utf-8"), Path(folder)), encoding="utf-8")


if __name__ == "__main__":
    main()
