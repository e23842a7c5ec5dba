"""The time zone of this machine, by the name that Django needs."""

from __future__ import annotations

import os
import time
from pathlib import Path
from zoneinfo import ZoneInfo

_LINK, _NAMED = Path("/etc/localtime"), Path("/etc/timezone")


def of_machine(link: Path = _LINK, named: Path = _NAMED) -> str:
    """The zone's name, or where the machine tells none, the zone of its hours from Greenwich."""
    found = [os.environ.get("TZ", "").removeprefix(":")]
    if link.is_symlink():
        found.append(str(link.resolve()).partition("zoneinfo/")[2])
    if named.is_file():
        found.append(named.read_text(errors="replace").strip())
    return next(filter(_is_known, found), _by_hours(time.timezone))


def _is_known(name: str) -> bool:
    try:
        return bool(name) and ZoneInfo(name) is not None
    except (ValueError, OSError, KeyError):
        return False


def _by_hours(seconds_west: int) -> str:
    """Whole hours west of Greenwich have a plus sign in these names."""
    hours = round(seconds_west / 3600)
    name = f"Etc/GMT{hours:+d}" if hours else "UTC"
    return name if _is_known(name) else "UTC"
