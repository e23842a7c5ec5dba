"""The catalog of all texts, for translators. For developers; needs Babel.

``python -m loomready.app.i18n.catalog de`` makes or renews ``locale/de/LC_MESSAGES/django.po``,
keeps what is translated there, and compiles it. Without a language it writes the empty template alone.
"""

from __future__ import annotations

import ast
import io
import re
import sys
from collections.abc import Iterator
from pathlib import Path

from babel import Locale, UnknownLocaleError
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

from loomready.app.i18n.engine_texts import of_engine
from loomready.catalogs import LOCALE

HERE = Path(__file__).parents[1]
_CALL = re.compile(
    r"\b(n?gettext)\(((?:u?'(?:[^'\\]|\\.)*'|u?\"(?:[^\"\\]|\\.)*\")"
    r"(?:, (?:u?'(?:[^'\\]|\\.)*'|u?\"(?:[^\"\\]|\\.)*\"))?)"
)
_KEYWORDS = {"_": None, "gettext": None, "gettext_lazy": None, "ngettext": (1, 2)}


def from_template(
    file: io.BufferedReader, keywords: object, comment_tags: object, options: object
) -> Iterator[tuple[int, str, object, list[str]]]:
    """The texts of a Django template, as Babel needs them."""
    text = templatize(file.read().decode(), origin=file.name)
    for match in _CALL.finditer(text):
        said = ast.literal_eval(f"({match.group(2)},)")
        line = text.count("\n", 0, match.start()) + 1
        yield line, match.group(1), said if len(said) > 1 else said[0], []


def template() -> Catalog:
    """Every text of pages and scripts, and every phrase of the engine."""
    made = Catalog(project="loomready", charset="utf-8")
    found = extract_from_dir(
        str(HERE),
        [("**.py", "python"), ("templates/**.html", from_template)],  # type: ignore[list-item]
        {"python": {}},
        keywords=_KEYWORDS,
    )
    for file, line, message, _comments, _context in found:
        if message:
            made.add(message, locations=[(file, line)])
    for each in of_engine():
        made.add(each.text, locations=[(each.file, each.line)])
    return made


def renew(language: str, folder: Path = LOCALE) -> Path:
    """Write the language's catalog again with what is translated already, and compile it."""
    place = folder / language / "LC_MESSAGES" / "django.po"
    place.parent.mkdir(parents=True, exist_ok=True)
    made = template()
    known = read_po(io.BytesIO(place.read_bytes()), locale=language) if place.exists() else None
    if known is None:
        made.locale = language
        known = made
    else:
        known.update(made, no_fuzzy_matching=True)
    with place.open("wb") as stream:
        write_po(stream, known, sort_by_file=True)
    with place.with_suffix(".mo").open("wb") as stream:
        write_mo(stream, known)
    return place


def main() -> None:
    import django
    from django.conf import settings

    settings.configure(USE_I18N=False)
    django.setup()
    for language in sys.argv[1:]:
        try:
            Locale.parse(language)
        except (ValueError, UnknownLocaleError):
            sys.exit(f'"{language}" is not a language; expected a code like de or pt_BR')
        print(renew(language))
    if not sys.argv[1:]:
        write_po(sys.stdout.buffer, template(), sort_by_file=True)


if __name__ == "__main__":
    main()
