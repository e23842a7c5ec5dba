"""Inputs that follow the code they reach: libFuzzer through atheris, where it is installed (Linux).

What reaches code that no input reached before is kept and changed further.
"""

from __future__ import annotations

import importlib.util
import random
import sys
from collections.abc import Callable
from pathlib import Path

READERS = ("guild file", "WIF", "app.json", "backup", "quantities", "counts")  # without a database
MOST_BYTES = 60_000
Change = Callable[[bytes, random.Random, list[bytes]], bytes]


def is_here() -> bool:
    return importlib.util.find_spec("atheris") is not None


def watch() -> None:
    """Follow what of loomready runs; before its modules are imported."""
    import atheris  # type: ignore[import-not-found,import-untyped,unused-ignore]

    hook = atheris.instrument_imports(include=["loomready"])
    hook.__enter__()


def try_all(
    seeds: list[bytes],
    one: Callable[[bytes], None],
    change: Change,
    *,
    kept: Path,
    seconds: float,
    runs: int,
    seed: int,
) -> None:
    """Call ``one`` with inputs until ``runs`` or ``seconds`` are over; the process ends with it.

    :param kept: a new folder for inputs that reached something new
    :param change: makes every other input; the rest are libFuzzer's own
    """
    import atheris

    def mutated(data: bytes, most: int, number: int) -> bytes:
        chance = random.Random(number)
        if chance.random() < 0.5:
            return bytes(atheris.Mutate(data, most))
        return change(data, chance, seeds)[:most]

    kept.mkdir()
    for number, data in enumerate(seeds):
        (kept / str(number)).write_bytes(data)
    options = {
        "max_total_time": int(seconds),
        "runs": runs,
        "seed": seed % 2**31 or 1,
        "max_len": MOST_BYTES,
        "rss_limit_mb": 0,
        "timeout": 1200,  # with 0 it ends whatever runs while a second passes; Tally measures each input
        "verbosity": 0,
        "len_control": 0,
    }
    named = [f"-{name}={value}" for name, value in options.items()]
    atheris.Setup([sys.argv[0], *named, str(kept)], one, custom_mutator=mutated)
    atheris.Fuzz()
