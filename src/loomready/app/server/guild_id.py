"""A guild's public id: pages and files of steps name it, so that no other guild takes them.

It comes from the home's secret, which no backup holds. A backup holds the id itself; a home restored from it
keeps that id in a file, so that pages opened before still hand in their steps.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django.conf import settings

from loomready.app.server.home_folder import IDENTITY
from loomready.phrases import phrase
from loomready.problems import BadInput

_WRITTEN = re.compile(r"[0-9a-f]{16}")


def guild_id() -> str:
    """16 hexadecimal digits; nothing of the home's secret can be told from them."""
    try:
        return read((settings.HOME / IDENTITY).read_bytes())
    except (FileNotFoundError, BadInput):
        return hashlib.sha256(b"saved file of " + settings.SECRET_KEY.encode()).hexdigest()[:16]


def read(data: bytes) -> str:
    """:raises BadInput: it is no id of a guild"""
    text = data.decode("ascii", "replace").strip()
    if not _WRITTEN.fullmatch(text):
        raise BadInput(phrase("is no id of a guild; expected 16 digits from 0 to f"), file=IDENTITY)
    return text


def forget() -> None:
    """From here on the home has the id of its own secret."""
    _write(None)


@contextmanager
def taken_over(found: str | None) -> Iterator[Callable[[], None]]:
    """Gives what makes this home's id the one that was found; what fails afterwards takes it back."""
    place = settings.HOME / IDENTITY
    before = place.read_bytes() if place.exists() else None
    written = False

    def take() -> None:
        nonlocal written
        written = True
        _write(None if found is None else found.encode())

    try:
        yield take
    except BaseException:
        if written:
            _write(before)
        raise


def _write(data: bytes | None) -> None:
    place = settings.HOME / IDENTITY
    if data is None:
        place.unlink(missing_ok=True)
        return
    beside = place.with_name(f"{IDENTITY}-new")
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
    beside.replace(place)
