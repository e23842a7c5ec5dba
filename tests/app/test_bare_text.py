"""No template holds text that a translator could not reach."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

import loomready.app

TEMPLATES = Path(loomready.app.__file__).parent / "templates"
FILES = sorted(path.relative_to(TEMPLATES).as_posix() for path in TEMPLATES.rglob("*.html"))
NAMES = {"loomready", "WIF", "in", "cm"}  # the same in every language
_SILENT = ("script", "style", "code")
SPOKEN = {"alt", "title", "aria-label", "placeholder", "label"}

_TRANSLATED = re.compile(
    r"{%\s*comment.*?endcomment\s*%}|{%\s*blocktrans.*?%}.*?{%\s*endblocktrans.*?%}|{#.*?#}|{%.*?%}|{{.*?}}",
    re.DOTALL,
)


class Text(HTMLParser):
    """Collects what a person reads: text between tags, and attributes that are read out."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.silent += tag in _SILENT
        self.found += [value for name, value in attrs if name in SPOKEN and value]

    def handle_endtag(self, tag: str) -> None:
        self.silent -= tag in _SILENT

    def handle_data(self, data: str) -> None:
        if not self.silent:
            self.found.append(data)


def bare(template: str) -> Iterator[str]:
    """Words of a template that are outside every translate tag."""
    text = Text()
    text.feed(_TRANSLATED.sub("", template))
    text.close()
    for each in text.found:
        yield from (word for word in re.findall(r"[^\W\d_]{2,}", each) if word not in NAMES)


@pytest.mark.parametrize("file", FILES)
def test_a_template_holds_no_bare_text(file: str) -> None:
    assert list(bare((TEMPLATES / file).read_text())) == []


@pytest.mark.parametrize(
    ("template", "found"),
    [
        ("<p>Wind the warp</p>", ["Wind", "the", "warp"]),
        ('<p>{% translate "Wind the warp" %}</p>', []),
        ("{% blocktranslate count n=2 %}{{ n }} end{% plural %}{{ n }} ends{% endblocktranslate %}", []),
        ('<img alt="The cloth">', ["The", "cloth"]),
        ("<img alt=\"{% translate 'The cloth' %}\">", []),
        ('<button name="step" value="wound">{{ label }}</button>', []),
        ('{% if a %}<b aria-label="so">{{ b }}</b> left{% endif %}', ["so", "left"]),
        ("<title>{{ title }} · loomready</title>", []),
        ("<script>let word = 'x'</script>", []),
        ("{# a remark #}{% url 'home' %}", []),
    ],
)
def test_the_look_for_bare_text_finds_it(template: str, found: list[str]) -> None:
    assert list(bare(template)) == found
