"""What is left of a cloth's pattern for an eye at a distance.

The eye blurs what it sees. Its line spread is about one minute of arc wide at half its height (F. W.
Campbell and R. W. Gubisch, "Optical quality of the human eye", J. Physiol. 186 (1966) 558-578, pupils of 2 to
3 mm; figure from memory), which is also the stroke that H. Snellen's letters of 1862 ask a good eye to tell
apart. So the Gaussian here has one arc minute as its full width at half maximum; its standard deviation is
0.425 of that.

The cloth is taken flat, as rectangles of thread: linear light, warp color where the warp is up, weft color
elsewhere, as a continuous repeat. Contrast is the root mean square of the blurred luminance about its
mean, over its mean: 0 for a plain field, 1 for even stripes of black and white seen close by.

Nothing is sampled. Two rectangles of thread, blurred, overlap along each direction by a kernel of closed
form, and a draft is a sum of (picks of a shaft) x (ends of a shaft), so that everything comes from two small
Gram matrices and no drawdown is drawn. Blurring is linear in the colors: :func:`role_masks` does the work of
the structure once, and :meth:`RoleMasks.contrast` then ranks any number of color choices by one product.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loomready.cloth.color import BLUE_SHARE, GREEN_SHARE, RED_SHARE, to_light
from loomready.colors import RGB
from loomready.draft.draft import Draft
from loomready.draft.structure.analysis import Structure
from loomready.draft.structure.periods import number, smallest_period
from loomready.phrases import phrase, word
from loomready.problems import BadInput

Reals = npt.NDArray[np.float64]

EYE_ARC_MINUTES = 1.0
FWHM_OF_A_SIGMA = 2.0 * math.sqrt(2.0 * math.log(2.0))


def blur_mm(distance_m: float) -> float:
    """Standard deviation, in mm on the cloth, of the eye's blur at ``distance_m``.

    >>> round(blur_mm(3.0) * FWHM_OF_A_SIGMA, 3)  # one arc minute at three meters
    0.873
    """
    return 1000.0 * distance_m * math.tan(math.radians(EYE_ARC_MINUTES / 60.0)) / FWHM_OF_A_SIGMA


def luminance(colors: npt.ArrayLike) -> Reals:
    """Relative luminance 0-1 of sRGB colors [..., 3], code values 0-255."""
    light: Reals = to_light(colors) @ np.array([RED_SHARE, GREEN_SHARE, BLUE_SHARE])
    return light


def overlap(threads: int, thread_mm: float, sigma_mm: float) -> Reals:
    """How much two blurred threads overlap, by their distance in a continuous repeat: float64[threads]."""
    spread = math.sqrt(2.0) * sigma_mm / thread_mm
    reach = math.ceil(1 + 9 * spread)
    if reach > 64 * threads:  # blurred so far that every thread overlaps every other alike
        return np.full(threads, 1.0 / threads)
    lags = np.arange(-reach - 1, reach + 2, dtype=np.float64)
    if spread > 0:
        from scipy.special import erf  # slow to load, and few who import this module blur anything

        steps = lags / spread
        twice = 0.5 * lags * (1 + erf(steps / math.sqrt(2))) + spread * np.exp(-0.5 * steps**2) / math.sqrt(
            2 * math.pi
        )
    else:
        twice = np.maximum(lags, 0.0)
    weights = twice[2:] - 2 * twice[1:-1] + twice[:-2]
    return np.bincount(np.arange(-reach, reach + 1) % threads, weights, threads).astype(np.float64)


def gram(rows: Reals, kernel: Reals) -> Reals:
    """Mean products, [..., n, n], of rows [..., n, threads] after the blur that ``kernel`` [threads] is."""
    power = np.fft.rfft(kernel).real
    power[1:] *= 2.0  # each frequency above 0 stands for its negative too, ...
    if rows.shape[-1] % 2 == 0:
        power[-1] /= 2.0  # ... except the highest of an even number
    waves = np.fft.rfft(rows) * np.sqrt(np.maximum(power, 0.0)) / rows.shape[-1]
    parts = np.concatenate([waves.real, waves.imag], axis=-1)
    products: Reals = parts @ parts.swapaxes(-1, -2)
    return products


@dataclass(frozen=True, slots=True, eq=False)
class RoleMasks:
    """What each color role of a draft covers, seen from a distance: all that its contrast needs.

    warp_roles   palette numbers in the order in which the ends first show them; weft_roles likewise for picks
    shares       float64[R], the part of the cloth's face that each role covers, warp roles first; sum 1
    covariance   float64[R, R] of the blurred masks
    """

    warp_roles: tuple[int, ...]
    weft_roles: tuple[int, ...]
    shares: Reals
    covariance: Reals

    def contrast(self, light: npt.ArrayLike) -> Reals:
        """Contrast [...] of the roles' luminances [..., R], 0-1 (:func:`luminance`): many choices at once."""
        of_roles = np.asarray(light, dtype=np.float64)
        mean = of_roles @ self.shares
        variance = np.einsum("...i,...i->...", of_roles @ self.covariance, of_roles)
        left = np.sqrt(np.maximum(variance, 0.0))
        # Below a ten-millionth of the light only rounding is left.
        left = np.where(left > 1e-7 * np.abs(of_roles).max(axis=-1, initial=0.0), left, 0.0)
        found: Reals = np.divide(left, mean, out=np.zeros_like(mean), where=mean > 0)
        return found


