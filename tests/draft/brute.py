"""Small random drafts, and the trade's definitions spelled out thread by thread, for comparison."""

from __future__ import annotations

import itertools
from typing import Any

import hypothesis.extra.numpy as hnp
import networkx as nx
import numpy as np
from hypothesis import strategies as st

from loomready.draft.draft import Bools, Draft

blocks = hnp.arrays(np.bool_, hnp.array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=9))


@st.composite
def layered(draw: st.DrawFn) -> Bools:
    """Blocks whose topmost ends and picks lie over all the others, once or twice, in any order."""
    block = draw(blocks)
    picks, ends = block.shape
    for _ in range(draw(st.integers(1, 2))):
        top_ends, top_picks = draw(st.integers(0, ends)), draw(st.integers(0, picks))
        block[top_picks:, :top_ends] = True
        block[:top_picks, top_ends:] = False
    block = block[draw(st.permutations(range(picks)))]
    return block[:, draw(st.permutations(range(ends)))]


@st.composite
def drafts(draw: st.DrawFn, most: int = 12, repeats: int = 3) -> Draft:
    """Drafts with repeats, partial repeats, ends not threaded, shafts without ends, unequal colors."""
    shafts = draw(st.integers(1, 6))
    unit = draw(st.lists(st.integers(-1, shafts - 1), min_size=1, max_size=most // 2))
    ends = draw(st.integers(1, repeats * len(unit)))
    lift = st.lists(st.booleans(), min_size=shafts, max_size=shafts)
    treadling = draw(st.lists(lift, min_size=1, max_size=most // 2))
    picks = draw(st.integers(1, repeats * len(treadling)))
    colors = [draw(st.lists(st.integers(0, 1), min_size=1, max_size=4)) for _ in range(2)]
    return draft(
        (unit * repeats)[:ends],
        (treadling * repeats)[:picks],
        warp_colors=(colors[0] * ends)[:ends],
        weft_colors=(colors[1] * picks)[:picks],
    )


def draft(threading: Any, lifts: Any, **more: Any) -> Draft:
    """A lift plan from shafts from 0 (-1: no heddle) and rows of 0 and 1."""
    threads, plan = np.asarray(threading, np.int16), np.asarray(lifts, np.bool_)
    more = {name: np.asarray(value) for name, value in more.items()}
    for name, count in (("warp_colors", len(threads)), ("weft_colors", len(plan))):
        more[name] = more.get(name, np.zeros(count)).astype(np.int16)
    return Draft(
        threading=threads,
        lifts=plan,
        tieup=None,
        treadling=None,
        rising=True,
        palette=((0, 0, 0), (255, 255, 255)),
        **more,
    )


def from_block(block: Bools) -> Draft:
    """A draft with a shaft for each end."""
    return draft(np.arange(block.shape[1]), block)


def lies_over(block: Bools) -> nx.DiGraph:
    """Clapham's digraph: an arrow from the thread on top to the one below, at every crossing."""
    graph = nx.DiGraph()
    for pick, end in itertools.product(*map(range, block.shape)):
        over, under = ("end", end), ("pick", pick)
        graph.add_edge(*((over, under) if block[pick, end] else (under, over)))
    return graph


def line_period(items: list[Any]) -> int:
    return next(
        p for p in range(1, len(items) + 1) if all(a == b for a, b in zip(items, items[p:], strict=False))
    )


def longest_run(items: list[Any]) -> int | None:
    """As a continuous repeat; None where all are equal."""
    if len(set(items)) == 1:
        return None
    return max(len(list(run)) for _, run in itertools.groupby(items * 2))


def longest_float(lines: Bools) -> int | None:
    runs = [longest_run(line.tolist()) for line in lines]
    return None if None in runs else max(run for run in runs if run is not None)


def has_mirror(items: list[Any]) -> bool:
    return any(items[k:] + items[:k] == items[::-1] for k in range(len(items)))
