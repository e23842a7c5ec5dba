"""Drafts and operations for the tests of editing: small, of every kind, and by chance."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from loomready.draft.draft import Draft, lifts_of

PALETTE = ((38, 58, 84), (243, 238, 226), (150, 51, 31))


def chance(seed: int, *, way: str | None = None) -> Draft:
    """A small draft by chance: with a lift plan, or with treadles on a rising or a sinking shed."""
    rng = np.random.default_rng(seed)
    way = way or ("lift plan", "rising", "sinking")[seed % 3]
    ends, picks = (int(number) for number in rng.integers(1, 24, 2))
    shafts, treadles = (int(number) for number in rng.integers(1, 12, 2))
    treadling = rng.random((picks, treadles)) < rng.choice([0.0, 0.15, 0.4])
    tieup = rng.random((shafts, treadles)) < 0.4
    plan = rng.random((picks, shafts)) < 0.4
    by_foot = way != "lift plan"
    return Draft(
        threading=rng.integers(-1, shafts, ends).astype(np.int16),
        lifts=lifts_of(tieup, treadling, way == "rising") if by_foot else plan,
        tieup=tieup if by_foot else None,
        treadling=treadling if by_foot else None,
        rising=way != "sinking",
        palette=PALETTE,
        warp_colors=rng.integers(0, 3, ends).astype(np.int16),
        weft_colors=rng.integers(0, 3, picks).astype(np.int16),
        warp_spacing_mm=rng.random(ends) + 1,
        weft_thickness_mm=rng.random(picks) + 1,
    )


drafts = st.integers(0, 100_000).map(chance)


def same(one: Draft, other: Draft) -> bool:
    """Whether two drafts agree in every field."""
    for name in Draft.__slots__:
        mine, theirs = getattr(one, name), getattr(other, name)
        if isinstance(mine, np.ndarray) or isinstance(theirs, np.ndarray):
            if mine is None or theirs is None or not np.array_equal(mine, theirs):
                return False
        elif mine != theirs:
            return False
    return True


def chance_words(rng: np.random.Generator, draft: Draft) -> dict[str, object]:
    """An operation by chance that can be done to this draft, in the words that a page sends."""
    by_foot = draft.treadles is not None
    columns = draft.treadles if draft.treadles is not None else draft.shafts
    side = str(rng.choice(["warp", "weft"]))
    there = draft.ends if side == "warp" else draft.picks
    first, last = sorted(int(number) + 1 for number in rng.integers(0, there, 2))
    before = int(rng.integers(1, there + 2))
    run = {"side": side, "first": first, "last": last}
    kinds = ["thread", "tread", "treadling", "color", "palette", "insert", "delete", "move", "copy"]
    kinds += ["mirror", "reverse", "repeat", "slide", "shafts", "lifting"] + [
        "tie",
        "treadles",
        "shed",
    ] * by_foot
    kind = str(rng.choice(kinds))
    pick = int(rng.integers(1, draft.picks + 1))
    end = int(rng.integers(1, draft.ends + 1))
    if kind == "thread":
        count = int(rng.integers(1, draft.ends - end + 2))
        return {"do": kind, "first": end, "shafts": rng.integers(0, draft.shafts + 1, count).tolist()}
    if kind == "tie":
        cells = [[int(rng.integers(1, columns + 1)), int(rng.integers(1, draft.shafts + 1))]]
        return {"do": kind, "cells": cells, "on": bool(rng.integers(2))}
    if kind == "tread":
        return {
            "do": kind,
            "cells": [[pick, int(rng.integers(1, columns + 1))]],
            "on": bool(rng.integers(2)),
        }
    if kind == "treadling":
        return {"do": kind, "first": pick, "rows": [[int(rng.integers(1, columns + 1))]]}
    if kind == "color":
        count = int(rng.integers(1, there - first + 2))
        colors = rng.integers(1, len(draft.palette) + 1, count).tolist()
        return {"do": kind, "side": side, "first": first, "colors": colors}
    if kind == "palette":
        number = int(rng.integers(1, len(draft.palette) + 2))
        return {"do": kind, "number": number, "value": f"#{int(rng.integers(1 << 24)):06x}"}
    if kind == "insert":
        return {"do": kind, "side": side, "before": before, "count": int(rng.integers(1, 4))}
    if kind == "delete" and last - first + 1 == there:
        return {"do": "reverse", **run}
    if kind in ("move", "copy"):
        return {"do": kind, **run, "before": before}
    if kind == "mirror":
        return {"do": kind, **run, "turn": str(rng.choice(["once", "twice"]))}
    if kind == "repeat":
        return {"do": kind, **run, "times": int(rng.integers(1, 4))}
    if kind == "slide":
        return {"do": kind, **run, "by": int(rng.integers(-5, 6))}
    if kind == "shafts":
        used = int(draft.threading.max(initial=-1)) + 1
        return {"do": "count", "what": "shafts", "to": int(rng.integers(max(1, used), used + 4))}
    if kind == "treadles":
        trodden = np.flatnonzero(np.asarray(draft.treadling).any(axis=0))
        least = int(trodden[-1]) + 1 if len(trodden) else 1
        return {"do": "count", "what": "treadles", "to": int(rng.integers(least, least + 4))}
    if kind == "lifting":
        ways = ["lift plan"] + ["treadles"] * bool(by_foot or draft.lifts.any())
        return {"do": kind, "by": str(rng.choice(ways))}
    if kind == "shed":
        one_each = not (np.asarray(draft.treadling).sum(axis=1) > 1).any()
        keep = str(rng.choice(["cloth", "ties"])) if one_each else "ties"
        return {"do": kind, "rising": bool(rng.integers(2)), "keep": keep}
    return {"do": kind, **run}
