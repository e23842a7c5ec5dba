"""``python -m loomready``."""

import sys

from loomready.cli import main

sys.exit(main())
