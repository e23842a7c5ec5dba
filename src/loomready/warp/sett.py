"""The sett: calculated from yarn and draft, with the chart values beside it.

T. R. Ashenhurst, *A Treatise on Textile Calculations*, 1884 (title from memory): a thread in cloth needs room
for its own diameter, and at every intersection for the crossing thread as well. With E ends,
P picks and I face changes in the repeat, the greatest sett is E P / (E P d_warp + I d_weft). That is
a bound, not a recipe: ordinary cloth has 80 % of it, and draws whose intersections are not spread
evenly go by the chart and by judgment.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from loomready.draft.draft import Draft, shed
from loomready.draft.structure.analysis import Analysis, interlacements
from loomready.draft.structure.layers import HowTold, how_told, layers_of
from loomready.model.guild import Guild, WarpOrder, WeftStripe, Yarn
from loomready.phrases import Phrase, joined, phrase
from loomready.units import Shown
from loomready.warp.sett_charts import ChartValue, Kind, chart_sett
from loomready.warp.stripes import one_run
from loomready.warp.uneven_sett import is_straight_twill, why_chart_rules
from loomready.yarn import cover
from loomready.yarn.fibers import is_all

# Share of the maximum sett used for ordinary cloth: Ashenhurst's tradition (seen).
WORKING_FIRMNESS = 0.80
# A weave with at least this share of plain weave's intersections uses the chart's plain column. No source.
PLAIN_SHARE = 0.9
# Brierley's and Peirce's rules are for one yarn both ways: for grists within this share. No source.
SAME_YARN = 0.15
COTTON = "cotton"  # the fiber that Peirce and Taylor measured
# The corner of a repeat that is checked for lace and the like. A larger corner finds nothing new.
_LOOKED_AT = 512

# E, P and I of plain weave, which interlaces most: used for layers that cannot be told apart.
_PLAIN = (2, 2, 4)

MeanDiameter = Callable[[Guild, tuple[str, ...], npt.NDArray[np.int16]], float]


@dataclass(frozen=True, slots=True)
class SettAdvice:
    """What can be said about a sett; all setts in ends per cm, all layers together.

    formula_per_cm      ``firmness`` of the greatest sett
    greatest_per_cm     Ashenhurst's bound: closer, and the ends crowd
    firmness            as ordered, or the working firmness of ordinary cloth
    firmness_of_sett    the share of the greatest sett that the asked-for sett means; None: none was asked for
    kind, chart         the chart's column and its value for this yarn, if a chart has one
    chart_rules         a sentence, where a count of intersections misjudges this cloth
    layers_told         how its layers were told apart
    brierley_per_cm     the greatest sett by Brierley's rule; None: two yarns, or a weave it was not made for
    jammed_plain_per_cm the closest that plain weave of this warp yarn both ways can be beaten (Peirce)
    cover               Peirce's cover factor of one layer's warp, 28 where threads touch, at the sett asked
                        for, or else the formula's; None: no cotton
    weft_contraction    share by which weft is longer than the cloth is wide (Taylor), for fine yarns only
    """

    formula_per_cm: float
    greatest_per_cm: float
    firmness: float
    firmness_of_sett: float | None
    kind: Kind
    chart: ChartValue | None
    chart_rules: Phrase | None
    brierley_per_cm: float | None
    jammed_plain_per_cm: float | None
    cover: float | None
    weft_contraction: float | None
    layers_told: HowTold = "parts"

    def lines(self, show: Shown) -> list[Phrase]:
        """The advice as plain text, a line for each point, in the guild's units."""
        greatest, share = show.epi(self.greatest_per_cm), show.share(self.firmness)
        said = [
            phrase(
                "Maximum sett {greatest} (Ashenhurst 1884); {share} of it is {formula}",
                greatest=greatest,
                share=share,
                formula=show.epi(self.formula_per_cm),
            )
        ]
        if self.firmness_of_sett is not None:
            said.append(
                phrase(
                    "The sett asked for is {share} of the maximum",
                    share=show.share(self.firmness_of_sett),
                )
            )
        if self.chart is not None:
            said.append(self.chart.line(show))
        if self.chart_rules is not None:
            said.append(self.chart_rules)
        if self.layers_told == "in turn":
            said.append(
                phrase(
                    "The layers hold together in this draft: it is assumed that their threads alternate, "
                    "end by end and pick by pick"
                )
            )
        checks = []
        if self.brierley_per_cm is not None:
            checks.append(phrase("maximum by Brierley {sett}", sett=show.epi(self.brierley_per_cm)))
        if self.jammed_plain_per_cm is not None:
            checks.append(phrase("plain weave jams at {sett}", sett=show.epi(self.jammed_plain_per_cm)))
        if self.cover is not None:
            checks.append(
                phrase(
                    "warp cover {cover:.0f} of {greatest:.0f} (Peirce 1937)",
                    cover=self.cover,
                    greatest=cover.PEIRCE_DIAMETERS,
                )
            )
        if self.weft_contraction is not None:
            checks.append(
                phrase(
                    "weft take-up {share} (Taylor)",
                    share=show.share(self.weft_contraction),
                )
            )
        if checks:
            said.append(phrase("Cross-checks: {checks}", checks=joined("; ", checks)))
        return said


