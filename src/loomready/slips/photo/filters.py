"""scipy's filters of pictures, loaded at their first use: they are slow to load, and the web app imports this
folder before its first page."""

from __future__ import annotations

from typing import Any


def __getattr__(name: str) -> Any:
    from scipy import ndimage

    return getattr(ndimage, name)
