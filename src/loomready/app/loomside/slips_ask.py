"""The questions of a search as they stand in a page's address, and what they narrowed down to.

Each answer is a text: ``at:40-43``, ``looks:gap``, ``rose:1.3:40+41-42-43+`` (of ends 40 to 43 the first and
last rose with shafts 1 and 3), ``pass:looks`` and ``pass:1.3:40.41.42.43`` (not seen).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast, get_args

from loomready.problems import BadInput
from loomready.slips import asking, possible, said
from loomready.slips.answer import Planned
from loomready.slips.asking import Lift, Looks, Question, Where
from loomready.slips.found import Slip
from loomready.slips.possible import Possible, Sign

MOST = 30  # answers


@dataclass(frozen=True, slots=True)
class Asking:
    """The answers so far as texts, the state that they lead to, and what was asked."""

    texts: tuple[str, ...]
    state: Possible
    asked: tuple[Question, ...]

    @classmethod
    def of(cls, planned: Planned, texts: Sequence[str]) -> Asking:
        """:raises BadInput: an answer that no page gives"""
        state = possible.everything(planned.threading, planned.lifts.shape[1], planned.free)
        asked: list[Question] = []
        heard: list[said.Said] = []
        for text in texts[:MOST]:
            try:
                one, question = _read(text, len(planned.threading), planned.lifts.shape[1])
            except (ValueError, KeyError):
                raise BadInput("this address holds an answer that is none; begin the search again") from None
            heard += [] if one is None else [one]
            asked += [] if question is None else [question]
        return cls(tuple(texts[:MOST]), said.narrowed(state, heard), tuple(asked))

    def question(self, lifts: Sequence[Sequence[int]]) -> Question | None:
        """The best next question; ``lifts``: those that the weaver has at hand."""
        return asking.best(self.state, lifts, self.asked)

    def slip(self) -> Slip | None:
        """The likeliest slip, once anything was answered."""
        return possible.likeliest(self.state)[0] if self.texts else None

    def sure(self) -> bool:
        return asking.sure(self.state)


def at(first: int, last: int) -> str:
    return f"at:{first}-{last}"


def rose(question: Lift, pattern: Sequence[bool]) -> str:
    seen = "".join(f"{end}{'+' if up else '-'}" for end, up in zip(question.ends, pattern, strict=True))
    return f"rose:{_dotted(question.shafts)}:{seen}"


def passed(question: Question) -> str:
    if isinstance(question, Lift):
        return f"pass:{_dotted(question.shafts)}:{_dotted(question.ends)}"
    return "pass:looks" if isinstance(question, Looks) else "pass:where"


def texts_of(heard: Sequence[said.Said]) -> list[str]:
    """What was typed, as answers."""
    made = []
    for each in heard:
        if isinstance(each, said.At):
            made.append(at(each.first, each.last))
        elif isinstance(each, said.Looks):
            made.append(f"looks:{each.sign}")
        else:
            seen = "".join(f"{end}{'+' if up else '-'}" for end, up in each.seen)
            made.append(f"rose:{_dotted(each.shafts)}:{seen}")
    return made


def _dotted(numbers: Sequence[int]) -> str:
    return ".".join(map(str, numbers))


def _numbers(text: str, most: int) -> tuple[int, ...]:
    found = tuple(int(each) for each in text.split(".") if len(each) < 7)
    if not found or not all(1 <= each <= most for each in found):
        raise ValueError
    return found


def _read(text: str, ends: int, shafts: int) -> tuple[said.Said | None, Question | None]:
    """:raises ValueError, KeyError: it is not an answer"""
    kind, _colon, rest = text.partition(":")
    if kind == "at":
        first, last = sorted(_numbers(rest.replace("-", "."), ends))
        return said.At(first, last), None
    if kind == "looks":
        if rest not in get_args(Sign):
            raise ValueError
        return said.Looks(cast(Sign, rest)), Looks(possible.SIGNS)
    if kind == "rose":
        lifted, _colon, seen = rest.partition(":")
        if not re.fullmatch(r"(?:[0-9]{1,6}[+-]){1,12}", seen):
            raise ValueError
        pairs = tuple((int(end), up == "+") for end, up in re.findall("([0-9]+)([+-])", seen))
        at_ends, up = _numbers(_dotted([end for end, _ in pairs]), ends), _numbers(lifted, shafts)
        return said.Rose(up, pairs), Lift(up, at_ends, (), ())
    if text == "pass:looks":
        return None, Looks(possible.SIGNS)
    if text == "pass:where":
        return None, Where(())
    if kind == "pass":
        lifted, _colon, seen = rest.partition(":")
        return None, Lift(_numbers(lifted, shafts), _numbers(seen, ends), (), ())
    raise KeyError(kind)