@dataclass(frozen=True, slots=True)
class Cloth:
    """One layer: E, P and I of its smallest repeat, and the mean diameters of ends and picks in mm."""

    e: int
    p: int
    i: int
    d_warp_mm: float
    d_weft_mm: float

    @property
    def intersections(self) -> float:
        """Face changes per end and pick: plain weave 1, a 2/2 twill 0.5."""
        return self.i / (self.e * self.p)

    @property
    def greatest_per_cm(self) -> float:
        return sett_from_firmness(1.0, self.e, self.p, self.i, self.d_warp_mm, self.d_weft_mm)


def sett_from_firmness(firmness: float, e: int, p: int, i: int, d_warp_mm: float, d_weft_mm: float) -> float:
    """Ends per cm at a share of the greatest sett.

    :param firmness: above 0; 1 is the greatest sett
    :param e: ends of the smallest repeat, ``p`` its picks, ``i`` face changes along its picks, wrapped
    :param d_warp_mm: diameters in mm, of a mean end and a mean pick

    >>> round(2.54 * sett_from_firmness(0.8, 2, 2, 4, 0.487, 0.487), 1)  # 8/2 cotton, plain weave
    20.9
    """
    crossings = e * p
    return firmness * crossings / (crossings * d_warp_mm + i * d_weft_mm) * 10.0


