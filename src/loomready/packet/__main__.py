"""Lays out one packet, or a sheet of an event, in a process of its own, which returns the memory it takes.

Its one argument is the number of the process that wants it. Reads what is wanted and a language tag,
pickled, from standard input: only what the program itself wrote there.
Writes the PDF, or its pages as pictures, pickled, to standard output; what is wrong is one line on standard
error, with exit code 2.
"""

from __future__ import annotations

import pickle
import sys

from loomready.processes import end_with


def main() -> int:
    end_with(int(sys.argv[1]))  # before all that takes long to load
    from loomready.catalogs import catalog_in
    from loomready.problems import LoomreadyError

    asked, tag = pickle.load(sys.stdin.buffer)
    try:
        made = asked.made(catalog_in(tag), tag)
    except LoomreadyError as error:
        print(error, file=sys.stderr)
        return 2
    sys.stdout.buffer.write(made)
    return 0


if __name__ == "__main__":
    sys.exit(main())
