"""Turns of the beam, and what separates its layers.

Model: the warp lies on the beam as a spiral whose layers, each ``layer_mm`` thick with its separator, touch
without squeezing. Seen from the side it covers a ring, and the ring's area is length times thickness:

    length x layer = pi ((r + turns x layer)^2 - r^2),   r = circumference / 2 pi

so the length of n turns is n x circumference + pi x layer x n^2: each turn is longer than the one before by
2 pi x layer. Real layers press into one another, so the turns counted at the loom run a little higher.
Geometry, no source needed; thickness and spacing are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from loomready.phrases import phrase
from loomready.problems import BadInput

PAPER_MM = 0.2  # heavy brown paper, one layer. Common practice, no source
STICK_MM = 3.0  # a flat warp stick, common practice, no source


@dataclass(frozen=True, slots=True)
class Beaming:
    """How a warp goes on its beam.

    ``turns``: of the beam, a part of a turn too. ``turn_ends_m``: warp on the beam after each whole turn and
    at the end, rising. ``last_around_mm``: around the full beam. ``sticks``: how many go in with each
    turn, the last part of a turn included; empty without sticks. ``paper_m``: length of a paper that
    runs in with the warp all along, zero without it.
    """

    turns: float
    turn_ends_m: tuple[float, ...]
    last_around_mm: float
    sticks: tuple[int, ...]
    paper_m: float

    @property
    def whole_turns(self) -> int:
        """Turns to count at the crank: the last part of a turn counts as one."""
        return len(self.turn_ends_m)


def layer_mm(ends_per_cm: float, diameter_mm: float, separator_mm: float = 0.0) -> float:
    """Thickness of one layer of warp on the beam, mm, with its separator.

    Ends with room side by side make a single layer; a closer warp is thicker in proportion.
    """
    if not (ends_per_cm > 0 and diameter_mm > 0 and separator_mm >= 0):
        raise BadInput(phrase("a layer needs ends and a thread; expected sett and diameter above 0"))
    return diameter_mm * max(1.0, ends_per_cm * diameter_mm / 10) + separator_mm


def length_of_turns_m(turns: float, around_mm: float, layer: float) -> float:
    """Warp in m that ``turns`` (0 or more) of the beam take up, by the model above."""
    _sane(around_mm, layer)
    return turns * (around_mm + math.pi * layer * turns) / 1000


def turns_of_length(length_m: float, around_mm: float, layer: float) -> float:
    """Turns that ``length_m`` (0 or more) of warp make: :func:`length_of_turns_m` backward."""
    _sane(around_mm, layer)
    length_mm = length_m * 1000
    # The root of pi layer n^2 + around n = length, in the form that stays precise for a thin layer.
    return 2 * length_mm / (around_mm + math.sqrt(around_mm * around_mm + 4 * math.pi * layer * length_mm))


def beaming(
    length_m: float,
    around_mm: float,
    layer: float,
    *,
    stick_every_mm: float | None = None,
    stick_turns: int | None = None,
    paper: bool = False,
) -> Beaming:
    """How ``length_m`` of warp goes on a beam of ``around_mm`` bare circumference.

    :param layer: mm, as :func:`layer_mm` gives it, the separator's own thickness included
    :param stick_every_mm: sticks laid in, one after each so much warp of a turn
    :param stick_turns: only these first turns get sticks; None: all of them
    :param paper: whether paper runs in all along
    :raises BadInput: a length, beam, layer or spacing that is not valid
    """
    if not 0 < length_m <= 10_000:
        raise BadInput(
            phrase("{length:g} m of warp; expected more than 0 and at most 10 000 m", length=length_m)
        )
    if stick_every_mm is not None and not stick_every_mm >= 5:
        raise BadInput(
            phrase("a stick every {stick_every:g} mm; expected 5 mm or more", stick_every=stick_every_mm)
        )
    turns = turns_of_length(length_m, around_mm, layer)
    whole = math.floor(turns + 1e-9)
    ends = [length_of_turns_m(turn, around_mm, layer) for turn in range(1, whole + 1)]
    if turns - whole > 1e-9 or not ends:
        ends.append(length_m)
    sticks: list[int] = []
    if stick_every_mm is not None:
        before = 0.0
        for turn, end in enumerate(ends):
            wanted = stick_turns is None or turn < stick_turns
            sticks.append(math.ceil((end - before) * 1000 / stick_every_mm - 1e-9) if wanted else 0)
            before = end
    return Beaming(
        turns=turns,
        turn_ends_m=tuple(ends),
        last_around_mm=around_mm + 2 * math.pi * layer * turns,
        sticks=tuple(sticks),
        paper_m=length_m if paper else 0.0,
    )


def _sane(around_mm: float, layer: float) -> None:
    if not 20 <= around_mm <= 10_000:
        raise BadInput(phrase("a beam {around:g} mm around; expected 20 to 10 000 mm", around=around_mm))
    if not 0 < layer <= 50:
        raise BadInput(phrase("a layer {layer:g} mm thick; expected more than 0, at most 50 mm", layer=layer))
