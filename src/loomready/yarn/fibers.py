"""Fibers: the counts that their labels use, and how they shrink in the wash.

A fiber is free text ("mercerized cotton", "merino wool") in which the words below are looked for.
All of it is common practice, no source: plant fibers shrink alike in hot water, animal fibers full when they
are washed, and cloth of both puckers.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

PLANT = "plant fibers"
ANIMAL = "animal fibers that full"
SUPERWASH = "superwash wool"
SILK = "silk"
REGENERATED = "regenerated fibers"
SYNTHETIC = "synthetic fibers"


@dataclass(frozen=True, slots=True)
class Fiber:
    """A fiber with its other words.

    :ivar systems: the count systems that a label without a system may mean, keys of ``counts.WRITTEN``
    :ivar shrinks: the group of fibers that it shrinks like
    :ivar lofty: spun woollen, so that it is thicker in cloth (K in ``yarn.diameter``)
    """

    name: str
    also: tuple[str, ...]
    systems: tuple[str, ...]
    shrinks: str
    lofty: bool = False


_WOOL = ("worsted", "metric", "yorkshire")
_HAIR = ("worsted", "metric")
_WOOLLEN = ("run", "cut", "yorkshire")

FIBERS = (
    Fiber(
        "cotton",
        ("mercerized", "mercerised", "unmercerized", "unmercerised", "perle", "pearl", "carpet-warp"),
        ("cotton",),
        PLANT,
    ),
    Fiber("linen", ("flax", "tow"), ("linen",), PLANT),
    Fiber("cottolin", (), ("linen", "cotton"), PLANT),
    Fiber("hemp", (), ("linen", "metric"), PLANT),
    Fiber("ramie", (), ("linen", "metric"), PLANT),
    Fiber("nettle", (), ("linen", "metric"), PLANT),
    Fiber("wool", (), _WOOL, ANIMAL),
    Fiber("worsted", (), ("worsted",), ANIMAL),
    Fiber("woollen", ("woolen",), _WOOLLEN, ANIMAL, lofty=True),
    Fiber("superwash", (), _WOOL, SUPERWASH),
    Fiber("merino", (), _HAIR, ANIMAL),
    Fiber("alpaca", (), _HAIR, ANIMAL),
    Fiber("mohair", (), _HAIR, ANIMAL),
    Fiber("cashmere", (), _HAIR, ANIMAL),
    Fiber("camel", (), _HAIR, ANIMAL),
    Fiber("angora", (), _HAIR, ANIMAL),
    Fiber("yak", (), _HAIR, ANIMAL),
    Fiber("silk", ("tussah", "bourette", "noil"), ("metric", "spun silk"), SILK),
    Fiber("rayon", ("viscose",), ("cotton",), REGENERATED),
    Fiber("lyocell", ("tencel",), ("cotton",), REGENERATED),
    Fiber("modal", (), ("cotton",), REGENERATED),
    Fiber("bamboo", (), ("cotton",), REGENERATED),
    Fiber("acrylic", (), _HAIR, SYNTHETIC),
    Fiber("nylon", ("polyamide",), ("cotton", "metric"), SYNTHETIC),
    Fiber("polyester", (), ("cotton", "metric"), SYNTHETIC),
)
_BY_WORD = {word: fiber for fiber in FIBERS for word in (fiber.name, *fiber.also)}
_CARPET_WARP = re.compile(r"\bcarpet[ -]warp\b")
_NOT_SO = re.compile(r"\b(?:non|not)[ -][a-z]+")


def with_phrases(text: str) -> str:
    """A text in small letters, names of two words made one."""
    return _CARPET_WARP.sub("carpet-warp", text.lower())


def fiber_of_word(word: str) -> Fiber | None:
    return _BY_WORD.get(word)


def fibers_in(text: str) -> tuple[Fiber, ...]:
    """The fibers that a text names, in its order, each once.

    >>> [fiber.name for fiber in fibers_in("Mercerized cotton / linen, 50:50")]
    ['cotton', 'linen']
    """
    plain = _NOT_SO.sub(" ", with_phrases(text))
    words = (part for word in re.findall(r"[a-z-]+", plain) for part in _parts(word))
    return tuple(dict.fromkeys(_BY_WORD[word] for word in words if word in _BY_WORD))


def is_all(fiber: str | None, name: str) -> bool:
    """Whether a text names this fiber and no other.

    >>> is_all("mercerized cotton", "cotton"), is_all("cotton and linen", "cotton"), is_all(None, "cotton")
    (True, False, False)
    """
    return [each.name for each in fibers_in(fiber or "")] == [name]


def _parts(word: str) -> list[str]:
    return [word] if word in _BY_WORD else word.split("-")


def shrink_group(fiber: str) -> str:
    """The group of fibers that a fiber shrinks like; "" for a fiber that is unknown and for a blend.

    >>> shrink_group("Linen") == shrink_group("carpet warp"), shrink_group("paper")
    (True, '')
    """
    groups = {each.shrinks for each in fibers_in(fiber)}
    if SUPERWASH in groups:
        groups.discard(ANIMAL)  # the same wool, treated so that it does not full
    return groups.pop() if len(groups) == 1 else ""


def shrinks_like(fiber: str) -> str:
    """The group that a fiber shrinks like, or for an unknown fiber the fiber itself.

    >>> shrinks_like("Linen") == shrinks_like("cotton"), shrinks_like("Paper ")
    (True, 'paper')
    """
    return shrink_group(fiber) or fiber.strip().lower()


def is_lofty(fiber: str) -> bool:
    """Whether a fiber is called woollen spun."""
    return any(each.lofty for each in fibers_in(fiber))
