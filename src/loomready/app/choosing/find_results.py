"""The results of a search for drafts: each with its cloth and its columns in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loomready.app.choosing.searches import Running, id_of
from loomready.app.drafts import draft_preview
from loomready.app.i18n.words import sentence, translated
from loomready.choose.drafts.columns import COLUMNS, DraftOffer
from loomready.choose.drafts.finding import Nothing, WiderLimits, Wish
from loomready.cloth.distance import seen_jpeg
from loomready.model.guild import Side
from loomready.units import WIDTH_MM, near

_LIMITS = {
    "picks": gettext_lazy("The pick repeat"),
    "max_float": gettext_lazy("The longest float"),
    "max_float_mm": gettext_lazy("The longest float"),
    "treadles": gettext_lazy("Treadles, one per lift"),
    "max_steps": gettext_lazy("Steps to remember"),
    "symmetric": gettext_lazy("The mirror line"),
    "plain_weave": gettext_lazy("Plain weave"),
    "heddles": gettext_lazy("Heddles in place"),
    "threading": gettext_lazy("The threading"),
}
_WINDOW_ENDS, _WINDOW_PICKS = 76, 50


@dataclass(frozen=True, slots=True)
class Told:
    """A column of one offer: its key, its name and its value in words."""

    key: str
    title: str
    value: str


@dataclass(frozen=True, slots=True)
class Meaning:
    """A column to order by: what it is."""

    key: str
    title: str
    says: str
    first: str


@dataclass(frozen=True, slots=True)
class OfferCard:
    number: int
    id: str
    title: str
    size: str
    own: str
    cloth: draft_preview.Picture
    columns: tuple[Told, ...]


def meanings() -> list[Meaning]:
    return [
        Meaning(
            each.key,
            translated(each.title),
            translated(each.says),
            _("largest first") if each.falling else _("smallest first"),
        )
        for each in COLUMNS.values()
    ]


def cards(offers: Iterable[DraftOffer], first: int, end_1: Side, us: bool) -> list[OfferCard]:
    """Cards of offers, numbered from ``first``."""
    return [_card(offer, number, end_1, us) for number, offer in enumerate(offers, first)]


def _card(offer: DraftOffer, number: int, end_1: Side, us: bool) -> OfferCard:
    found = offer.found
    size = _("%(ends)d ends × %(picks)d picks, %(shafts)d shafts") % {
        "ends": found.repeat[0],
        "picks": found.repeat[1],
        "shafts": found.shafts_used,
    }
    return OfferCard(
        number=number,
        id=id_of(offer),
        title=name_of(offer),
        size=size,
        own=offer.own,
        cloth=draft_preview.cloth(offer.draft, end_1, ends=_WINDOW_ENDS, picks=_WINDOW_PICKS, cell=8),
        columns=columns(offer, us),
    )


def far(offer: DraftOffer, end_1: Side) -> bytes:
    """What a card shows, as it looks from the distance of the search, as a JPEG."""
    return seen_jpeg(
        offer.draft,
        8,
        mm_per_end=offer.setting.mm_per_end,
        mm_per_pick=offer.setting.mm_per_pick,
        distance_m=offer.setting.distance_m,
        ends=range(_WINDOW_ENDS),
        picks=range(_WINDOW_PICKS),
        end_1=end_1,
    )


def name_of(offer: DraftOffer) -> str:
    """How it was made; for an existing draft its title."""
    if offer.own:
        return offer.made_of
    return sentence(offer.made_of)


def columns(offer: DraftOffer, us: bool) -> tuple[Told, ...]:
    """All columns of an offer, in words."""
    found = offer.found
    mirrors = {
        (True, True): _("both ways"),
        (True, False): _("left and right"),
        (False, True): _("first and last pick"),
    }
    values = {
        "contrast": f"{offer.contrast:.2f}",
        "picks": f"{found.repeat[1]}",
        "lifts": f"{found.distinct_lifts}",
        "steps": f"{offer.steps}",
        "moves": f"{offer.moves_a_pick:.1f}",
        "shafts": _("%(used)d of %(there)d") % {"used": found.shafts_used, "there": offer.setting.shafts},
        "float": _float(offer, us),
        "mirrors": mirrors.get((found.mirror_ends, found.mirror_picks), _("none")),
        "plain": _("can be woven") if found.plain_weave else _("no"),
    }
    return tuple(Told(key, translated(column.title), values[key]) for key, column in COLUMNS.items())


def _float(offer: DraftOffer, us: bool) -> str:
    if offer.float_mm is None:
        return _("loose thread")
    length = near(offer.float_mm, WIDTH_MM, "in", 2) if us else near(offer.float_mm, WIDTH_MM, "mm", 1)
    return _("%(length)s, over %(threads)d") % {"length": length, "threads": offer.float_threads}


@dataclass(frozen=True, slots=True)
class WayOut:
    """A limit that excludes everything, in words, and the query without it; "" where it has no field."""

    says: str
    query: str = ""


def why(running: Running, us: bool) -> list[WayOut]:
    """Why nothing was found: a line for each limit to change."""
    nothing: Nothing | None = running.nothing
    if nothing is None:
        return []
    if not nothing.ways:
        return [WayOut(_("No draft was found, even without any two of the limits."))]
    return [
        WayOut(" ".join(_way(way, running.wish, us)), _without(running.query, way)) for way in nothing.ways
    ]


def _without(query: tuple[tuple[str, str], ...], way: WiderLimits) -> str:
    """The query, with these limits changed as far as needed."""
    made = dict(query)
    for name, nearest in way.nearest.items():
        number = "" if nearest is None else f"{nearest:g}"
        changed = {
            "picks": ("picks", number),
            "max_float": ("float", number),
            "max_float_mm": ("float", number and f"{nearest} mm"),
            "symmetric": ("symmetric", ""),
            "plain_weave": ("plain", ""),
            "heddles": ("width", ""),
            "threading": ("near", "any"),
            "max_steps": ("woven", "quiet"),
        }.get(name)
        if changed is None:
            return ""
        made[changed[0]] = changed[1]
    return urlencode({name: value for name, value in made.items() if value})


def _way(way: WiderLimits, wish: Wish, us: bool) -> Iterable[str]:
    for name, nearest in way.nearest.items():
        what = _LIMITS[name]
        asked: Any = wish.float_limit if name == "max_float" else getattr(wish, name)
        if isinstance(asked, bool | tuple):
            yield _("%(what)s: without it, drafts are found.") % {"what": what}
        elif nearest is None:
            yield _("%(what)s: without this limit, drafts are found.") % {"what": what}
        else:
            units = {"asked": _size(name, asked, us), "nearest": _size(name, nearest, us)}
            yield _("%(what)s: %(asked)s excludes every draft; %(nearest)s does not.") % {
                "what": what,
                **units,
            }


def _size(name: str, value: float, us: bool) -> str:
    if name == "max_float_mm":
        return near(value, WIDTH_MM, "in", 3) if us else near(value, WIDTH_MM, "mm", 2)
    return f"{value:g}"
