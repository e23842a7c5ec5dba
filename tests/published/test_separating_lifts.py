"""How few picks tell shafts apart: separating systems of sets, and the way without weaving."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from loomready.slips import test_picks as picking

# The least number of sets that separate the elements of an n-set: ceil(log2 n).
# A. Renyi, On random generating elements of a finite Boolean algebra, Acta Sci. Math. Szeged 22 (1961) 75-81;
# G. Katona, On separating systems of a finite set, J. Combinatorial Theory 1 (1966) 174-194.
# Status: from memory; up to six shafts computed below by trying all sets.
LEAST = {2: 1, 3: 2, 4: 2, 5: 3, 6: 3, 8: 3, 9: 4, 12: 4, 16: 4, 17: 5, 24: 5, 32: 5}


@pytest.mark.parametrize(("shafts", "least"), LEAST.items())
def test_picks_are_as_few_as_a_separating_system_has_sets(shafts: int, least: int) -> None:
    made = picking.fewest(np.arange(shafts), shafts)
    assert len(made.lifts) == least
    assert picking.cannot_tell(made.lifts, range(shafts)) == ()


@pytest.mark.parametrize("shafts", [2, 3, 4, 5, 6])
def test_no_fewer_sets_separate_them(shafts: int) -> None:
    fewer = itertools.combinations(range(2**shafts), LEAST[shafts] - 1)
    for sets in fewer:
        codes = {tuple(each >> shaft & 1 for each in sets) for shaft in range(shafts)}
        assert len(codes) < shafts


# Lifting each shaft alone shows exactly the ends in its heddles. Status: common practice, no source.
def test_each_shaft_alone_lifts_every_end_once() -> None:
    threading = np.array([0, 1, 2, 3, 2, 1, 0, 3])
    rising = [place for _shaft, groups in picking.one_by_one(threading, [(0, 8)]) for place in groups[0]]
    assert sorted(rising) == list(range(1, 9))
