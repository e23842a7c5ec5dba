"""When two drawdowns are the same cloth: shifted, mirrored, turned over or woven upside down.

A cloth here is its continuous repeat. Moving it, a mirror along the ends, another along the picks (woven
upside down) and the other face (turning it over swaps the faces and mirrors the ends) make up to 8 E P
drawdowns of it. Its canonical form is the smallest of them, rows compared one after another.

The first row of the smallest is the smallest rotation of all rows, their reverses and complements; only
the places that attain it are followed to their second row, and so on.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools, Draft, shed
from loomready.draft.structure.analysis import Structure

Keys = npt.NDArray[np.uint64]
_WORD = 64


def of_draft(draft: Draft) -> bytes:
    """A key that is equal for two drafts exactly when their uncolored cloths are the same.

    :raises BadInput: the draft has no ends or no picks
    """
    structure = Structure(draft)
    return canonical(shed(structure.lifts, structure.threading))


def canonical(block: Bools) -> bytes:
    """The canonical form of a drawdown bool[P, E] that is the smallest repeat of its cloth."""
    picks, ends = block.shape
    faces = np.stack([block, block[:, ::-1], ~block, ~block[:, ::-1]])
    keys = _rotations(faces.reshape(4 * picks, ends)).reshape(4, picks, ends)
    face, pick, end = np.nonzero(keys == keys.min())
    # Each place read downward and upward.
    face, pick, end = (np.concatenate([each, each]) for each in (face, pick, end))
    down = np.repeat([1, -1], len(face) // 2)
    for row in range(1, picks):
        if len(face) == 1:
            break
        here = keys[face, (pick + row * down) % picks, end]
        best = here == here.min()
        face, pick, end, down = face[best], pick[best], end[best], down[best]
    rows = (pick[0] + down[0] * np.arange(picks)) % picks
    smallest = np.roll(faces[face[0]][rows], -int(end[0]), axis=1)
    return b"%d %d " % (picks, ends) + np.packbits(smallest).tobytes()


def _rotations(rows: Bools) -> Keys:
    """Numbers in the order of all rotations of bool[n, E]: [row, first end], equal where they are equal."""
    ends = rows.shape[1]
    if ends <= _WORD:
        return _words(rows)
    # Longer rows by doubling: runs of 2 k threads are ordered by their two halves of k (Karp, Miller and
    # Rosenberg 1972; title from memory).
    ranks = rows.astype(np.uint64)
    length = 1
    while length < ends:
        following = np.roll(ranks, -length, axis=1)
        pairs = ranks * np.uint64(int(ranks.max()) + 1) + following
        ranks = np.unique(pairs, return_inverse=True)[1].reshape(rows.shape).astype(np.uint64)
        length *= 2
    return ranks


def _words(rows: Bools) -> Keys:
    """The rotations of bool[n, E], E at most 64, as the words that their threads write, the first highest."""
    ends = rows.shape[1]
    places = np.arange(ends, dtype=np.uint64)
    whole = (rows.astype(np.uint64) << places[::-1]).sum(axis=1, dtype=np.uint64)
    mask = np.uint64((1 << ends) - 1)
    back = (np.uint64(ends) - places) % np.uint64(ends)
    turned = (whole[:, None] << places) | (whole[:, None] >> back)
    turned[:, 0] = whole
    words: Keys = turned & mask
    return words
