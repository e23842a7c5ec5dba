"""The pictures of photographs as files in the home: small JPEGs without place, time or camera.

A file is named by its content (SHA-256) and never changes. One that no photograph names any more is kept, so
that a removal can be undone, until its room is needed.
"""

from __future__ import annotations

import hashlib
import io
import re
from collections.abc import Collection
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from PIL import Image

from loomready.app.server.home_folder import PHOTOS
from loomready.files import write_whole
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.slips.photo import picture

LONGEST, SMALL = 1600, 480  # pixels of the longer side
MOST_EACH, MOST_ALTOGETHER = 600_000, 64_000_000  # bytes
_SMALL_BYTES = 60_000
_NAME = re.compile("[0-9a-f]{64}")


def reduced(data: bytes) -> bytes:
    """A photograph as it is kept: upright, scaled down, nothing but pixels.

    :raises BadInput: it is no picture, is broken, or is too large
    """
    return picture.reduced(picture.of_bytes(data), LONGEST, MOST_EACH)


def size_of(jpeg: bytes) -> tuple[int, int]:
    """Width and height in pixels."""
    with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as image:
        return image.size


def name_of(jpeg: bytes) -> str:
    return hashlib.sha256(jpeg).hexdigest()


def is_name(text: object) -> bool:
    return isinstance(text, str) and _NAME.fullmatch(text) is not None


def check(name: str, jpeg: bytes) -> None:
    """:raises BadInput: a file from elsewhere is none that this module writes"""
    fits = len(jpeg) <= MOST_EACH and is_name(name) and name_of(jpeg) == name
    try:
        fits = fits and max(size_of(jpeg)) <= LONGEST
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        fits = False
    if not fits:
        raise BadInput(phrase("holds a photograph that loomready does not write ({name})", name=name[:12]))


def keep(jpeg: bytes, used: Collection[str]) -> str:
    """Write a picture; its name. Files that are not in use make room for it, the oldest first.

    :param used: the names of all pictures in use
    :raises BadInput: there is no room
    """
    name, place = name_of(jpeg), folder()
    if there(name):
        return name
    files = sorted(place.glob("*.jpg"), key=lambda each: each.stat().st_mtime)
    needed = sum(each.stat().st_size for each in files) + len(jpeg) - MOST_ALTOGETHER
    for each in files:
        if needed > 0 and each.stem not in used:
            needed -= each.stat().st_size
            each.unlink(missing_ok=True)
    if needed > 0:
        raise BadInput(
            phrase(
                "there is no room for another photograph: a guild keeps {most} MB of them; remove some first",
                most=MOST_ALTOGETHER // 1_000_000,
            )
        )
    file = place / f"{name}.jpg"
    write_whole(file, jpeg)
    file.chmod(0o600)
    return name


def there(name: str) -> bool:
    return is_name(name) and (Path(settings.HOME) / PHOTOS / f"{name}.jpg").is_file()


def read(name: str) -> bytes | None:
    """The picture; None: its file is gone."""
    try:
        return (Path(settings.HOME) / PHOTOS / f"{name}.jpg").read_bytes() if is_name(name) else None
    except OSError:
        return None


@lru_cache(maxsize=256)
def small(name: str) -> bytes | None:
    """The picture for a list."""
    jpeg = read(name)
    return None if jpeg is None else picture.reduced(picture.of_bytes(jpeg), SMALL, _SMALL_BYTES)


def folder() -> Path:
    place = Path(settings.HOME) / PHOTOS
    place.mkdir(mode=0o700, exist_ok=True)
    return place
