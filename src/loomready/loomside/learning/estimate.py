"""A default and measurements combined into one figure: normal prior, normal measurements, known spreads.

With a prior N(m0, s0^2) and measurements x_i, each normal around the true value with a spread s_i that is
known, the posterior is normal too; its precision is the sum of the precisions, its mean their weighted mean:

    1 / s^2 = 1 / s0^2 + sum 1 / s_i^2        m = s^2 (m0 / s0^2 + sum x_i / s_i^2)

The conjugate normal-normal model, as in Gelman, Carlin, Stern, Dunson, Vehtari and Rubin, *Bayesian Data
Analysis*, 3rd ed., 2013, section 2.5 (from memory). Few data stay near the default, many leave it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

NORMAL_95 = 1.96  # the half width of the 95 % band, in standard deviations


@dataclass(frozen=True, slots=True)
class Prior:
    """The default before anything is measured, and how much warps vary.

    ``sd``: of the default; ``spread``: from warp to warp of one kind. ``in_logs``: ``mean`` is the figure
    itself, but the sds are of its logarithm, for rates and grists, which vary in proportion.
    """

    mean: float
    sd: float
    spread: float
    in_logs: bool = False


@dataclass(frozen=True, slots=True)
class Observation:
    """One warp's figure. ``sd``: of the measuring, on the same scale as the prior's.

    ``far``: how many times the usual spread it varies; 1 for a warp just like the one in question.
    """

    value: float
    sd: float
    warp: str
    far: float = 1.0


@dataclass(frozen=True, slots=True)
class Estimate:
    """``low`` to ``high``: the 95 % band of the mean. ``warps``: where it comes from; none: the default."""

    mean: float
    sd: float
    low: float
    high: float
    warps: tuple[str, ...]
    prior: Prior

    @property
    def count(self) -> int:
        return len(self.warps)

    @property
    def give(self) -> float:
        """The larger half of the band."""
        return max(self.high - self.mean, self.mean - self.low)


def posterior(mean: float, sd: float, seen: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Mean and sd after measurements, each a value and its sd. All sds are above 0.

    >>> posterior(0.0, 1.0, [(2.0, 1.0)])[0]
    1.0
    """
    precisions = [1 / (sd * sd)]
    weighted = [mean / (sd * sd)]
    for value, spread in seen:
        precisions.append(1 / (spread * spread))
        weighted.append(value / (spread * spread))
    # fsum: the result must not depend on the order of the measurements.
    precision = math.fsum(precisions)
    return math.fsum(weighted) / precision, 1 / math.sqrt(precision)


def estimate(prior: Prior, observations: Iterable[Observation]) -> Estimate:
    """The figure for the next warp, from the default and what was measured."""
    seen = sorted(observations, key=lambda each: (each.warp, each.value))
    scale = math.log if prior.in_logs else float
    back = math.exp if prior.in_logs else float
    spreads = [math.hypot(each.sd, prior.spread * each.far) for each in seen]
    values = [scale(each.value) for each in seen]
    mean, sd = posterior(scale(prior.mean), prior.sd, zip(values, spreads, strict=True))
    low, high = mean - NORMAL_95 * sd, mean + NORMAL_95 * sd
    warps = tuple(dict.fromkeys(each.warp for each in seen))
    return Estimate(back(mean), sd, back(low), back(high), warps, prior)
