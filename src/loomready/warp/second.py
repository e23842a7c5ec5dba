"""A second warp on a beam of its own: which ends are its, how long it is, how it is held.

Usual take-up and tension are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from loomready.phrases import phrase
from loomready.problems import BadInput

if TYPE_CHECKING:
    from loomready.model.guild import Loom, SecondKind, Tension, WarpOrder
    from loomready.warp.result import Lengths

Bools = npt.NDArray[np.bool_]

PILE = 3.0
SEERSUCKER = 0.25
_TENSION: Mapping[SecondKind, Tension] = MappingProxyType(
    {"pile": "light", "supplementary": "firm", "seersucker": "slack"}
)


@dataclass(frozen=True, slots=True, eq=False)
class Second:
    """The second warp of a plan.

    of_end    bool[ends], whether an end of the web is one of its
    lengths   the parts of its length; ``length_m``: as planned, or as it was wound
    take_up   as a share of what is woven
    tension   how it is held; ``weighted``: by weights in place of a beam
    """

    of_end: Bools
    lengths: Lengths
    length_m: float
    take_up: float
    tension: Tension
    weighted: bool

    @property
    def ends(self) -> int:
        return int(self.of_end.sum())

    @property
    def first_ends(self) -> int:
        """Ends of the first warp."""
        return int(self.of_end.size) - self.ends


def take_up_of(order: WarpOrder) -> float:
    """What is added along the second warp: measured, said, or usual for what it does.

    Measured: an end as long as ``second_cut_m`` was drawn out of ``second_woven_m`` of cloth.
    """
    if order.second_cut_m is not None and order.second_woven_m is not None:
        return order.second_cut_m / order.second_woven_m - 1
    if order.second_take_up is not None:
        return order.second_take_up
    return {"pile": PILE, "seersucker": SEERSUCKER}.get(order.second_kind, order.take_up)


def tension_of(order: WarpOrder) -> Tension:
    return order.second_tension or _TENSION[order.second_kind]


def is_second(order: WarpOrder, role: npt.NDArray[np.int64]) -> Bools:
    """For each end, by its place in the warp yarns, whether it is of the second warp."""
    chosen = np.asarray([key in (order.second_yarns or ()) for key in order.warp_yarns], dtype=np.bool_)
    return np.asarray(chosen[role])


def check_second(order: WarpOrder, loom: Loom) -> None:
    """Checks that an order can have a second warp.

    :raises BadInput: it cannot
    """
    if order.second_yarns is None:
        return
    for number, key in enumerate(order.second_yarns, start=1):
        if key not in order.warp_yarns:
            raise BadInput(
                phrase('"{yarn}" is not in the warp; expected a yarn of the warp', yarn=key),
                where=("second_yarns", number),
            )
    if set(order.second_yarns) >= set(order.warp_yarns):
        raise BadInput(
            phrase("every yarn of the warp is in the second warp; expected at least one in the first"),
            where="second_yarns",
        )
    refused = {
        "sectional": order.sectional,
        "tied_to": order.tied_to is not None,
        "double_cloth": order.double_cloth is not None,
        "ends_per_heddle": order.ends_per_heddle > 1,
        "selvedge_ends_per_heddle": (order.selvedge_ends_per_heddle or 1) > 1,
        "painted": any(item.painted for item in order.items),
    }
    for name, there in refused.items():
        if there:
            raise BadInput(
                phrase("a second warp is not planned together with {key}; expected one of them", key=name),
                where="second_yarns",
            )
    if loom.has_open_ends:
        raise BadInput(
            phrase("{loom} weaves with one warp; expected a loom with shafts", loom=loom.name),
            where="second_yarns",
        )
