"""What a yarn's fiber tells of its counts and of how it shrinks."""

from __future__ import annotations

import pytest

from loomready.yarn.counts import WRITTEN
from loomready.yarn.fibers import FIBERS, fibers_in, is_lofty, shrink_group, shrinks_like


def test_every_fiber_has_count_systems_that_can_be_read_and_words_of_its_own() -> None:
    words = [word for fiber in FIBERS for word in (fiber.name, *fiber.also)]
    assert len(words) == len(set(words))
    for fiber in FIBERS:
        assert fiber.systems
        assert set(fiber.systems) <= set(WRITTEN)


ALIKE = [
    ("cotton", "Mercerized cotton"),
    ("cotton", "perle"),
    ("cotton", "carpet warp"),
    ("cotton", "linen"),
    ("flax", "cottolin"),
    ("cotton", "ramie"),
    ("wool", "alpaca"),
    ("Merino wool", "mohair"),
    ("tencel", "lyocell"),
    ("bamboo", "rayon"),
    ("non-superwash wool", "wool"),
]


@pytest.mark.parametrize(("one", "other"), ALIKE)
def test_fibers_of_one_kind_shrink_alike(one: str, other: str) -> None:
    assert shrink_group(one) == shrink_group(other) != ""


UNLIKE = [("cotton", "wool"), ("linen", "silk"), ("superwash wool", "wool"), ("cotton", "tencel")]


@pytest.mark.parametrize(("one", "other"), UNLIKE)
def test_fibers_of_different_kinds_shrink_differently(one: str, other: str) -> None:
    assert "" != shrink_group(one) != shrink_group(other) != ""


@pytest.mark.parametrize("fiber", ["", "paper", "wool/cotton", "60 % wool, 40 % silk", "bamboo cotton"])
def test_of_unknown_fibers_and_blends_nothing_is_claimed(fiber: str) -> None:
    assert shrink_group(fiber) == ""
    assert shrinks_like(fiber) == fiber


def test_every_word_for_a_fiber_finds_it() -> None:
    for fiber in FIBERS:
        for word in (fiber.name, *fiber.also):
            assert fibers_in(f"  soft {word.upper()}, undyed") == (fiber,)


@pytest.mark.parametrize(
    ("fiber", "lofty"), [("woollen", True), ("Woolen-spun wool", True), ("wool", False), ("worsted", False)]
)
def test_only_a_fiber_that_is_called_woollen_is_lofty(fiber: str, lofty: bool) -> None:
    assert is_lofty(fiber) is lofty
