"""Files are written whole or not at all."""

from __future__ import annotations

import os
import secrets
import stat
from collections.abc import Callable
from pathlib import Path

from loomready.phrases import Phrase, phrase
from loomready.problems import BadInput, shorten


def named(path: Path | str) -> str:
    """The path as the user gave it, fit for one line of an error message."""
    text = str(path)
    return text if text.isprintable() else shorten(text, 200)


def read_bounded(path: Path, most: int, *, expected: Phrase, too_large: Callable[[int], Phrase]) -> bytes:
    """The bytes of a file; its kind and size are looked at before it is read.

    :param most: bytes; a file that grows in the meantime gives one more at most
    :param expected: what should be there: "a WIF file"
    :param too_large: what is said of a file of so many bytes
    :raises BadInput: missing, a folder, a pipe or a device, too large, not to be read
    """
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise BadInput(phrase("is a folder; expected {expected}", expected=expected))
        if not stat.S_ISREG(status.st_mode):  # a pipe or a device may never end
            raise BadInput(phrase("is not a regular file; expected {expected}", expected=expected))
        if status.st_size > most:
            raise BadInput(too_large(status.st_size))
        with path.open("rb") as stream:
            return stream.read(most + 1)
    except FileNotFoundError:
        raise BadInput(phrase("no such file; expected {expected}", expected=expected)) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise BadInput(
            phrase(
                "cannot be read: {reason}; expected {expected}",
                reason=shorten(reason or error, 80),
                expected=expected,
            )
        ) from None


def write_whole(path: Path, data: bytes) -> None:
    """Writes a file so that a whole one stands under its name at any moment: the old or the new.

    The bytes go to a file beside it first, which then takes its place. A link is followed; the mode of
    a file that is replaced is kept.

    :raises BadInput: the folder is missing or shut, the name is a folder, a device or write-protected
    """
    try:
        _write_beside(Path(os.path.realpath(path)), data)
    except BadInput as error:
        raise error.in_file(named(path)) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise BadInput(
            phrase("cannot be written: {reason}", reason=shorten(reason or error, 80)), file=named(path)
        ) from error


def _write_beside(path: Path, data: bytes) -> None:
    if not path.parent.is_dir():
        raise BadInput(phrase("cannot be written: its folder does not exist; make the folder first"))
    mode = None
    if path.exists():
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise BadInput(phrase("is a folder; expected the name of a file"))
        if not stat.S_ISREG(mode):  # never put a file in the place of a device
            raise BadInput(phrase("is not a regular file; expected the name of a file"))
        if not os.access(path, os.W_OK):
            raise BadInput(phrase("cannot be written: it is write-protected"))
    beside = path.with_name(f".loomready-{secrets.token_hex(6)}")
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    try:
        with os.fdopen(os.open(beside, flags, 0o666), "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if mode is not None:
            beside.chmod(stat.S_IMODE(mode))
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
