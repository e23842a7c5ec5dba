"""The only module that brings the engine's texts to a page.

The engine's texts are English, without a catalog. Fixed texts (labels of figures, formulas,
sources, kinds) are looked up here; a sentence with figures in it is shown as it is, unless the catalog has
exactly the same one. See docs/decisions/0011-words-of-the-engine.md.
"""

from __future__ import annotations

import ast
import inspect
import re
from collections.abc import Iterator
from dataclasses import replace
from types import ModuleType

from django.utils.translation import gettext

from loomready.choose.drafts import columns, lift_plans, threadings
from loomready.model import guild
from loomready.slips import sentences
from loomready.warp import figures
from loomready.warp.figures import Figure

_SPOKEN = (figures, columns, lift_plans, threadings)


def said(text: str) -> str:
    """A text of the engine in the reader's language, if it is translated."""
    return gettext(text) if text else text


def told(figure: Figure) -> Figure:
    """A figure with all its texts in the reader's language; yarns keep their names."""
    name, colon, rest = figure.label.rpartition(": ")
    return replace(
        figure,
        label=f"{name}{colon}{said(rest)}",
        formula=said(figure.formula),
        inputs=tuple((said(each), value) for each, value in figure.inputs),
        source=said(figure.source),
    )


def of_engine() -> list[str]:
    """Every fixed text that :func:`said` may be asked for, for the catalog's template."""
    found = {text for module in _SPOKEN for text in _texts(module)}
    found |= {*sentences.SENTENCES.values(), *sentences.SLIPS.values(), *sentences.SIGNS.values()}
    return sorted(found | set(guild.LoomKind.__args__))  # type: ignore[attr-defined]


def _texts(module: ModuleType) -> Iterator[str]:
    """Texts with words in them that are whole arguments, choices and items of tuples in a module."""
    for node in ast.walk(ast.parse(inspect.getsource(module))):
        if isinstance(node, ast.Call | ast.Tuple | ast.IfExp):
            for part in ast.iter_child_nodes(node):
                text = part.value if isinstance(part, ast.Constant) else None
                if isinstance(text, str) and re.search(r"[^\W\d_]{2}", text):
                    yield text
