"""Reads a packet back as a person would: sheet by sheet, without the heading of each page."""

from __future__ import annotations

import functools
import io
import re
from dataclasses import dataclass

from pypdf import PageObject, PdfReader
from pypdfium2 import PdfDocument, PdfPage

from tests.packet.typeset_once import once

_LAST_OF_HEAD = re.compile(r"End 1 at the (left|right), seen from where the weaver sits.*$", re.MULTILINE)


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


@functools.cache
def pages(pdf: bytes) -> tuple[str, ...]:
    """Text of each page."""
    return once("text", pdf, lambda: tuple(_text(page) for page in PdfDocument(pdf)))


def _text(page: PdfPage) -> str:
    return page.get_textpage().get_text_range().replace("\r\n", "\n")


HEADINGS = {
    "Project": "Project",
    "Winding the warp": "Winding",
    "Chain tags": "Chain tags",
    "Sley and heddles": "Sley and heddles",
    "Threading": "Threading",
    "Test weave": "Test weave",
    "Weaving": "Weaving",
    "Finishing and record": "Finishing",
}


@functools.cache
def bodies(pdf: bytes) -> tuple[str, ...]:
    """Text of each page without its head."""
    found = []
    for text in pages(pdf):
        assert re.search(r" · page \d+ of \d+", text.splitlines()[0])
        end = _LAST_OF_HEAD.search(text)
        assert end is not None
        found.append(text[end.end() :])
    return tuple(found)


def sheets(pdf: bytes) -> dict[str, str]:
    """Text of each sheet by its name, its pages joined."""
    found: dict[str, str] = {}
    name = ""
    for text in bodies(pdf):
        for line in text.splitlines():
            name = HEADINGS.get(line.strip(), name)
            found[name] = found.get(name, "") + line + "\n"
    return found


def pages_with(pdf: bytes, heading: str) -> list[str]:
    """The pages on which a sheet stands, from its heading on or as it goes on; as their heads name them."""
    return [text for text in pages(pdf) if heading in re.split(r" · page \d+ of", text.splitlines()[0])[0]]


def smallest_letters(page: PageObject) -> float:
    """Their size in points, of letters in words and numbers."""
    sizes: list[float] = []

    def look(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if any(map(str.isalnum, text)):
            sizes.append(round(abs(tm[0] * cm[0]) * size, 2))

    page.extract_text(visitor_text=look)
    return min(sizes)


def whole(text: str) -> int:
    return int(text.replace(",", ""))


def numbers(text: str) -> list[int]:
    return [whole(word) for word in text.split() if re.fullmatch(r"[\d,]+", word)]


@dataclass(frozen=True)
class ReadGroup:
    """A group of the threading sheet as printed, or as threaded again. ``take`` and ``sums`` by shaft, empty
    if it is not threaded; ``sums`` are printed for the last of some groups that are threaded again."""

    number: int
    first: int
    last: int
    take: list[int]
    threading: list[int]
    sums: list[int]


# Of a group threaded again the word "ends" stands over the column.
_HEAD = re.compile(
    r"^\s*([\d,]+)(?:–([\d,]+))? (?:ends? (?=[\d,–]+(?:\s|$))|(?=[\d,]+–))([\d,]+)(?:–([\d,]+))?(?:\s|$)",
    re.MULTILINE,
)


def threading_groups(text: str, shafts: int, end_1: str) -> list[ReadGroup]:
    """The groups of a threading sheet, which names ``shafts`` used shafts, at most 24, end 1 first."""
    body = text.split("Totals to check against")[0]
    heads = list(_HEAD.finditer(body))
    stops = [*(head.start() for head in heads[1:]), len(body)]
    made: list[ReadGroup] = []
    for head, stop in zip(heads, stops, strict=True):
        words = re.split(r"Groups? [\d,–]+ again", body[head.end() : stop])[0].split()
        number, first = whole(head[1]), whole(head[3])
        last = whole(head[4] or head[3])
        if "count" in words:
            made.append(_single(words, number, first, last, shafts, end_1))
        elif re.fullmatch(r"total|[\d,]+", words[0]):
            made += _again(made[-(whole(head[2] or head[1]) - number + 1) :], words, number, first, shafts)
            assert made[-1].last == last
        else:
            made.append(ReadGroup(number, first, last, [], [], []))
    return made


def _single(words: list[str], number: int, first: int, last: int, shafts: int, end_1: str) -> ReadGroup:
    inside = words[words.index("count") + 1 : words.index("total")]
    take = [whole(word.replace("·", "0")) for word in inside[shafts : 2 * shafts]]
    sums, rest = _sums(words, shafts)
    threading = [whole(word) for word in (*inside[2 * shafts :], *rest) if not word.isalpha()]
    assert len(take) == len(sums) == shafts
    return ReadGroup(number, first, last, take, threading if end_1 == "left" else threading[::-1], sums)


def _sums(words: list[str], shafts: int, *, named: bool = True) -> tuple[list[int], list[str]]:
    """Totals, over which the shafts stand if ``named`` and where they have room, and what comes after."""
    after = words[words.index("total") + 1 :] if "total" in words else words
    skipped = shafts if shafts <= 10 and named else 0
    return [whole(word) for word in after[skipped : skipped + shafts]], after[skipped + shafts :]


def _again(
    pattern: list[ReadGroup], words: list[str], number: int, first: int, shafts: int
) -> list[ReadGroup]:
    made = []
    for place, group in enumerate(pattern):
        last = first + group.last - group.first
        sums = _sums(words, shafts, named=False)[0] if group is pattern[-1] else []
        assert not sums or len(sums) == shafts
        made.append(ReadGroup(number + place, first, last, group.take, group.threading, sums))
        first = last + 1
    return made


def totals(text: str) -> dict[int, int]:
    """Shaft and ends from the totals of a threading sheet of up to 24 shafts."""
    lines = text.split("Totals to check against")[1].split("in heddles")[0].strip().splitlines()
    return dict(zip(numbers(lines[0]), numbers(lines[1]), strict=True))


def bouts(text: str) -> list[tuple[int, int, int, int]]:
    """Number, first end, last end and count of each bout of a winding sheet."""
    table = text.split("Bout Ends Count", 1)[1].split("All bouts")[0]
    rows = re.findall(r"^\s*(\d+) ([\d,]+)–([\d,]+) (\d+)(?: |$)", table, re.MULTILINE)
    return [(int(n), whole(first), whole(last), int(count)) for n, first, last, count in rows]
