"""Photographs for tests: woven-looking pixels, with what a camera writes beside them."""

from __future__ import annotations

import io

import numpy as np
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

TURNED, PLACE = 0x0112, 0x8825
SIDEWAYS = 6  # the top of the picture is at the right of the sensor


def jpeg(wide: int = 2400, high: int = 1800, *, turned: int = 1, shade: int = 150) -> bytes:
    """A photograph with a red corner at its first pixel, a place and a way up."""
    rows, ends = np.indices((high, wide))
    weave = ((rows // 6 + ends // 6) % 2 * 60 + shade).astype("uint8")
    pixels = np.stack([weave, weave, weave // 2], axis=2)
    pixels[: high // 8, : wide // 8] = (220, 20, 20)
    image = Image.fromarray(pixels)
    notes = image.getexif()
    notes[TURNED] = turned
    notes.get_ifd(PLACE)[1] = "N"
    notes[0x010F] = "a camera"
    stream = io.BytesIO()
    image.save(stream, "JPEG", quality=90, exif=notes)
    return stream.getvalue()


def upload(data: bytes, name: str = "cloth.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, "image/jpeg")
