"""The usual cautions, for what a loom has: common practice, no source, unless a line says otherwise."""

from __future__ import annotations

from loomready.model.guild import Loom
from loomready.phrases import Phrase, listed_with_and, phrase, word
from loomready.warp.rigid import the_heddle

_MOST = phrase("change tasks after an hour and a half at most.")
_BREAK = phrase("Take a break at least every half hour; {change_tasks}", change_tasks=_MOST)
_TIED = phrase("Tie back hair, scarves and cords.")
_BEAM = phrase("Keep fingers clear of the beam and its ratchet while it turns.")
_RULES = phrase("Follow the rules of the place first.")


def moving_parts(loom: Loom) -> Phrase:
    """What moves on a loom while somebody weaves, in a row."""
    match loom.kind:
        case "inkle":
            return phrase("the band and the tension peg")
        case "rigid heddle":
            return phrase("{heddles}, the beams and their ratchets", heddles=the_heddle(loom))
        case "table":
            parts = [phrase("levers"), *([word("treadles")] if loom.treadles else [])]
        case kind:
            parts = [word("treadles"), *([phrase("jacks")] if kind == "jack" else [])]
    return listed_with_and([*parts, phrase("the beater")])


def care(loom: Loom, job: str, *, sectional: bool = False) -> tuple[Phrase, ...]:
    """The safety notes of a job on this loom; they defer to the rules of the place."""
    match job:
        case "winding" if loom.kind == "inkle":
            first = [phrase("Fix the loom to the table or hold it steady: a tight band pulls on its pegs.")]
        case "winding" if sectional:
            first = [_TIED, _BEAM]
        case "winding":
            first = [phrase("Keep the floor clear around the board.")]
        case "threading" | "test-weave":
            first = _hands(loom, phrase("in the heddles"))
        case "tying-in" | "tying":
            first = _hands(loom, phrase("at the shafts"))
        case "beaming":
            first = [_TIED, _BEAM]
        case "weaving":
            return (
                _TIED,
                phrase(
                    "Let nobody else touch {parts}. Never leave a loom under tension near children: release "
                    "it first.",
                    parts=moving_parts(loom),
                ),
                phrase(
                    "Take a break at least every half hour of beating and bending; {change_tasks}",
                    change_tasks=_MOST,
                ),
                _RULES,
            )
        case _:
            first = []
    return (*first, _BREAK, _RULES)


def _hands(loom: Loom, where: Phrase) -> list[Phrase]:
    """What must not move the shafts while hands are near them; nothing on looms with open ends."""
    if loom.has_open_ends:
        return []
    if loom.treadles:
        return [phrase("Keep feet off the treadles while hands are {where}.", where=where)]
    return [phrase("Let nobody move a lever while hands are {where}.", where=where)]


def for_the_room(loom: Loom) -> tuple[Phrase, ...]:
    """The cautions of a room with this loom and visitors."""
    inkle = loom.kind == "inkle"
    return (
        phrase(
            "Keep fingers away from {parts} while somebody else is at the loom.", parts=moving_parts(loom)
        ),
        phrase("Never leave a dressed loom unattended near children: release the tension.")
        if loom.has_open_ends
        else phrase(
            "Never leave a dressed loom unattended near children: release the tension; lock or tie up "
            "parts that can fall or swing."
        ),
        phrase("Tie back hair, scarves and cords. Keep shears in a box, not on the loom.")
        if inkle
        else phrase(
            "Tie back hair, scarves and cords. Keep shears and threading hooks in a box, not on the beam."
        ),
        phrase("Keep the floor clear around looms; tape down cables.")
        if inkle
        else phrase("Keep the floor clear around looms and warping boards; tape down cables."),
        phrase(
            "Take a break at least every half hour of beating and bending; change tasks after an hour "
            "and a half at most."
        ),
        *(
            []
            if loom.has_open_ends
            else [
                phrase(
                    "Two people to a loom when it is lifted. What one person may lift depends on reach, "
                    "height and turn: the NIOSH lifting equation (NIOSH 94-110, rev. 2021) starts from 23 kg "
                    "(51 lb) and only comes down; it is guidance, not law."
                )
            ]
        ),
        phrase(
            "The venue's fire, electrical and access rules come first, and so do licensed people where "
            "they are needed."
        ),
    )
