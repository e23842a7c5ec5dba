"""The address under which styles and scripts lie: it names their content, so a browser keeps them for good.

Scripts that import one another do so by relative paths, so the one prefix holds for them too.
"""

from __future__ import annotations

import hashlib
import importlib.util
from collections.abc import Iterator
from pathlib import Path


def prefix() -> str:
    """ "static/1a2b3c4d5e6f/": another content has another prefix."""
    found = hashlib.sha256()
    for folder in _folders():
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                data = path.read_bytes()
                found.update(f"{path.relative_to(folder).as_posix()} {len(data)} ".encode())
                found.update(data)
    return f"static/{found.hexdigest()[:12]}/"


def forever(path: str, url: str) -> bool:
    """Whether a file may be kept for good: each, for its address goes with its content."""
    return True


def _folders() -> Iterator[Path]:
    yield Path(__file__).parents[1] / "static"
    htmx = importlib.util.find_spec("django_htmx")
    for place in (htmx.submodule_search_locations or []) if htmx else []:
        yield Path(place) / "static"
