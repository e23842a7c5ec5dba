"""Helpers to write a family's draft: shafts and treadles from 0, one treadle per pick."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from loomready.draft.draft import DARK, LIGHT, Bools, Draft, lifts_of

DARK_COLOR, LIGHT_COLOR = 0, 1  # places in the palette of every family


def treadled(
    threading: Sequence[int],
    tieup: Bools,
    treadling: Sequence[int],
    *,
    title: str,
    warp_colors: Sequence[int] | None = None,
    weft_colors: Sequence[int] | None = None,
) -> Draft:
    """A draft for treadles that lift: tieup bool[S, T], treadling int[P], one treadle a pick.

    Where no colors are given the warp is dark and the weft light.
    """
    pressed = np.zeros((len(treadling), tieup.shape[1]), dtype=np.bool_)
    pressed[np.arange(len(treadling)), list(treadling)] = True
    warp = [DARK_COLOR] * len(threading) if warp_colors is None else warp_colors
    weft = [LIGHT_COLOR] * len(treadling) if weft_colors is None else weft_colors
    return Draft(
        threading=np.asarray(threading, dtype=np.int16),
        lifts=lifts_of(tieup, pressed, rising=True),
        tieup=tieup,
        treadling=pressed,
        rising=True,
        palette=(DARK, LIGHT),
        warp_colors=np.asarray(warp, dtype=np.int16),
        weft_colors=np.asarray(weft, dtype=np.int16),
        title=title,
    )


def by_sheds(
    threading: Sequence[int],
    sheds: Sequence[Iterable[int]],
    *,
    shafts: int,
    title: str,
    first: Iterable[frozenset[int]] = (),
    warp_colors: Sequence[int] | None = None,
    weft_colors: Sequence[int] | None = None,
) -> Draft:
    """A draft from the shafts lifted in each pick: every different shed gets a treadle.

    Sheds in ``first`` (the tabbies, say) have the first treadles; the others follow as they come.
    """
    lifted = [frozenset(shed) for shed in sheds]
    used = set(lifted)
    order = dict.fromkeys((*(shed for shed in first if shed in used), *lifted))
    treadle = {shed: number for number, shed in enumerate(order)}
    tieup = np.zeros((shafts, len(treadle)), dtype=np.bool_)
    for shed, number in treadle.items():
        tieup[sorted(shed), number] = True
    return treadled(
        threading,
        tieup,
        [treadle[shed] for shed in lifted],
        title=title,
        warp_colors=warp_colors,
        weft_colors=weft_colors,
    )


def swapped(draft: Draft) -> Draft:
    """Warp and weft swapped, the same threads on the face: what floated in the weft floats in the warp."""
    assert draft.tieup is not None
    assert draft.treadling is not None
    return treadled(
        draft.treadling.argmax(axis=1).tolist(),
        np.ascontiguousarray(~draft.tieup.T),
        draft.threading.tolist(),
        title=draft.title or "",
        warp_colors=draft.weft_colors.tolist(),
        weft_colors=draft.warp_colors.tolist(),
    )
