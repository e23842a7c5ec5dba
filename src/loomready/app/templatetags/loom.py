"""Small things that templates draw."""

from __future__ import annotations

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from loomready.colors import hex_color

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
    """A shape for stop, warn or done; the word stands beside it."""
    drawn = SafeString(_SIGNS[level])
    return format_html(
        '<svg class="sign sign-{}" viewBox="0 0 18 18" aria-hidden="true">{}</svg>', level, drawn
    )
