"""The plan of an event that people were told: its sessions, kept as the engine's JSON holds them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from loomready.app.state.snapshot import Entry, Snapshot
from loomready.event.hours_text import read_moment
from loomready.event.replan import Session, read_told
from loomready.phrases import phrase
from loomready.problems import BadInput

KIND = KEY = "agreed"
Fields = dict[str, Any]


def entry_of(snapshot: Snapshot) -> Entry | None:
    return snapshot.entry(KIND, KEY)


def sessions(snapshot: Snapshot) -> tuple[Session, ...] | None:
    """The sessions that people were told; None: they were told none yet."""
    entry = entry_of(snapshot)
    return None if entry is None else sessions_of(entry.fields)


def sessions_of(fields: Mapping[str, Any]) -> tuple[Session, ...]:
    """:raises BadInput: they are not valid"""
    return read_told({"work": {"sessions": fields.get("sessions")}})


def made_of(told: tuple[Session, ...], now: datetime) -> Fields:
    """The record of a plan that was agreed at that time."""
    return {
        "at": now.isoformat(timespec="minutes"),
        "sessions": [
            {
                "start": each.start.isoformat(timespec="minutes"),
                "end": each.end.isoformat(timespec="minutes"),
                "warp": each.warp,
                "job": each.job,
                "people": list(each.people),
            }
            for each in told
        ],
    }


def checked(key: str, fields: Mapping[str, Any]) -> Fields:
    """The record from a backup.

    :raises BadInput: it is not valid
    """
    if key != KEY:
        raise BadInput(phrase("is not the plan that people were told; expected {key}", key=KEY))
    return made_of(sessions_of(fields), read_moment(fields.get("at")))
