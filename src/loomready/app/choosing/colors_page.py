"""The page of colors: the wishes, and the choices as cloth with their columns."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from urllib.parse import urlencode

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready.app.forms import fields, quantity_input
from loomready.app.i18n.words import sentence
from loomready.app.state.snapshot import Snapshot
from loomready.choose.colors.choices import ColorChoice, ColorOffer, Wishes, choose_colors
from loomready.choose.colors.columns import COLUMNS, Column
from loomready.choose.colors.hues import WORDS
from loomready.choose.colors.narrower import Narrower, narrower
from loomready.choose.colors.roles import roles_of_order, woven_in
from loomready.choose.size.size import resized
from loomready.cloth.picture import cloth_png
from loomready.cloth.spaced import spaced_image
from loomready.draft.draft import Draft
from loomready.model.guild import WarpOrder
from loomready.packet.pictures import corner_of_web, in_yarn_colors
from loomready.problems import BadInput
from loomready.report.choices_text import column_value, role_in_words
from loomready.units import LENGTH_M, SHARE, Kind, read
from loomready.warp.across import columns, up_to
from loomready.warp.plan import plan_once
from loomready.warp.result import WarpPlan
from loomready.warp.shelf import Shelf

RGB = tuple[int, int, int]
A_PAGE = 12
WIDE = 0.6  # the tolerance that the page offers where none closer works
MOST_PAGES = 80
CARD = (300, 200)  # CSS pixels; the cloth on a card is drawn at twice this
CSS_PX_TO_MM = 25.4 / 96


@dataclass(frozen=True, slots=True)
class Value:
    column: Column
    says: str
    first: bool


@dataclass(frozen=True, slots=True)
class Filled:
    """A role with its yarn."""

    place: str
    name: str
    color: RGB


@dataclass(frozen=True, slots=True)
class ColorCard:
    """A choice: its cloth's address, its yarns, its columns; ``keys`` is what its button sends."""

    words: str
    cloth: str
    keys: tuple[str, ...]
    filled: tuple[Filled, ...]
    hue: str
    hue_means: str
    values: tuple[Value, ...]
    planned: bool


@dataclass(frozen=True, slots=True)
class ColorsPage:
    order: WarpOrder
    form: fields.Form
    cards: tuple[ColorCard, ...] = ()
    told: str = ""
    more: str = ""
    none_because: tuple[str, ...] = ()
    error: str = ""
    narrower: str = ""
    repeats: int = 0
    nearer: bool = False
    wider: bool = False
    columns: tuple[Column, ...] = COLUMNS


def wishes_of(asked: Mapping[str, str], order: WarpOrder, us: bool) -> tuple[Wishes, fields.Form]:
    """The wishes in the form; an error is shown beside its field."""
    plain = Wishes(count=A_PAGE)
    usual = "planned" if order.sett_per_cm is not None else "one-another"
    distance, band = asked.get("distance", "10 ft" if us else "3 m"), asked.get("band", "15 %")
    form = fields.Form()
    for each in (
        fields.Field(
            "order_by",
            _("Sort by"),
            asked.get("order_by", plain.order_by),
            "choice",
            choices=tuple((column.name, _(column.label)) for column in COLUMNS),
        ),
        fields.Field("least_first", _("least first"), asked.get("least_first", ""), "flag"),
        fields.Field("distance", _("Seen from"), distance, unit="ft" if us else "m"),
        fields.Field(
            "like",
            _("Yarns"),
            asked.get("like", usual),
            "choice",
            choices=(
                ("planned", _("like those planned")),
                ("one-another", _("like one another")),
            ),
            help=_("like one another: then check the sett")
            if order.sett_per_cm is not None
            else _("the sett is calculated again, and the picks follow it"),
        ),
        fields.Field(
            "band",
            _("Grist within"),
            band,
            unit="%",
        ),
        fields.Field(
            "any_fiber", _("Allow fibers with different shrinkage"), asked.get("any_fiber", ""), "flag"
        ),
        fields.Field("first", _("Claim yarn ahead of later warps"), asked.get("first", ""), "flag"),
    ):
        form.fields[each.name] = each
    wishes = replace(
        plain,
        order_by=asked.get("order_by", plain.order_by),
        least_first=bool(asked.get("least_first")),
        distance_m=_read(form, "distance", LENGTH_M, "ft" if us else "m", plain.distance_m),
        like="one-another" if asked.get("like", usual) == "one-another" else "planned",
        band=_read(form, "band", SHARE, "%", plain.band),
        any_fiber=bool(asked.get("any_fiber")),
        first=bool(asked.get("first")),
        skip=_page_of(asked) * A_PAGE,
    )
    return wishes, form


