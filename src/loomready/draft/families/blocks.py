"""What block weaves share: the profile, its treadling, and the number of shafts they need."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from loomready.draft.draft import Draft
from loomready.draft.families.draft_making import DARK_COLOR, LIGHT_COLOR, by_sheds
from loomready.draft.families.parameters import (
    MOST_SHAFTS,
    Blocks,
    Profile,
    Treadled,
    WholeNumber,
    letters,
)
from loomready.phrases import Phrase, phrase, some
from loomready.problems import BadInput


def profile(default: str) -> Profile:
    return Profile(name="profile", meaning=phrase("the profile draft of the threading"), default=default)


def treadling(*, together: bool = False) -> Treadled:
    return Treadled(
        name="treadling",
        meaning=phrase("the profile draft of the treadling: which blocks make pattern"),
        unsaid=phrase("as drawn in: the order of the threading"),
        together=together,
    )


def shafts_at_hand(lowest: int) -> WholeNumber:
    return WholeNumber(
        name="shafts",
        meaning=phrase("shafts that the loom has"),
        unsaid=phrase("as many as the blocks need"),
        lowest=lowest,
        highest=MOST_SHAFTS,
    )


@dataclass(frozen=True, slots=True)
class Plan:
    """A profile, read: the block of each unit of the threading, the blocks of each unit of the treadling."""

    units: tuple[int, ...]
    treadled: Blocks
    blocks: int

    @property
    def name(self) -> Phrase:
        return some(self.blocks, "block")


def planned(
    profile: Blocks, treadling: Blocks | None, shafts: int | None, needs: Callable[[int], int]
) -> tuple[Plan, int]:
    """The profile with its treadling, and the shafts that it takes: ``needs(blocks)``.

    :raises BadInput: more blocks than the shafts allow, or a treadling of blocks that are not there
    """
    units = tuple(block for unit in profile for block in unit)
    blocks = max(units) + 1
    limit = shafts or MOST_SHAFTS
    if needs(1) > limit:
        what = phrase("one block alone needs {shafts} shafts; expected {shafts} or more", shafts=needs(1))
        raise BadInput(what, where="shafts")
    if needs(blocks) > limit:
        most = max(fewer for fewer in range(1, blocks) if needs(fewer) <= limit)
        raise BadInput(
            phrase(
                "{blocks} blocks need {needed} shafts, and there are {shafts}; expected at most "
                "{most_blocks}: {letters}",
                blocks=blocks,
                needed=needs(blocks),
                shafts=limit if shafts else phrase("at most {most}", most=limit),
                most_blocks=some(most, "block"),
                letters=letters(most),
            ),
            where="profile",
        )
    treadled = profile if treadling is None else treadling
    if max(max(unit) for unit in treadled) >= blocks:
        raise BadInput(
            phrase("it has a block that is not threaded; expected {letters}", letters=letters(blocks)),
            where="treadling",
        )
    return Plan(units, treadled, blocks), needs(blocks)


def at_most(blocks: int, because: Phrase) -> Callable[[Blocks], None]:
    """A check that a profile has no more blocks than a weave that cannot have more of them."""

    def check(profile: Blocks) -> None:
        there = max(max(unit) for unit in profile) + 1
        if there > blocks:
            raise BadInput(
                phrase(
                    "{blocks} blocks are too many: {reason}; expected at most {most}: {letters}",
                    blocks=there,
                    reason=because,
                    most=blocks,
                    letters=letters(blocks),
                ),
                where="profile",
            )

    return check


def with_tabby(pattern: Sequence[frozenset[int]], tabby: Sequence[frozenset[int]]) -> list[frozenset[int]]:
    """Pattern sheds with a ground pick before each, the two tabby sheds in turn."""
    return [shed for pick, up in enumerate(pattern) for shed in (tabby[pick % 2], up)]


def pattern_on_ground(
    threading: Sequence[int], blocks: Sequence[int], tabby: bool, title: str, shafts: int = 4
) -> Draft:
    """Pattern picks, each lifting all but the two shafts of its block; ground picks, odds against evens."""
    every = frozenset(range(shafts))
    across = [every - {block, (block + 1) % shafts} for block in range(shafts)]
    pattern = [across[block] for block in blocks]
    grounds = (frozenset(range(0, shafts, 2)), frozenset(range(1, shafts, 2)))
    return by_sheds(
        threading,
        with_tabby(pattern, grounds) if tabby else pattern,
        shafts=shafts,
        title=title,
        first=(*grounds, *across),
        warp_colors=[LIGHT_COLOR] * len(threading),
        weft_colors=[LIGHT_COLOR, DARK_COLOR] * len(pattern) if tabby else [DARK_COLOR] * len(pattern),
    )