def role_masks(draft: Draft, *, mm_per_end: float, mm_per_pick: float, distance_m: float) -> RoleMasks:
    """The masks of a draft's color roles at a sett, mm of cloth for each end and pick, and a distance in m.

    Takes a few ms for any draft of a loom; many color choices then cost one :meth:`RoleMasks.contrast`.

    :raises BadInput: no ends or picks, a sett that is none, a negative distance
    """
    for name, value, least in (("end", mm_per_end, 1e-6), ("pick", mm_per_pick, 1e-6), ("m", distance_m, 0)):
        if not (math.isfinite(value) and least <= value <= 1e6):
            if name == "m":
                what = phrase(
                    "{number} is not a valid distance in m; expected a plain number above 0", number=value
                )
            else:
                what = phrase(
                    "{number} is not a valid mm for each {end_or_pick}; expected a plain number above 0",
                    number=value,
                    end_or_pick=word(name),
                )
            raise BadInput(what)
    structure = Structure(draft)
    ends = smallest_period(number(structure.end_ids, draft.warp_colors).ids)
    picks = smallest_period(number(structure.picks.ids, draft.weft_colors).ids)
    warp_roles = tuple(dict.fromkeys(draft.warp_colors.tolist()))
    weft_roles = tuple(dict.fromkeys(draft.weft_colors.tolist()))
    threading, warp = draft.threading[:ends], draft.warp_colors[:ends]
    weft = draft.weft_colors[:picks]

    shafts = np.unique(threading)  # with -1, ends that no shaft ever lifts
    plan = np.zeros((picks, draft.shafts + 1))
    plan[:, :-1] = draft.lifts[:picks]
    up = plan.T[shafts]
    on_shaft = threading == shafts[:, None]
    # A role is a sum over shafts of picks x ends: the ends of its color where the shaft is up, or the picks
    # of its color where it is down.
    across = [on_shaft & (warp == role) for role in warp_roles] + [on_shaft] * len(weft_roles)
    along = [up] * len(warp_roles) + [(1 - up) * (weft == role) for role in weft_roles]
    sigma = blur_mm(distance_m)
    roles, terms = len(across), len(shafts)
    of_ends = gram(np.concatenate(across).astype(np.float64), overlap(ends, mm_per_end, sigma))
    of_picks = gram(np.concatenate(along), overlap(picks, mm_per_pick, sigma))
    together = (of_ends * of_picks).reshape(roles, terms, roles, terms).sum(axis=(1, 3))
    shares = (np.mean(across, axis=2) * np.mean(along, axis=2)).sum(axis=1)
    return RoleMasks(warp_roles, weft_roles, shares, together - np.outer(shares, shares))


def contrast(
    draft: Draft,
    *,
    mm_per_end: float,
    mm_per_pick: float,
    distance_m: float,
    colors: Sequence[RGB] | None = None,
) -> float:
    """Contrast that is left of a draft at ``distance_m``, in its palette or in ``colors`` instead of it.

    :raises BadInput: as :func:`role_masks`
    """
    masks = role_masks(draft, mm_per_end=mm_per_end, mm_per_pick=mm_per_pick, distance_m=distance_m)
    of_palette = luminance(draft.palette if colors is None else colors)
    return float(masks.contrast(of_palette[list(masks.warp_roles + masks.weft_roles)]))
