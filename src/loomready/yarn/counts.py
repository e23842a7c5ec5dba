"""Yarn counts: reads what is printed on a cone as tex, and writes tex as a count.

A count is a size in some system, perhaps with a number of plies. Which of the two numbers is which
is a rule of the system:

- cotton, linen (lea) and cottolin print size/ply: 8/2 is size 8 in two plies. A first number that
  could itself be a ply and is the smaller ("2/8 cotton", as some mills label it) has two readings.
- worsted, metric, woollen cut and Yorkshire skein are written both ways (2/8 Nm, 8/2 Nm) for one
  yarn: the smaller number is the ply. Spun silk likewise, but its size is that of the plied yarn
  (resultant): 40/2 has 40 hanks to the pound, not 20.
- woollen run prints ply/size; the reverse ("3/2 run") has two readings, since runs are small numbers.
- tex and denier are multiplied, or of the plied yarn: ``direct_counts``.

Where the label names no system, the yarn's fiber does ("10/2", cotton), and the count says how it was
read. A count that means different yarns to different people is never guessed: :class:`AmbiguousCount`
lists the readings with their yards per pound and how to write each.

Hanks: ASTM D2260-03 (2013), Table 1; the spun silk rule: J. T. Taylor, *Cotton Weaving and
Designing*, 6th ed., p. 239. The orders of size and ply are trade practice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from loomready.phrases import Phrase, listed, phrase
from loomready.problems import AmbiguousCount, BadQuantity, CountReading, shorten
from loomready.units import GRIST_M_PER_G, factor
from loomready.yarn.direct_counts import MOST_PLIES, direct_count, is_ply, is_range, size_of
from loomready.yarn.fibers import fiber_of_word, fibers_in, with_phrases

# Yards to the pound of a yarn of count 1: the length of the system's hank, lea, run, cut or skein.
YARDS_PER_POUND: dict[str, float] = {
    "cotton": 840.0,
    "spun silk": 840.0,
    "worsted": 560.0,
    "linen": 300.0,
    "cut": 300.0,
    "run": 1600.0,
    "yorkshire": 256.0,
    "yd/lb": 1.0,
}
TEX_TIMES_NM = 1000.0  # Nm is km to the kg, tex is g to the km
DENIER_PER_TEX = 9.0  # denier is g to 9000 m

WOOLLEN_SYSTEMS = frozenset({"run", "cut", "yorkshire"})

# How each system is written where we write it. Every key here is a count system that can be read.
WRITTEN = {
    "cotton": "Ne",
    "worsted": "worsted",
    "linen": "lea",
    "run": "run",
    "cut": "cut",
    "yorkshire": "Yorkshire skein",
    "metric": "Nm",
    "tex": "tex",
    "denier": "den",
    "yd/lb": "yd/lb",
    "spun silk": "spun silk",
}

_SIZE_FIRST = frozenset({"cotton", "linen"})
_PLY_FIRST = frozenset({"run"})
_MULTIPLIED = frozenset({"tex", "denier"})
_RESULTANT_SYSTEMS = _MULTIPLIED | {"spun silk"}  # the number is the whole yarn's, not one ply's

# Words that name a system outright. They outweigh words of fiber, which only suggest systems: "cottolin 22/2
# Ne" is in cotton hanks.
_SYSTEM_WORDS = {
    "ne": "cotton",
    "nec": "cotton",
    "new": "worsted",
    "nel": "linen",
    "lea": "linen",
    "leas": "linen",
    "run": "run",
    "runs": "run",
    "cut": "cut",
    "cuts": "cut",
    "ysw": "yorkshire",
    "yorkshire": "yorkshire",
    "skein": "yorkshire",
    "skeins": "yorkshire",
    "nm": "metric",
    "metric": "metric",
    "tex": "tex",
    "dtex": "tex",
    "den": "denier",
    "denier": "denier",
    "yd/lb": "yd/lb",
    "spun-silk": "spun silk",
}
_NAMES_ITS_COUNT = frozenset({"cotton", "worsted", "linen"})  # fibers that also name a system
_BARE = ("cotton", "worsted", "linen", "metric")
_PHRASES = (
    (re.compile(r"\bspun[ -]silk\b"), "spun-silk"),
    (re.compile(r"\b(?:yards|yds|yd) (?:per|/) (?:pound|lb)\b"), "yd/lb"),
    (re.compile(r"\b(?:yds/lb|ypp)(?![a-z])"), "yd/lb"),
)

_NUMBER = r"[0-9]{1,7}(?:\.[0-9]{1,15})?|\.[0-9]{1,15}"
_WORDS = r"[a-z](?:[a-z /-]*[a-z])?"
_PLAIN = re.compile(rf"(?:({_WORDS})[ -]?)?({_NUMBER})(?:s?/({_NUMBER}))?(?:[ -]?({_WORDS}))?")
_DENIER_RANGE = re.compile(r"(?<=[0-9]) ?[-–] ?(?=[0-9.]+ ?den)")

_EXPECTED = phrase('expected a count with its system, like "8/2 Ne", "2/8 Nm", "16/2 linen", "30 tex"')
_LONGEST_TEXT = 60
_USUAL_PLIES = 4  # a first number up to this may be a ply: common practice, no source
_FINEST_TEX, _COARSEST_TEX = 0.1, 100_000.0  # no yarn for weaving is outside these


@dataclass(frozen=True, slots=True)
class YarnCount:
    """A yarn count that has one reading.

    :ivar text: as it was written, spaces trimmed
    :ivar system: a key of :data:`WRITTEN`
    :ivar tex: of the whole yarn; 0.1 to 100 000
    :ivar woollen: the system is one of the woollen ones, whose yarns are loftier
    :ivar before_twisting: ``tex`` adds up the plies as they were before they were twisted together. Twisting
        takes up length, so the yarn is a little heavier to the length than this, and never lighter
    :ivar read_as: a plain way to write it, where the text itself names no system; else ""
    """

    text: str
    system: str
    tex: float
    plies: int
    woollen: bool
    before_twisting: bool
    read_as: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """One meaning of a written count. ``write``: a text that means this and nothing else."""

    write: str
    count: YarnCount
    yards_per_pound: float

    def line(self) -> Phrase:
        if self.write.endswith(WRITTEN["yd/lb"]):
            return phrase("{count} ({plies} plies, as printed)", count=self.write, plies=self.count.plies)
        return phrase(
            "{count} ({yards_per_pound:.0f} yd/lb)", count=self.write, yards_per_pound=self.yards_per_pound
        )


def yards_per_pound(tex: float) -> float:
    """Yards to the pound of a yarn of so many tex, and, by the same sum, tex of so many yd/lb."""
    return 1000.0 / (tex * factor(GRIST_M_PER_G.inside, "yard/lb"))


def is_woollen(system: str | None) -> bool:
    """Whether a count in this system is for a woollen-spun yarn. None: no count is known."""
    return system in WOOLLEN_SYSTEMS


def parse_count(text: object, fiber: str = "") -> YarnCount:
    """Read a written count; the yarn's ``fiber`` tells the system where the text names none.

    >>> parse_count("8/2 Ne").plies, round(parse_count("8/2 cotton").tex, 2)
    (2, 147.64)
    >>> parse_count("2/8 Nm").tex == parse_count("8/2 Nm").tex == 250.0
    True
    >>> parse_count("10/2", "mercerized cotton").read_as
    '10/2 Ne'

    :raises AmbiguousCount: it has several readings; the message lists them, ``readings`` holds them
    :raises BadQuantity: it is not a count
    """
    found = readings(text, fiber)
    if len(found) > 1:
        raise AmbiguousCount(
            phrase(
                '"{text}" has several readings; write the one that is meant: {readings}',
                text=shorten(text),
                readings=listed(one.line() for one in found),
            ),
            tuple(CountReading(one.write, one.count.tex) for one in found),
        )
    return found[0].count


def readings(text: object, fiber: str = "") -> tuple[Reading, ...]:
    """Everything that a written count may mean, at least one reading.

    >>> [(one.write, round(one.yards_per_pound)) for one in readings("2/8 wool")]
    [('2/8 worsted', 2240), ('2/8 Nm', 1984), ('2/8 Yorkshire skein', 1024)]

    :raises BadQuantity: it is not a count
    """
    if not isinstance(text, str) or len(text) > _LONGEST_TEXT:
        shown = (
            shorten(text)
            if isinstance(text, str | int | float)
            else phrase("a {type}", type=type(text).__name__)
        )
        raise BadQuantity(phrase('"{text}" is not a yarn count; {expected}', text=shown, expected=_EXPECTED))
    tidy = with_phrases(" ".join(text.replace("×", "x").split()))
    tidy = re.sub(r" ?/ ?(?=[0-9.])", "/", tidy)
    tidy = _DENIER_RANGE.sub("/", tidy)
    for pattern, word in _PHRASES:
        tidy = pattern.sub(word, tidy)
    plied = _multiplied(text.strip(), tidy)
    if plied is not None:
        return (plied,)
    match = _PLAIN.fullmatch(tidy)
    if match is None:
        raise BadQuantity(
            phrase('"{text}" is not a yarn count; {expected}', text=shorten(text), expected=_EXPECTED)
        )
    before, first, second, after = match.groups()
    words = f"{before or ''} {after or ''}".split()
    if after and words[-len(after.split())] == "s":  # "60s cotton"
        words.remove("s")
    systems = _systems(text, words, fiber)
    if second is not None and _is_raw_silk(systems, words, fiber, float(first), float(second)):
        middle = size_of(f"{first}/{second}", "denier") or 0.0
        return (_said(_reading(text.strip(), "denier", middle, 1, f"{middle:g} den")),)
    if "dtex" in words:
        first = str(float(first) / 10.0)
    found = [
        one
        for system in systems
        for one in _sized(text.strip(), system, first, second, alone=len(systems) == 1)
    ]
    named = any(word in _SYSTEM_WORDS or word in _NAMES_ITS_COUNT for word in words)
    return tuple(found if named else map(_said, found))


def _said(reading: Reading) -> Reading:
    return replace(reading, count=replace(reading.count, read_as=reading.write))


def _is_raw_silk(systems: tuple[str, ...], words: list[str], fiber: str, low: float, high: float) -> bool:
    """Whether the two numbers are a range of denier: they are close together, and either denier is named or
    the yarn is silk, whose plies no label counts by the dozen."""
    if not is_range(low, high):
        return False
    if systems == ("denier",):
        return True
    silk = [each.name for each in fibers_in(" ".join(words)) or fibers_in(fiber)] == ["silk"]
    return silk and low > _USUAL_PLIES and not any(word in _SYSTEM_WORDS for word in words)


def _systems(text: str, words: list[str], fiber: str) -> tuple[str, ...]:
    """The systems that the words of a count allow, and where they name none, its yarn's fiber too."""
    named: list[set[str]] = []
    hinted: list[set[str]] = []
    order: list[str] = []
    for word in words:
        if word in _SYSTEM_WORDS:
            named.append({_SYSTEM_WORDS[word]})
            order.append(_SYSTEM_WORDS[word])
        elif (known := fiber_of_word(word)) is not None:
            hinted.append(set(known.systems))
            order.extend(known.systems)
        else:
            raise BadQuantity(
                phrase(
                    '"{word}" in "{text}" is not a count system; {expected}',
                    word=shorten(word),
                    text=shorten(text),
                    expected=_EXPECTED,
                )
            )
    spun_of = fibers_in(fiber)
    if not order:
        hinted = [set(each.systems) for each in spun_of]
        order = [system for each in spun_of for system in each.systems]
    elif not named:
        suits = set().union(*(each.systems for each in spun_of)) & set(order)
        hinted = [*hinted, suits] if suits else hinted
    if not order:
        return _BARE
    if "ne" in words and {"worsted", "linen"} & set(words):
        # Some labels write NeW and NeL as "Ne", so both the cotton hank and the fiber's own are possible.
        named.extend(hinted)
    groups = named or hinted
    agreed = set.intersection(*groups) or set.union(*groups)
    return tuple(dict.fromkeys(system for system in order if system in agreed))


