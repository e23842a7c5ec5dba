"""Plans an event in a process of its own, with low priority, so that pages stay quick.

Its one argument is the number of the server's process. Reads the arguments of ``plan_event`` by their names,
pickled, from standard input: only what the program itself wrote there. Writes the plan, pickled, to standard
output; what is wrong is one line on standard error, with exit code 2.
"""

from __future__ import annotations

import os
import pickle
import sys

from loomready.processes import end_with

NICE = 10


def main() -> int:
    end_with(int(sys.argv[1]))  # before all that takes long to load
    from loomready.event.plan_event import plan_event
    from loomready.problems import BadInput

    if hasattr(os, "nice"):
        os.nice(NICE)
    asked = pickle.load(sys.stdin.buffer)
    try:
        plan = plan_event(**asked)
    except BadInput as error:
        print(error.line(), file=sys.stderr)
        return 2
    pickle.dump(plan, sys.stdout.buffer)
    return 0


if __name__ == "__main__":
    sys.exit(main())
