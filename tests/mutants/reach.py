"""Which test reaches which line of the engine, and how long each takes: its tests run once with coverage."""

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

        Of each group those of the mirrored folder come first, then the quickest. The others run because a
        value that is made once for several tests shows only the first of them.
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

        def order(test: str) -> tuple[bool, bool, float, str]:
            return (test not in found, not test.startswith(folder), self.seconds.get(test, 1.0), test)

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
    kept = KEPT / "reach.json"
    now = _print_of_texts()
    if kept.exists():
        read = json.loads(kept.read_text(encoding="utf-8"))
        if read["texts"] == now:
            return _reach(read["lines"], read["seconds"])
    KEPT.mkdir(exist_ok=True)
    shares = [files()[k::workers] for k in range(workers)]
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
    seconds: dict[str, float] = {}
    for number in range(workers):
        read = json.loads((KEPT / f"share-{number}.json").read_text(encoding="utf-8"))
        seconds |= read["seconds"]
        for path, by_line in read["lines"].items():
            for line, tests in by_line.items():
                lines[path][line] += tests
    kept.write_text(json.dumps({"texts": now, "lines": lines, "seconds": seconds}), encoding="utf-8")
    return _reach(lines, seconds)


def _reach(lines: dict[str, dict[str, list[str]]], seconds: dict[str, float]) -> Reach:
    return Reach(
        {
            path: {int(line): frozenset(tests) for line, tests in by_line.items()}
            for path, by_line in lines.items()
        },
        seconds,
    )


def _print_of_texts() -> str:
    found = hashlib.sha256()
    for folder in (SOURCE / "loomready", ROOT / "tests"):
        for path in sorted(folder.rglob("*.py")):
            found.update(path.read_bytes())
    return found.hexdigest()


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
