"""What is different in a version of a draft, in words: by the sections of its file."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

Section = dict[str, str]


def told(before: str, after: str) -> str:
    """What differs between two versions of a draft's file, WIF text; "" where it is none of these."""
    return ", ".join(_parts(_sections(before), _sections(after)))


def _sections(wif: str) -> dict[str, Section]:
    found: dict[str, Section] = {}
    section: Section = {}
    for line in wif.splitlines():
        if line.startswith("["):
            section = found.setdefault(line.strip("[] \r").upper(), {})
        elif "=" in line:
            key, _equals, value = line.partition("=")
            section[key.strip().lower()] = value.strip()
    return found


def _parts(before: dict[str, Section], after: dict[str, Section]) -> Iterator[str]:
    def value(section: str, key: str) -> tuple[str, str]:
        return before.get(section, {}).get(key, ""), after.get(section, {}).get(key, "")

    def differing(section: str) -> int:
        was, now = (each.get(section, {}) for each in (before, after))
        return sum(was.get(key) != now.get(key) for key in {*was, *now})

    name, now = value("TEXT", "title")
    if name != now:
        yield _("name → %(name)s") % {"name": now}
    counts = (
        ("WARP", "threads", _("ends")),
        ("WEFT", "threads", _("picks")),
        ("WEAVING", "shafts", _("shafts")),
        ("WEAVING", "treadles", _("treadles")),
    )
    resized = set()
    for section, key, label in counts:
        was, now = value(section, key)
        if was != now:
            resized.add(section)
            yield f"{label} {was or '—'} → {now or '—'}"
    if "WARP" not in resized and (n := differing("THREADING")):
        yield ngettext("%(n)d end threaded differently", "%(n)d ends threaded differently", n) % {"n": n}
    if differing("TIEUP"):
        yield _("tie-up")
    if "WEFT" not in resized:
        if ("LIFTPLAN" in before) != ("LIFTPLAN" in after):
            yield _("lift plan") if "LIFTPLAN" in after else _("tie-up and treadling")
        elif n := differing("TREADLING"):
            yield ngettext("%(n)d pick treadled differently", "%(n)d picks treadled differently", n) % {
                "n": n
            }
        elif n := differing("LIFTPLAN"):
            yield ngettext("%(n)d pick lifted differently", "%(n)d picks lifted differently", n) % {"n": n}
    if value("WEAVING", "rising shed")[0] != value("WEAVING", "rising shed")[1]:
        yield _("sinking shed") if value("WEAVING", "rising shed")[1].lower() == "false" else _("rising shed")
    colored = ((_("warp"), "WARP", "WARP COLORS"), (_("weft"), "WEFT", "WEFT COLORS"))
    for side, section, colors in colored:
        usual = value(section, "color")
        if section not in resized and (differing(colors) or usual[0] != usual[1]):
            yield _("colors of the %(side)s") % {"side": side}
    if differing("COLOR TABLE"):
        yield _("color table")
    if differing("NOTES"):
        yield _("notes")
