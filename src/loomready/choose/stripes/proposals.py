"""Orders of stripes to choose from: even, growing and shrinking, at random; each planned on the shelf.

Widths grow by a number of ends (an arithmetic progression), or each is the sum of the two before it
(Fibonacci, *Liber Abaci*, 1202; sequence from memory). The counts are those of the definitions; no cloth
is judged beautiful here.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from loomready.choose.stripes.whole_stripes import ends_whole
from loomready.model.guild import MAX_ENDS, Guild, Stripe
from loomready.phrases import Phrase, phrase
from loomready.problems import BadInput
from loomready.warp.plan import Drafts, plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf

MOST_YARNS = 12
KINDS = (
    phrase("even"),
    phrase("growing"),
    phrase("shrinking"),
    phrase("growing and shrinking"),
    phrase("fibonacci"),
    phrase("random"),
)
_EVEN, _GROWING, _SHRINKING, _GROWING_AND_SHRINKING, _FIBONACCI, _RANDOM = KINDS


@dataclass(frozen=True, slots=True)
class Limits:
    """``narrowest``, ``widest``: ends of a stripe. ``stripes``: how many before they repeat."""

    narrowest: int = 2
    widest: int = 34
    stripes: int = 8

    def __post_init__(self) -> None:
        if not 1 <= self.narrowest <= self.widest <= MAX_ENDS:
            raise BadInput(
                phrase(
                    "{narrowest} to {widest} ends; expected 1 or more, the narrowest first",
                    narrowest=self.narrowest,
                    widest=self.widest,
                ),
                where="stripes",
            )
        if not 1 <= self.stripes <= 200:
            raise BadInput(
                phrase("{stripes} stripes; expected 1 to 200", stripes=self.stripes), where="stripes"
            )


@dataclass(frozen=True, slots=True)
class Proposal:
    """Stripes with the plan that they make. ``missing``: (yarn, ends, m of weft) that the shelf cannot give.

    ``whole``: the web ends with a whole stripe.
    """

    kind: Phrase
    stripes: tuple[Stripe, ...]
    plan: WarpPlan
    missing: tuple[tuple[str, int, float], ...]
    whole: bool

    @property
    def enough(self) -> bool:
        return not self.missing


def propose(
    plan: WarpPlan,
    yarns: Sequence[str],
    guild: Guild,
    drafts: Drafts,
    shelf: Shelf,
    *,
    limits: Limits | None = None,
    seed: int = 1,
) -> tuple[Proposal, ...]:
    """Stripes of these yarns for a planned warp: those that the shelf gives first, and whole edges.

    :param yarns: keys, in the order in which they take turns
    :param seed: of what is laid at random: the same seed gives the same stripes
    :raises BadInput: no yarn, too many, or one that the guild has not
    """
    known = {yarn.key for yarn in guild.yarns}
    if not 1 <= len(yarns) <= MOST_YARNS or not set(yarns) <= known:
        raise BadInput(phrase("expected 1 to {most} yarns of the guild", most=MOST_YARNS), where="yarns")
    found = []
    for kind, widths in _orders(limits or Limits(), seed):
        stripes = _in_turn(widths, list(dict.fromkeys(yarns)), seed if kind == _RANDOM else None)
        order = replace(plan.order, stripes=stripes)
        made = plan_once(order, guild, drafts, shelf)[0]
        missing = tuple(
            (need.yarn.key, need.missing_ends, need.missing_weft_m) for need in made.yarns if not need.enough
        )
        whole = ends_whole(order, made.web.heddle_ends) is not None
        found.append(Proposal(kind, stripes, made, missing, whole))
    return tuple(sorted(found, key=lambda each: (not each.enough, not each.whole)))


def _orders(limits: Limits, seed: int) -> Iterator[tuple[Phrase, list[int]]]:
    low, high, count = limits.narrowest, limits.widest, limits.stripes
    yield _EVEN, [max(low, min(high, (low + high) // 2))] * count
    growing = arithmetic(low, high, count)
    yield _GROWING, growing
    yield _SHRINKING, growing[::-1]
    yield _GROWING_AND_SHRINKING, growing + growing[-2:0:-1]
    sums = [width for width in fibonacci(high) if width >= low][:count]
    if sums:
        yield _FIBONACCI, sums
    chance = random.Random(seed)
    yield _RANDOM, [chance.randint(low, high) for _ in range(count)]


def arithmetic(first: int, last: int, count: int) -> list[int]:
    """So many widths from the first on, each wider by the same whole number of ends, none past the last.

    >>> arithmetic(2, 20, 4), arithmetic(3, 5, 4)
    ([2, 8, 14, 20], [3, 3, 3, 3])
    """
    step = (last - first) // (count - 1) if count > 1 else 0
    return [first + step * place for place in range(count)]


def fibonacci(most: int) -> Iterator[int]:
    """1, 2, 3, 5, 8 ... up to ``most``: each the sum of the two before it.

    >>> list(fibonacci(40))
    [1, 2, 3, 5, 8, 13, 21, 34]
    """
    one, other = 1, 2
    while one <= most:
        yield one
        one, other = other, one + other


def _in_turn(widths: list[int], yarns: list[str], seed: int | None) -> tuple[Stripe, ...]:
    """Yarns for the widths: in turn, or with a seed by chance, never the same twice running.

    In turn the widths are gone through as often as it takes until widths and yarns begin again together,
    and no oftener.
    """
    if seed is None:
        rounds = next(n for n in range(1, len(yarns) + 1) if n * len(widths) % len(yarns) == 0)
        many = widths * rounds
        made = [Stripe(yarns[place % len(yarns)], width) for place, width in enumerate(many)]
        size = next(n for n in range(1, len(made) + 1) if made == made[:n] * (len(made) // n))
        return tuple(made[:size])
    chance, keys = random.Random(seed + 1), list[str]()
    for place in range(len(widths)):
        last = place == len(widths) - 1
        apart = {*keys[-1:], *(keys[:1] if last else ())}
        free = [key for key in yarns if key not in apart] or [key for key in yarns if key not in keys[-1:]]
        keys.append(chance.choice(free or yarns))
    return tuple(map(Stripe, keys, widths))
