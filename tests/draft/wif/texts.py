"""Small WIF files in parts, and what comes of reading them."""

from __future__ import annotations

import numpy as np
import pytest

from loomready.draft.draft import Draft
from loomready.draft.wif import reader
from loomready.problems import BadInput

HEAD = "[WIF]\nVersion=1.1\n"
THREADS = "[WEAVING]\nShafts=4\nTreadles=2\n[WARP]\nThreads=4\n[WEFT]\nThreads=3\n"
THREADING = "[THREADING]\n1=1\n2=2\n3=3\n4=4\n"
TIEUP = "[TIEUP]\n1=1,3\n2=2,4\n"
TREADLING = "[TREADLING]\n1=1\n2=2\n3=1\n"
WHOLE = HEAD + THREADS + THREADING + TIEUP + TREADLING
TABLE = "[COLOR TABLE]\n1=0,0,0\n2=255,255,255\n3=255,0,0\n"


def draft(text: str | bytes) -> Draft:
    return reader.parse(text if isinstance(text, bytes) else text.encode()).draft


def codes(text: str) -> list[str]:
    return [problem.code for problem in reader.parse(text.encode()).warnings]


def refused(text: str | bytes) -> BadInput:
    with pytest.raises(BadInput) as caught:
        draft(text)
    assert caught.value.line().isprintable()
    return caught.value


def lifts(found: Draft) -> list[list[int]]:
    return [(np.flatnonzero(row) + 1).tolist() for row in found.lifts]
