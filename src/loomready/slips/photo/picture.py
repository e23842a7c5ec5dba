"""The file of a photograph: opened within limits, turned upright, without anything but its pixels."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from loomready.files import named, read_bounded
from loomready.phrases import Phrase, phrase
from loomready.problems import BadInput

MAX_BYTES = 40_000_000
MAX_PIXELS = 64_000_000  # of a JPEG, which can be read at half its size
_MAX_OTHER = 30_000_000
_KEPT_PIXELS = 16_000_000  # a larger one is reduced: no stretch of 120 ends needs more
_FORMATS = ("JPEG", "PNG", "WEBP")
_QUALITIES = (85, 75, 65, 50)  # of a reduced copy: the best that is small enough
_TURNED = 0x0112  # EXIF: which way is up


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """Pixels in RGB, upright. ``full``: width and height of the file's, upright; taps are in these."""

    image: Image.Image
    full: tuple[int, int]


def read(path: Path) -> Picture:
    """:raises BadInput: with the file as it was named"""
    try:
        return of_bytes(read_bounded(path, MAX_BYTES, expected=_EXPECTED, too_large=_too_heavy))
    except BadInput as error:
        raise error.in_file(named(path)) from None


def of_bytes(data: bytes) -> Picture:
    """The picture, reduced to at most 16 megapixels.

    :raises BadInput: it is none, is broken, or is too large
    """
    if len(data) > MAX_BYTES:
        raise BadInput(_too_heavy(len(data)))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what Pillow thinks of sizes is said below
            with Image.open(io.BytesIO(data), formats=_FORMATS) as image:
                return _upright(image)
    except BadInput:
        raise
    except Image.DecompressionBombError:
        raise BadInput(phrase("has too many megapixels; {expected}", expected=_SMALLER)) from None
    except UnidentifiedImageError:
        raise BadInput(phrase("is not a picture; expected a photograph (JPEG, PNG or WebP)")) from None
    except (OSError, ValueError, SyntaxError, EOFError, TypeError, OverflowError, KeyError, MemoryError):
        raise BadInput(
            phrase("is a broken picture; expected a whole photograph (JPEG, PNG or WebP)")
        ) from None


_EXPECTED = phrase("a photograph (JPEG, PNG or WebP)")
_SMALLER = phrase("expected at most 64 (PNG and WebP: 30): take the photograph at a smaller size")


def _upright(image: Image.Image) -> Picture:
    wide, high = image.size
    if wide * high > (MAX_PIXELS if image.format == "JPEG" else _MAX_OTHER):
        raise BadInput(
            phrase("has {size:,.0f} megapixels; {expected}", size=wide * high / 1e6, expected=_SMALLER)
        )
    if wide * high > _KEPT_PIXELS:
        image.draft("RGB", (wide // 2, high // 2))
    turned = image.getexif().get(_TURNED, 1)
    made = _in_srgb(image)
    while made.width * made.height > _KEPT_PIXELS:
        made = made.reduce(2)
    made = Image.frombytes("RGB", made.size, made.tobytes())  # nothing but pixels
    if turned in range(2, 9):
        made.getexif()[_TURNED] = turned
        ImageOps.exif_transpose(made, in_place=True)
        made = Image.frombytes("RGB", made.size, made.tobytes())
        if turned > 4:
            wide, high = high, wide
    return Picture(made, (wide, high))


def _in_srgb(image: Image.Image) -> Image.Image:
    """In the colors that pages show: a phone's picture may hold wider ones, with a profile that says so."""
    profile = image.info.get("icc_profile")
    if profile:
        try:
            own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            made = ImageCms.profileToProfile(image, own, ImageCms.createProfile("sRGB"), outputMode="RGB")
            if made is not None:
                return made
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            pass  # a profile that is not valid, or not for such pixels
    return image.convert("RGB")


def without_notes(picture: Picture) -> bytes:
    """The picture as a JPEG that holds no place, time or camera."""
    return _jpeg(picture.image, 90)


def reduced(picture: Picture, longest: int, most_bytes: int) -> bytes:
    """A smaller copy without place, time or camera, as a JPEG of at most ``most_bytes``.

    :param longest: pixels of its longer side; a smaller picture keeps its size
    """
    image = picture.image.copy()
    image.thumbnail((longest, longest), Image.Resampling.LANCZOS)
    for quality in _QUALITIES:
        made = _jpeg(image, quality)
        if len(made) <= most_bytes:
            break
    while len(made) > most_bytes:
        image = image.reduce(2)
        made = _jpeg(image, _QUALITIES[-1])
    return made


def _jpeg(image: Image.Image, quality: int) -> bytes:
    stream = io.BytesIO()
    image.save(stream, "JPEG", quality=quality)
    return stream.getvalue()


def _too_heavy(size: int) -> Phrase:
    return phrase("has {size:,.0f} MB; a photograph here has at most 40 MB", size=size / 1e6)