def _sized(text: str, system: str, first: str, second: str | None, *, alone: bool) -> list[Reading]:
    """The readings of ``first/second`` in one system. ``alone``: no other system is in question."""
    if second is None:
        return [_reading(text, system, float(first), 1, f"{first} {WRITTEN[system]}")]
    if system in _MULTIPLIED or system == "yd/lb":
        ask = (
            f'"20 {WRITTEN[system]} x 2"'
            if system in _MULTIPLIED
            else phrase("the yards per pound of the plied yarn")
        )
        raise BadQuantity(
            phrase(
                '"{text}" is not a count in {system}; expected {expected}',
                text=shorten(text),
                system=WRITTEN[system],
                expected=ask,
            )
        )
    size_first, ply_first = (first, second), (second, first)
    small = min((size_first, ply_first), key=lambda pair: float(pair[1]))
    usual = size_first if system in _SIZE_FIRST else ply_first if system in _PLY_FIRST else small
    if not alone:
        usual = small  # among several systems, only the likely yarn of each is worth listing
    if not is_ply(usual[1]) and system not in _SIZE_FIRST:
        usual = (usual[1], usual[0])  # "2/1.5 run": what is not whole must be the size
    size, ply = usual
    if not is_ply(ply):
        raise BadQuantity(_no_plies(text))
    written = f"{first}/{second} {WRITTEN[system]}"
    if not alone and system in _SIZE_FIRST:
        written = f"{size}/{ply} {WRITTEN[system]}"
    if not alone and system in _PLY_FIRST:
        written = f"{ply}/{size} {WRITTEN[system]}"
    one = _reading(text, system, float(size), int(ply), written)
    odd = system in _SIZE_FIRST | _PLY_FIRST and float(size) < float(ply)
    likely_ply = is_ply(size) and int(size) <= _USUAL_PLIES
    if not (alone and odd and likely_ply):
        return [one]
    # The reverse order would be a more likely yarn: both are listed, that one first.
    turned = f"{ply}/{size}" if system in _SIZE_FIRST else f"{size}/{ply}"
    other = _reading(text, system, float(ply), int(size), f"{turned} {WRITTEN[system]}")
    return [
        other,
        _reading(text, system, float(size), int(ply), f"{one.yards_per_pound:.6g} yd/lb"),
    ]


