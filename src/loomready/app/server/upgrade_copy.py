"""Brings a copy of a database up to date in a process of its own: its folder is the home there.

What is wrong is one line on standard error, with exit code 2.
"""

from __future__ import annotations

import sys
from pathlib import Path

import django

from loomready.problems import BadInput


def main() -> int:
    django.setup()
    from loomready.app.server.upgrade import bring_up_to_date

    try:
        bring_up_to_date(Path(sys.argv[1]))
    except BadInput as error:
        print(error.what, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
