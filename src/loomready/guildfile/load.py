"""A guild file with the drafts that lie beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from loomready.draft.draft import Draft
from loomready.draft.wif import reader
from loomready.files import named
from loomready.guildfile.decode import decode
from loomready.guildfile.toml import parse, read_bytes
from loomready.guildfile.values import show
from loomready.model.guild import Guild
from loomready.phrases import phrase
from loomready.problems import BadInput, Place, Problem


@dataclass(frozen=True, slots=True)
class Loaded:
    """A guild and its drafts. ``drafts``: by the path as the file writes it, for warps and their items;
    ``warnings``: by the same paths, what in a draft's file is odd without being wrong."""

    guild: Guild
    drafts: Mapping[str, Draft]
    warnings: Mapping[str, tuple[Problem, ...]]


def load(path: Path) -> Loaded:
    """Read a guild file and every draft that it names, each once.

    :raises BadInput: its file is the guild file as given, or the draft in the guild file's folder
    """
    path = Path(path)
    try:
        guild = decode(parse(read_bytes(path)))
        places = {text: _inside(path.parent, text, where) for text, where in _paths(guild)}
    except BadInput as error:
        raise error.in_file(named(path)) from None
    files = {text: reader.read(place) for text, place in places.items()}
    return Loaded(
        guild,
        {text: file.draft for text, file in files.items()},
        {text: file.warnings for text, file in files.items() if file.warnings},
    )


def _paths(guild: Guild) -> Iterator[tuple[str, Place]]:
    """Each draft's path as written, and where it is written first."""
    seen = set()
    for number, warp in enumerate(guild.warps, 1):
        written: list[tuple[str, Place]] = [(warp.draft, (f"[warps {number}]", "draft"))]
        written += [
            (text, (f"[warps {number}]", "items", piece, key))
            for piece, item in enumerate(warp.items, 1)
            for text, key in ((item.draft, "draft"), (item.hem_draft, "hem_draft"))
            if text is not None
        ]
        written += [
            (each.draft, (f"[warps {number}]", "samples", part, "draft"))
            for part, each in enumerate(warp.samples, 1)
            if each.draft is not None
        ]
        for text, where in written:
            if text not in seen:
                seen.add(text)
                yield text, where


def _inside(folder: Path, text: str, where: Place) -> Path:
    """Where a draft lies: a file below the folder once every link is followed."""
    place = folder / text
    try:
        real = place.resolve()
        below = real.is_relative_to(folder.resolve())
        there = below and real.is_file()
    except (OSError, RuntimeError, ValueError):  # too long a name, links that run in a circle
        below, there = True, False
    if not below:
        what = phrase("{path} leaves the guild's folder; expected a file in it or below", path=show(text))
        raise BadInput(what, where=where)
    if not there:
        raise BadInput(phrase("there is no file {path}; expected a WIF file", path=show(text)), where=where)
    return place