def _multiplied(text: str, tidy: str) -> Reading | None:
    """Tex and denier with plies: "20 tex x 2", "2 x 20 tex", "R40 tex/2"."""
    found = direct_count(" ".join(word for word in tidy.split() if fiber_of_word(word) is None))
    if found is None:
        return None
    if not is_ply(found.ply):
        raise BadQuantity(_no_plies(text))
    size = found.size / 10.0 if found.unit == "dtex" else found.size
    reading = _reading(text, _SYSTEM_WORDS[found.unit], size, int(found.ply), found.write)
    twisted = int(found.ply) > 1 and not found.resultant
    return replace(reading, count=replace(reading.count, before_twisting=twisted))


def _no_plies(text: str) -> Phrase:
    return phrase(
        '"{text}" has no whole number of plies from 1 to {most_plies}; {expected}',
        text=shorten(text),
        most_plies=MOST_PLIES,
        expected=_EXPECTED,
    )


def _reading(text: str, system: str, size: float, plies: int, write: str) -> Reading:
    """``size`` is one ply's, or in the resultant systems the whole yarn's."""
    count = size if system in _RESULTANT_SYSTEMS else size / plies
    tex = tex_of(count, system) if count > 0 else 0.0
    if not _FINEST_TEX <= tex <= _COARSEST_TEX:
        raise BadQuantity(
            phrase(
                '"{text}" is not a yarn that can be woven; {expected}', text=shorten(text), expected=_EXPECTED
            )
        )
    twisted = plies > 1 and system not in _RESULTANT_SYSTEMS
    return Reading(
        write, YarnCount(text, system, tex, plies, is_woollen(system), twisted), yards_per_pound(tex)
    )


def tex_of(count: float, system: str) -> float:
    """Tex of a count in one of the systems of :data:`WRITTEN`; ``count`` is the whole yarn's and above 0."""
    if system == "tex":
        return count
    if system == "denier":
        return count / DENIER_PER_TEX
    if system == "metric":
        return TEX_TIMES_NM / count
    return yards_per_pound(count * YARDS_PER_POUND[system])


def count_of(tex: float, system: str) -> float:
    """The count of a yarn of ``tex`` (above 0) in a system, as of a single: 8/2 cotton is 4."""
    if system == "tex":
        return tex
    if system == "denier":
        return tex * DENIER_PER_TEX
    if system == "metric":
        return TEX_TIMES_NM / tex
    return yards_per_pound(tex) / YARDS_PER_POUND[system]
