"""Threadings that a search tries: the draws of the trade, points of uneven length, curves on a network.

Each uses every one of its shafts, and is its own smallest repeat.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loomready.draft.draft import Ints
from loomready.draft.families.point import there_and_back
from loomready.draft.structure.analysis import weaves_plain
from loomready.draft.structure.periods import mirrors, smallest_period
from loomready.phrases import Phrase, phrase

MOST_ENDS = 160


@dataclass(frozen=True, slots=True, eq=False)
class Threading:
    """One repeat of a threading, int16[E], shafts from 0, with the name of its draw."""

    name: Phrase
    shafts: Ints

    @property
    def symmetric(self) -> bool:
        return mirrors(self.shafts)

    @property
    def plain(self) -> bool:
        return weaves_plain(self.shafts)


def draws(shafts: int, generator: np.random.Generator, wild: int) -> list[Threading]:
    """The draws on that many shafts, each once, and ``wild`` more with turns and curves at random."""
    found: dict[bytes, Threading] = {}
    for name, run in (*_known(shafts), *_wild(shafts, generator, wild)):
        made = settled(run)
        if made is not None and len(np.unique(made)) == shafts:
            found.setdefault(made.tobytes(), Threading(name, made))
    return list(found.values())


def settled(run: list[int]) -> Ints | None:
    """The smallest repeat, started so that no part of it repeats as a line; None if it is too long."""
    threads = np.array(run, np.int16)
    doubled = np.concatenate([threads, threads])
    threads = threads[: smallest_period(doubled)]
    if not 2 <= len(threads) <= MOST_ENDS:
        return None
    if smallest_period(threads) < len(threads):
        # The smallest of its rotations begins with nothing that it ends with (Lyndon 1954).
        turned = np.stack([np.roll(threads, -start) for start in range(len(threads))])
        threads = turned[np.lexsort(turned.T[::-1])[0]]
    return threads


def _known(shafts: int) -> Iterator[tuple[Phrase, list[int]]]:
    top = shafts - 1
    up = list(range(shafts))
    yield phrase("straight draw"), up
    if shafts < 3:
        return
    yield phrase("point draw"), there_and_back(top, shafts)
    yield phrase("rosepath draw"), there_and_back(shafts, shafts)
    if shafts >= 4:
        yield phrase("extended point draw"), there_and_back(2 * shafts - 1, shafts)
        yield phrase("extended point draw"), there_and_back(top + shafts // 2, shafts)
        yield phrase("extended point draw"), there_and_back(3 * shafts - 1, shafts)
        if shafts % 2 == 0:
            half = shafts // 2
            yield phrase("broken draw"), [*up, *((top + half - step) % shafts for step in range(shafts))]
            yield (
                phrase("broken draw"),
                [*up[:half], *((half - 1 + half - step) % shafts for step in range(half))],
            )
        yield phrase("undulating draw"), _weighted(up, [1, 2, 1])
        yield (
            phrase("undulating point draw"),
            [*_weighted(up, [1, 2, 2, 1]), *_weighted(up, [1, 2, 2, 1])[-2:0:-1]],
        )
        for run, advance in ((3, 1), (4, 1), (5, 1), (4, 2), (6, 2), (8, 4), (top, shafts // 2), (shafts, 1)):
            if run <= 2 * shafts and 0 < advance < shafts:
                runs = shafts // int(np.gcd(shafts, advance))
                yield (
                    phrase("advancing draw"),
                    [(start * advance + step) % shafts for start in range(runs) for step in range(run)],
                )
        for high, advance in ((2, 1), (3, 1), (3, 2), (4, 2), (5, 1), (6, 4), (8, 4)):
            if high < shafts and advance < shafts:
                runs = shafts // int(np.gcd(shafts, advance))
                point = there_and_back(high, shafts)
                yield (
                    phrase("advancing points"),
                    [(start * advance + step) % shafts for start in range(runs) for step in point],
                )
    for unit in (3, 4, 5, 6, 8):
        if shafts % unit == 0 and shafts > unit:
            yield from ((phrase("blocks"), _blocks(profile, unit)) for profile in _profiles(shafts // unit))


def _wild(shafts: int, generator: np.random.Generator, wild: int) -> Iterator[tuple[Phrase, list[int]]]:
    for number in range(wild):
        if shafts < 4:
            yield phrase("grouped draw"), _grouped(shafts, generator)
        elif number % 2 and shafts >= 8:
            yield phrase("curve"), _curve(shafts, generator)
        else:
            yield phrase("uneven points"), _turning(shafts, generator)


def _grouped(shafts: int, generator: np.random.Generator) -> list[int]:
    """Straight draws with one to three neighbors on a shaft: ribs and baskets on few shafts."""
    groups = generator.integers(1, 4, shafts * int(generator.integers(1, 4)))
    return [place % shafts for place, ends in enumerate(groups.tolist()) for _ in range(ends)]


def _turning(shafts: int, generator: np.random.Generator) -> list[int]:
    """Up and down between a few turns, the same backward, so that the whole has a mirror line."""
    turns = [0]
    for _ in range(int(generator.integers(1, 4))):
        low = turns[-1] == 0 or (turns[-1] < shafts and bool(generator.integers(0, 2)))
        turns.append(
            int(generator.integers(turns[-1] + 1, 2 * shafts) if low else max(0, turns[-1] - shafts // 2))
        )
    if max(turns) < shafts - 1:
        turns.append(shafts - 1)
    line = [turns[0]]
    for turn in turns[1:]:
        direction = 1 if turn > line[-1] else -1
        line += range(line[-1] + direction, turn + direction, direction)
    return [step % shafts for step in (*line, *line[-2:0:-1])]


def _curve(shafts: int, generator: np.random.Generator) -> list[int]:
    """A wave laid on a network of short straight draws: each end takes the next shaft of its place there."""
    unit = 4 if shafts % 4 == 0 or generator.integers(0, 2) else 5
    ends = unit * int(generator.integers(max(2, shafts // unit), 1 + min(MOST_ENDS, 5 * shafts) // unit))
    place = np.arange(ends)
    waves = int(generator.integers(1, 3))
    bend = float(generator.uniform(-0.35, 0.35))
    angle = 2 * np.pi * place / ends
    height = 0.5 - 0.5 * np.cos(waves * angle + bend * np.sin(2 * waves * angle))
    if generator.integers(0, 3) == 0:  # once through the shafts instead of up and back
        height = (place / ends + 0.12 * np.sin(angle)) % 1.0
    curve = np.clip(height, 0, 1) * (shafts - unit)
    lowest = np.ceil(curve).astype(np.int64)
    threads: list[int] = ((lowest + (place - lowest) % unit) % shafts).tolist()
    return threads


def _weighted(run: list[int], weights: list[int]) -> list[int]:
    times = np.interp(np.linspace(0, len(weights) - 1, len(run)), np.arange(len(weights)), weights)
    return [
        shaft
        for shaft, many in zip(run, np.rint(times).astype(int).tolist(), strict=True)
        for _ in range(many)
    ]


def _profiles(blocks: int) -> Iterator[list[int]]:
    up = list(range(blocks))
    yield up
    yield [*up, *up[-2:0:-1]]
    yield [block for block in up for _ in range(2 + (block == blocks - 1))]
    yield [each for block in up[1:] for each in (0, block)]
    yield [*up, *up[-2:0:-1], 0, blocks - 1]


def _blocks(profile: list[int], unit: int) -> list[int]:
    return [block * unit + step for block in profile for step in range(unit)]
