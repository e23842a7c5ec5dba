"""A photograph of a test weave read in the background: what is held of it, and only while the app runs."""

from __future__ import annotations

import io
import threading
from dataclasses import dataclass, field

import numpy as np
from django.utils.translation import gettext as _
from PIL import Image

from loomready.app import background
from loomready.draft.draft import Bools
from loomready.slips.as_json import Planned
from loomready.slips.photo import certainty, picture
from loomready.slips.photo.certainty import PhotoFound
from loomready.slips.photo.rectify import Corners

KIND = "photograph"
_END_PX = 16  # of the picture that a page shows
_MOST_PX = 6000
_BESIDE = 3  # ends shown around the stretch
_WAIT = 0.2  # seconds between two looks whether it was canceled
_one_at_a_time = threading.Lock()  # each takes up to 400 MB


@dataclass(slots=True)
class Shown:
    """The part of the photograph that a page shows: its ``box`` there, and ``scale`` pixels for one of it."""

    jpeg: bytes
    box: tuple[float, float, float, float]
    scale: float
    size: tuple[int, int]


@dataclass(slots=True)
class PhotoResult:
    """What was read, and what was answered to each slip: "right", "not so" or "can't see", by its place.

    ``whole``: the photograph without place, time and camera, for those who keep it for trials.
    """

    warp: str
    planned: Planned
    lifts: Bools
    ends: tuple[int, int]
    corners: Corners
    found: PhotoFound
    shown: Shown
    whole: bytes
    whole_scale: float
    answers: dict[int, str] = field(default_factory=dict)
    kept: str = ""


def start(
    warp: str, planned: Planned, lifts: Bools, ends: tuple[int, int], corners: Corners, data: bytes, back: str
) -> str:
    """Begin to read; the token names the work."""

    def work(job: background.Job) -> None:
        while not _one_at_a_time.acquire(timeout=_WAIT):
            job.tell(0, 1)
        try:
            job.result = _read(job, warp, planned, lifts, ends, corners, data)
        finally:
            _one_at_a_time.release()

    job = background.Job(_("Reading the photograph"), "", KIND, back)
    token = background.start(job, work)
    job.goes = f"{back}/{token}"
    return token


def _read(
    job: background.Job,
    warp: str,
    planned: Planned,
    lifts: Bools,
    ends: tuple[int, int],
    corners: Corners,
    data: bytes,
) -> PhotoResult:
    opened = picture.of_bytes(data)
    found = certainty.find(opened, corners, planned, lifts, ends, job.tell)
    shown = _shown(opened, corners, ends)
    return PhotoResult(
        warp,
        planned,
        lifts,
        ends,
        corners,
        found,
        shown,
        picture.without_notes(opened),
        opened.image.width / opened.full[0],
    )


def _shown(opened: picture.Picture, corners: Corners, ends: tuple[int, int]) -> Shown:
    points = np.array(corners)
    end = float(np.hypot(*(points[1] - points[0]))) / (ends[1] - ends[0])
    low = np.maximum(points.min(axis=0) - _BESIDE * end, 0)
    high = np.minimum(points.max(axis=0) + _BESIDE * end, opened.full)
    scale = min(_END_PX / end, _MOST_PX / float((high - low).max()))
    size = max(1, round(float(high[0] - low[0]) * scale)), max(1, round(float(high[1] - low[1]) * scale))
    held = opened.image.width / opened.full[0]
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    part = opened.image.resize(
        size,
        Image.Resampling.LANCZOS,
        box=(box[0] * held, box[1] * held, box[2] * held, box[3] * held),
        reducing_gap=2.0,
    )
    stream = io.BytesIO()
    part.save(stream, "JPEG", quality=85)
    return Shown(stream.getvalue(), box, scale, size)


def find(token: str, warp: str) -> PhotoResult | None:
    """What was read of this warp; None: it is not held any more."""
    job = background.find(token)
    result = job.result if job is not None and job.kind == KIND else None
    return result if isinstance(result, PhotoResult) and result.warp == warp else None
