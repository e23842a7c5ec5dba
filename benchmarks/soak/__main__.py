"""Run the long runs: ``make soak``, or ``make soak SOAK=minutes``; exit 1 if one of them found a fault."""

from __future__ import annotations

import argparse
import random
import sys
import time
from datetime import UTC, datetime

from benchmarks.soak import crowd, homes, inputs, kills, trickle

RUNS = {
    "kills": kills.run,
    "inputs": inputs.run,
    "crowd": crowd.run,
    "homes": homes.run,
    "trickle": trickle.run,
}


def main() -> int:
    reader = argparse.ArgumentParser(prog="python -m benchmarks.soak", description=__doc__)
    reader.add_argument("--minutes", type=float, default=60.0, help="of each run at most")
    reader.add_argument("--seed", type=int, default=None, help="repeats what was tried; random otherwise")
    reader.add_argument("--only", choices=sorted(RUNS), nargs="*", help="these runs only")
    asked = reader.parse_args()
    seed = asked.seed if asked.seed is not None else random.randrange(10**6)
    names = asked.only or list(RUNS)
    print(
        f"seed {seed}, at most {asked.minutes:g} minutes each, begun {datetime.now(UTC):%Y-%m-%d %H:%M} UTC",
        flush=True,
    )
    faults = 0
    for name in names:
        begin = time.monotonic()
        result = RUNS[name](asked.minutes * 60, seed)
        faults += len(result.faults)
        print(f"{result.text()}\n  took {(time.monotonic() - begin) / 60:.1f} minutes\n", flush=True)
    return int(faults > 0)


if __name__ == "__main__":
    sys.exit(main())
