"""Small template tags and filters."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import Any

from django import template
from django.conf import settings
from django.template import Context
from django.utils import formats
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from loomready.app.changes.by_name import name_then
from loomready.app.i18n import words
from loomready.app.state import photos
from loomready.colors import hex_color
from loomready.guildfile.texts import day_of_text
from loomready.report.event_times import span_told, time_told
from loomready.units import System

register = template.Library()


@register.simple_tag
def chip(color: tuple[int, int, int], size: int = 18) -> SafeString:
    """A color as a small square; the yarn's name always stands beside it."""
    return format_html(
        '<svg class="chip" width="{0}" height="{0}" viewBox="0 0 18 18" aria-hidden="true">'
        '<rect x="1" y="1" width="16" height="16" rx="3" fill="{1}"/></svg>',
        size,
        hex_color(color),
    )


_SIGNS = {
    "stop": '<path d="M6 1h6l5 5v6l-5 5H6l-5-5V6z"/><path class="cut" d="M9 5v5M9 12.5v1"/>',
    "warn": '<path d="M9 1l8 16H1z"/><path class="cut" d="M9 7v5M9 13.5v1"/>',
    "done": '<circle cx="9" cy="9" r="8"/><path class="cut" d="M5 9.5l3 3 5-6"/>',
}


@register.simple_tag
def sign(level: str) -> SafeString:
    """A shape for stop, warn or done; the word is beside it."""
    drawn = SafeString(_SIGNS[level])
    return format_html(
        '<svg class="sign sign-{}" viewBox="0 0 18 18" aria-hidden="true">{}</svg>', level, drawn
    )


@register.simple_tag(takes_context=True)
def named(context: Context, kind: str, key: str) -> str:
    """What people call the record of that kind and key; of one that was removed, what it was called then."""
    return name_then(context["snapshot_now"], kind, key)


@register.inclusion_tag("photos/_photos.html", takes_context=True)
def photographs(context: Context, of: str, thing: str, add: bool = True) -> dict[str, Any]:
    """The photographs of a thing, with a form to add some.

    :param add: False on the page of another thing: there they are only shown
    """
    found = photos.of_thing(context["snapshot_now"], of, thing)
    shown: dict[str, Any] = {**context.flatten(), "photos": found, "of": of, "thing": thing, "add": add}  # type: ignore[dict-item]
    return shown | {"full": len(found) >= photos.MOST_OF_ONE}


@register.simple_tag(takes_context=True)
def day(context: Context, value: Any, short: bool = False) -> str:
    """A day in the guild's format: Nov 25, 2026 or 25 Nov 2026; what is not a date stays as it is.

    :param short: without its year
    """
    if isinstance(value, str):
        try:
            value = day_of_text(value)
        except ValueError:
            return value
    if not isinstance(value, date):
        return ""
    us = context.get("units", "us") == "us"
    made = ("M j" if us else "j M") if short else ("M j, Y" if us else "j M Y")
    return formats.date_format(value, made)


def _units(context: Context) -> System:
    return context.get("units") or "us"


@register.simple_tag(takes_context=True)
def moment(context: Context, value: datetime) -> str:
    """A moment on this machine's clock: its day, and the hour in the guild's way."""
    local = value.astimezone()
    return f"{day(context, local)}, {words.translated(time_told(local, _units(context)))}"


_WRITTEN = re.compile(r"\b(\d{4}-\d\d-\d\d)(?:[ T](\d\d:\d\d)(?:-(\d\d:\d\d))?)?\b(\.?)")


@register.simple_tag(takes_context=True)
def dated(context: Context, text: str) -> str:
    """A sentence with its days and times as the guild writes them: "wound on 2026-11-25 14:05" as well."""

    def shown(found: re.Match[str]) -> str:
        try:
            when = datetime.fromisoformat(f"{found[1]}T{found[2] or '00:00'}")
        except ValueError:
            return found[0]
        if found[3]:
            hours = span_told(when, datetime.fromisoformat(f"{found[1]}T{found[3]}"), _units(context))
            said = f"{day(context, when)}, {words.translated(hours)}"
        else:
            said = moment(context, when) if found[2] else day(context, when)
        return said if said.endswith(".") else f"{said}{found[4]}"  # "2 p.m." ends a sentence too

    return _WRITTEN.sub(shown, text)


@register.filter
def thousands(count: int) -> str:
    """A count for a person to read: 1,204."""
    return f"{count:,}"


@register.simple_tag
def upload_limit() -> SafeString:
    """What a field for files may send at most, and the word for more: the page says it before it sends."""
    says = _(
        "These files are too large to import together; expected at most %d MB. Choose fewer or smaller ones."
    )
    most = settings.MAX_BODY - 1024 * 1024
    return format_html(' data-most="{}" data-says="{}"', most, says % (most // 1024**2))


@register.filter
def translated(text: str) -> str:
    """A text of the engine in the reader's language."""
    return words.translated(text)