def _page_of(asked: Mapping[str, str]) -> int:
    text = asked.get("page", "")
    return min(int(text), MOST_PAGES) if text.isdecimal() and len(text) < 6 else 0


def _read(form: fields.Form, name: str, kind: Kind, unit: str, otherwise: float) -> float:
    try:
        return read(quantity_input.plain(form[name].text, kind, unit), kind)
    except BadInput as error:
        form.change(name, error=sentence(error.what))
        return otherwise


@lru_cache(maxsize=32)
def chosen(snapshot: Snapshot, key: str, wishes: Wishes) -> ColorChoice:
    """:raises BadInput: an order that is not valid with its draft, or a wish that is not valid"""
    return choose_colors(snapshot.guild, snapshot.drafts, key, wishes)


@lru_cache(maxsize=32)
def _narrower(snapshot: Snapshot, key: str, wishes: Wishes) -> Narrower | None:
    return narrower(snapshot.guild, snapshot.drafts, key, wishes)


def narrowed(snapshot: Snapshot, key: str, repeats: str) -> tuple[WarpOrder, WarpOrder] | None:
    """The order as it stands and with fewer repeats; None: no such number of them.

    :raises BadInput: the order does not fit its draft
    """
    order = next(each for each in snapshot.guild.warps if each.key == key)
    plan, _left = plan_once(order, snapshot.guild, snapshot.drafts, Shelf(snapshot.guild))
    if not repeats.isdecimal() or len(repeats) > 6 or not 0 < int(repeats) < plan.web.repeats:
        return None
    return order, resized(plan, order, int(repeats), 1)


def colors_page(snapshot: Snapshot, key: str, address: str, asked: Mapping[str, str]) -> ColorsPage:
    order = next(each for each in snapshot.guild.warps if each.key == key)
    wishes, form = wishes_of(asked, order, snapshot.show.us)
    if form.wrong:
        return ColorsPage(order, form)
    try:
        found = chosen(snapshot, key, wishes)
    except BadInput as error:
        return ColorsPage(order, form, error=error.line())
    fewer = None if found.offers else _narrower(snapshot, key, wishes)
    return ColorsPage(
        order=order,
        form=form,
        narrower="" if fewer is None else snapshot.show.width(fewer.finished_width_mm),
        repeats=0 if fewer is None else fewer.repeats,
        cards=tuple(_card(snapshot, found, offer, address) for offer in found.offers),
        told=_told(found),
        more=_more(address, asked, wishes) if found.more else "",
        none_because=found.none_because,
        nearer=found.wishes.like == "planned",
        wider=not found.wishes.any_fiber or found.wishes.band < WIDE,
    )


def _told(found: ColorChoice) -> str:
    many = found.possible
    said = ngettext("%d way to fill the colors", "%d ways to fill the colors", many) % many
    if not found.all_looked_at:
        said += _(", too many to try all: the most different yarns are shown")
    return _("%s; the most different come first.") % said if many > 1 else f"{said}."


def _more(address: str, asked: Mapping[str, str], wishes: Wishes) -> str:
    page = wishes.skip // A_PAGE + 1
    return f"{address}?{urlencode({**asked, 'page': page})}" if page <= MOST_PAGES else ""


def _card(snapshot: Snapshot, found: ColorChoice, offer: ColorOffer, address: str) -> ColorCard:
    guild, wishes = found.guild, found.wishes
    yarns = [guild.yarn(key) for key in offer.yarns]
    columns = sorted(COLUMNS, key=lambda column: column.name != wishes.order_by)
    return ColorCard(
        words=", ".join(yarn.name for yarn in yarns),
        cloth=cloth_address(snapshot, found.order, offer.yarns, address),
        keys=offer.yarns,
        filled=tuple(
            Filled(role_in_words(role, found.order), yarn.name, yarn.color)
            for role, yarn in zip(found.roles, yarns, strict=True)
        ),
        hue=_(offer.hue),
        hue_means=_(WORDS[offer.hue]),
        values=tuple(
            Value(
                column, column_value(column.name, offer.columns[column.name]), column.name == wishes.order_by
            )
            for column in columns
        ),
        planned=offer.order == found.order,
    )


