"""Reads a packet back as a person would: sheet by sheet, without the heading of each page."""

from __future__ import annotations

import functools
import io
import re
from dataclasses import dataclass

from pypdf import PdfReader

_LAST_OF_HEAD = re.compile(r"End 1 at the (left|right), seen from where the weaver sits.*$", re.MULTILINE)


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


@functools.cache
def pages(pdf: bytes) -> tuple[str, ...]:
    """Text of each page."""
    return tuple(page.extract_text() for page in reader(pdf).pages)


def sheets(pdf: bytes) -> dict[str, str]:
    """Text of each sheet by its name, its pages joined."""
    found: dict[str, str] = {}
    for text in pages(pdf):
        name = re.search(r"(\S.*?) · page \d+ of \d+", text.splitlines()[0].split(" · ", 1)[1])
        end = _LAST_OF_HEAD.search(text)
        assert name is not None
        assert end is not None
        for sheet in (
            "Project",
            "Winding",
            "Chain tags",
            "Sley and heddles",
            "Threading",
            "Test weave",
            "Weaving",
        ):
            if name[1].endswith(sheet):
                found[sheet] = found.get(sheet, "") + text[end.end() :] + "\n"
    return found


def whole(text: str) -> int:
    return int(text.replace(",", ""))


def numbers(text: str) -> list[int]:
    return [whole(word) for word in text.split() if re.fullmatch(r"[\d,]+", word)]


@dataclass(frozen=True)
class ReadGroup:
    """A group of the threading sheet as printed. ``take`` and ``sums`` by shaft, empty if not threaded."""

    number: int
    first: int
    last: int
    take: list[int]
    threading: list[int]
    sums: list[int]


def threading_groups(text: str, shafts: int) -> list[ReadGroup]:
    """The groups of a threading sheet, which names ``shafts`` used shafts (layouts of up to 4 or over 10)."""
    body = text.split("Totals to check against")[0]
    heads = list(re.finditer(r"^\s*(\d+) ends ([\d,]+)(?:–([\d,]+))?\s", body, re.MULTILINE))
    stops = [*(head.start() for head in heads[1:]), len(body)]
    made = []
    for head, stop in zip(heads, stops, strict=True):
        words = body[head.end() : stop].replace("·", "0").split()
        first = whole(head[2])
        take, threading, sums = [], [], []
        if "count" in words:
            inside = words[words.index("count") + 1 : words.index("total")]
            after = words[words.index("total") + 1 :]
            take = [whole(word) for word in inside[shafts : 2 * shafts]]
            threading = [whole(word) for word in inside[2 * shafts :] if not word.isalpha()]
            skipped = shafts if shafts <= 10 else 0
            sums = [whole(word) for word in after[skipped : skipped + shafts]]
        last = whole(head[3]) if head[3] else first
        made.append(ReadGroup(int(head[1]), first, last, take, threading, sums))
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
