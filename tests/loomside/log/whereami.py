"""Where am I: the last picks, compared with the treadling as it repeats. ``whereami.js`` is held to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt


def places_of(up: npt.NDArray[np.bool_], seen: Sequence[Mapping[int, bool]]) -> npt.NDArray[np.int64]:
    """At which picks of the repeat (from 0) the last pick may be.

    :param up: bool[picks of the repeat, shafts], true where a shaft is up
    :param seen: the last pick first, then the one before it, ...: shaft (from 1) to whether it was up; a
        shaft that is not named was not looked at
    """
    fits = np.ones(up.shape[0], dtype=np.bool_)
    for back, pick in enumerate(seen):
        for shaft, was_up in pick.items():
            fits &= np.roll(up[:, shaft - 1], back) == was_up
    return np.flatnonzero(fits)


def nearest(places: Sequence[int], size: int, first: int, last: int, expected: int) -> int:
    """The pick nearest to the one expected, of those at these places; 0: there is none.

    :param size: picks in the repeat
    :param first: and ``last``: the picks (from 1) that the repeat fills, as a continuous repeat

    >>> nearest([2, 5], 8, 1, 40, 20), nearest([], 8, 1, 40, 20)
    (19, 0)
    """
    found = [pick for place in places for pick in range(first + place, last + 1, size)]
    return min(found, key=lambda pick: (abs(pick - expected), pick), default=0)
