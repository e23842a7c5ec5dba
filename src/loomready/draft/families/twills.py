"""Twills on a threading that runs: straight, broken, undulating, advancing.

Constructions from memory of handbook practice; no source at hand.
"""

from __future__ import annotations

from math import gcd

from loomready.draft.draft import Draft
from loomready.draft.families.draft_making import treadled
from loomready.draft.families.family import Family
from loomready.draft.families.parameters import Ratio, WholeNumber, WordChoice
from loomready.draft.families.tieups import TIE_UP, settled, shafts_for_twill, twill_tieup
from loomready.phrases import phrase
from loomready.problems import BadInput

TREADLING = WordChoice(
    name="treadling",
    meaning=phrase("treadles one after another, or in the order of the threading"),
    default="straight",
    choices=("straight", "as-drawn-in"),
)


def straight(shafts: int | None, tieup: Ratio | None, lean: str) -> Draft:
    """Threaded and treadled straight. Every end floats over and under as the tie-up's parts say."""
    shafts = settled(shafts, tieup)
    tied, said = twill_tieup(shafts, tieup)
    run = list(range(shafts))
    treadling = run if lean == "rising" else run[::-1]
    return treadled(run, tied, treadling, title=phrase("Straight twill {ratio}", ratio=said))


def broken(shafts: int | None, tieup: Ratio | None, run: int | None, treadling: str) -> Draft:
    """The threading turns with a jump of half the shafts, so that a balanced twill has a clean break at the
    turn.

    On four shafts with runs of four: 1 2 3 4, 2 1 4 3. Runs of two, 1 2 4 3, make 1/3 the false satin.
    """
    shafts = settled(shafts, tieup)
    tied, said = twill_tieup(shafts, tieup)
    if shafts % 2:
        raise BadInput(
            phrase("it fills {shafts} shafts; expected an even number for the jump", shafts=shafts),
            where="tieup",
        )
    half, length = shafts // 2, run or shafts
    up = list(range(length))
    down = [length - 1 + half - step for step in range(length)]
    threading = [step % shafts for step in (*up, *down)]
    title = phrase("Broken twill {ratio}, runs of {ends}", ratio=said, ends=length)
    return treadled(threading, tied, treadles_of(threading, shafts, treadling), title=title)


def undulating(shafts: int | None, tieup: Ratio | None, most: int, treadling: str) -> Draft:
    """A straight draw whose shafts hold one end each, then two, up to ``most``, and back: the line bends."""
    shafts = settled(shafts, tieup)
    tied, said = twill_tieup(shafts, tieup)
    weights = [*range(1, most + 1), *range(most - 1, 1, -1)]
    threading = [shaft for weight in weights for shaft in range(shafts) for _ in range(weight)]
    title = phrase("Undulating twill {ratio}, up to {most} ends on a shaft", ratio=said, most=most)
    return treadled(threading, tied, treadles_of(threading, shafts, treadling), title=title)


def advancing(
    shafts: int | None, tieup: Ratio | None, run: int | None, advance: int, treadling: str
) -> Draft:
    """Runs of a straight draw, each starting further on, until the first is reached again.

    On five shafts with runs of four that advance by one: 1 2 3 4, 2 3 4 5, 3 4 5 1, 4 5 1 2, 5 1 2 3. Runs of
    five, on four shafts of four, keep floats to three under the usual tie-ups.
    """
    shafts = settled(shafts, tieup, 8)
    tied, said = twill_tieup(shafts, tieup)
    if advance >= shafts:
        what = phrase(
            "{advance} leads past the {shafts} shafts; expected at most {most}",
            advance=advance,
            shafts=shafts,
            most=shafts - 1,
        )
        raise BadInput(what, where="advance")
    runs = shafts // gcd(shafts, advance)
    length = run or min(5, shafts)
    threading = [(start * advance + step) % shafts for start in range(runs) for step in range(length)]
    title = phrase(
        "Advancing twill {ratio}, runs of {ends} advancing by {advance}",
        ratio=said,
        ends=length,
        advance=advance,
    )
    return treadled(threading, tied, treadles_of(threading, shafts, treadling), title=title)


def treadles_of(threading: list[int], shafts: int, treadling: str) -> list[int]:
    """Treadles in order, about as many picks as ends; or in the order of the threading."""
    if treadling == "as-drawn-in":
        return threading
    return list(range(shafts)) * max(1, round(len(threading) / shafts))


STRAIGHT = Family(
    name="straight-twill",
    title=phrase("Straight twill"),
    group=phrase("twills"),
    least=3,
    says=phrase("a straight draw with any tie-up: the lines run one way"),
    build=straight,
    own=(
        shafts_for_twill(),
        TIE_UP,
        WordChoice(
            name="lean",
            meaning=phrase("which way the treadles go: rising line or falling line"),
            default="rising",
            choices=("rising", "falling"),
        ),
    ),
    repeats=4,
)

BROKEN = Family(
    name="broken-twill",
    title=phrase("Broken twill"),
    group=phrase("twills"),
    says=phrase("the threading turns with a jump of half the shafts: a herringbone without longer floats"),
    build=broken,
    own=(
        shafts_for_twill(lowest=4, even=True),
        TIE_UP,
        WholeNumber(
            name="run",
            meaning=phrase("ends that run one way before the turn"),
            unsaid=phrase("as many as there are shafts"),
            lowest=2,
            highest=200,
        ),
        TREADLING,
    ),
    repeats=2,
)

UNDULATING = Family(
    name="undulating-twill",
    title=phrase("Undulating twill"),
    group=phrase("twills"),
    least=3,
    says=phrase("a straight draw with more and more ends on a shaft, and fewer again: the lines bend"),
    build=undulating,
    own=(
        shafts_for_twill(),
        TIE_UP,
        WholeNumber(
            name="most",
            meaning=phrase("ends on one shaft where it is widest"),
            default="2",
            lowest=2,
            highest=4,
        ),
        TREADLING,
    ),
)

ADVANCING = Family(
    name="advancing-twill",
    title=phrase("Advancing twill"),
    group=phrase("twills"),
    says=phrase("runs of a straight draw, each starting further on than the last"),
    build=advancing,
    own=(
        shafts_for_twill(8, lowest=4),
        TIE_UP,
        WholeNumber(
            name="run",
            meaning=phrase("ends in a run"),
            unsaid=phrase("five, on four shafts four"),
            lowest=2,
            highest=40,
        ),
        WholeNumber(
            name="advance",
            meaning=phrase("shafts from one run's start to the next"),
            default="1",
            lowest=1,
            highest=39,
        ),
        TREADLING,
    ),
    repeats=2,
)
