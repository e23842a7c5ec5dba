"""The only module that brings the engine's phrases to a page, in the reader's language.

See docs/decisions/0011-words-of-the-engine.md.
"""

from __future__ import annotations

from typing import Any, overload

from django.utils import translation
from django.utils.html import escape
from django.utils.safestring import SafeString

from loomready import phrases
from loomready.phrases import Catalog, Phrase


class _Active:
    """The catalog of the request's language."""

    def gettext(self, message: str, /) -> str:
        return translation.gettext(message)

    def ngettext(self, singular: str, plural: str, count: int, /) -> str:
        return translation.ngettext(singular, plural, count)


READERS: Catalog = _Active()


@overload
def translated(text: str) -> str: ...
@overload
def translated(text: Any) -> Any: ...
def translated(text: Any) -> Any:
    """A phrase in the reader's language; of a dict, list or tuple, every phrase in it. All else as it is."""
    return phrases.translated(text, READERS)


def sentence(text: str) -> str:
    """The beginning of a sentence in the reader's language: its first letter is a capital."""
    text = translated(text)
    return text[:1].upper() + text[1:]


def _html(text: Phrase) -> SafeString:
    return escape(translated(text))


# Templates ask a value for its HTML: so every phrase comes to a page in the reader's language.
Phrase.__html__ = _html  # type: ignore[attr-defined]
