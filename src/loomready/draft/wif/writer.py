"""Writing WIF 1.1: the draft and the foreign sections it came with. The same draft, the same bytes."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path

import numpy as np

from loomready.draft.draft import Bools, Draft, Floats, Ints, lifts_of
from loomready.draft.wif.reader import OWN_KEYS, OWN_SECTIONS
from loomready.draft.wif.text import clean, folded
from loomready.draft.wif.threads import MAX_MM
from loomready.files import write_whole
from loomready.phrases import phrase
from loomready.problems import BadInput, shorten

STANDARD_DATE = "April 20, 1997"
"""The day of WIF 1.1, which is what the format's Date means; no clock is asked."""

_KEY = re.compile(r"[^\[;#=:][^=:]*")
"""What can stand before "=" in [CONTENTS] and be read as a key."""

_Written = list[tuple[str, list[str]]]


def save(path: Path, draft: Draft) -> None:
    """Writes the draft to a file, whole or not at all.

    :raises BadInput: the file cannot be written, or the draft not be said in WIF
    """
    write_whole(path, dumps(draft))


def dumps(draft: Draft) -> bytes:
    """The draft as a WIF 1.1 file: UTF-8 without a byte-order mark, lines ended as on Windows.

    Spacing and thickness stand in centimeters, a treadled draft with tie-up and treadling, any other
    with its lift plan, which names what is up. ``wif.parse`` reads the same draft back.

    :raises BadInput: an extra section that would not come back as it is, a length that is none
    """
    own: _Written = [
        ("TEXT", [f"Title={clean(draft.title)}"] if draft.title and clean(draft.title) else []),
        ("NOTES", _counted(map(clean, (draft.notes or "").split("\n"))) if draft.notes else []),
        ("COLOR PALETTE", [f"Entries={len(draft.palette)}", "Form=RGB", "Range=0,255"]),
        ("COLOR TABLE", _counted(",".join(map(str, color)) for color in draft.palette)),
        ("THREADING", _counted(map(str, (draft.threading + 1).tolist()))),
    ]
    treadled = _by_foot(draft)
    treadles = 0
    if treadled is None:
        own.append(("LIFTPLAN", _listed(draft.lifts)))
    else:
        tieup, treadling = treadled
        treadles = tieup.shape[1]
        own += [("TIEUP", _listed(tieup.T)), ("TREADLING", _listed(treadling))]
    weaving = [f"Rising Shed={'true' if treadled is None or draft.rising else 'false'}"]
    weaving += [f"Treadles={treadles}", f"Shafts={draft.shafts}"]
    warp, warp_lists = _side("WARP", draft.warp_colors, draft.warp_spacing_mm, draft.warp_thickness_mm)
    weft, weft_lists = _side("WEFT", draft.weft_colors, draft.weft_spacing_mm, draft.weft_thickness_mm)
    own[2:2] = [("WEAVING", weaving), ("WARP", warp), ("WEFT", weft)]
    own += warp_lists + weft_lists
    return _file(own, draft)


def _by_foot(draft: Draft) -> tuple[Bools, Bools] | None:
    """Tie-up and treadling, where the draft has them and they give its lifts."""
    if draft.tieup is None or draft.treadling is None:
        return None
    same = np.array_equal(lifts_of(draft.tieup, draft.treadling, draft.rising), draft.lifts)
    return (draft.tieup, draft.treadling) if same else None


def _file(own: _Written, draft: Draft) -> bytes:
    foreign: _Written = []
    sections = dict(own)
    for section in draft.extra:
        _refuse_broken(section.name, section.lines)
        key = folded(section.name)
        if key in OWN_KEYS:
            sections[key.upper()] += [line for line in section.lines if _is_kept(line, OWN_KEYS[key])]
        elif key in OWN_SECTIONS:
            raise BadInput(
                phrase(
                    "[{section}] belongs to the draft itself; expected another section", section=section.name
                )
            )
        else:
            foreign.append((section.name, list(section.lines)))
    # A section that must be there may be empty: a tie-up of no treadles, say.
    written = [(name, lines) for name, lines in own if lines or name not in ("TEXT", "NOTES")]
    listed = [name for name, _ in written + foreign if _KEY.fullmatch(name)]
    head = [
        "[WIF]",
        "Version=1.1",
        f"Date={STANDARD_DATE}",
        "Developers=loomready",
        "Source Program=loomready",
    ]
    lines = [*head, "", "[CONTENTS]", *(f"{name}=true" for name in listed), ""]
    for name, body in written:
        lines += [f"[{name}]", *body, ""]
    for name, body in foreign:  # word for word: not even an empty line after it
        lines += [f"[{name}]", *body]
    return "".join(f"{line}\r\n" for line in lines).encode("utf-8", "replace")


def _refuse_broken(name: str, lines: tuple[str, ...]) -> None:
    """Refuses a section that would come back as something else."""
    if not clean(name) or clean(name) != name or "]" in name:
        raise BadInput(phrase('"{name}" cannot be the name of a section', name=shorten(name)))
    for line in lines:
        if line.lstrip().startswith("[") or "\n" in line or "\r" in line or "\0" in line:
            raise BadInput(
                phrase(
                    '[{section}] "{line}" cannot be a line of a section',
                    section=shorten(name),
                    line=shorten(line),
                )
            )


def _is_kept(line: str, own: set[str]) -> bool:
    return folded(line.partition("=")[0]) not in own


def _side(
    name: str, colors: Ints, spacing_mm: Floats | None, thickness_mm: Floats | None
) -> tuple[list[str], _Written]:
    """The head of one side, and its lists by thread where the threads differ."""
    head = [f"Threads={len(colors)}"]
    lists: _Written = []
    numbers, counts = np.unique(colors, return_counts=True)
    head.append(f"Color={int(numbers[counts.argmax()]) + 1}")
    if len(numbers) > 1:
        lists.append((f"{name} COLORS", _counted(map(str, (colors.astype(np.int32) + 1).tolist()))))
    if spacing_mm is not None or thickness_mm is not None:
        head.append("Units=centimeters")
    for what, lengths in (("Spacing", spacing_mm), ("Thickness", thickness_mm)):
        if lengths is None:
            continue
        if lengths.min() == lengths.max() and lengths[0] > 0:
            head.append(f"{what}={_centimeters(float(lengths[0]))}")
        else:
            lists.append((f"{name} {what.upper()}", _counted(map(_centimeters, lengths.tolist()))))
    return head, lists


def _centimeters(mm: float) -> str:
    """Millimeters in centimeters, all digits: only the decimal point moves."""
    if not (math.isfinite(mm) and 0 <= mm <= MAX_MM):
        raise BadInput(
            phrase(
                "{number} mm is not a spacing or thickness of a thread; expected 0 to {most} mm",
                number=mm,
                most=MAX_MM,
            )
        )
    moved = Decimal(repr(mm)).scaleb(-1).normalize()
    return format(moved, "f") if mm == 0 or mm > 1e-9 else str(moved)


def _counted(values: Iterable[str]) -> list[str]:
    return [f"{number}={value}" for number, value in enumerate(values, 1)]


def _listed(table: Bools) -> list[str]:
    """A line for each row of bool[rows, columns]: the numbers of what is true in it, 0 for none."""
    known: dict[bytes, str] = {}
    found = []
    for row in table:
        key = row.tobytes()
        if key not in known:
            known[key] = ",".join(map(str, (np.flatnonzero(row) + 1).tolist())) or "0"
        found.append(known[key])
    return _counted(found)