def cloth_address(snapshot: Snapshot, order: WarpOrder, yarns: Sequence[str], address: str) -> str:
    """The address of a choice's cloth. It contains everything the picture shows, so a browser may cache
    it."""
    colors = [snapshot.guild.yarn(key).color for key in yarns]
    entry = snapshot.entry("drafts", order.draft)
    seen = hashlib.sha256(repr((order, colors, entry.version if entry else 0)).encode()).hexdigest()[:12]
    return f"{address}/cloth.png?{urlencode([*(('yarn', key) for key in yarns), ('of', seen)])}"


def recolor(snapshot: Snapshot, key: str, yarns: Sequence[str]) -> tuple[WarpOrder, WarpOrder] | None:
    """The order as it stands and with other yarns in its roles; None: not so many roles, or no such yarns.

    :raises BadInput: the order does not fit its draft
    """
    order = next(each for each in snapshot.guild.warps if each.key == key)
    roles = roles_of_order(order, snapshot.drafts)
    known = {yarn.key for yarn in snapshot.guild.yarns}
    if len(yarns) != len(roles) or not set(yarns) <= known:
        return None
    return order, woven_in(order, roles, yarns, snapshot.guild, snapshot.drafts, Shelf(snapshot.guild))


def cloth_of(snapshot: Snapshot, order: WarpOrder) -> bytes:
    """A corner of the washed cloth from end 1 on, at true size on a card.

    :raises BadInput: the order does not fit its draft
    """
    return _drawn(snapshot, order)


@lru_cache(maxsize=256)
def _drawn(snapshot: Snapshot, order: WarpOrder) -> bytes:
    plan, _left = plan_once(order, snapshot.guild, snapshot.drafts, Shelf(snapshot.guild))
    mm_per_end = plan.finished_width_mm / plan.web.ends
    mm_per_pick = 10 / plan.wefts[0].picks_per_cm * (1 - order.shrink_length)
    # Whole pixels per thread, at twice the screen's resolution: as near to true size as they allow.
    across, along = (max(1, round(2 * mm / CSS_PX_TO_MM)) for mm in (mm_per_end, mm_per_pick))
    ends = min(plan.web.ends, -(-2 * CARD[0] // across))
    picks = -(-2 * CARD[1] // along)
    uneven = columns(plan)
    if uneven is not None:  # crammed and spaced as on the plan
        part, ends = up_to(uneven, CARD[0] * CSS_PX_TO_MM / plan.finished_width_mm)
        return spaced_image(
            corner_of_web(_every_weft(plan, picks), ends),
            part.share * plan.finished_width_mm,
            part.gap,
            mm_per_pick=mm_per_pick,
            width_px=2 * CARD[0],
            picks=range(picks),
            end_1=snapshot.guild.end_1,
        ).png
    return cloth_png(
        _every_weft(plan, picks),
        (across, along),
        ends=range(ends),
        picks=range(picks),
        end_1=snapshot.guild.end_1,
    )


def _every_weft(plan: WarpPlan, picks: int) -> Draft:
    """The web woven with each of its wefts in turn, hems left out, equal stretches once, ``picks`` in all."""
    woven = {
        (id(weft.draft), weft.yarns, weft.stripes): weft
        for piece in plan.pieces
        for section in piece.sections
        if section.part != "hem"
        for weft in (plan.weft_of(section),)
    }
    cloths = [in_yarn_colors(replace(plan, wefts=(weft,))) for weft in woven.values()]
    each = -(-picks // len(cloths))
    starts = np.cumsum([0, *(len(cloth.palette) for cloth in cloths)])
    return replace(
        cloths[0],
        tieup=None,
        treadling=None,
        lifts=np.concatenate([np.resize(cloth.lifts, (each, cloth.shafts)) for cloth in cloths]),
        weft_colors=np.concatenate(
            [np.resize(cloth.weft_colors + start, each) for cloth, start in zip(cloths, starts, strict=False)]
        ).astype(np.int16),
        palette=tuple(color for cloth in cloths for color in cloth.palette),
    )
