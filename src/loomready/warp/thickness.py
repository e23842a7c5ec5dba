"""How thick the threads of a draft are in the yarns chosen for them."""

from __future__ import annotations

import numpy as np

from loomready.model.guild import Guild
from loomready.warp.width import roles_of
from loomready.yarn.diameter import diameter_mm


def mean_diameter_mm(guild: Guild, yarns: tuple[str, ...], colors: np.ndarray) -> float:
    """Mean diameter of the threads of a draft in their yarns."""
    share = np.bincount(roles_of(colors), minlength=len(yarns)) / colors.size
    each = [diameter_mm(yarn.tex, yarn.woollen) for yarn in map(guild.yarn, yarns)]
    return float(np.dot(share, each))