def setts(
    *,
    cloths: Sequence[Cloth],
    block: npt.NDArray[np.bool_],
    warp: Yarn,
    weft: Yarn,
    asked_per_cm: float | None = None,
    picks_per_cm: float | None = None,
    firmness: float | None = None,
    layers_told: HowTold = "parts",
) -> SettAdvice:
    """Everything about the sett of one cloth.

    :param cloths: its layers, one or more
    :param block: drawdown of the repeat or of a corner of it, bool[picks, ends], true where the warp is up
    :param warp: the yarn of most ends; ``weft`` of most picks
    """
    layers = len(cloths)
    greatest = sum(cloth.greatest_per_cm for cloth in cloths)
    share = WORKING_FIRMNESS if firmness is None else firmness
    sett = asked_per_cm if asked_per_cm is not None else share * greatest
    intersections = float(np.mean([cloth.intersections for cloth in cloths]))
    d_warp_mm = float(np.mean([cloth.d_warp_mm for cloth in cloths]))
    d_weft_mm = float(np.mean([cloth.d_weft_mm for cloth in cloths]))
    least = 1.0 / max(cloth.e for cloth in cloths)
    uneven = why_chart_rules(
        block,
        layers,
        warp_cover=sett * d_warp_mm / 10.0 / layers,
        weft_cover=None if picks_per_cm is None else picks_per_cm * d_weft_mm / 10.0 / layers,
    )
    cotton = is_all(warp.fiber, COTTON)
    one_yarn = abs(math.log(warp.tex / weft.tex)) <= math.log1p(SAME_YARN)
    by_count: Kind = "plain" if intersections >= PLAIN_SHARE else "twill"
    kind = by_count if uneven is None or uneven.goes_by is None else uneven.goes_by
    chart = chart_sett(warp, kind)
    return SettAdvice(
        formula_per_cm=share * greatest,
        greatest_per_cm=greatest,
        firmness=share,
        firmness_of_sett=None if asked_per_cm is None else asked_per_cm / greatest,
        kind=kind,
        chart=None if chart is None else chart.times(layers),
        chart_rules=None if uneven is None else uneven.says,
        brierley_per_cm=layers * cover.brierley_per_cm(warp.tex, 1.0 / max(intersections, least))
        if one_yarn and uneven is None and (kind == "plain" or is_straight_twill(block))
        else None,
        jammed_plain_per_cm=layers * cover.jammed_plain_per_cm(warp.tex)
        if one_yarn and cotton and kind == "plain"
        else None,
        cover=cover.cover_factor(sett / layers, warp.tex) if cotton else None,
        weft_contraction=cover.contraction(sett / layers * intersections, weft.tex)
        if is_all(weft.fiber, COTTON)
        else None,
        layers_told=layers_told,
    )


def advise(
    order: WarpOrder,
    guild: Guild,
    draft: Draft,
    found: Analysis,
    mean_diameter_mm: MeanDiameter,
) -> SettAdvice:
    """The sett advice for a warp order.

    :param mean_diameter_mm: guild, yarn keys and color numbers of threads to their mean diameter
    """
    weft_yarns, weft_colors, draws, strands = _weft(order, draft)
    ends, picks = (min(threads, _LOOKED_AT) for threads in found.repeat)
    return setts(
        cloths=_cloths(
            order,
            guild,
            draft,
            weft_yarns,
            weft_colors,
            mean_diameter_mm,
            of_draft=draws,
            weft_strands=strands,
        ),
        block=shed(draft.lifts[:picks], draft.threading[:ends]),
        warp=together(
            guild.yarn(_commonest(order.warp_yarns, _warp_colors(order, draft))), order.ends_per_heddle
        ),
        weft=together(guild.yarn(_commonest(weft_yarns, weft_colors)), strands),
        asked_per_cm=order.sett_per_cm,
        picks_per_cm=order.picks_per_cm,
        firmness=order.firmness,
        layers_told=how_told(draft, order.layers),
    )


def greatest_of(
    order: WarpOrder,
    guild: Guild,
    draft: Draft,
    weft_yarns: tuple[str, ...],
    mean_diameter_mm: MeanDiameter,
    weft_stripes: tuple[WeftStripe, ...] = (),
    weft_strands: int = 1,
) -> float:
    """The maximum sett, ends per cm, of a cloth woven on the order's warp: the sum of its layers.

    :param weft_yarns: one for each weft color of the draft, in the order in which they first appear
    :param weft_stripes: the picks by yarn, in place of the draft's colors
    :param weft_strands: of weft together in each pick
    """
    colors = one_run(weft_stripes) if weft_stripes else draft.weft_colors
    cloths = _cloths(
        order,
        guild,
        draft,
        weft_yarns,
        colors,
        mean_diameter_mm,
        of_draft=not weft_stripes,
        weft_strands=weft_strands,
    )
    return sum(cloth.greatest_per_cm for cloth in cloths)


def together(yarn: Yarn, strands: int) -> Yarn:
    """The yarn that so many strands are when they work as one: of their resultant count, without a label."""
    if strands == 1:
        return yarn
    return replace(yarn, tex=yarn.tex * strands, count=None, count_system=None, source=None)


