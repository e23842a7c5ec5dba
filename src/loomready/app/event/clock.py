"""The clock of the event's pages: local, to the minute."""

from __future__ import annotations

from datetime import datetime


def now() -> datetime:
    return datetime.now().replace(second=0, microsecond=0)
