"""A yarn's count as a person reads it."""

from __future__ import annotations

import pytest

from loomready.model.guild import Yarn
from loomready.yarn.label import is_before_twisting, is_read_by_fiber, label


def yarn(count: str | None, fiber: str = "") -> Yarn:
    return Yarn("y", "Slate", tex=100.0, fiber=fiber, count=count)


SAID = [
    ("10/2", "cotton", "10/2 (read as 10/2 Ne)"),
    ("20/22 den", "silk", "20/22 den (read as 21 den)"),
    ("8/2 Ne", "cotton", "8/2 Ne"),
    ("8/2", "no such fiber", "8/2"),
]


@pytest.mark.parametrize(("count", "fiber", "said"), SAID)
def test_a_count_that_was_read_by_more_than_its_label_says_how(count: str, fiber: str, said: str) -> None:
    assert label(yarn(count, fiber)) == said
    assert is_read_by_fiber(yarn(count, fiber)) is ("read as" in said)


def test_a_yarn_without_a_count_has_no_label() -> None:
    assert label(yarn(None)) == ""
    assert not is_before_twisting(yarn(None))


def test_only_plied_counts_are_figured_before_twisting() -> None:
    assert is_before_twisting(yarn("10/2", "cotton"))
    assert not is_before_twisting(yarn("R74 tex/2"))
    assert not is_before_twisting(yarn("16/1 lea"))
