"""A home that cannot be written is opened for looking: a copy of it is shown, and nothing can be saved.

A copy, because SQLite writes beside a database even to read it, and because a home of an older version is
brought up to date before it can be shown.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from loomready.app.server.home_folder import DATABASE, IDENTITY, PHOTOS, can_be_written
from loomready.phrases import phrase
from loomready.problems import BadInput

LOOKING = "LOOMREADY_LOOKING"  # named in the environment of a process that only shows a home
_COPIED = (DATABASE, f"{DATABASE}-wal", "secret-key", IDENTITY)
_COMMAND = ("-m", "loomready.app.server.upgrade_copy")


def is_needed(home: Path) -> bool:
    """Whether the home holds a guild, and this account can read it but not write it."""
    return (home / DATABASE).is_file() and not can_be_written(home)


def copy_of(home: Path) -> tempfile.TemporaryDirectory[str]:
    """A folder with a copy of the home, brought up to date. It goes when the process ends.

    :raises BadInput: the home cannot be read or copied, is damaged, or newer than this program
    """
    made = tempfile.TemporaryDirectory(prefix="loomready-looking-")
    try:
        for name in _COPIED:
            if (home / name).is_file():
                shutil.copyfile(home / name, Path(made.name) / name)
        if (home / PHOTOS).is_dir():
            shutil.copytree(home / PHOTOS, Path(made.name) / PHOTOS)
    except OSError as error:
        made.cleanup()
        raise BadInput(
            phrase(
                "can neither be written nor copied: {reason}; copy this folder to a disk with room, and "
                "open it there",
                reason=f"{error.strerror or error}",
            ),
            file=str(home),
        ) from error
    environment = os.environ | {"LOOMREADY_HOME": made.name, "LOOMREADY_ROOM": "", LOOKING: ""}
    environment["DJANGO_SETTINGS_MODULE"] = "loomready.app.settings"
    command = [sys.executable, *_COMMAND, str(Path(made.name) / DATABASE)]
    done = subprocess.run(command, env=environment, capture_output=True, text=True)
    if done.returncode:
        made.cleanup()
        wrong = done.stderr.strip() if done.returncode == 2 else "holds a database that cannot be read"
        raise BadInput(wrong, file=str(home))
    return made
