"""Sentences as data: a template with named parts, which a catalog may hold in other languages.

The engine says what it finds in phrases: ``phrase("{loom} weaves {width}.", loom=loom.name, width=wide)``. A
phrase is its English text, so that it can be printed, compared and stored like any text. It also keeps the
template and the parts. :func:`translated` looks the template up in a reader's catalog, translates the parts
that are phrases themselves, and puts them in. Names and keys of the guild are plain texts: they stay.

A template is a literal at its call, so that the catalog can be made from the source. Joining phrases with
``+`` or ``str.join`` gives a plain text, which cannot be translated: use :func:`joined`.
"""

from __future__ import annotations

import gettext
from collections.abc import Iterable, Mapping
from typing import Any, Protocol, Self, overload

Part = str | int | float
"""What can fill a place of a template: a text, a phrase or a number."""


class Catalog(Protocol):
    """Texts of one language: gettext's own catalogs, and Django's."""

    def gettext(self, message: str, /) -> str: ...

    def ngettext(self, singular: str, plural: str, count: int, /) -> str: ...


ENGLISH: Catalog = gettext.NullTranslations()


class Phrase(str):
    """An English text that knows its template and parts, or the phrases that it was joined from."""

    __slots__ = ("capital", "counted", "joins", "many", "one", "parts")
    one: str
    """The template; of a phrase that counts, the one for a count of 1; of joined phrases, what separates "
    "them."""
    many: str
    """The template for other counts; empty where nothing is counted."""
    counted: int
    parts: Mapping[str, Part]
    joins: tuple[Part, ...] | None
    capital: bool
    """Whether the text begins a sentence, whatever its first part is."""

    def __new__(
        cls,
        one: str,
        parts: Mapping[str, Part] | None = None,
        *,
        many: str = "",
        count: int = 1,
        joins: tuple[Part, ...] | None = None,
        capital: bool = False,
    ) -> Self:
        parts = parts or {}
        made = super().__new__(cls, _filled(one, many, count, parts, joins, capital, ENGLISH))
        made.one, made.many, made.counted, made.parts, made.joins = one, many, count, parts, joins
        made.capital = capital
        return made

    def __reduce__(self) -> tuple[Any, ...]:
        return _again, (self.one, dict(self.parts), self.many, self.counted, self.joins, self.capital)

    def __copy__(self) -> Self:
        return self

    def __deepcopy__(self, memo: object) -> Self:
        return self


def phrase(template: str, /, **parts: Part) -> Phrase:
    """A text with named parts, as ``str.format`` puts them in.

    >>> phrase("{loom} has {ends:,} heddles.", loom="Attic loom", ends=1200)
    'Attic loom has 1,200 heddles.'
    """
    return Phrase(template, parts)


def template(text: str, /) -> str:
    """A template of a table, filled in later by :func:`filled` or in the browser; a literal in its call."""
    return text


def filled(text: str, /, **parts: Part) -> Phrase:
    """A template of a table with its parts.

    >>> filled(template("thread end {end} again"), end=3)
    'thread end 3 again'
    """
    return Phrase(text, parts)


def plural(count: int, one: str, many: str, /, **parts: Part) -> Phrase:
    """A text that depends on a count. The templates may name it as ``{count}``.

    >>> plural(2, "{count} end is loose.", "{count} ends are loose.")
    '2 ends are loose.'
    """
    return Phrase(one, {"count": count, **parts}, many=many, count=count)


def some(count: int, noun: str) -> Phrase:
    """A count with its noun; its plural ends in s.

    >>> some(1, "end"), some(2000, "end")
    ('1 end', '2,000 ends')
    """
    return Phrase(f"{{count:,}} {noun}", {"count": count}, many=f"{{count:,}} {noun}s", count=count)


def word(value: str) -> Phrase:
    """A value of the model as a word of a sentence.

    >>> word("left")
    'left'

    :raises KeyError: it is none of :data:`WORDS`
    """
    return WORDS[value]


def joined(separator: str, phrases: Iterable[Part]) -> Phrase:
    """Phrases in a row, with what separates them.

    >>> joined("; ", [some(1, "end"), some(2, "pick")])
    '1 end; 2 picks'
    """
    return Phrase(separator, joins=tuple(phrases))


def capitalized(text: Phrase) -> Phrase:
    """The phrase as the beginning of a sentence.

    >>> capitalized(some(1, "end")), capitalized(phrase("ends 1 and 2 cross"))
    ('1 end', 'Ends 1 and 2 cross')
    """
    return Phrase(text.one, text.parts, many=text.many, count=text.counted, joins=text.joins, capital=True)


def listed(items: Iterable[object]) -> Phrase:
    """``listed([1, 3, 5])`` is "1, 3, 5"."""
    return joined(", ", (each if isinstance(each, str) else str(each) for each in items))


def listed_with_and(items: Iterable[Part]) -> Phrase:
    """``listed_with_and(["a", "b", "c"])`` is "a, b and c"."""
    every = list(items)
    if len(every) < 2:
        return joined("", every)
    return phrase("{all_but_last} and {last}", all_but_last=listed(every[:-1]), last=every[-1])


@overload
def translated(text: str, catalog: Catalog) -> str: ...
@overload
def translated(text: Any, catalog: Catalog) -> Any: ...
def translated(text: Any, catalog: Catalog) -> Any:
    """A phrase in a catalog's language; of a dict, list or tuple, every phrase in it. All else as it is."""
    if isinstance(text, Phrase):
        return _filled(text.one, text.many, text.counted, text.parts, text.joins, text.capital, catalog)
    if isinstance(text, dict):
        return {key: translated(value, catalog) for key, value in text.items()}
    if isinstance(text, list):
        return [translated(each, catalog) for each in text]
    if type(text) is tuple:
        return tuple(translated(each, catalog) for each in text)
    return text


def _again(
    one: str,
    parts: dict[str, Part],
    many: str,
    count: int,
    joins: tuple[Part, ...] | None,
    capital: bool,
) -> Phrase:
    return Phrase(one, parts, many=many, count=count, joins=joins, capital=capital)


def _filled(
    one: str,
    many: str,
    count: int,
    parts: Mapping[str, Part],
    joins: tuple[Part, ...] | None,
    capital: bool,
    catalog: Catalog,
) -> str:
    if joins is not None:
        text = str(translated(one, catalog)).join(str(translated(each, catalog)) for each in joins)
    else:
        template = catalog.ngettext(one, many, count) if many else catalog.gettext(one) if one else ""
        text = template.format(**{name: translated(part, catalog) for name, part in parts.items()})
    return text[:1].upper() + text[1:] if capital else text


WORDS = {
    word: Phrase(word)
    for word in (
        *("left", "right", "front", "back"),
        *("warp", "weft", "end", "ends", "pick", "picks", "reed", "sley", "heddle", "slot", "hole"),
        *("shaft", "shafts", "treadle", "treadles", "color", "colors", "spacing", "thickness"),
        *("dent", "dents", "place", "places"),
        *("yarn", "loom", "peg", "key", "name", "person"),
        *("winding", "beaming", "threading", "sleying", "tying on", "test weaving"),
        *("mending", "demonstrating", "teaching"),
        *("table", "jack", "counterbalance", "countermarche", "rigid heddle", "inkle"),
    )
}
"""Words of the trade that stand as values in the model too: sides, parts of looms, skills, kinds of looms."""
