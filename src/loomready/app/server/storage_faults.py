"""Errors of the disk or the database, as a sentence with what to do."""

from __future__ import annotations

import errno
import logging
import sqlite3
from collections.abc import Iterator

from django.conf import settings
from django.db import DatabaseError
from django.utils.translation import gettext as _

from loomready.app.server.sqlite.base import StillSaving
from loomready.problems import BadInput


class DamagedText(BadInput):
    """A version of a draft cannot be read back: the database was changed or damaged."""

    def __init__(self) -> None:
        super().__init__(
            _(
                "This version of the draft is damaged in the guild's database. The draft as it is now is "
                "still there; an earlier backup may hold this version."
            )
        )


class OneLine(logging.Filter):
    """In the terminal such a fault is one line: where it happened helps nobody."""

    def filter(self, record: logging.LogRecord) -> bool:
        said = said_of(record.exc_info[1]) if record.exc_info else ""
        if said:
            record.msg, record.args = f"{record.getMessage()}: {said}", ()
            record.exc_info = record.exc_text = None
        return True


STATUS = 507  # insufficient storage; browsers show the page as it is
TRY_AGAIN = 503


def status_of(error: BaseException | None) -> int:
    """The HTTP status for an error of which :func:`said_of` says something."""
    return TRY_AGAIN if any(isinstance(each, StillSaving) for each in _causes(error)) else STATUS


def said_of(error: BaseException | None) -> str:
    """The sentence for an error of disk or database, "" for any other error."""
    for each in _causes(error):
        if isinstance(each, DamagedText):
            return each.what
        if isinstance(each, StillSaving):
            return _still_saving()
        if isinstance(each, OSError) and each.errno in (errno.ENOSPC, errno.EDQUOT):
            return full()
        if isinstance(each, OSError) and each.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
            return _read_only()
        if isinstance(each, DatabaseError | sqlite3.Error):
            text = str(each).lower()
            if "full" in text:
                return full()
            if "readonly" in text or "read-only" in text or "unable to open" in text:
                return _read_only()
            if "malformed" in text or "not a database" in text or "disk i/o" in text:
                return _damaged()
            if "locked" in text:
                return _busy()
    return ""


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    seen = 0
    while error is not None and seen < 10:
        yield error
        error, seen = error.__cause__ or error.__context__, seen + 1


def full() -> str:
    return _(
        "The disk of the computer with the guild is full. Nothing was changed, and what was saved before is "
        "still there. Free some space on that disk, then try again; until then you can look at everything."
    )


def looking() -> str:
    """Of a home that was opened for looking only."""
    return _(
        "You can look at everything, but nothing can be saved, because the guild's folder can't be written. "
        "Close loomready, check that the disk is not write-protected and that the folder is your account's, "
        "then open it again."
    )


def _read_only() -> str:
    if settings.LOOKING:
        return looking()
    return _(
        "The guild's folder can't be written. Nothing was changed, and what was saved before is still there. "
        "Check that the disk is not write-protected and that the folder is your account's, then try again."
    )


def _damaged() -> str:
    return _(
        "The guild's database is damaged, or its disk has an error. Close loomready, copy the guild's folder "
        "to another disk, and import your last backup in a new folder."
    )


def _still_saving() -> str:
    return _(
        "A large change, like an import, is still being saved here. Yours was not saved. Wait until it is "
        "done, then try again."
    )


def _busy() -> str:
    return _(
        "Another program holds the guild's database. Nothing was changed. Close that program, then try again."
    )
