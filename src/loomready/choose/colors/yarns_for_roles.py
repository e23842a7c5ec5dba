"""Which yarn of the shelf can fill which color role: by grist, fiber, and sure length."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Literal

from loomready.choose.colors.roles import Role, recolored, woven_in
from loomready.model.guild import Guild, WarpOrder, Yarn
from loomready.phrases import Phrase, listed, phrase, some
from loomready.problems import BadInput
from loomready.units import Shown
from loomready.warp.length import weft_m_by_yarn, wefts
from loomready.warp.plan import Drafts, plan_once, still_asked, wants_of
from loomready.warp.result import WarpPlan
from loomready.warp.rounding import at_most
from loomready.warp.shelf import Given, Shelf, Want, give
from loomready.yarn.fibers import shrinks_like

Like = Literal["planned", "one-another"]
Refusal = Literal["grist", "fiber", "short"]

NEAR_GRIST = 0.15  # how much coarser one yarn may be than another (common practice, no source)
FIRST_ASKED = 0.9  # of the weft, where the sett and so the width in the reed still depend on the choice

_COLOR_NOT_WRITTEN = next(each.default for each in fields(Yarn) if each.name == "color")


def has_color(yarn: Yarn) -> bool:
    """Whether the yarn has a color of its own; one without is shown in a placeholder color."""
    return yarn.color != _COLOR_NOT_WRITTEN


@dataclass(frozen=True, slots=True)
class Candidate:
    """A yarn that can fill a role alone. ``odd_used_m`` of ``odd_there_m``: taken from odd cones opened."""

    yarn: int
    odd_used_m: float
    odd_there_m: float


@dataclass(frozen=True, slots=True)
class Candidates:
    """The yarns that can fill one role, and why others cannot: counts, and the yarn that is least short."""

    role: Role
    able: tuple[Candidate, ...]
    refused: dict[Refusal, int]
    nearest: tuple[str, float] | None


@dataclass(frozen=True, slots=True)
class SpokenFor:
    """What later warps claim: meters of each yarn, warp by warp, and the smallest reserve of them all.

    Which cones they take depends on what is taken before, so that only lengths are compared here; the caller
    plans the later warps after each offer.
    """

    claims: tuple[dict[str, float], ...] = ()
    reserve: float = 0.0

    def lacks_m(self, yarn: Yarn, shelf: Shelf, wanted_m: float) -> float:
        """How much is short if ``wanted_m`` is taken and every claim is met."""
        claimed_m = sum(claim.get(yarn.key, 0.0) for claim in self.claims)
        there_m = shelf.usable_m(shelf.cones_of(yarn.key), yarn, self.reserve)
        over_m = wanted_m + claimed_m - there_m
        return 0.0 if not claimed_m or at_most(wanted_m + claimed_m, there_m) else over_m


class RoleNeeds:
    """What each role needs from the shelf at the planned size."""

    def __init__(self, roles: Sequence[Role], drafts: Drafts, plan: WarpPlan) -> None:
        order = plan.order
        ease = 1.0 if order.sett_per_cm is not None else FIRST_ASKED
        names = tuple(map(str, range(len(roles))))
        by_role = recolored(order, roles, names)
        counts = plan.web.every_end_of(len(order.warp_yarns))
        weft_m = weft_m_by_yarn(wefts(by_role, drafts), plan.width_in_reed_mm, order.weft_take_up)
        eased = {name: meters * ease for name, meters in weft_m.items()}
        wanted = wants_of(by_role, counts, eased)
        self.wants: tuple[tuple[Want, ...], ...] = tuple(
            still_asked(order, wanted.get(name, ())) for name in names
        )
        self.order, self.length_m = order, plan.warp_length_m

    def of(self, role: int, yarn: Yarn, shelf: Shelf) -> Given:
        return give(
            shelf,
            yarn,
            self.wants[role],
            self.length_m,
            reserve=self.order.reserve,
            mix_lots=False,
        )

    def wanted_m(self, role: int) -> float:
        return sum(want.ends * self.length_m + want.weft_m for want in self.wants[role])

    def lacks_m(self, given: Given) -> float:
        return given.missing_ends * self.length_m + given.missing_weft_m


def candidates(
    order: WarpOrder,
    roles: Sequence[Role],
    guild: Guild,
    drafts: Drafts,
    shelf: Shelf,
    spoken_for: SpokenFor,
    *,
    like: Like,
    band: float,
    any_fiber: bool,
) -> tuple[Candidates, ...]:
    """For each role the yarns that can fill it alone, in file order.

    The warp yarns of a warp that is wound stay. Where the sett is worked out from the yarn, the length is
    asked for at the coarsest yarns there are, and whoever offers a choice must plan it whole.

    :raises BadInput: an order that is not valid with its draft
    """
    eligible = [
        [_refusal(role, yarn, order, guild, like, band, any_fiber) for yarn in guild.yarns] for role in roles
    ]
    asked = RoleNeeds(roles, drafts, _loosest(order, roles, guild, drafts, shelf, eligible))
    found = []
    for number, role in enumerate(roles):
        able, refused = [], {"grist": 0, "fiber": 0, "short": 0}
        nearest: tuple[str, float] | None = None
        for place, (yarn, why) in enumerate(zip(guild.yarns, eligible[number], strict=True)):
            if why == "color":
                continue
            if why is not None:
                refused[why] += 1
                continue
            given = asked.of(number, yarn, shelf)
            lack_m = asked.lacks_m(given) or spoken_for.lacks_m(yarn, shelf, asked.wanted_m(number))
            if lack_m == 0:
                able.append(Candidate(place, *odd_cones(guild, given)))
                continue
            refused["short"] += 1
            if nearest is None or lack_m < nearest[1]:
                nearest = (yarn.key, lack_m)
        found.append(Candidates(role, tuple(able), refused, nearest))  # type: ignore[arg-type]
    return tuple(found)


def odd_cones(guild: Guild, *given: Given) -> tuple[float, float]:
    """Meters taken from odd cones, and the sure meters on them. A cone is odd if its dye lot has no second
    cone."""
    lot_of = {cone.key: (cone.yarn, cone.lot) for cone in guild.cones}
    lots = list(lot_of.values())
    odd = [
        use
        for each in given
        for use in each.uses
        if use.warp_m + use.weft_m > 0 and lots.count(lot_of[use.cone]) == 1
    ]
    used_m = sum(use.warp_m + use.weft_m for use in odd)
    return used_m, max(used_m, sum(use.sure_before_m for use in odd))


def _refusal(
    role: Role, yarn: Yarn, order: WarpOrder, guild: Guild, like: Like, band: float, any_fiber: bool
) -> Literal["color", "grist", "fiber"] | None:
    """Why a yarn cannot fill a role, whatever its length."""
    if order.wound is not None and role.in_warp:
        return None if yarn.key == role.planned else "color"
    if not has_color(yarn):
        return "color"
    planned = guild.yarn(role.planned)
    if like == "planned":
        if not any_fiber and shrinks_like(yarn.fiber) != shrinks_like(planned.fiber):
            return "fiber"
        if not near(yarn.tex, planned.tex, band):
            return "grist"
    return None


def near(one: float, other: float, band: float) -> bool:
    """Whether the coarser of two grists is at most ``band`` coarser than the other."""
    return max(one, other) <= min(one, other) * (1 + band) * (1 + 1e-9)


def _loosest(
    order: WarpOrder,
    roles: Sequence[Role],
    guild: Guild,
    drafts: Drafts,
    shelf: Shelf,
    eligible: list[list[Literal["color", "grist", "fiber"] | None]],
) -> WarpPlan:
    """The order's plan; where the sett is calculated from the yarn, the one with the fewest ends of any
    choice."""
    if order.sett_per_cm is not None:
        return plan_once(order, guild, drafts, shelf)[0]
    coarsest = []
    for role, whys in zip(roles, eligible, strict=True):
        able = [yarn for yarn, why in zip(guild.yarns, whys, strict=True) if why is None]
        coarsest.append(max(able, key=lambda yarn: yarn.tex).key if able else role.planned)
    try:
        made = woven_in(order, roles, coarsest, guild, drafts, shelf)
        return plan_once(made, guild, drafts, shelf)[0]
    except BadInput:
        return plan_once(order, guild, drafts, shelf)[0]


def none_because(found: Sequence[Candidates], guild: Guild) -> tuple[Phrase, ...]:
    """For each role that no yarn can fill, why; the closest yarn is named with what it is short."""
    show = Shown(guild.units)
    if not any(map(has_color, guild.yarns)):
        return (phrase("No yarn on the shelf has its color entered; choosing colors needs it."),)
    said = []
    for each in found:
        if each.able:
            continue
        planned, reasons = guild.yarn(each.role.planned).name, listed(_counted(each.refused))
        if not reasons:
            reasons = phrase("none has its color entered")
        if each.nearest is None:
            said.append(
                phrase("No yarn fits in place of {planned}: {reasons}.", planned=planned, reasons=reasons)
            )
            continue
        key, lack_m = each.nearest
        said.append(
            phrase(
                "No yarn fits in place of {planned}: {reasons}. {closest} is closest: short {length}.",
                planned=planned,
                reasons=reasons,
                closest=guild.yarn(key).name,
                length=show.yarn_needed(lack_m),
            )
        )
    if not said:
        names = {guild.yarns[one.yarn].name for each in found for one in each.able}
        said.append(
            phrase(
                "{roles}, and {yarns} that would do: each role needs a yarn of its own, and the yarns of a "
                "cloth must go together.",
                roles=some(len(found), "color role"),
                yarns=some(len(names), "yarn"),
            )
        )
    return tuple(said)


def _counted(refused: Mapping[Refusal, int]) -> Iterator[Phrase]:
    """How many yarns were refused for which reason."""
    if count := refused["fiber"]:
        yield phrase("{count} with different shrinkage", count=count)
    if count := refused["grist"]:
        yield phrase("{count} of a different grist", count=count)
    if count := refused["short"]:
        yield phrase("{count} too short", count=count)
