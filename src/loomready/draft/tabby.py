"""Tabby picks between the pattern picks: a plain-weave ground, in weaves whose pattern weft alone makes no
cloth.

Overshot, crackle, and summer and winter are woven with tabby: after each pattern pick comes a ground pick,
with the two plain-weave sheds A and B in turn (common practice, no source). Which shafts they lift follows
from the threading: neighbors must alternate.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from loomready.colors import RGB
from loomready.draft.draft import Bools, Draft, Floats, Ints, lifts_of
from loomready.draft.structure.periods import smallest_period
from loomready.phrases import phrase
from loomready.problems import BadInput


@dataclass(frozen=True, slots=True, eq=False)
class Tabby:
    """The two plain-weave sheds of a threading.

    a, b   bool[S], the shafts that each lifts; ``a`` has the lowest shaft of them all
    seam   the last end of the threading and its first are in the same shed, so that two neighboring ends rise
           together once per repeat
    """

    a: Bools
    b: Bools
    seam: bool


def tabby_of(threading: Ints, shafts: int) -> Tabby:
    """The tabby sheds of threading int[E].

    :raises BadInput: it cannot be woven plain; which ends would have to rise together
    """
    if not len(threading):
        raise BadInput(phrase("there are no ends; expected a threading"))
    loose = np.flatnonzero(threading < 0)
    if len(loose):
        raise BadInput(
            phrase(
                "no tabby on this threading: end {end} is not threaded and never rises; expected every end "
                "in a heddle",
                end=int(loose[0]) + 1,
            )
        )
    camp = _camps(threading)
    side: Bools = np.array([camp[shaft] for shaft in threading.tolist()], dtype=np.bool_)
    alike = np.flatnonzero(side[1:] == side[:-1])
    if len(alike):
        first, second = int(alike[0]), int(alike[0]) + 1
        one, other = int(threading[first]) + 1, int(threading[second]) + 1
        if one == other:
            what = phrase(
                "no tabby on this threading: ends {first} and {second} are both on shaft {shaft}; expected "
                "neighbors that can alternate",
                first=first + 1,
                second=second + 1,
                shaft=one,
            )
        else:
            what = phrase(
                "no tabby on this threading: ends {first} and {second} would rise together (shafts {shaft} "
                "and {other_shaft}); expected neighbors that can alternate",
                first=first + 1,
                second=second + 1,
                shaft=one,
                other_shaft=other,
            )
        raise BadInput(what)
    lifts = np.zeros((2, shafts), dtype=np.bool_)
    lowest = camp[min(camp)]
    for shaft, its in camp.items():
        lifts[int(its != lowest), shaft] = True
    repeat = threading[: smallest_period(threading)]
    return Tabby(lifts[0], lifts[1], seam=camp[int(repeat[0])] == camp[int(repeat[-1])])


def _camps(threading: Ints) -> dict[int, bool]:
    """Each shaft's side: the opposite of the end before its first. If tabby is possible, it is this one."""
    shafts, first = np.unique(threading, return_index=True)
    camp: dict[int, bool] = {}
    for place, shaft in sorted(zip(first.tolist(), shafts.tolist(), strict=True)):
        camp[shaft] = place > 0 and not camp[int(threading[place - 1])]
    return camp


def use_tabby(draft: Draft, ground: RGB) -> Draft:
    """The draft with a pick of ground weft after each of its picks, A and B in turn.

    The ground is a color of its own, so that it is a yarn of its own in the plan. A draft with treadles gets
    the two tabby treadles after its own, or presses those that it has. An odd number of picks is written out
    twice, so that A and B go on in turn where the treadling begins again.

    :raises BadInput: the threading cannot be woven plain, or there are no picks
    """
    if not draft.picks:
        raise BadInput(phrase("there are no picks; expected a treadling or a lift plan"))
    sheds = tabby_of(draft.threading, draft.shafts)
    times = 1 + draft.picks % 2
    picks = np.tile(np.arange(draft.picks), times)
    after = np.resize([0, 1], len(picks))
    up = np.stack([sheds.a, sheds.b])
    color = len(draft.palette)
    made = replace(
        draft,
        lifts=_between(draft.lifts[picks], up[after]),
        palette=(*draft.palette, ground),
        weft_colors=_between(draft.weft_colors[picks], np.full(len(picks), color, dtype=np.int16)),
        weft_spacing_mm=_repeated(draft.weft_spacing_mm, picks),
        weft_thickness_mm=_repeated(draft.weft_thickness_mm, picks),
        tieup=None,
        treadling=None,
    )
    if draft.tieup is None or draft.treadling is None:
        return made
    tieup, treadle = _treadles(draft, draft.tieup, draft.treadling, up)
    own = np.zeros((len(picks), tieup.shape[1]), dtype=np.bool_)
    own[:, : draft.tieup.shape[1]] = draft.treadling[picks]
    ground_picks = np.zeros_like(own)
    ground_picks[np.arange(len(picks)), [treadle[each] for each in after.tolist()]] = True
    treadling = _between(own, ground_picks)
    return replace(made, tieup=tieup, treadling=treadling, lifts=lifts_of(tieup, treadling, draft.rising))


