"""The worst guild files there are, each refused or read within a second."""

from __future__ import annotations

from contextlib import suppress
from functools import partial

from benchmarks.timing import Row, median_of, promise
from loomready import guildfile
from loomready.problems import BadInput
from tests.guildfile.monsters import MONSTERS


def run() -> list[Row]:
    def read(text: bytes) -> None:
        with suppress(BadInput):
            guildfile.decode(guildfile.parse(text))

    took = {name: median_of(partial(read, text.encode()), times=1) for name, text in MONSTERS.items()}
    worst = max(took, key=lambda name: took[name])
    return [promise(f"worst of {len(took)} monstrous guild files: {worst}", took[worst], 1.0)]
