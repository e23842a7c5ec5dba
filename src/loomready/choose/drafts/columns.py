"""The columns that offers can be sorted by. Nothing is added up to a score."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from loomready.choose.drafts.steps_to_remember import LONGEST, steps_to_remember
from loomready.cloth.contrast import contrast
from loomready.draft.draft import DARK, LIGHT, RGB, Draft
from loomready.draft.structure.analysis import Analysis, Structure, analyze
from loomready.phrases import Phrase, phrase


@dataclass(frozen=True, slots=True)
class Setting:
    """The conditions of a search: the loom's shafts, mm per end and pick, viewing distance, colors."""

    shafts: int
    mm_per_end: float
    mm_per_pick: float
    distance_m: float
    warp_color: RGB = DARK
    weft_color: RGB = LIGHT


@dataclass(frozen=True, eq=False)
class DraftOffer:
    """A draft to choose, with its figures as ``check`` finds them.

    made_of  how it was made, in words: "point draw, crossing waves"
    own      the key of a draft that is there already, "" for one that was made
    """

    draft: Draft
    setting: Setting
    made_of: str
    own: str = ""

    @cached_property
    def found(self) -> Analysis:
        return analyze(self.draft)

    @cached_property
    def steps(self) -> int:
        """Steps to remember of the repeat's lifts, as written; above LONGEST picks, one for each of them."""
        order = Structure(self.draft).picks.ids[: self.found.repeat[1]]
        return len(order) if len(order) > LONGEST else int(steps_to_remember(order[None])[0])

    @cached_property
    def contrast(self) -> float:
        setting = self.setting
        return contrast(
            self.draft,
            mm_per_end=setting.mm_per_end,
            mm_per_pick=setting.mm_per_pick,
            distance_m=setting.distance_m,
        )

    @property
    def moves_a_pick(self) -> float:
        return self.found.lever_moves / self.found.picks

    @property
    def shafts_share(self) -> float:
        return self.found.shafts_used / self.setting.shafts

    @property
    def float_threads(self) -> int | None:
        """The longer of both floats, in threads; None: a thread never turns."""
        both = (self.found.longest_warp_float, self.found.longest_weft_float)
        return None if None in both else max(both[0] or 0, both[1] or 0)

    @property
    def float_mm(self) -> float | None:
        warp, weft = self.found.longest_warp_float, self.found.longest_weft_float
        if warp is None or weft is None:
            return None
        return max(warp * self.setting.mm_per_pick, weft * self.setting.mm_per_end)

    @property
    def mirror_lines(self) -> int:
        """Directions in which the repeat has a mirror line: 0 to 2."""
        return int(self.found.mirror_ends) + int(self.found.mirror_picks)


@dataclass(frozen=True, slots=True)
class Column:
    """A figure to order by. ``falling``: largest first. ``says`` defines it."""

    key: str
    title: Phrase
    says: Phrase
    value: Callable[[DraftOffer], float]
    falling: bool = False


def _float_mm(offer: DraftOffer) -> float:
    return float("inf") if offer.float_mm is None else offer.float_mm


COLUMNS: Mapping[str, Column] = {
    column.key: column
    for column in (
        Column(
            "contrast",
            phrase("Contrast at a distance"),
            phrase(
                "How much of the pattern can be seen from there: the cloth in linear light at its sett, "
                "blurred by one arc minute; root mean square about the mean, over the mean. 0 is a plain "
                "field, 1 even stripes of black and white seen close by."
            ),
            lambda offer: offer.contrast,
            falling=True,
        ),
        Column(
            "picks",
            phrase("Pick repeat"),
            phrase("Picks until the order of lifts repeats."),
            lambda offer: offer.found.repeat[1],
        ),
        Column(
            "lifts",
            phrase("Distinct lifts"),
            phrase("Different picks: the number of treadles needed with one treadle per lift."),
            lambda offer: offer.found.distinct_lifts,
        ),
        Column(
            "steps",
            phrase("Steps to remember"),
            phrase(
                "The shortest description of the order of lifts: a run of neighbors, up or down, is one "
                "step; a part repeated, or woven up and back, is one step more than the part itself."
            ),
            lambda offer: offer.steps,
        ),
        Column(
            "moves",
            phrase("Levers moved per pick"),
            phrase("Shafts that go up or come down from one pick to the next, on the average of the repeat."),
            lambda offer: offer.moves_a_pick,
        ),
        Column(
            "shafts",
            phrase("Shafts in use"),
            phrase("The share of the loom's shafts that hold ends."),
            lambda offer: offer.shafts_share,
            falling=True,
        ),
        Column(
            "float",
            phrase("Longest float"),
            phrase("The longest float of an end or a pick, on either face, at this sett."),
            _float_mm,
        ),
        Column(
            "mirrors",
            phrase("Mirror lines"),
            phrase(
                "Whether the continuous repeat is the same from left and right, and whether it is so from "
                "its first pick and its last."
            ),
            lambda offer: offer.mirror_lines,
            falling=True,
        ),
        Column(
            "plain",
            phrase("Plain weave"),
            phrase("Whether this threading can weave plain weave, for hems and headings."),
            lambda offer: float(offer.found.plain_weave),
            falling=True,
        ),
    )
}


def ordered(offers: Iterable[DraftOffer], column: str) -> list[DraftOffer]:
    """The offers by one column, best first as the column says; equal ones keep their order.

    :raises KeyError: there is no such column
    """
    by = COLUMNS[column]
    return sorted(offers, key=by.value, reverse=by.falling)


def as_json(offer: DraftOffer) -> dict[str, Any]:
    """An offer in the document that ``find --json`` prints; shafts from 1."""
    found, draft = offer.found, offer.draft
    return {
        "threading": (draft.threading + 1).tolist(),
        "lifts": [[int(shaft) + 1 for shaft in row.nonzero()[0]] for row in draft.lifts],
        "repeat": {"ends": found.repeat[0], "picks": found.repeat[1]},
        "longest_float": {"warp": found.longest_warp_float, "weft": found.longest_weft_float},
        "mirror": {"ends": found.mirror_ends, "picks": found.mirror_picks},
        "plain_weave": found.plain_weave,
        "distinct_lifts": found.distinct_lifts,
        "lever_moves": found.lever_moves,
        "most_shafts_up": found.most_shafts_up,
        "contrast": offer.contrast,
        "distance_m": offer.setting.distance_m,
        "steps_to_remember": offer.steps,
        "moves_a_pick": offer.moves_a_pick,
        "shafts_used": found.shafts_used,
        "shafts_share": offer.shafts_share,
        "longest_float_mm": offer.float_mm,
        "heddles": list(found.heddles),
        "made_of": offer.made_of,
        "own": offer.own or None,
    }
