"""make mutants: change the engine in one small way, run the tests that reach it, see whether one fails."""

from __future__ import annotations

import argparse
import importlib
import importlib.machinery
import importlib.util
import json
import os
import random
import resource
import signal
import sys
import time
from collections import Counter
from collections.abc import Sequence
from types import CodeType

from tests.mutants.changes import Mutant, mutants_of, mutated
from tests.mutants.reach import CHANGED, KEPT, ROOT, SOURCE, Reach, measured, options

GOAL = 0.85
# Large libraries that tests and engine stand on, loaded once and shared by all children.
LOADED = (
    "coloraide",
    "hypothesis.extra.numpy",
    "networkx",
    "numpy",
    "ortools.sat.python.cp_model",
    "PIL.Image",
    "pint",
    "platformdirs",
    "pytest",
    "scipy.optimize",
    "scipy.sparse.csgraph",
    "scipy.special",
    "scipy.stats",
    "sympy",
    "tomli_w",
    "typer.testing",
)
KILLED, TIMED_OUT, SURVIVED = "noticed", "ran too long", "survived"


def main() -> int:
    asked = argparse.ArgumentParser(prog="make mutants", description=__doc__)
    asked.add_argument("--sample", type=int, default=400)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--minutes", type=float, default=30.0, help="no new mutant is begun after these")
    asked.add_argument("--each", type=float, default=20.0, help="seconds of tests for one mutant, at most")
    asked.add_argument("--workers", type=int, default=2)
    asked.add_argument("--only", help="only mutants whose place has this in it, e.g. warp/sett.py:120")
    given = asked.parse_args()
    os.environ["LOOMREADY_TESTS"] = "mutants"
    for name in LOADED:
        importlib.import_module(name)
    reach = measured(given.workers)
    end = time.monotonic() + 60 * given.minutes
    every = [
        mutant
        for package in CHANGED
        for path in sorted((SOURCE / "loomready" / package).rglob("*.py"))
        for mutant in mutants_of(path, ".".join(path.relative_to(SOURCE).with_suffix("").parts))
    ]
    if given.only:
        every = [mutant for mutant in every if given.only in f"{mutant.path}:{mutant.lines.start}:"]
    sample = random.Random(given.seed).sample(every, min(given.sample, len(every)))
    found = _run(sample, reach, given.workers, given.each, end)
    return _report(len(every), sample, found, given.seed)


def _run(sample: Sequence[Mutant], reach: Reach, workers: int, each: float, end: float) -> dict[int, str]:
    """What became of each mutant, by its place in the sample."""
    found: dict[int, str] = {}
    running: dict[int, int] = {}
    waiting = list(range(len(sample)))[::-1]
    while waiting or running:
        while waiting and len(running) < workers and time.monotonic() < end:
            place = waiting.pop()
            tests, seconds = _few(reach, sample[place], each)
            child = os.fork()
            if child == 0:
                os._exit(_child(sample[place], tests, seconds))
            running[child] = place
        if not running:
            break
        child, status = os.wait()
        place = running.pop(child)
        code = os.waitstatus_to_exitcode(status)
        found[place] = {0: SURVIVED, -signal.SIGXCPU: TIMED_OUT, -signal.SIGALRM: TIMED_OUT}.get(code, KILLED)
        if found[place] == SURVIVED:
            print(f"survived: {sample[place]}", flush=True)
    return found


def tests_of(reach: Reach, mutant: Mutant) -> list[str]:
    return reach.of(mutant.path, mutant.lines, mutant.statement, everywhere=mutant.inside is None)


def _few(reach: Reach, mutant: Mutant, each: float) -> tuple[list[str], float]:
    """The first of its tests that fit into the time, and how long they take unchanged."""
    chosen: list[str] = []
    seconds = 0.0
    for test in tests_of(reach, mutant):
        took = reach.seconds.get(test, 1.0)
        if not chosen or seconds + took <= each:
            chosen.append(test)
            seconds += took
    return chosen, seconds


def _child(mutant: Mutant, tests: Sequence[str], seconds: float) -> int:
    """In a process of its own: put the changed module in its place, run its tests to the first failure."""
    import pytest

    processor = int(20 + 4 * seconds)
    resource.setrlimit(resource.RLIMIT_CPU, (processor, processor + 5))
    resource.setrlimit(resource.RLIMIT_DATA, (4 << 30, 4 << 30))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    signal.alarm(10 * processor)
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
    code = compile(mutated(mutant), str(mutant.path), "exec")
    sys.meta_path.insert(0, _Instead(mutant.module, code))
    return int(pytest.main(options(*(str(ROOT / test) for test in tests))))


class _Instead(importlib.machinery.PathFinder):
    """Finds one module with other code than its file has."""

    def __init__(self, module: str, code: CodeType) -> None:
        self.module, self.code = module, code

    def find_spec(self, fullname, path=None, target=None):  # type: ignore[no-untyped-def, override]
        if fullname != self.module:
            return None
        found = importlib.machinery.PathFinder.find_spec(fullname, path, target)
        assert found is not None
        assert found.loader is not None
        found.loader.get_code = lambda name: self.code  # type: ignore[attr-defined]
        return found


def _report(every: int, sample: Sequence[Mutant], found: dict[int, str], seed: int) -> int:
    counts = Counter(found.values())
    dead = counts[KILLED] + counts[TIMED_OUT]
    survivors = [sample[place] for place in sorted(found) if found[place] == SURVIVED]
    by_package = Counter(mutant.module.split(".")[1] for mutant in survivors)
    told = [[str(sample[place]), found[place]] for place in sorted(found)]
    (KEPT / "last.json").write_text(json.dumps(told, indent=1), encoding="utf-8")
    print(f"\n{len(found)} of {every} possible changes tried, seed {seed}: {dict(counts)}")
    print(f"survivors by package: {dict(by_package)}")
    if len(found) < len(sample):
        print(f"Time was up before the other {len(sample) - len(found)} of the sample.")
    share = dead / len(found) if found else 0.0
    print(f"noticed: {share:.1%} (goal: {GOAL:.0%})")
    return 0 if share >= GOAL else 1


if __name__ == "__main__":
    sys.exit(main())
