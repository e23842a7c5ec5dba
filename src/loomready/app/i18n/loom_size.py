"""How pages name a loom's size."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready.model.guild import Loom


def shafts_of(loom: Loom) -> str:
    """How many shafts a loom has; of a rigid heddle loom, how many heddles."""
    if loom.kind == "inkle":
        return _("heddled and open ends")
    if loom.is_rigid_heddle:
        return ngettext("%d heddle", "%d heddles", loom.shafts) % loom.shafts
    return ngettext("%d shaft", "%d shafts", loom.shafts) % loom.shafts
