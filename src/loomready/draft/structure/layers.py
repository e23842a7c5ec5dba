"""Which threads make which layer of a layered cloth.

Layers that lie loose on one another are the parts of the cloth (:mod:`loomready.draft.structure.integrity`);
a thread that comes apart alone is not a layer. Layers that change places, as in double weave blocks, or that
are stitched together hold together as one: there the threads are tried in turn, end by end and pick by pick,
as such drafts are written (common practice, no source), and each layer must hold together on its own.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from loomready.draft.draft import Draft
from loomready.draft.structure import integrity
from loomready.draft.structure.analysis import Structure, interlacements
from loomready.draft.structure.periods import AnyInts

# parts: the layers are loose from one another, or there is one; in turn: their threads alternate; no: not
# found
HowTold = Literal["parts", "in turn", "no"]


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """One layer of the repeat. ``share``: of the repeat's ends; ``pick_share``: of its picks.

    ``draft`` holds its own ends and picks alone, in their order: ``ends`` and ``picks`` of the whole, from 0.
    """

    draft: Draft
    share: float
    pick_share: float
    ends: AnyInts
    picks: AnyInts


def layers_of(draft: Draft, meant: int) -> tuple[Layer, ...]:
    """The layers of the draft's repeat, ``meant`` of them; empty where they cannot be told apart.

    :param meant: 1 or more
    :raises BadInput: the draft has no ends or no picks
    """
    return _told(draft, meant)[1]


def how_told(draft: Draft, meant: int) -> HowTold:
    """How :func:`layers_of` finds the layers of this draft.

    :raises BadInput: the draft has no ends or no picks
    """
    return _told(draft, meant)[0]


@lru_cache(maxsize=256)
def _told(draft: Draft, meant: int) -> tuple[HowTold, tuple[Layer, ...]]:
    """Cached: drafts are immutable."""
    structure = Structure(draft)
    ends, picks = structure.repeat
    if meant == 1:
        return "parts", (Layer(draft, 1.0, 1.0, np.arange(draft.ends), np.arange(draft.picks)),)
    parts = [part for part in structure.parts if len(part.ends) and len(part.picks)]
    if len(parts) == meant:
        return "parts", tuple(_layer(draft, part.ends, part.picks, ends, picks) for part in parts)
    found = [
        made
        for sides in _in_turn(ends, picks, meant)
        if (made := tuple(_layer(draft, *side, ends, picks) for side in sides)) and _each_holds(made)
    ]
    # Of several ways, the one whose layers interlace most: a layer that floats over another is not a layer.
    best = max(found, key=_intersections, default=())
    return ("in turn" if best else "no"), best


def _layer(draft: Draft, ends: AnyInts, picks: AnyInts, all_ends: int, all_picks: int) -> Layer:
    own = replace(
        draft,
        threading=draft.threading[ends],
        lifts=draft.lifts[picks],
        tieup=None,
        treadling=None,
        warp_colors=draft.warp_colors[ends],
        weft_colors=draft.weft_colors[picks],
        warp_spacing_mm=None,
        weft_spacing_mm=None,
        warp_thickness_mm=None,
        weft_thickness_mm=None,
    )
    return Layer(own, len(ends) / all_ends, len(picks) / all_picks, ends, picks)


def _in_turn(ends: int, picks: int, meant: int) -> Iterator[list[tuple[AnyInts, AnyInts]]]:
    """Every way to assign ends and picks to the layers in turn, picks also up and back."""
    if ends % meant or picks % meant:
        return
    end_of, pick = np.arange(ends) % meant, np.arange(picks)
    back_and_forth = np.concatenate([np.arange(meant), np.arange(meant)[::-1]])
    turns = [pick % meant]
    if picks % (2 * meant) == 0:
        turns += [np.roll(back_and_forth, shift)[pick % (2 * meant)] for shift in range(meant)]
    for turn, order in itertools.product(turns, itertools.permutations(range(meant))):
        pick_of = np.asarray(order)[turn]
        yield [(np.flatnonzero(end_of == layer), np.flatnonzero(pick_of == layer)) for layer in range(meant)]


def _each_holds(layers: tuple[Layer, ...]) -> bool:
    return all(integrity.holds(layer.draft.lifts, layer.draft.threading) for layer in layers)


def _intersections(layers: tuple[Layer, ...]) -> float:
    return sum(i / (e * p) for e, p, i in (interlacements(layer.draft) for layer in layers))
