"""Looking things up in the workshop's templates."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template

register = template.Library()


@register.filter
def of(table: Mapping[str, Any], name: str) -> Any:
    """What a table holds under a name that the template holds itself; nothing where there is none."""
    return table.get(name)
