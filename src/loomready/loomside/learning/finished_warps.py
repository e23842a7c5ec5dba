"""Take-up, draw-in, shrinkage, loom waste, grist and rates from finished warps.

Each is the plan's formula, solved backward:

    waste            loom waste left over + the fringe that lies in it
    take-up          (warp as wound - loom waste - unwoven) / woven - 1
    draw-in          1 - width at the fell / width in the reed
    shrinkage        1 - washed / woven, in length;   1 - washed / at the fell, in width
                     (of cloth that opens to double width: washed / 2)
    weft take-up     length of weft used / (picks x width in the reed) - 1
    grist            ends x warp as wound / weight of the warp yarn used
    rate             ends (or picks) / (hours x people); ends of yarn in winding, else working ends

and, shown but not learned, how much the cloth shortens when the tension is off ("relax").

"Woven" is the length off the loom, tension off, as the picks are counted; where only the length under tension
was measured, that stands in for it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from loomready.loomside.learning.estimate import Estimate, Observation, Prior, estimate

# Defaults before anything is measured: the plan's own, with standard deviations of our choice, no source.
PRIORS: Mapping[str, Prior] = {
    "take_up": Prior(0.10, sd=0.04, spread=0.015),
    "draw_in": Prior(0.06, sd=0.03, spread=0.012),
    "shrink_length": Prior(0.08, sd=0.04, spread=0.015),
    "shrink_width": Prior(0.08, sd=0.04, spread=0.015),
    "weft_take_up": Prior(0.05, sd=0.03, spread=0.012),
}
SHARES = tuple(PRIORS)
WASTE_SD, WASTE_SPREAD = 0.25, 0.10  # of the logarithm: loom waste against what the loom's table says
GRIST_SPREAD = 0.01  # of the logarithm, from cone to cone of one yarn; its band is the yarn's own tolerance

# People work at very different speeds: half as much or twice as much again. Common practice, no source.
RATES: Mapping[str, Prior] = {
    "winding": Prior(120.0, sd=0.5, spread=0.25, in_logs=True),
    "sleying": Prior(200.0, sd=0.5, spread=0.25, in_logs=True),
    "threading": Prior(120.0, sd=0.5, spread=0.25, in_logs=True),
    "beaming": Prior(300.0, sd=0.5, spread=0.25, in_logs=True),
    "tying on": Prior(300.0, sd=0.5, spread=0.25, in_logs=True),
    "weaving": Prior(300.0, sd=0.5, spread=0.25, in_logs=True),
}

# One tape, read once. Our choice, no source.
WIDTH_SD_MM = 2.0
LENGTH_SD_M, LENGTH_SD_SHARE = 0.01, 0.003
WEIGHT_SD_G = 0.5  # two weighings on a scale with steps of 1 g
ANOTHER_LOOM = 2.0  # how many times the usual spread a warp on another loom varies


@dataclass(frozen=True, slots=True)
class Worked:
    """Time that a step took. ``hours`` for each of ``people``."""

    step: str
    hours: float
    people: int = 1


@dataclass(frozen=True, slots=True)
class ProjectRecord:
    """The measurements of one warp, with what the figures need of its plan; None: not measured.

    ``warp_ends``, ``label_m_per_g``: by yarn; ``warp_g``, ``weft_g``: weighed, by yarn. ``unwoven_m``: warp
    of fringes and headers; ``fringe_in_waste_m`` of it lies in the loom waste. ``waste_m``: left over,
    without that fringe. ``weft_strands``: in a pick, on average. ``picks_per_cm``:
    counted. ``structure``: the class of the weave, such as "twill". ``opens_to``: 2 where the washed width is
    that of cloth opened to double width, else 1. ``working_ends``: ends in heddles and reed; None: as many as
    ends of yarn.
    """

    warp: str
    loom: str
    structure: str
    warp_yarns: tuple[str, ...]
    weft_yarns: tuple[str, ...]
    warp_ends: Mapping[str, int]
    label_m_per_g: Mapping[str, float]
    width_in_reed_mm: float
    warp_length_m: float
    unwoven_m: float = 0.0
    fell_width_mm: float | None = None
    tense_length_m: float | None = None
    off_width_mm: float | None = None
    off_length_m: float | None = None
    washed_width_mm: float | None = None
    washed_length_m: float | None = None
    waste_m: float | None = None
    picks_per_cm: float | None = None
    warp_g: Mapping[str, float] = field(default_factory=dict)
    weft_g: Mapping[str, float] = field(default_factory=dict)
    worked: tuple[Worked, ...] = ()
    weft_strands: float = 1.0
    fringe_in_waste_m: float = 0.0
    opens_to: int = 1
    working_ends: int | None = None

    @property
    def ends(self) -> int:
        """Ends of yarn."""
        return sum(self.warp_ends.values())

    def threads_of(self, step: str) -> float | None:
        """What a step is counted in: picks, ends of yarn, or working ends; None: not measured."""
        if step == "weaving":
            return self.picks
        return self.ends if step == "winding" or self.working_ends is None else self.working_ends

    @property
    def woven_m(self) -> float | None:
        return self.off_length_m if self.off_length_m is not None else self.tense_length_m

    @property
    def picks(self) -> float | None:
        """Picks woven in all."""
        if self.picks_per_cm is None or self.woven_m is None:
            return None
        return self.picks_per_cm * self.woven_m * 100


@dataclass(frozen=True, slots=True)
class About:
    """The warp that an estimate is for."""

    loom: str
    structure: str
    warp_yarns: tuple[str, ...]
    weft_yarns: tuple[str, ...]


def measured(result: ProjectRecord) -> dict[str, tuple[float, float]]:
    """Each figure that the measurements give, with its sd: shares and meters, grist by "grist YARN".

    Rates are in threads an hour and person, by "rate STEP"; sds of rates, grist and waste are of logarithms.
    Impossible figures (such as a warp shorter than its cloth) are included: see :func:`believable`.
    """
    made: dict[str, tuple[float, float]] = {}
    _lengths(result, made)
    _widths(result, made)
    _yarn(result, made)
    for work in result.worked:
        done = result.threads_of(work.step)
        if done and work.hours > 0 and work.step in RATES:
            made[f"rate {work.step}"] = (done / (work.hours * work.people), 0.05)
    for name, tense, slack in (
        ("relax_length", result.tense_length_m, result.off_length_m),
        ("relax_width", result.fell_width_mm, result.off_width_mm),
    ):
        if tense and slack:
            made[name] = (1 - slack / tense, _ratio_sd(slack, 0.005 * slack, tense, 0.005 * tense))
    return made


def believable(name: str, value: float, result: ProjectRecord) -> bool:
    """Whether a figure is plausible: beyond these bounds something was misread. Our choice."""
    if name in SHARES or name.startswith("relax_"):
        return -0.05 <= value <= 0.60
    if name.startswith("grist "):
        label = result.label_m_per_g.get(name.removeprefix("grist "), value)
        return 0.5 <= value / label <= 2.0
    if name == "waste":
        return value < result.warp_length_m
    return 1 <= value <= 20_000


def _learned(name: str, result: ProjectRecord) -> tuple[float, float] | None:
    found = measured(result).get(name)
    return found if found is not None and believable(name, found[0], result) else None


def _length_sd(length_m: float) -> float:
    return math.hypot(LENGTH_SD_M, LENGTH_SD_SHARE * length_m)


def _ratio_sd(above: float, above_sd: float, below: float, below_sd: float) -> float:
    """The sd of above / below, both independent and far from 0."""
    return abs(above / below) * math.hypot(above_sd / above, below_sd / below)


def _lengths(result: ProjectRecord, made: dict[str, tuple[float, float]]) -> None:
    woven, washed, waste = result.woven_m, result.washed_length_m, result.waste_m
    if waste is not None and (all_waste := waste + result.fringe_in_waste_m) > 0:
        made["waste"] = (all_waste, _length_sd(all_waste) / all_waste)
    if woven and waste is not None:
        used = result.warp_length_m - waste - result.unwoven_m
        if used > 0:
            used_sd = math.hypot(_length_sd(result.warp_length_m), _length_sd(waste))
            made["take_up"] = (used / woven - 1, _ratio_sd(used, used_sd, woven, _length_sd(woven)))
    if woven and washed:
        made["shrink_length"] = (
            1 - washed / woven,
            _ratio_sd(washed, _length_sd(washed), woven, _length_sd(woven)),
        )


def _widths(result: ProjectRecord, made: dict[str, tuple[float, float]]) -> None:
    reed, fell, washed = result.width_in_reed_mm, result.fell_width_mm, result.washed_width_mm
    if fell:
        made["draw_in"] = (1 - fell / reed, _ratio_sd(fell, WIDTH_SD_MM, reed, WIDTH_SD_MM))
        if washed:
            made["shrink_width"] = (
                1 - washed / result.opens_to / fell,
                _ratio_sd(washed, WIDTH_SD_MM, fell, WIDTH_SD_MM) / result.opens_to,
            )


def _yarn(result: ProjectRecord, made: dict[str, tuple[float, float]]) -> None:
    for yarn, grams in result.warp_g.items():
        length_m = result.warp_ends.get(yarn, 0) * result.warp_length_m
        if length_m > 0 and grams > 0:
            sd = math.hypot(WEIGHT_SD_G / grams, _length_sd(result.warp_length_m) / result.warp_length_m)
            made[f"grist {yarn}"] = (length_m / grams, sd)
    grams_of = {yarn: result.weft_g.get(yarn, 0.0) for yarn in result.weft_yarns}
    picks = result.picks
    if picks and grams_of and all(grams > 0 for grams in grams_of.values()):
        grists = {yarn: made.get(f"grist {yarn}", (result.label_m_per_g[yarn], 0.025)) for yarn in grams_of}
        weft_m = sum(grams * grists[yarn][0] for yarn, grams in grams_of.items())
        wanted_m = picks * result.weft_strands * result.width_in_reed_mm / 1000
        spread = max(math.hypot(grists[yarn][1], WEIGHT_SD_G / grams) for yarn, grams in grams_of.items())
        made["weft_take_up"] = (weft_m / wanted_m - 1, weft_m / wanted_m * math.hypot(spread, 0.01))


def share(name: str, about: About, results: Iterable[ProjectRecord], prior: Prior | None = None) -> Estimate:
    """Take-up, draw-in, a shrinkage or weft take-up for a warp: from warps of the same yarn and structure.

    For what depends on the loom, warps on another loom weigh less.
    """
    seen = []
    for result in results:
        found = _learned(name, result)
        if found is None or result.structure != about.structure:
            continue
        mine, theirs = (
            (about.weft_yarns, result.weft_yarns)
            if name == "weft_take_up"
            else (about.warp_yarns, result.warp_yarns)
        )
        if not set(mine) & set(theirs):
            continue
        on_loom = name in ("take_up", "draw_in", "weft_take_up")
        far = ANOTHER_LOOM if on_loom and result.loom != about.loom else 1.0
        seen.append(Observation(found[0], found[1], result.warp, far))
    return estimate(prior or PRIORS[name], seen)


def waste(loom: str, said_m: float, results: Iterable[ProjectRecord]) -> Estimate:
    """A loom's waste in m, from what its table says and what was left on it."""
    seen = [
        Observation(*found, result.warp)
        for result in results
        if result.loom == loom and (found := _learned("waste", result)) is not None
    ]
    return estimate(Prior(max(said_m, 0.01), WASTE_SD, WASTE_SPREAD, in_logs=True), seen)


def grist(yarn: str, said_m_per_g: float, tolerance: float, results: Iterable[ProjectRecord]) -> Estimate:
    """A yarn's grist in m/g, from its count with its tolerance (95 % band) and from warps wound of it."""
    seen = [
        Observation(*found, result.warp)
        for result in results
        if (found := _learned(f"grist {yarn}", result)) is not None
    ]
    return estimate(Prior(said_m_per_g, max(tolerance / 1.96, 1e-4), GRIST_SPREAD, in_logs=True), seen)


def rate(step: str, loom: str, results: Iterable[ProjectRecord]) -> Estimate:
    """Threads an hour and person in a step; winding on any loom's warps, the others on this loom."""
    seen = [
        Observation(*found, result.warp, 1.0 if step == "winding" or result.loom == loom else ANOTHER_LOOM)
        for result in results
        if (found := _learned(f"rate {step}", result)) is not None
    ]
    return estimate(RATES[step], seen)
