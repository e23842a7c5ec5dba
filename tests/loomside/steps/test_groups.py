"""Long runs of ends are cut into groups that one can count."""

from __future__ import annotations

import pytest

from loomready.loomside.steps.groups import MOST, parts


@pytest.mark.parametrize("size", range(1, 121))
def test_a_run_is_cut_into_the_fewest_groups_in_fours_and_as_even_as_that_allows(size: int) -> None:
    fewest = -(-size // MOST)
    # The smallest four with which so many groups hold all.
    even = next(step for step in range(4, MOST + 1, 4) if step * fewest >= size)
    cut = parts(size)
    if fewest == 1:
        assert cut == [size]
    else:
        assert cut[:-1] == [even] * (len(cut) - 1)
        assert 0 < cut[-1] <= even
    assert len(cut) <= fewest
    assert sum(cut) == size
