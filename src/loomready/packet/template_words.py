"""The texts that the templates of the packet hold themselves: headings, heads of tables, labels.

A template writes ``#t("Sley and heddles")``, or ``#t("First {dent}", dent: ...)`` where a place is filled in.
"""

from __future__ import annotations

import functools
import json
import re
from pathlib import Path

TEMPLATES = Path(__file__).parent / "templates"
_CALL = re.compile(r"(?<![\w.-])t\((\"(?:[^\"\\\\]|\\\\.)*\")")


@functools.cache
def texts() -> tuple[str, ...]:
    """Every text, in the order of the sheets' files, for the packet and for catalogs."""
    found: dict[str, None] = {}
    for file in sorted(TEMPLATES.glob("*.typ")):
        code = re.sub(r"^\s*//.*", "", file.read_text(encoding="utf-8"), flags=re.MULTILINE)
        found |= {json.loads(text): None for text in _CALL.findall(code)}
    return tuple(found)
