"""Cloth as mathematics: satins, twills, and which cloths hold together, against sources from outside."""

from __future__ import annotations

import itertools

import networkx as nx
import numpy as np
import pytest
import sympy
from sympy.functions.combinatorial.numbers import totient

from loomready.draft.draft import Bools, lift_plan, shed
from loomready.draft.structure import analysis, integrity


def hangs(block: Bools) -> bool:
    """By loomready, from a draft with a shaft for each end."""
    return integrity.holds(block, np.arange(block.shape[1], dtype=np.int16))


def satin(n: int, step: int) -> list[list[int]]:
    """Lifts of an n-end satin, one binding point a pick."""
    return [[step * pick % n + 1] for pick in range(n)]


def is_satin(n: int, step: int) -> bool:
    """Whether loomready finds a regular satin: it hangs, repeats on n, and no two points touch."""
    draft = lift_plan(range(1, n + 1), satin(n, step), shafts=n)
    found = analysis.analyze(draft)
    touching = step % n in (1, n - 1)
    one_each = all(count == 1 for count in draft.lifts.sum(axis=0))
    return found.holds_together and found.repeat == (n, n) and one_each and not touching


# A. Wolfensberger, Theory of Silk Weaving, printed table of regular satins: counters up to mirror images.
# Status: seen in a stored copy of the source, and computed.
WOLFENSBERGER = {
    5: [2],
    6: [],
    7: [2, 3],
    8: [3],
    9: [2, 4],
    10: [3],
    11: [2, 3, 4, 5],
    12: [5],
    13: [2, 3, 4, 5, 6],
}


@pytest.mark.parametrize(("n", "counters"), WOLFENSBERGER.items())
def test_regular_satins_are_those_of_the_printed_table(n: int, counters: list[int]) -> None:
    assert [step for step in range(1, n // 2 + 1) if is_satin(n, step)] == counters


@pytest.mark.parametrize("n", range(5, 40))
def test_the_number_of_satins_follows_the_totient(n: int) -> None:
    # (phi(n) - 2) / 2: A. Wolfensberger, as above. phi from sympy. Status: seen, and computed.
    assert sum(is_satin(n, step) for step in range(1, n // 2 + 1)) == (totient(n) - 2) // 2


def test_a_satin_of_six_ends_with_step_two_falls_apart() -> None:
    # Status: computed.
    draft = lift_plan(range(1, 7), satin(6, 2), shafts=6)
    assert not analysis.analyze(draft).holds_together
    assert analysis.analyze(draft).longest_warp_float is None


# OEIS A000031, binary necklaces of n beads, n from 1. Status: seen in a stored copy, and computed.
NECKLACES = [2, 3, 4, 6, 8, 14, 20, 36, 60]


@pytest.mark.parametrize("n", range(1, 10))
def test_twills_on_n_shafts_are_as_many_as_necklaces(n: int) -> None:
    """Twills with step 1, told apart by what loomready's sheds show, wherever the repeat begins."""
    straight = np.arange(n, dtype=np.int16)
    twills = set()
    for first in itertools.product([False, True], repeat=n):
        lifts = np.array([np.roll(first, pick) for pick in range(n)])
        cloth = shed(lifts, straight)
        twills.add(min(np.roll(cloth, pick, axis=0).tobytes("C") for pick in range(n)))
    by_sympy = sum(int(totient(d)) * 2 ** (n // d) for d in sympy.divisors(n)) // n
    assert len(twills) == NECKLACES[n - 1] == by_sympy


def strongly_connected(block: Bools) -> bool:
    """Clapham's digraph by networkx: from the thread on top to the one below, at every crossing."""
    return nx.is_strongly_connected(lies_over(block))


def lies_over(block: Bools) -> nx.DiGraph:
    ends = block.shape[1]
    crossings = (
        (end, ends + pick, up) for pick, row in enumerate(block.tolist()) for end, up in enumerate(row)
    )
    return nx.DiGraph([(end, pick) if up else (pick, end) for end, pick, up in crossings])


# C. R. J. Clapham, Bull. London Math. Soc. 12 (1980) 161-164; T. C. Enns, Geom. Dedicata 15 (1984)
# 259-260: a cloth holds together exactly when "lies over" is strongly connected. Status of the sources: from
# memory, unconfirmed. Counts of the blocks that hang: computed with networkx.
@pytest.mark.parametrize(("side", "hanging"), [(2, 2), (3, 102)])
def test_every_small_block_hangs_just_when_its_digraph_is_strongly_connected(side: int, hanging: int) -> None:
    blocks = [np.reshape(cells, (side, side)) for cells in itertools.product([False, True], repeat=side**2)]
    ours = [hangs(block) for block in blocks]
    assert ours == [strongly_connected(block) for block in blocks]
    assert sum(ours) == hanging


def test_every_block_of_four_by_four_hangs_just_when_its_digraph_does() -> None:
    # 22 730 of the 65 536 blocks hang. Status: computed.
    cells = np.unpackbits(np.arange(1 << 16, dtype=">u2").view(np.uint8).reshape(-1, 2), axis=1)
    blocks = cells.astype(bool).reshape(-1, 4, 4)
    ours = [hangs(block) for block in blocks]
    assert ours == [strongly_connected(block) for block in blocks]
    assert sum(ours) == 22_730


@pytest.mark.parametrize("shape", [(3, 4), (4, 3), (2, 5)])
def test_every_oblong_block_hangs_just_when_its_digraph_does(shape: tuple[int, int]) -> None:
    picks, ends = shape
    for cells in itertools.product([False, True], repeat=picks * ends):
        block = np.reshape(cells, shape)
        assert hangs(block) is strongly_connected(block)


def test_two_thousand_random_drafts_have_the_parts_that_networkx_finds() -> None:
    rng = np.random.default_rng(1980)
    falling = 0
    for _ in range(2000):
        shafts, ends, picks = rng.integers(1, 9), rng.integers(1, 17), rng.integers(1, 17)
        lifts = rng.random((picks, shafts)) < rng.choice([0.15, 0.3, 0.5, 0.8])
        threading = rng.integers(-1 if rng.random() < 0.2 else 0, shafts, ends).astype(np.int16)
        found = integrity.parts_of(lifts, threading)
        graph = lies_over(shed(lifts, threading))
        components = {frozenset(threads) for threads in nx.strongly_connected_components(graph)}
        ours = {frozenset([*part.ends.tolist(), *(part.picks + ends).tolist()]) for part in found}
        assert ours == components
        assert integrity.holds(lifts, threading) is (len(components) == 1)
        falling += len(components) > 1
    assert 300 < falling < 1900  # both kinds were tried


def rows(text: str) -> Bools:
    return np.array([[face == "1" for face in row] for row in text.split("/")])


def test_double_plain_weave_is_two_cloths_and_one_stitch_makes_it_one() -> None:
    # Status: computed.
    layers = list(integrity.parts(rows("1000/1110/0010/1011")))
    assert [(part.ends.tolist(), part.picks.tolist()) for part in layers] == [
        ([0, 2], [0, 2]),
        ([1, 3], [1, 3]),
    ]
    assert not hangs(rows("1000/1110/0010/1011"))
    assert hangs(rows("1100/1110/0010/1011"))
