"""Lift plans that a search tries: twill tie-ups walked, shaded weaves, crossing waves, mirrored orders.

A plan is bool[P, S] for P picks on S shafts; a batch of them bool[n, P, S]. As in traditional drafts,
neighboring shafts lift nearly alike, one step on, which gives lines, points and areas.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Bools
from loomready.phrases import phrase

Reals = npt.NDArray[np.float64]
KINDS = (phrase("walked tie-up"), phrase("shaded weave"), phrase("crossing waves"), phrase("mirrored order"))


@dataclass(frozen=True, slots=True, eq=False)
class Plans:
    """A batch of lift plans bool[n, P, S] and the kind of each, int[n] into KINDS."""

    lifts: Bools
    kind: npt.NDArray[np.int64]


def plans(shafts: int, picks: int, many: int, most_float: int, generator: np.random.Generator) -> Plans:
    """About ``many`` plans of that size, not checked: some may repeat, fall apart or float too far."""
    each = max(1, many // len(KINDS))
    makers = (
        _walked(shafts, picks, each, most_float, generator),
        _shaded(shafts, picks, each, generator),
        _waves(shafts, picks, each, generator),
        _mirrored(shafts, picks, each, most_float, generator),
    )
    lifts = np.concatenate(makers)
    kind = np.repeat(np.arange(len(KINDS)), [len(made) for made in makers])
    return Plans(lifts, kind)


def _walked(shafts: int, picks: int, many: int, most_float: int, generator: np.random.Generator) -> Bools:
    """One lift of runs up and down, moved along the shafts from pick to pick: straight, pointed, in jumps."""
    words = _twill_words(shafts, many, most_float, generator)
    walks = _walks(shafts, picks)
    if not len(walks):
        return np.zeros((0, picks, shafts), np.bool_)
    walk = walks[generator.integers(0, len(walks), many)]
    place = (np.arange(shafts) - walk[:, :, None]) % shafts
    return np.take_along_axis(words[:, None, :], place.reshape(many, 1, -1), axis=2).reshape(place.shape)


def _twill_words(shafts: int, many: int, most_float: int, generator: np.random.Generator) -> Bools:
    """Words bool[many, S] whose runs are short: most of one to three."""
    longest = max(1, min(most_float, 4, shafts - 1))
    chance = np.array([0.34, 0.34, 0.22, 0.10][:longest])
    runs = 1 + generator.choice(longest, (many, shafts), p=chance / chance.sum())
    starts = runs.cumsum(axis=1)
    turns = np.zeros((many, shafts + 1), np.int64)
    row = np.repeat(np.arange(many), shafts).reshape(many, shafts)
    turns[row, np.minimum(starts, shafts)] = 1
    words = turns[:, :shafts].cumsum(axis=1) + generator.integers(0, 2, (many, 1))
    begin = (np.arange(shafts) + generator.integers(0, shafts, (many, 1))) % shafts
    return np.take_along_axis(words % 2 == 0, begin, axis=1)


def _walks(shafts: int, picks: int) -> npt.NDArray[np.int64]:
    """Walks along the shafts that close after ``picks`` steps, int[k, P]."""
    pick = np.arange(picks)
    found = []
    for step in range(1, shafts):
        if step * picks % shafts == 0:
            found.append(step * pick)
    if picks % 2 == 0:
        tent = np.minimum(pick, picks - pick)
        found += [step * tent for step in (1, 2, 3) if step < shafts]
        half = picks // 2
        if half % 2 == 0 and half >= 4:  # a long point and a short one
            inner = np.where(
                pick <= half, np.minimum(pick, half - pick), np.minimum(pick - half, picks - pick) // 2
            )
            found.append(inner)
    for run, advance in ((3, 1), (4, 1), (3, 2), (4, 2), (5, 1)):  # advancing, where it closes
        if picks % run == 0 and picks // run * advance % shafts == 0:
            found.append(pick // run * advance + pick % run)
    return np.array(found, np.int64).reshape(len(found), picks) % shafts


def _shaded(shafts: int, picks: int, many: int, generator: np.random.Generator) -> Bools:
    """A lattice of points, each sized by a figure: satin and twill from weft effect to warp effect."""
    fitting = [unit for unit in (3, 4, 5, 6, 7, 8, 10, 12) if picks % unit == 0 and unit <= 2 * shafts]
    if not fitting:
        return np.zeros((0, picks, shafts), np.bool_)
    unit = generator.choice(fitting, many)[:, None, None]
    climb = generator.integers(1, 4, many)[:, None, None]
    lattice = (np.arange(shafts) + climb * np.arange(picks)[:, None]) % unit
    shade = _figure(shafts, picks, many, generator)
    strength = generator.uniform(0.5, 1.2, many)[:, None, None]
    width = np.clip(np.rint(unit * (0.5 + 0.5 * strength * shade)), 1, unit - 1)
    return np.asarray(lattice < width, np.bool_)


def _figure(shafts: int, picks: int, many: int, generator: np.random.Generator) -> Reals:
    """Large figures, -1 to 1, [many, P, S]: diagonals, diamonds, checks, stripes; soft or with an edge."""
    across = np.arange(shafts)[None, None, :] / shafts
    along = np.arange(picks)[None, :, None] / picks
    tall = generator.integers(0, 3, many)[:, None, None]
    wide = generator.choice([0.5, 0.5, 1.0, 1.0, 2.0], many)[:, None, None]
    shift = generator.uniform(0, 1, many)[:, None, None]
    one = 2 * np.pi * (wide * across + shift)
    other = 2 * np.pi * tall * along
    forms = np.stack(
        [
            np.cos(one + other),
            np.cos(one) * np.cos(other),
            (np.cos(one) + np.cos(other)) / 2,
            np.cos(one + 0.8 * np.cos(other)),
        ]
    )
    figure = forms[generator.integers(0, len(forms), many), np.arange(many)]
    edged = generator.random(many)[:, None, None] < 0.5
    return np.where(edged, np.where(figure >= 0, 1.0, -1.0), figure)


def _waves(shafts: int, picks: int, many: int, generator: np.random.Generator) -> Bools:
    """Three waves that cross one another; most of the plans are the same from both ends of the order.

    The second is as fine as the first along the shafts, the third twice as fine: others look
    like noise.
    """
    across = np.arange(shafts)[None, None, :]
    along = np.arange(picks)[None, :, None]
    height = np.zeros((many, picks, shafts))
    mirrored = (generator.random(many) < 0.75)[:, None, None]
    first = generator.uniform(0.1, 0.36, many)[:, None, None]
    for weight, times in ((1.0, 1), (0.8, 1), (0.5, 2)):
        fine = times * first
        turns = generator.integers(0, picks // 2 + 1, many)[:, None, None] / picks
        phase = generator.choice([0.0, 0.25, 0.5], many)[:, None, None]
        one, other = 2 * np.pi * (fine * across + phase), 2 * np.pi * turns * along
        height += weight * np.where(mirrored, np.cos(one) * np.cos(other), np.cos(one + other))
    return np.asarray(height > generator.choice([-0.2, 0.0, 0.0, 0.2], many)[:, None, None], np.bool_)


def _mirrored(shafts: int, picks: int, many: int, most_float: int, generator: np.random.Generator) -> Bools:
    """Lifts of short runs in an order that goes up and back; on few shafts any lifts at all."""
    if shafts <= 4:
        words = generator.integers(1, (1 << shafts) - 1, (many, picks))
        lifts: Bools = (words[:, :, None] >> np.arange(shafts) & 1).astype(np.bool_)
    else:
        lifts = _twill_words(shafts, many * picks, most_float, generator).reshape(many, picks, shafts)
    pick = np.arange(picks)
    back = np.minimum(pick, (picks - pick) % picks)
    return lifts[:, back] if picks > 3 else lifts
