"""Which test reaches which line of the engine, and how long each takes: its tests run once with coverage.

What was measured is kept for each file of tests, until that file changes or a module that it reaches.
"""

from __future__ import annotations

import functools
import gc
import hashlib
import json
import os
import time
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src"
KEPT = ROOT / ".mutants"
# The packages that are changed, and the folders whose tests may notice.
CHANGED = ("warp", "yarn", "draft", "choose", "loomside", "slips")
TESTED = (*CHANGED, "cloth", "published")


@dataclass(frozen=True)
class Reach:
    """tests by file and line (numbered from 1), and the seconds of processor time of each test."""

    by_line: dict[str, dict[int, frozenset[str]]]
    seconds: dict[str, float]

    def of(self, path: Path, lines: range, statement: range, everywhere: bool) -> list[str]:
        """The tests that may notice: first those that run these lines, then the others of the same package.

        Of each group those of the module's own file come first, then those of the mirrored folder and those
        with published values, and of these the quickest. The others run because a value that is made once
        for several tests shows only the first of them.
        """
        reached = self.by_line.get(str(path.relative_to(ROOT)), {})
        found: set[str] = set()
        for wanted in (lines, statement):
            if not found:
                found = {test for line in wanted for test in reached.get(line, ())}
        if everywhere:
            found = {test for tests in reached.values() for test in tests}
        parts = path.relative_to(SOURCE / "loomready").parts[:-1]
        folder, package = "tests/" + "/".join(parts) + "/", f"tests/{parts[0]}/"
        beside = {test for test in self.seconds if test.startswith(package)} | {
            test for tests in reached.values() for test in tests
        }

        def order(test: str) -> tuple[bool, bool, bool, float, str]:
            own = f"/test_{path.stem}.py::" in test
            far = not test.startswith((folder, "tests/published/"))
            return (test not in found, far or not own, far, self.seconds.get(test, 1.0), test)

        return sorted(found | beside, key=order)


def files() -> list[str]:
    """The files of tests, relative to the repository."""
    return [
        str(path.relative_to(ROOT))
        for name in TESTED
        for path in sorted((ROOT / "tests" / name).rglob("test_*.py"))
    ]


def options(*more: str) -> list[str]:
    """How pytest runs here: alone, without the web app and without a cache."""
    KEPT.mkdir(exist_ok=True)
    ini = KEPT / "pytest.ini"
    if not ini.exists():
        ini.write_text("[pytest]\n", encoding="utf-8")
    plugins = ("django", "xdist", "cacheprovider", "faulthandler")
    return ["-q", "-x", "-c", str(ini), "--rootdir", str(ROOT), *(f"-pno:{name}" for name in plugins), *more]


def measured(workers: int) -> Reach:
    """Run the tests once, each worker a share of their files; kept until a source or a test changes."""
    path = KEPT / "reach.json"
    now = _texts()
    kept: dict[str, Any] = json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    stale = _stale(kept, now)
    if not stale:
        return _reach(kept["lines"], kept["seconds"])
    KEPT.mkdir(exist_ok=True)
    shares = [stale[k::workers] for k in range(min(workers, len(stale)))]
    children = []
    for number, share in enumerate(shares):
        child = os.fork()
        if child == 0:
            os._exit(_measure(share, KEPT / f"share-{number}.json"))
        children.append(child)
    failed = [
        code for code in (os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children) if code
    ]
    if failed:
        raise SystemExit("The tests must pass before anything is changed: see make test.")
    lines: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    gone = set(stale) | (set(kept.get("files", ())) - set(files()))

    def stays(test: str) -> bool:
        return test.split("::")[0] not in gone

    for name, by_line in kept.get("lines", {}).items():
        for line, tests in by_line.items():
            lines[name][line] = list(filter(stays, tests))
    seconds: dict[str, float] = {test: took for test, took in kept.get("seconds", {}).items() if stays(test)}
    for number in range(len(shares)):
        read = json.loads((KEPT / f"share-{number}.json").read_text(encoding="utf-8"))
        seconds |= read["seconds"]
        for name, by_line in read["lines"].items():
            for line, tests in by_line.items():
                lines[name][line] += tests
    made = {"texts": now, "files": files(), "lines": lines, "seconds": seconds}
    path.write_text(json.dumps(made), encoding="utf-8")
    return _reach(lines, seconds)


def _stale(kept: dict[str, Any], now: dict[str, str]) -> list[str]:
    """Files of tests to run again: changed, or reaching a changed module; all if anything else changed."""
    every = files()
    was = kept.get("texts", {})
    changed = {name for name in was.keys() | now.keys() if was.get(name) != now.get(name)}
    modules = {name for name in changed if name in kept.get("lines", {})}
    if changed - modules - set(every) - set(kept.get("files", ())):
        return every
    reaching = {
        test.split("::")[0] for name in modules for tests in kept["lines"][name].values() for test in tests
    }
    return [name for name in every if name in changed or name in reaching]


def _reach(lines: dict[str, dict[str, list[str]]], seconds: dict[str, float]) -> Reach:
    return Reach(
        {
            path: {int(line): frozenset(tests) for line, tests in by_line.items()}
            for path, by_line in lines.items()
        },
        seconds,
    )


def _texts() -> dict[str, str]:
    """A print of every source and test, by its path; the mutation run itself changes no result."""
    return {
        str(path.relative_to(ROOT)): hashlib.sha256(path.read_bytes()).hexdigest()
        for folder in (SOURCE / "loomready", ROOT / "tests")
        for path in sorted(folder.rglob("*.py"))
        if ROOT / "tests" / "mutants" not in path.parents
        and (folder == SOURCE / "loomready" or _is_read(path))
    }


def _is_read(path: Path) -> bool:
    """Whether a file of ``tests`` can change what its tests do: their own files, and helpers."""
    return not path.name.startswith("test_") or str(path.relative_to(ROOT)) in files()


def _measure(share: list[str], into: Path) -> int:
    import coverage
    import pytest

    caches: list[Any] = []

    class Clock:
        """Tells coverage which test runs, and takes its time; parameters of one test count together."""

        def __init__(self) -> None:
            self.seconds: dict[str, float] = defaultdict(float)

        @pytest.hookimpl(hookwrapper=True)
        def pytest_runtest_protocol(self, item: pytest.Item):  # type: ignore[no-untyped-def]  # a generator
            name = item.nodeid.split("[")[0]
            for each in caches:
                each.cache_clear()
            watch.switch_context(name)
            begun = time.process_time()
            yield
            self.seconds[name] += time.process_time() - begun
            watch.switch_context("")

        def pytest_collection_finish(self) -> None:
            """Each test begins with empty caches: what it would work out alone is worked out in it."""
            found = (each for each in gc.get_objects() if isinstance(each, functools._lru_cache_wrapper))
            caches.extend(each for each in found if each.__module__.startswith("loomready."))

    out = os.open(KEPT / (into.stem + ".log"), os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(out, 1)
    os.dup2(out, 2)
    sources = [str(SOURCE / "loomready" / name) for name in CHANGED]
    watch = coverage.Coverage(data_file=None, source=sources, config_file=False)
    clock = Clock()
    watch.start()
    code = int(pytest.main(options(*(str(ROOT / name) for name in share)), plugins=[clock]))
    watch.stop()
    data = watch.get_data()
    lines = {
        str(Path(path).relative_to(ROOT)): {
            str(line): [test for test in tests if test]
            for line, tests in data.contexts_by_lineno(path).items()
            if any(tests)
        }
        for path in data.measured_files()
    }
    into.write_text(json.dumps({"lines": lines, "seconds": clock.seconds}), encoding="utf-8")
    return code
