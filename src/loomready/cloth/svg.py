"""Small tools for writing SVG: foreign text made safe, one head for every picture, fills by run.

The pictures stand alone and keep to plain attributes, so that a browser and a PDF show the same.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterable, Iterator
from xml.sax.saxutils import escape

import numpy as np
import numpy.typing as npt

from loomready.cloth.look import SANS
from loomready.draft.structure.periods import runs

_NO_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def safe(text: str) -> str:
    """Foreign text for an element or attribute: escaped, without what XML 1.0 forbids."""
    return escape(" ".join(_NO_XML.sub("", text).split()), {'"': "&quot;"})


def document(width: int, height: int, title: str, description: str, body: Iterable[str]) -> str:
    """A whole SVG file; ``title`` and ``description`` are read aloud instead of the picture.

    Names that begin with ``@`` are made the picture's own, so that several may stand in one page.
    """
    drawn = "\n".join(body)
    own = f"p{zlib.crc32(drawn.encode()):08x}"
    for mark in ('id="', 'href="#', "url(#"):
        drawn = drawn.replace(f"{mark}@", f"{mark}{own}")
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
            f'viewBox="0 0 {width} {height}" role="img" font-family="{SANS}">',
            f"<title>{safe(title)}</title>",
            f"<desc>{safe(description)}</desc>",
            drawn,
            "</svg>",
            "",
        ]
    )


def true_runs(values: npt.NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """Start and length of each run of True."""
    for start, length in runs(values):
        if values[start]:
            yield start, length


def decimal(value: float) -> str:
    """A coordinate in as few letters as two decimals take."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
