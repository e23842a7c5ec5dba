"""How pages name a loom's size."""

from __future__ import annotations

from django.utils.translation import ngettext

from loomready.model.guild import Loom
from loomready.warp.rigid import is_rigid


def shafts_of(loom: Loom) -> str:
    """How many shafts a loom has; of a rigid heddle loom, how many heddles."""
    if is_rigid(loom):
        return ngettext("%d heddle", "%d heddles", loom.shafts) % loom.shafts
    return ngettext("%d shaft", "%d shafts", loom.shafts) % loom.shafts
