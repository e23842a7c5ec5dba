"""Where the catalogs lie, and one of them by its language."""

from __future__ import annotations

import gettext
from collections.abc import Sequence
from pathlib import Path

from loomready.phrases import ENGLISH, Catalog

DOMAIN = "django"  # the name that Django looks for
LOCALE = Path(__file__).parent / "locale"


def catalog_of(languages: Sequence[str]) -> Catalog:
    """The catalog of the first language that has one, like "de" or "pt_BR"; English where none has."""
    if not languages:
        return ENGLISH
    return gettext.translation(DOMAIN, LOCALE, languages=list(languages), fallback=True)


def catalog_in(tag: str) -> Catalog:
    """The catalog of a language by its tag: "de", "pt-BR"."""
    return catalog_of([tag.replace("-", "_")])
