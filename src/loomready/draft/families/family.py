"""A family of drafts: its name, its parameters, and the function that makes a draft."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from loomready.draft.draft import Draft
from loomready.draft.families.parameters import Parameter, Value, WholeNumber
from loomready.phrases import Phrase, listed, phrase
from loomready.problems import BadInput, shorten

MOST_THREADS = 20_000


@dataclass(frozen=True, slots=True)
class Family:
    """A construction of the trade that makes one repeat of a draft.

    name        as typed: "point-twill"; ``title`` as read: "Point twill"
    group       where a weaver looks for it: "twills", "satins", "laces", ...
    says        one line: what it is, and how it is built
    build       makes one repeat from the values, by the names of the parameters (a hyphen: an underscore)
    repeats     how many repeats a draft has by default
    least       the fewest shafts it is offered for: on fewer it would be plain weave
    """

    name: str
    title: Phrase
    group: Phrase
    says: Phrase
    build: Callable[..., Draft]
    own: tuple[Parameter, ...]
    repeats: int = 1
    least: int = 2

    @property
    def parameters(self) -> tuple[Parameter, ...]:
        """The family's own parameters, and the number of repeats."""
        times = WholeNumber(
            name="repeats",
            meaning=phrase("how many times the repeat is written out, ends and picks"),
            default=str(self.repeats),
            lowest=1,
            highest=500,
        )
        return (*self.own, times)

    def make(self, options: Mapping[str, str] | None = None) -> Draft:
        """The draft that these options ask for, each as a person types it; the rest have their defaults.

        :raises BadInput: an option that the family does not have, or an impossible one; the place is its name
        """
        given = dict(options or {})
        known = [parameter.name for parameter in self.parameters]
        for name in given:
            if name not in known:
                what = phrase(
                    "{family} has no such option; expected one of: {options}",
                    family=self.name,
                    options=listed(known),
                )
                raise BadInput(what, where=shorten(name))
        values: dict[str, Value] = {}
        for parameter in self.parameters:
            text = given.get(parameter.name, parameter.default)
            values[parameter.name.replace("-", "_")] = None if text is None else parameter.read(text)
        times = values.pop("repeats")
        assert isinstance(times, int)
        repeat = self.build(**values)
        longest = max(repeat.ends, repeat.picks)
        if longest * times > MOST_THREADS:
            most = MOST_THREADS // longest
            raise BadInput(
                phrase(
                    "{repeats} repeats of {threads} threads are too many for one draft; expected at most "
                    "{most}",
                    repeats=times,
                    threads=longest,
                    most=most,
                ),
                where="repeats",
            )
        return tiled(repeat, times)

    def as_json(self) -> dict[str, Any]:
        return {
            "name": self.name,
            "title": self.title,
            "group": self.group,
            "says": self.says,
            "options": [_option(parameter) for parameter in self.parameters],
        }


def _option(parameter: Parameter) -> dict[str, Any]:
    return {
        "name": parameter.name,
        "kind": parameter.kind,
        "meaning": parameter.meaning,
        "default": parameter.default,
        "unsaid": parameter.unsaid or None,
        "expected": parameter.expected,
        "lowest": getattr(parameter, "lowest", None),
        "highest": getattr(parameter, "highest", None),
        "choices": list(getattr(parameter, "choices", ())) or None,
    }


def tiled(draft: Draft, times: int) -> Draft:
    """The draft, its ends and its picks repeated."""
    treadling, thickness = draft.treadling, draft.weft_thickness_mm
    return replace(
        draft,
        threading=np.tile(draft.threading, times),
        lifts=np.tile(draft.lifts, (times, 1)),
        treadling=None if treadling is None else np.tile(treadling, (times, 1)),
        warp_colors=np.tile(draft.warp_colors, times),
        weft_colors=np.tile(draft.weft_colors, times),
        weft_thickness_mm=None if thickness is None else np.tile(thickness, times),
    )
