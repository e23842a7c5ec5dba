"""How unlike cloths are, and that the next one taken is the farthest."""

from __future__ import annotations

import numpy as np
import pytest

from loomready.choose.drafts.variety import CONTRAST, Spread, picture
from loomready.draft.draft import Bools, drawdown
from loomready.draft.families.registry import make


def cloth(family: str, **options: str) -> Bools:
    return np.tile(drawdown(make(family, options)), (2, 2))


@pytest.mark.parametrize(
    "family", ["straight-twill", "point-twill", "satin", "overshot", "waffle", "huck-lace"]
)
def test_the_picture_of_a_cloth_hardly_changes_when_it_is_moved_mirrored_or_turned_over(family: str) -> None:
    block = cloth(family)
    looks = picture(block)
    others = [picture(cloth(other)) for other in ("straight-twill", "waffle", "overshot") if other != family]
    nearest_other = min(float(np.linalg.norm(looks - other)) for other in others)
    for same in (np.roll(block, (3, 5), (0, 1)), block[::-1], block[:, ::-1], ~block):
        assert np.linalg.norm(picture(same) - looks) < 0.6 * nearest_other


def test_each_point_taken_is_the_farthest_from_those_before() -> None:
    generator = np.random.default_rng(4)
    points = generator.random((60, 8))
    spread = Spread()
    spread.add(points[:30])
    every = np.ones(30, np.bool_)
    first = spread.farthest(every)
    assert first == points[:30, CONTRAST].argmax()
    taken = []
    for count in range(12):
        if count == 6:  # more come in in the meantime
            spread.add(points[30:])
            every = np.ones(60, np.bool_)
        place = spread.farthest(every)
        assert place is not None
        if taken:
            away = [
                min(float(np.linalg.norm(point - points[one])) for one in taken)
                for point in points[: len(every)]
            ]
            assert away[place] == pytest.approx(max(away))
        spread.take(place)
        taken.append(place)
    assert len(set(taken)) == 12


def test_what_is_dropped_or_not_allowed_is_never_taken() -> None:
    spread = Spread()
    spread.add(np.eye(8))
    spread.drop(CONTRAST)
    allowed = np.arange(8) < 3
    for _ in range(3):
        place = spread.farthest(allowed)
        assert place in (0, 1, 2)
        spread.take(int(place or 0))
    assert spread.farthest(allowed) is None
