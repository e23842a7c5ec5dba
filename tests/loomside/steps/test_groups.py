"""Long runs of ends are cut into groups that one can count."""

from __future__ import annotations

import pytest

from loomready.loomside.steps.groups import MOST, parts
from loomready.loomside.steps.groups import groups as groups_of
from loomready.warp.plan import plan_guild
from tests import cast


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


@pytest.mark.parametrize("floating", [False, True])
def test_floating_selvedges_are_groups_of_their_own_and_every_end_is_in_one_group(floating: bool) -> None:
    order = cast.order(floating_selvedges=floating, selvedge_ends=3, selvedge_shafts=(1, 2))
    web = plan_guild(cast.guild(order), cast.drafts()).warps[0].web
    groups = groups_of(web)
    ends = [end for group in groups for end in range(group.first, group.first + group.size)]
    assert ends == list(range(web.ends))
    alone = [group.first for group in groups if str(group.place) == "floating selvedge"]
    assert alone == ([0, web.ends - 1] if floating else [])
    selvedges = [(group.first, group.size) for group in groups if str(group.place) == "selvedge"]
    edge = int(floating)
    assert selvedges == [(edge, 3), (web.ends - edge - 3, 3)]
