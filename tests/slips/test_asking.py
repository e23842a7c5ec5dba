"""One slip found by questions: each answer narrows what is possible, and a few of them are enough."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from loomready import guildfile
from loomready.problems import BadInput
from loomready.slips import asking, possible, typed_words
from loomready.slips.asking import Lift, Looks, Where, best
from loomready.slips.possible import Possible
from loomready.warp.plan import plan_guild
from tests.slips import taps
from tests.slips.test_test_picks import single_slips

DEMO = Path(__file__).parents[2] / "demo" / "guild.toml"

STRAIGHT = np.arange(80) % 8
TWILL = [(1, 2, 5, 6), (2, 3, 6, 7), (3, 4, 7, 8), (1, 4, 5, 8), *((shaft,) for shaft in range(1, 9))]
SHOWN = {"wrong shaft": "one end", "crossed": "two ends", "skipped": "shift", "extra": "shift"}


def start(planned: np.ndarray = STRAIGHT, shafts: int = 8) -> Possible:
    return possible.everything(planned, shafts)


def top(state: Possible) -> tuple[str, int | None, int | None, int | None]:
    slip = possible.likeliest(state)[0]
    return slip.kind, slip.end, slip.planned, slip.found


def test_every_single_slip_of_a_web_is_possible_once() -> None:
    planned = [0, 1, 2, 2, 1, 0, 3, 3, 0]
    state = start(np.array(planned), 4)
    assert state.weight.sum() == pytest.approx(1)
    longer = {"skipped": -1, "extra": 1}
    webs: dict[tuple[int, ...], int] = {}
    for place in range(len(state.kind)):
        kind = possible.KINDS[state.kind[place]]
        if kind in SHOWN:
            columns = range(len(planned) + longer.get(kind, 0))
            web = tuple(int(state.on(column)[place]) for column in columns)
            assert web not in webs
            webs[web] = place
    behind = {(*planned, shaft) for shaft in range(5)}
    assert set(webs) == set(single_slips(planned, 5)) | behind


def answered(start_at: Possible, true: int, first: int, last: int) -> tuple[Possible, list[asking.Question]]:
    """Questions answered as the true slip would, once somebody has pointed at these ends."""
    state, asked = possible.at(start_at, first, last), []
    while (question := best(state, TWILL, asked)) is not None:
        asked.append(question)
        if isinstance(question, Looks):
            state = possible.looks(state, SHOWN[possible.KINDS[start_at.kind[true]]])
        elif isinstance(question, Lift):
            lifted = [shaft - 1 for shaft in question.shafts]
            seen = [(end, bool(start_at.rises(end - 1, lifted)[true])) for end in question.ends]
            state = possible.rose(state, question.shafts, seen)
        else:
            state = possible.at(state, first, last)
    return state, asked


POINT = np.array([0, 1, 2, 3, 4, 5, 6, 7, 6, 5, 4, 3, 2, 1] * 8)


@pytest.mark.parametrize("web", [STRAIGHT, POINT, np.repeat(np.arange(8), 6)])
def test_true_answers_find_a_slip_in_four_questions_on_average_and_name_none_that_is_not(
    web: np.ndarray,
) -> None:
    random = np.random.default_rng(3)
    state = start(web)
    kinds = np.array([possible.KINDS[kind] in SHOWN for kind in state.kind])
    shares = np.where(kinds, state.weight, 0)
    counts, right, wrong = [], 0, 0
    for true in random.choice(len(shares), 100, p=shares / shares.sum()).tolist():
        end = int(state.end[true]) + 1
        left, asked = answered(state, true, max(end - 1, 1), min(end + 1, len(web)))
        counts.append(len(asked))
        found = int(np.argmax(left.weight)) == true
        right += found
        wrong += asking.sure(left) and not found
    assert right >= 97
    assert wrong <= 1
    assert np.mean(counts) <= 4.5
    assert max(counts) <= 9


def test_a_secret_slip_of_a_demo_warp_is_found_in_about_six_taps() -> None:
    loaded = guildfile.load(DEMO)
    scarves = plan_guild(loaded.guild, loaded.drafts, until="scarves").warps[-1]
    counts, right = taps.of_plan(scarves, 20, 1, pointed=True)
    assert right == 1
    assert counts.mean() <= 6.5
    assert counts.max() <= 10


def test_the_first_question_of_a_wide_web_is_where() -> None:
    question = best(start(), TWILL)
    assert isinstance(question, Where)
    firsts = [first for first, _ in question.stretches]
    assert firsts[0] == 1
    assert question.stretches[-1][1] == 80
    assert all(b == a_last + 1 for (_, a_last), b in zip(question.stretches, firsts[1:], strict=False))


def test_an_end_that_rises_with_a_shaft_is_found_on_it() -> None:
    state = typed_words.narrowed(start(), typed_words.read("end 12 rises with shaft 7", 80, 8, "left"))
    state = typed_words.narrowed(state, typed_words.read("end 12 does not rise with shaft 4", 80, 8, "left"))
    state = typed_words.narrowed(state, [typed_words.At(12, 12), typed_words.Looks("one end")])
    assert top(state) == ("wrong shaft", 12, 4, 7)


def test_a_gap_counted_from_the_right_is_an_empty_dent_there() -> None:
    state = typed_words.narrowed(start(), typed_words.read("gap 7 in from the right", 80, 8, "left"))
    assert possible.likeliest(state)[0].kind == "empty dent"
    assert possible.likeliest(state)[0].end in (74, 75)


def test_a_thread_that_moves_late_is_asked_for_and_found() -> None:
    state = possible.looks(possible.at(start(), 30, 30), "late")
    assert top(state)[:2] == ("round its heddle", 30)


def test_a_gap_beside_which_all_ends_rise_as_planned_is_an_empty_dent() -> None:
    state = possible.looks(possible.at(start(), 30, 31), "gap")
    slip = possible.likeliest(state)[0]
    assert (slip.kind, slip.end) == ("empty dent", 31)
    assert slip.odds > 1  # it may be a missing end too
    asked: list[asking.Question] = [Looks(possible.SIGNS)]
    while (question := best(state, TWILL, asked)) is not None:
        asked.append(question)
        assert isinstance(question, Lift)
        seen = [(end, STRAIGHT[end - 1] + 1 in question.shafts) for end in question.ends]
        state = possible.rose(state, question.shafts, seen)
    slip = possible.likeliest(state)[0]
    assert (slip.kind, slip.end) == ("empty dent", 31)
    assert slip.odds > 5
    assert len(asked) <= 5


def test_floating_selvedges_are_nobodys_slip() -> None:
    planned = np.concatenate([[-1], STRAIGHT, [-1]])
    state = possible.everything(planned, 8, planned < 0)
    assert not np.isin(state.end, (0,)).any()


@pytest.mark.parametrize(
    ("text", "typed"),
    [
        ("ends 40 to 43", (typed_words.At(40, 43),)),
        ("Ends 43-40.", (typed_words.At(40, 43),)),
        ("end 5", (typed_words.At(5, 5),)),
        ("end 12 rises with shaft 3", (typed_words.Rose((3,), ((12, True),)),)),
        ("end 12 does not rise with shafts 3 and 1", (typed_words.Rose((1, 3), ((12, False),)),)),
        ("line 7 in from the right", (typed_words.At(74, 74), typed_words.Looks("crowded"))),
        ("7 from the left", (typed_words.At(7, 7),)),
        ("gap at 9", (typed_words.At(9, 9), typed_words.Looks("gap"))),
    ],
)
def test_words_are_read(text: str, typed: tuple[typed_words.Typed, ...]) -> None:
    assert typed_words.read(text, 80, 8, "left") == typed


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "expected words like"),
        ("something is wrong", "is not understood"),
        ("end 81", "there is no end 81; expected ends from 1 to 80"),
        ("end 8 rises with shaft 9", "there is no shaft 9"),
    ],
)
def test_other_words_are_one_clear_line(text: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        typed_words.read(text, 80, 8, "left")


def test_a_wide_web_answers_at_once() -> None:
    state = start(np.arange(2000) % 16, 16)
    assert best(possible.at(state, 990, 994), [(1, 2)]) is not None
