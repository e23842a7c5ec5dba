"""Simulated photographs of a test weave: how fast one is read, and what is found in them.

``python -m benchmarks.photographs`` prints the figures of docs/photographs.md; it takes some minutes.
"""

from __future__ import annotations

import sys
from collections import Counter
from multiprocessing import Pool

from benchmarks.timing import Row, median_of, promise
from tests.slips.photo import trials
from tests.slips.photo.simulated import GRADES
from tests.slips.photo.trials import KINDS, Score

TUNING = 7  # seeds used while the reader was made
FRESH = 2027  # seeds used once, for its figures


def one(asked: tuple[str, int, int]) -> Score:
    grade, series, number = asked
    return trials.score(trials.trial(GRADES[grade], (series, number)))


def run() -> list[Row]:
    """The time of one reading, for ``make bench``."""
    trial = trials.trial(GRADES["usual"], (TUNING, 0), 2)
    measured = median_of(lambda: trials.score(trial), 3)
    return [promise("photograph of 120 ends, 16 picks read", measured, 3.0)]


def table(grade: str, scores: list[Score]) -> str:
    """Slips by kind, and what was named that is not there."""
    lines = [f"{grade}: {len(scores)} photographs, {sum(bool(each.refused) for each in scores)} refused"]
    read = [each for each in scores if not each.refused]
    for kind in KINDS:
        told = [slip for each in read for slip in each.right if slip[0] == kind]
        if told:
            found, sure = (sum(slip[place] for slip in told) for place in (1, 2))
            lines.append(
                f"  {kind:12} {len(told):3}: found {100 * found / len(told):3.0f} %, "
                f"certain {100 * sure / len(told):3.0f} %"
            )
    false = [claim for each in read for claim in each.false]
    sure = Counter(kind for kind, certain in false if certain)
    lines.append(f"  certain and false {sum(sure.values())}: {dict(sure)}")
    check = Counter(kind for kind, certain in false if not certain)
    true = sum(found and not certain for each in read for _, found, certain in each.right)
    lines.append(f"  to check: {true} true, {sum(check.values())} false {dict(check)}")
    return "\n".join(lines)


def main(arguments: list[str]) -> None:
    """Arguments: ``usual=40``: so many of a grade; ``tuning``: its seeds; ``each``: what went wrong."""
    series = TUNING if "tuning" in arguments else FRESH
    asked = [each.split("=") for each in arguments if "=" in each] or [
        ["easy", "60"],
        ["usual", "100"],
        ["hard", "40"],
    ]
    with Pool(2) as pool:
        for grade, count in asked:
            scores = pool.map(one, [(grade, series, number) for number in range(int(count))], chunksize=2)
            print(table(grade, scores), flush=True)
            if "each" in arguments:
                for number, each in enumerate(scores):
                    if each.refused or each.false or not all(found for _, found, _ in each.right):
                        print("   ", number, each)


if __name__ == "__main__":
    main(sys.argv[1:])
