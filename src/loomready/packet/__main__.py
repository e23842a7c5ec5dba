"""Lays out one packet in a process of its own, so that the memory it takes is given back.

Its one argument is the number of the process that wants it. Reads a plan, choices, a draft's version and a
language tag, pickled, from standard input: only what the program itself wrote there.
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
    from loomready.packet.packet import packet_pages, packet_pdf
    from loomready.problems import LoomreadyError

    plan, options, version, tag = pickle.load(sys.stdin.buffer)
    catalog = catalog_in(tag)
    try:
        if options.preview:
            pages = packet_pages(plan, options, version=version, catalog=catalog, language=tag)
            made = pickle.dumps(pages)
        else:
            made = packet_pdf(plan, options, version=version, catalog=catalog, language=tag)
    except LoomreadyError as error:
        print(error, file=sys.stderr)
        return 2
    sys.stdout.buffer.write(made)
    return 0


if __name__ == "__main__":
    sys.exit(main())