@lru_cache(maxsize=256)
def interlaced(draft: Draft, layers: int) -> tuple[tuple[int, int, int, Draft | None], ...]:
    """E, P and I of each layer with its own draft; of plain weave, without one, where none can be told apart.

    Drafts are immutable, so each is analyzed once.
    """
    found = layers_of(draft, layers)
    if not found:
        return ((*_PLAIN, None),) * layers
    return tuple((*interlacements(layer.draft), layer.draft) for layer in found)


def _cloths(
    order: WarpOrder,
    guild: Guild,
    draft: Draft,
    weft_yarns: tuple[str, ...],
    weft_colors: npt.NDArray[Any],
    mean_diameter_mm: MeanDiameter,
    *,
    of_draft: bool,
    weft_strands: int,
) -> tuple[Cloth, ...]:
    """Each layer in its yarns. Of stripes every layer has the same share: they are laid across all layers.

    :param of_draft: whether ``weft_colors`` are the draft's own, so that a layer has some of them
    :param weft_strands: of weft together in each pick
    """
    warp_of = dict(zip(_appear(_warp_colors(order, draft)), order.warp_yarns, strict=True))
    weft_of = dict(zip(_appear(weft_colors), weft_yarns, strict=True))
    cloths = []
    for e, p, i, own in interlaced(draft, order.layers):
        ends = _warp_colors(order, draft if own is None else own)
        picks = (
            weft_colors
            if own is None or not of_draft or len(weft_of) < len(set(own.weft_colors.tolist()))
            else own.weft_colors
        )
        warp = mean_diameter_mm(guild, tuple(warp_of[color] for color in _appear(ends)), ends)
        weft = mean_diameter_mm(guild, tuple(weft_of[color] for color in _appear(picks)), picks)
        # Threads that work as one are as thick as their resultant count: the diameter goes by its root.
        warp, weft = warp * math.sqrt(order.ends_per_heddle), weft * math.sqrt(weft_strands)
        cloths.append(Cloth(e, p, i, warp, weft))
    return tuple(cloths)


def _warp_colors(order: WarpOrder, draft: Draft) -> npt.NDArray[Any]:
    """Color numbers of a draft's ends, or of one run of the order's stripes."""
    return one_run(order.stripes) if order.stripes else draft.warp_colors


def _appear(colors: npt.NDArray[Any]) -> tuple[int, ...]:
    """Color numbers in the order in which they first appear."""
    return tuple(dict.fromkeys(colors.tolist()))


def _weft(order: WarpOrder, draft: Draft) -> tuple[tuple[str, ...], npt.NDArray[Any], bool, int]:
    """The weft yarns woven to this draft, each pick's color, whether it is the draft's, and the strands.

    Where every item has its own weft, the order's weft need not fit the draft: then the first item's weft
    that fits is used, or else the order's yarns in equal parts.
    """
    if order.weft_stripes:
        return order.weft_yarns, one_run(order.weft_stripes), False, order.weft_strands
    own = (
        (item.weft_yarns, item.weft_strands or order.weft_strands)
        for item in order.items
        if item.draft in (None, order.draft) and not item.weft_stripes
    )
    colors = np.unique(draft.weft_colors).size
    for yarns, strands in ((order.weft_yarns, order.weft_strands), *own):
        if yarns is not None and len(yarns) == colors:
            return yarns, draft.weft_colors, True, strands
    return order.weft_yarns, np.arange(len(order.weft_yarns), dtype=np.int16), True, order.weft_strands


def _commonest(yarns: tuple[str, ...], colors: npt.NDArray[Any]) -> str:
    """The yarn of most threads; ``yarns`` stand in the order in which their colors first appear."""
    _, first, count = np.unique(colors, return_index=True, return_counts=True)
    threads: dict[str, int] = {}
    for key, many in zip(yarns, count[np.argsort(first)].tolist(), strict=True):
        threads[key] = threads.get(key, 0) + many
    return max(threads, key=lambda key: threads[key])
