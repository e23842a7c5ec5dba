"""What you ask of a draft: your loom and your limits, all of them hard limits."""

from __future__ import annotations

import math
from dataclasses import dataclass

from loomready.choose.drafts.columns import Setting
from loomready.phrases import phrase
from loomready.problems import BadInput

MOST_SHAFTS = 40
MOST_PICKS_ASKED = 400
MOST_TREADLES = 64
USUAL_FLOAT = 7  # threads, where no limit is asked for: our choice


@dataclass(frozen=True, slots=True)
class Wish:
    """Limits of a search; None: no limit asked for.

    setting      the loom's shafts, sett and distance
    picks        most picks in the repeat
    max_float    threads, both floats; max_float_mm: the same in mm at the sett. USUAL_FLOAT where neither is
                 asked for
    symmetric    the repeat has a mirror line along its ends; plain_weave: the threading can weave it
    treadles     distinct lifts: one treadle a pick; with ``plain_weave``, tabby's sheds are among them
    max_steps    steps to remember
    heddles      on each shaft of the loom, which ``ends`` ends must find where they are (shafts may change
                 places)
    threading    only this one, shafts from 0, or any
    """

    setting: Setting
    picks: int
    max_float: int | None = None
    max_float_mm: float | None = None
    symmetric: bool = False
    plain_weave: bool = False
    treadles: int | None = None
    max_steps: int | None = None
    heddles: tuple[int, ...] | None = None
    ends: int | None = None
    threading: tuple[int, ...] | None = None
    seed: int = 1

    def __post_init__(self) -> None:
        _count("shafts", self.setting.shafts, 2, MOST_SHAFTS)
        _count("picks", self.picks, 1, MOST_PICKS_ASKED)
        _count("max-float", self.max_float, 1, MOST_PICKS_ASKED)
        _count("treadles", self.treadles, 1, MOST_TREADLES)
        _count("steps", self.max_steps, 1, MOST_PICKS_ASKED)
        _count("seed", self.seed, 0, 2**63 - 1)
        for name, size, most in (
            ("sett", self.setting.mm_per_end, 1000.0),
            ("sett", self.setting.mm_per_pick, 1000.0),
            ("max-float", 1.0 if self.max_float_mm is None else self.max_float_mm, 10_000.0),
            ("distance", self.setting.distance_m, 10_000.0),
        ):
            if not (math.isfinite(size) and 0 < size <= most):
                raise BadInput(
                    phrase("is not a size of cloth; expected more than 0, at most {most:g}", most=most),
                    where=name,
                )

    @property
    def float_limit(self) -> int | None:
        """The limit in threads that holds: asked for, or the usual one; None if only mm were asked for."""
        if self.max_float is None and self.max_float_mm is None:
            return USUAL_FLOAT
        return self.max_float

    @property
    def longest_float_made(self) -> int:
        """In threads: plans with longer floats need not be tried."""
        setting = self.setting
        of_mm = (
            USUAL_FLOAT
            if self.max_float_mm is None
            else int(self.max_float_mm / min(setting.mm_per_end, setting.mm_per_pick))
        )
        return max(1, self.float_limit or of_mm)


def _count(name: str, value: int | None, least: int, most: int) -> None:
    if value is not None and not least <= value <= most:
        raise BadInput(
            phrase(
                "{number} is not possible; expected {least} to {most}", number=value, least=least, most=most
            ),
            where=name,
        )