def _between(picks: np.ndarray, grounds: np.ndarray) -> np.ndarray:
    made = np.empty((2 * len(picks), *picks.shape[1:]), dtype=picks.dtype)
    made[0::2], made[1::2] = picks, grounds
    return made


def _repeated(values: Floats | None, picks: np.ndarray) -> Floats | None:
    return None if values is None else np.repeat(values[picks], 2)


def _treadles(draft: Draft, tieup: Bools, treadling: Bools, up: Bools) -> tuple[Bools, list[int]]:
    """The tie-up with both tabbies, and which treadle is which; an existing treadle is used where one
    fits."""
    working = up.any(axis=0)
    ties = up if draft.rising else ~up & working
    pressed = treadling.any(axis=0)
    found: list[int] = []
    own = tieup
    for tied in ties:
        same = np.flatnonzero(pressed & (own[working] == tied[working, None]).all(axis=0))
        if len(same):
            found.append(int(same[0]))
        else:
            found.append(tieup.shape[1])
            tieup = np.concatenate([tieup, tied[:, None]], axis=1)
    return tieup, found


def ground_picks(draft: Draft) -> Bools | None:
    """Which picks are the ground weft, bool[P]; None where there is none to be found.

    A ground weft is found where every other pick weaves tabby, A and B in turn, in one color that no other
    pick has.
    """
    if not draft.picks or draft.picks % 2:
        return None
    try:
        sheds = tabby_of(draft.threading, draft.shafts)
    except BadInput:
        return None
    working = sheds.a | sheds.b
    lifts = draft.lifts[:, working]
    up = np.stack([sheds.a, sheds.b])[:, working]
    for first in (1, 0):
        ground = np.zeros(draft.picks, dtype=np.bool_)
        ground[first::2] = True
        colors = np.unique(draft.weft_colors[ground])
        if len(colors) > 1 or bool((draft.weft_colors[~ground] == colors[0]).any()):
            continue
        for turn in (0, 1):
            wanted = up[(np.arange(int(ground.sum())) + turn) % 2]
            if bool((lifts[ground] == wanted).all()):
                return ground
    return None


def without_ground(draft: Draft) -> Draft:
    """The draft without its ground weft: reverses :func:`use_tabby`.

    Tabby treadles at the end that no pick presses any more go, and so does the ground's color where it is
    the last of the palette and no end has it. (A draft of an odd number of picks comes back written twice.)

    :raises BadInput: no ground weft was found
    """
    ground = ground_picks(draft)
    if ground is None:
        raise BadInput(
            phrase(
                "no ground weft was found; expected every other pick in tabby, A and B in turn, in a color "
                "of its own"
            )
        )
    left = ~ground
    color = int(draft.weft_colors[ground][0])
    palette = draft.palette
    if color == len(palette) - 1 and not bool((draft.warp_colors == color).any()):
        palette = palette[:-1]
    tieup, treadling = draft.tieup, draft.treadling
    if tieup is not None and treadling is not None:
        treadling = treadling[left]
        sheds = tabby_of(draft.threading, draft.shafts)
        working = sheds.a | sheds.b
        ties = [shed if draft.rising else ~shed & working for shed in (sheds.b, sheds.a)]
        for tied in ties:
            if (
                tieup.shape[1] > 1
                and not treadling[:, -1].any()
                and bool((tieup[working, -1] == tied[working]).all())
            ):
                tieup, treadling = tieup[:, :-1], treadling[:, :-1]
    return replace(
        draft,
        lifts=draft.lifts[left],
        palette=palette,
        weft_colors=draft.weft_colors[left],
        weft_spacing_mm=None if draft.weft_spacing_mm is None else draft.weft_spacing_mm[left],
        weft_thickness_mm=None if draft.weft_thickness_mm is None else draft.weft_thickness_mm[left],
        tieup=tieup,
        treadling=treadling,
    )
