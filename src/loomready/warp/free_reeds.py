"""The reeds that a warp may choose from: those that no other warp holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from loomready.model.guild import Reed, WarpOrder


@dataclass(frozen=True, slots=True)
class Reeds:
    """The reeds for one warp, in file order.

    ``held``: reeds that are not chosen while others are free, each with the key of the warp that holds it.
    """

    free: tuple[Reed, ...]
    held: tuple[tuple[Reed, str], ...] = ()

    def holder(self, reed: Reed) -> str | None:
        """The warp that holds this reed; None: nobody does."""
        return next((warp for each, warp in self.held if each == reed), None)


def shared_out(reeds: tuple[Reed, ...], held: Mapping[str, str]) -> Reeds:
    """The guild's reeds, less those held: ``held`` names the warp by the reed's key."""
    return Reeds(
        tuple(reed for reed in reeds if reed.key not in held),
        tuple((reed, held[reed.key]) for reed in reeds if reed.key in held),
    )


def in_its_reed(order: WarpOrder) -> bool:
    """Whether the warp holds its reed: it is wound, and its cloth is not off."""
    return order.wound is not None and order.off is None
