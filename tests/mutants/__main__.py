"""make mutants: change the engine in one small way, run the tests that reach it, see whether one fails."""

from __future__ import annotations

import argparse
import doctest
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
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from types import CodeType
from typing import Any

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
KILLED, TIMED_OUT, SURVIVED, UNTRIED = "noticed", "ran too long", "survived", "not tried"
_TOO_LONG = tuple(-each for each in (signal.SIGXCPU, signal.SIGALRM, signal.SIGPROF))
_FIRST_FEW = 12  # tests


def main() -> int:
    asked = argparse.ArgumentParser(prog="make mutants", description=__doc__)
    asked.add_argument("--sample", type=int, default=400)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--minutes", type=float, default=30.0, help="no new mutant is begun after these")
    asked.add_argument("--each", type=float, default=20.0, help="seconds of tests for one mutant, at most")
    asked.add_argument("--workers", type=int, default=2)
    asked.add_argument("--only", help="only mutants whose place has this in it, e.g. warp/sett.py:120")
    asked.add_argument("--first", type=int, default=0, help="begin with this one of the sample, from 0")
    asked.add_argument("--again", action="store_true", help="only what the last run of this seed left")
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
    kept = KEPT / f"seed-{given.seed}.json"
    before: list[dict[str, str]] = []
    if given.again:
        told = json.loads(kept.read_text(encoding="utf-8"))
        before = [each for each in told if each["became"] not in (SURVIVED, UNTRIED)]
        sample = _left(every, told)
    else:
        sample = random.Random(given.seed).sample(every, min(given.sample, len(every)))[given.first :]

    def keep(found: dict[int, str]) -> list[dict[str, str]]:
        told = [_told(each) | {"became": found.get(place, UNTRIED)} for place, each in enumerate(sample)]
        kept.write_text(json.dumps(before + told, indent=1), encoding="utf-8")
        return before + told

    found = _run(sample, reach, given.workers, given.each, end, keep)
    return _report(len(every), keep(found), given.seed)


def _left(every: Sequence[Mutant], told: Sequence[dict[str, str]]) -> list[Mutant]:
    """What survived an earlier run or was not tried, found by what it changes: lines may have moved since."""
    there: dict[tuple[str, ...], list[Mutant]] = defaultdict(list)
    for mutant in every:
        there[tuple(_told(mutant).values())].append(mutant)
    found = []
    for each in told:
        if each["became"] in (SURVIVED, UNTRIED):
            key = tuple(value for name, value in each.items() if name != "became")
            if there[key]:
                found.append(there[key].pop(0))
            else:
                print(f"no longer there: {each}")
    return found


def _told(mutant: Mutant) -> dict[str, str]:
    return {
        "path": str(mutant.path.relative_to(ROOT)),
        "inside": mutant.inside or "",
        "was": mutant.was,
        "now": mutant.now,
    }


def _run(
    sample: Sequence[Mutant],
    reach: Reach,
    workers: int,
    each: float,
    end: float,
    keep: Callable[[dict[int, str]], object],
) -> dict[int, str]:
    """What became of each mutant, by its place in the sample; kept whenever one is known."""
    found: dict[int, str] = {}
    running: dict[int, int] = {}
    waiting = list(range(len(sample)))[::-1]
    while waiting or running:
        while waiting and len(running) < workers and time.monotonic() < end:
            place = waiting.pop()
            child = os.fork()
            if child == 0:
                os._exit(_child(sample[place], reach, each))
            running[child] = place
        if not running:
            break
        child, status = os.wait()
        place = running.pop(child)
        code = os.waitstatus_to_exitcode(status)
        found[place] = SURVIVED if code == 0 else TIMED_OUT if code in _TOO_LONG else KILLED
        if found[place] == SURVIVED:
            print(f"survived: {sample[place]}", flush=True)
        keep(found)
    return found


def tests_of(reach: Reach, mutant: Mutant) -> list[str]:
    return reach.of(mutant.path, mutant.lines, mutant.statement, everywhere=mutant.inside is None)


def _child(mutant: Mutant, reach: Reach, each: float) -> int:
    """In a process of its own: put the changed module in its place, run its tests to the first failure."""
    import pytest

    processor = int(20 + 4 * each)
    resource.setrlimit(resource.RLIMIT_CPU, (processor, processor + 5))
    resource.setrlimit(resource.RLIMIT_DATA, (4 << 30, 4 << 30))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    signal.alarm(20 * processor)
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
    code = compile(mutated(mutant), str(mutant.path), "exec")
    sys.meta_path.insert(0, _Instead(mutant.module, code))
    try:
        # Before pytest, which reads files named test_* in its own way.
        module = importlib.import_module(mutant.module)
        if doctest.testmod(module).failed:
            return 1
    except Exception:
        return 1
    tests = tests_of(reach, mutant)
    clock = _Clock(reach, each)
    # A few at first, then more and more: a file is read only once its tests are about to run.
    first, many = 0, _FIRST_FEW
    while first < len(tests) and not clock.over:
        some = [str(ROOT / test) for test in tests[first : first + many]]
        became = int(pytest.main(options(*some), plugins=[clock]))
        if became and not (clock.over and not clock.failed):
            return became
        first, many = first + many, 2 * many
    return 0


class _Clock:
    """Ends the run when its time is over, and the process where a test takes four times as long as usual."""

    def __init__(self, reach: Reach, each: float) -> None:
        self.reach, self.each = reach, each
        self.begun = time.process_time()
        self.over = self.failed = False

    def pytest_runtest_setup(self, item: Any) -> None:
        usual = self.reach.seconds.get(item.nodeid.split("[")[0], 1.0)
        signal.setitimer(signal.ITIMER_PROF, 10 + 4 * usual)

    def pytest_runtest_logreport(self, report: Any) -> None:
        self.failed = self.failed or report.failed

    def pytest_collectreport(self, report: Any) -> None:
        self.failed = self.failed or report.failed

    def pytest_runtest_teardown(self, item: Any) -> None:
        if time.process_time() - self.begun > self.each:
            self.over = True
            item.session.shouldstop = "the time is over"


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


def _report(every: int, told: Sequence[dict[str, str]], seed: int) -> int:
    counts = Counter(each["became"] for each in told)
    tried = counts.total() - counts.pop(UNTRIED, 0)
    by_package = Counter(each["path"].split("/")[2] for each in told if each["became"] == SURVIVED)
    print(f"\n{tried} of {every} possible changes tried, seed {seed}: {dict(counts)}")
    print(f"survivors by package: {dict(by_package)}")
    if tried < len(told):
        print(f"Time was up before the other {len(told) - tried} of the sample; --again tries them.")
    share = 1 - counts[SURVIVED] / tried if tried else 0.0
    print(f"noticed: {share:.1%} (goal: {GOAL:.0%})")
    return 0 if share >= GOAL else 1


if __name__ == "__main__":
    sys.exit(main())
