"""The home folder: where one guild's database and its secret live, and who may open it."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from pathlib import Path
from typing import IO

from loomready.phrases import phrase
from loomready.problems import BadInput

DATABASE = "guild.sqlite3"
IDENTITY = "guild-id"
PHOTOS = "photos"


def default_home() -> Path:
    """LOOMREADY_HOME, or the platform's folder for data."""
    named = os.environ.get("LOOMREADY_HOME")
    if named:
        return Path(named)
    import platformdirs

    return Path(platformdirs.user_data_dir("loomready", appauthor=False))


def prepare(home: Path) -> None:
    """:raises BadInput: the folder cannot be made or written"""
    try:
        home.mkdir(parents=True, exist_ok=True, mode=0o700)
        secret_key(home)
    except OSError as error:
        raise BadInput(
            phrase("cannot be used as home: {reason}", reason=f"{error.strerror or error}"), file=str(home)
        ) from error


# What a home holds, as patterns: other files in the folder are left as they are.
_OURS = (
    f"{DATABASE}*",
    "secret-key",
    f"{IDENTITY}*",
    "open",
    "before-upgrade-*.sqlite3",
    "incoming",
    "incoming/*",
    "photographs",  # of test weaves, kept to try the reader on
    "photographs/*",
    PHOTOS,  # of cloth, warps, yarns and looms
    f"{PHOTOS}/*",
)


def close_to_others(home: Path) -> list[str]:
    """Let no other account of this computer read the home: folders 700, our files 600.

    :returns: the names of what could not be changed
    """
    failed = []
    for place in (home, *(found for pattern in _OURS for found in sorted(home.glob(pattern)))):
        wanted = 0o700 if place.is_dir() else 0o600
        try:
            if place.stat().st_mode & 0o077:
                place.chmod(wanted)
            if os.name == "posix" and place.stat().st_mode & 0o077:
                failed.append(place.name)
        except OSError:
            failed.append(place.name)
    return failed


def secret_key(home: Path) -> str:
    """The key that signs this home's forms: made once, readable by its owner only."""
    place = home / "secret-key"
    try:
        handle = os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        pass
    else:
        with os.fdopen(handle, "w") as stream:
            stream.write(secrets.token_urlsafe(64))
    key = place.read_text().strip()
    if len(key) < 50:
        raise BadInput(phrase("holds no key; remove this file, and a new one is made"), file=str(place))
    return key


def can_be_written(home: Path) -> bool:
    """Whether this account may write the home and its database."""
    lock = home / "open"
    try:
        lock.open("a").close()
    except OSError:
        return False
    return all(os.access(place, os.W_OK) for place in (home, *home.glob(f"{DATABASE}*")))


class Lock:
    """One process a home. The lock goes with the process, however that ends."""

    def __init__(self, home: Path) -> None:
        self.place = home / "open"
        self.stream: IO[str] | None = None

    def take(self) -> None:
        """:raises BadInput: another process has this home open, or its folder cannot be written"""
        try:
            self.stream = self.place.open("a+")
        except OSError as error:
            raise BadInput(
                phrase(
                    "cannot be written: {reason}; check that the disk is not write-protected and that the "
                    "folder is your account's",
                    reason=f"{error.strerror or error}",
                ),
                file=str(self.place.parent),
            ) from error
        self._locked(self.stream)

    def check(self) -> None:
        """Of a home that this account may only read.

        :raises BadInput: another process has it open
        """
        try:
            stream = self.place.open()
        except OSError:
            return  # never opened, or not readable
        with stream:
            self._locked(stream)

    def _locked(self, stream: IO[str]) -> None:
        try:
            _lock(stream)
        except OSError:
            stream.seek(0)
            there = stream.read().strip()
            at = f" at {there}" if there else ""
            raise BadInput(
                phrase("is already open{at}; close that one first, or use another --home", at=at),
                file=str(self.place.parent),
            ) from None

    def says(self, address: str) -> None:
        """Store the address for a second process."""
        if self.stream is not None:
            with suppress(OSError):  # a full disk; the lock holds without an address
                self.stream.truncate(0)
                self.stream.write(address)
                self.stream.flush()


def _lock(stream: IO[str]) -> None:
    try:
        import fcntl
    except ImportError:  # Windows
        import msvcrt

        stream.seek(1_000_000)
        msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
    else:
        fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
