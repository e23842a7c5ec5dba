"""What the draft editor takes at most: the server checks it; the page, which gets it, checks it first."""

from __future__ import annotations

from loomready.draft.edit.operations import MAX_COLORS
from loomready.model.guild import MAX_ENDS, MAX_PICKS, MAX_SHAFTS, MAX_TREADLES

MAX_CROSSINGS = 40_000_000  # 20 000 ends by 2 000 picks
"""The largest draft that the page paints without a pause; larger ones can be viewed, not edited."""

LIMITS = {
    "warp": MAX_ENDS,
    "weft": MAX_PICKS,
    "shafts": MAX_SHAFTS,
    "treadles": MAX_TREADLES,
    "colors": MAX_COLORS,
    "crossings": MAX_CROSSINGS,
}
