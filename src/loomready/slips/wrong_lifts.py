"""Wrong lifts of picks that treadles make: a treadle tied wrong, or pressed wrong."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from loomready.slips.actions import Action, Task
from loomready.slips.sentences import in_order, sentence

Pressed = tuple[tuple[int, ...], ...]
Ties = tuple[tuple[tuple[int, ...], tuple[int, ...]], ...]
_Wrong = tuple[int | None, int | None]  # the shaft that did not rise, or the one that rose


def ties(lifts: Sequence[tuple[int, ...]], pressed: Pressed) -> Ties:
    """Different lifts (shafts from 1) with the treadles that make them; none for a lift made in two ways."""
    ways: dict[tuple[int, ...], set[tuple[int, ...]]] = {}
    for lift, treadles in zip(lifts, pressed, strict=True):
        ways.setdefault(lift, set()).add(treadles)
    return tuple((lift, next(iter(made))) for lift, made in ways.items() if len(made) == 1)


def pressed_for(known: Ties, picks: Sequence[tuple[int, ...]]) -> Pressed:
    """The treadles (from 1) of each pick, none where it has levers or nobody knows."""
    of = dict(known)
    return tuple(of.get(pick, ()) for pick in picks)


def of_treadles(task: Task) -> tuple[list[Action], frozenset[int]]:
    """What to do about treadles, and the places of the slips that this mends.

    Where each pick that presses a treadle, of two or more, lacks the same shaft, or lifts the same one too
    many, the treadle is tied wrong. Where one pick alone presses it, nobody can tell that from a treadle that
    was pressed wrong: it is pressed again, and one looks.
    """
    picks: dict[int, list[int]] = {}  # of each treadle
    for pick, treadles in enumerate(task.pressed, start=1):
        for treadle in treadles:
            picks.setdefault(treadle, []).append(pick)
    places: dict[tuple[int, _Wrong], int] = {}
    for place, slip in enumerate(task.slips):
        if slip.kind == "wrong lift" and slip.pick is not None:
            places[slip.pick, (slip.planned, slip.found)] = place
    tied: dict[tuple[int, _Wrong], list[int]] = {}
    checked: list[Action] = []
    for (pick, wrong), place in places.items():
        treadles = task.pressed[pick - 1] if pick <= len(task.pressed) else ()
        agreeing = [
            each
            for each in treadles
            if len(picks[each]) > 1 and all((other, wrong) in places for other in picks[each])
        ]
        alone = [each for each in treadles if len(picks[each]) == 1]
        if agreeing:
            most = max(agreeing, key=lambda each: (len(picks[each]), -each))
            tied.setdefault((most, wrong), []).append(place)
        elif alone and not task.slips[place].tied:
            checked.append(_pressed_again(task, place, alone))
    actions = [*_tied_again(task, tied), *checked]
    return actions, frozenset(place for action in actions for place in action.slips)


def _tied_again(task: Task, tied: dict[tuple[int, _Wrong], list[int]]) -> Iterator[Action]:
    for (treadle, (planned, found)), places in tied.items():
        do = sentence(
            "treadle_rises" if planned else "treadle_sinks",
            treadle=treadle,
            shaft=planned or found,
            picks=in_order([task.slips[place].pick or 0 for place in places]),
        )
        yield Action(do, (1, task.ends), task.rates.retie, tuple(places))


def _pressed_again(task: Task, place: int, treadles: list[int]) -> Action:
    slip = task.slips[place]
    name = "press_rises" if slip.planned else "press_sinks"
    do = sentence(
        f"{name}_one" if len(treadles) == 1 else name,
        treadles=in_order(treadles),
        shaft=slip.planned or slip.found,
        pick=slip.pick,
    )
    return Action(do, (1, task.ends), task.rates.retie, (place,))
