"""Sheets that several tests print are laid out once in a run of the tests, and their text is read once."""

from __future__ import annotations

import hashlib
import json
import os
import pickle
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from loomready.packet import packet

_folder: Path | None = None


def keep_in(folder: Path) -> None:
    """Results are kept here, where all workers of this run find them."""
    global _folder
    _folder = folder
    folder.mkdir(exist_ok=True)
    lay_out = packet._typesetter
    packet._typesetter = lambda template, inputs: _Sheets(lay_out, template, inputs)  # type: ignore[assignment,return-value]


@contextmanager
def anew() -> Iterator[None]:
    """Nothing of what was kept is used."""
    global _folder
    kept, _folder = _folder, None
    yield
    _folder = kept


def once(name: str, given: bytes, make: Callable[[], Any]) -> Any:
    """What ``make`` returns, made once for each name and what is given to it."""
    if _folder is None:
        return make()
    kept = _folder / hashlib.sha256(name.encode() + b"\0" + given).hexdigest()
    try:
        return pickle.loads(kept.read_bytes())
    except FileNotFoundError:
        made = make()
        begun = kept.with_suffix(f".{os.getpid()}")
        begun.write_bytes(pickle.dumps(made))
        begun.replace(kept)
        return made


class _Sheets:
    """Stands for a compiler of typst: asks it only what it was not asked before with the same inputs."""

    def __init__(self, lay_out: Callable[..., Any], template: str, inputs: dict[str, str]) -> None:
        self._given = json.dumps((template, sorted(inputs.items()))).encode()
        self._lay_out = lambda: lay_out(template, inputs)
        self._sheets: Any = None

    def _once(self, name: str, *asked: Any, **options: Any) -> Any:
        def make() -> Any:
            if self._sheets is None:
                self._sheets = self._lay_out()
            return getattr(self._sheets, name)(*asked, **options)

        return once(f"{name} {asked} {sorted(options.items())}", self._given, make)

    def query(self, *asked: Any, **options: Any) -> Any:
        return self._once("query", *asked, **options)

    def compile(self, *asked: Any, **options: Any) -> Any:
        return self._once("compile", *asked, **options)
