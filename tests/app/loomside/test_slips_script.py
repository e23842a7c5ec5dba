"""The slips that the page at the loom works out itself, held against the engine on the same cases."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Browser, Page

from loomready.app.loomside import slips_marks
from loomready.problems import BadInput
from loomready.slips import asking, at_loom, job, possible, typed_words
from loomready.slips.actions import Mending, OnLoom, Rates
from loomready.slips.as_json import Planned, floats_of
from loomready.slips.asking import Lift, Looks, Where
from loomready.slips.infer import infer
from loomready.slips.marks import ODDS, Layout, Marks
from loomready.slips.mending import mend
from loomready.slips.result import FoundSlips, Slip
from loomready.slips.sentences import SENTENCES
from loomready.slips.stretch import infer_stretch, with_slips
from loomready.slips.wrong_lifts import Pressed
from tests.app.conftest import fresh
from tests.app.loomside.test_jobs_script import run
from tests.slips import test_mending, webs

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(scope="module")
def script(
    django_db_setup: None, django_db_blocker: Any, chromium: Browser, live_server: object
) -> Iterator[Page]:
    with django_db_blocker.unblock():
        pages = fresh(chromium, str(live_server), 360)
        page = next(pages)
        page.goto("/beside")
        yield page
        next(pages, None)


def as_slip(slip: Slip) -> dict[str, Any]:
    return {
        "kind": slip.kind,
        "end": slip.end,
        "pick": slip.pick,
        "planned": slip.planned,
        "found": slip.found,
        "odds": pytest.approx(slip.odds, rel=1e-6),
        "tied": slip.tied,
    }


def plain(slip: Slip) -> dict[str, Any]:
    return as_slip(slip) | {"odds": slip.odds}


def as_found(found: FoundSlips, shafts: int) -> dict[str, Any]:
    return {
        "slips": [as_slip(slip) for slip in found.slips],
        "alternatives": [
            {"instead": each.instead_of, "slip": as_slip(each.slip)} for each in found.alternatives
        ],
        "explains": pytest.approx(found.explains),
        "misread": pytest.approx(found.misread),
        "threading": np.where(found.threading < 0, shafts, found.threading).tolist(),
        "score": pytest.approx(found.score),
    }


def case(cells: np.ndarray, lifts: np.ndarray, threading: np.ndarray, free: np.ndarray) -> dict[str, Any]:
    shafts = lifts.shape[1]
    return {
        "cells": cells.tolist(),
        "lifts": lifts.astype(int).tolist(),
        "threading": np.where(threading < 0, shafts, threading).tolist(),
        "free": free.astype(int).tolist(),
    }


def test_slips_of_whole_webs_are_found_in_the_browser_as_in_the_engine(script: Page) -> None:
    random = np.random.default_rng(11)
    cases, expected = [], []
    for number in range(12):
        web = webs.web(random, number % 5)
        cells = web.cells(random, misread=(0.0, 0.01, 0.05)[number % 3])
        lifts = web.lifts.copy()
        if number % 4 == 3:
            lifts[3, 2] ^= True  # a lever that was forgotten
        free = np.zeros(len(web.planned), dtype=bool)
        free[[0, -1]] = number % 2 == 0
        cases.append(case(cells, lifts, web.planned, free))
        expected.append(as_found(infer(cells, lifts, web.planned, free), lifts.shape[1]))
    body = """
      const { infer } = await import(at("slip_infer"));
      return cases.map(({ cells, lifts, threading, free }) => infer(cells, lifts, threading, free));
    """
    assert run(script, body, {"cases": cases}) == expected
    assert any(found["alternatives"] for found in expected)


def test_slips_of_stretches_are_found_in_the_browser_as_in_the_engine(script: Page) -> None:
    random = np.random.default_rng(5)
    cases, expected = [], []
    for number in range(16):
        web = webs.web(random, 1 + number % 3)
        cells = np.full((len(web.lifts), len(web.planned)), -1, dtype=np.int8)
        there = np.pad(web.lifts, ((0, 0), (0, 1)))[:, np.resize(web.there, len(web.planned))]
        for slip in web.slips:
            stretch = slice(max(slip[1] - 6, 0), slip[1] + 10)
            cells[:, stretch] = there[:, stretch]
        free = np.zeros(len(web.planned), dtype=bool)
        cases.append(case(cells, web.lifts, web.planned, free))
        expected.append(as_found(infer_stretch(cells, web.lifts, web.planned, free), web.lifts.shape[1]))
    body = """
      const { inferStretch } = await import(at("slip_infer"));
      return cases.map(({ cells, lifts, threading, free }) => inferStretch(cells, lifts, threading, free));
    """
    assert run(script, body, {"cases": cases}) == expected


def test_slips_change_the_web_in_the_browser_as_in_the_engine(script: Page) -> None:
    random = np.random.default_rng(8)
    cases, expected = [], []
    for number in range(40):
        slips = test_mending.any_slips(random, 1 + number % 6, 40)
        web = np.arange(40) % 4
        cases.append({"web": web.tolist(), "slips": [plain(slip) for slip in slips]})
        there = with_slips(web, slips)
        expected.append(np.where(there < 0, 4, there).tolist())
    body = """
      const { withSlips } = await import(at("slip_infer"));
      return cases.map(({ web, slips }) => withSlips(web, slips, 4));
    """
    assert run(script, body, {"cases": cases}) == expected


def as_question(question: asking.Question | None) -> dict[str, Any] | None:
    if isinstance(question, Where):
        return {"kind": "where", "stretches": [list(each) for each in question.stretches]}
    if isinstance(question, Looks):
        return {"kind": "looks"}
    if isinstance(question, Lift):
        return {
            "kind": "lift",
            "shafts": list(question.shafts),
            "ends": list(question.ends),
            "patterns": [list(each) for each in question.patterns],
            "masses": pytest.approx(list(question.masses)),
        }
    return None


def test_questions_are_asked_in_the_browser_as_in_the_engine(script: Page) -> None:
    random = np.random.default_rng(2)
    cases, expected = [], []
    for number in range(20):
        shafts = int(random.integers(4, 13))
        web = webs.threading(random, int(random.integers(30, 160)), shafts)
        if number % 3 == 0:
            web = np.concatenate([[-1], np.repeat(web, 2), [-1]])
        free = web < 0
        lifts = [[1, 2], *([shaft] for shaft in range(1, shafts + 1))]
        state = possible.everything(web, shafts, free)
        true = int(random.integers(len(state.kind)))
        texts: list[dict[str, Any]] = []
        asked: list[asking.Question] = []
        told: list[dict[str, Any]] = []
        while True:
            question = asking.best(state, lifts, asked)
            slip = possible.likeliest(state)[0]
            told.append(
                {"question": as_question(question), "slip": as_slip(slip), "sure": asking.sure(state)}
            )
            if question is None:
                break
            asked.append(question)
            if isinstance(question, Where):
                end = int(state.end[true]) + 1
                first, last = next(
                    (each for each in question.stretches if each[0] <= end <= each[1]), question.stretches[-1]
                )
                state = possible.at(state, first, last)
                texts.append({"at": [first, last]})
            elif isinstance(question, Looks):
                state = possible.looks(state, possible.SIGNS[number % 6])
                texts.append({"sign": possible.SIGNS[number % 6]})
            else:
                up = [shaft - 1 for shaft in question.shafts]
                seen = [(end, bool(state.rises(end - 1, up)[true])) for end in question.ends]
                state = possible.rose(state, question.shafts, seen)
                texts.append({"rose": {"shafts": question.shafts, "seen": seen}})
        planned = np.where(web < 0, shafts, web).tolist()
        cases.append(
            {
                "web": planned,
                "shafts": shafts,
                "free": free.astype(int).tolist(),
                "lifts": lifts,
                "texts": texts,
            }
        )
        expected.append(told)
    body = """
      const { everything, seenAt, looks, rose, slipOf, top } = await import(at("slip_possible"));
      const { best, sure } = await import(at("slip_asking"));
      return cases.map(({ web, shafts, free, lifts, texts }) => {
        let state = everything(web, shafts, free);
        const asked = [];
        const known = (question) => asked.some((each) => (
          question.kind === "lift"
            ? String([each.shafts, each.ends]) === String([question.shafts, question.ends])
            : JSON.stringify(each) === JSON.stringify(question)));
        const told = [];
        for (let step = 0; step <= texts.length; step++) {
          const question = best(state, lifts, known);
          told.push({ question, slip: slipOf(state, top(state)), sure: sure(state) });
          if (step === texts.length) break;
          asked.push(question);
          const text = texts[step];
          if (text.at) state = seenAt(state, ...text.at);
          else if (text.sign) state = looks(state, text.sign);
          else state = rose(state, text.rose.shafts, text.rose.seen);
        }
        return told;
      });
    """
    assert run(script, body, {"cases": cases}) == expected


SAID = (
    "ends 40 to 43",
    "Ends 43-40.",
    "end 5",
    "end 12 rises with shaft 3",
    "end 12 does not rise with shafts 3 and 1",
    "line 7 in from the right",
    "7 from the left",
    "gap at 9",
    "streak between 9 and 11",
    "",
    "something is wrong",
    "end 81",
    "end 0",
    "end 8 rises with shaft 9",
)


def test_words_are_read_in_the_browser_as_in_the_engine(script: Page) -> None:
    expected = []
    for text in SAID:
        one: dict[str, Any] = {}
        try:
            for each in typed_words.read(text, 80, 8, "left"):
                if isinstance(each, typed_words.At):
                    one["at"] = [each.first, each.last]
                elif isinstance(each, typed_words.Looks):
                    one["sign"] = each.sign
                else:
                    one["rose"] = {"shafts": list(each.shafts), "seen": [list(pair) for pair in each.seen]}
        except BadInput:
            one["wrong"] = True
        expected.append(one)
    body = """
      const { read } = await import(at("slip_typed_words"));
      return texts.map((text) => {
        const told = read(text, 80, 8, "left");
        return told.wrong ? { wrong: true } : told;
      });
    """
    assert run(script, body, {"texts": list(SAID)}) == expected


def as_mending(made: Mending, yarn: tuple[str, ...]) -> dict[str, Any]:
    return {
        "minutes": pytest.approx(made.minutes),
        "proved": made.proved,
        "actions": [
            {
                "do": action.do,
                "ends": list(action.ends),
                "minutes": pytest.approx(action.minutes),
                "slips": list(action.slips),
                "needs": {
                    "repairs": list(action.needs.repair_heddles),
                    "spare": list(action.needs.spare_heddles),
                    "moves": [list(each) for each in action.needs.moves],
                    "new": [yarn.index(key or "") + 1 for key in action.needs.yarns],
                },
            }
            for action in made.actions
        ],
    }


def test_mending_is_found_in_the_browser_as_in_the_engine(script: Page) -> None:
    random = np.random.default_rng(9)
    yarn = tuple(f"end {end}" for end in range(1, 61))
    cases, expected = [], []
    for number in range(60):
        slips = list(test_mending.any_slips(random, 1 + number % 6, 60))
        if number % 5 == 0:
            slips += [test_mending.lift(5, 2, None), test_mending.lift(9, None, 3)]
        if number % 7 == 0:
            slips += [test_mending.lift(pick, 1, None, tied=True) for pick in (2, 6)]
        pressed: Pressed = ()
        if number % 3 == 0:
            slips += [test_mending.lift(pick, 4, None) for pick in (3, 7, 12)]
            pressed = tuple(
                ((), (1,), (2,), (1, 2), (3,), (pick + 4,), (4, pick + 4))[int(random.integers(7))]
                for pick in range(16)
            )
            pressed = tuple((9, *each) if pick in (3, 7) else each for pick, each in enumerate(pressed, 1))
        spare = tuple(map(tuple, random.integers(0, 3, (4, 2)).tolist())) if number % 2 else None
        rates = Rates(*random.uniform(0.1, 9, 10).tolist())
        loom = OnLoom(spare=spare, yarn=yarn)
        cases.append(
            {
                "slips": [plain(slip) for slip in slips],
                "ends": 60,
                "picks": 16,
                "spare": spare,
                "rates": {name: getattr(rates, name) for name in Rates.__dataclass_fields__},
                "sentences": dict(SENTENCES),
                "pressed": pressed,
            }
        )
        made = mend(slips, 60, 16, loom, rates, pressed=pressed)
        expected.append([as_mending(each, yarn) for each in made])
    body = """
      const { mend } = await import(at("slip_mending"));
      return cases.map(({ slips, ...of }) => mend(slips, of));
    """
    assert run(script, body, {"cases": cases}) == expected


def work_of(web: np.ndarray, floating: bool, shafts: int, own: bool) -> job.Job:
    """A test weave of this threading, with test picks and four lifts of its own."""
    threading = np.concatenate([[-1], web, [-1]]) if floating else web
    free = threading < 0
    lifts = np.stack([np.arange(shafts) % 4 == each for each in range(4)]) | (np.arange(shafts) % 3 == 0)
    planned = Planned("web", threading, free, lifts, OnLoom(spare=((1, 2),) * shafts))
    test = at_loom.shafts_of(at_loom.picks_apart(planned))
    mine = at_loom.shafts_of(lifts)
    every = tuple(dict.fromkeys((*test, *mine, *at_loom.at_hand(planned, ()))))
    layout = Layout(len(threading), shafts, len(test), len(mine), len(every))
    return job.Job(planned, test, mine, own, every, layout)


def as_job(work: job.Job) -> dict[str, Any]:
    shafts, threading = work.layout.shafts, work.planned.threading
    return {
        "units": work.layout.ends,
        "blocks": work.layout.blocks,
        "shafts": shafts,
        "threading": np.where(threading < 0, shafts, threading).tolist(),
        "free": work.planned.free.astype(int).tolist(),
        "test": work.test,
        "own": work.own,
        "use_own": work.use_own,
        "lifts": work.lifts,
        "spare": work.planned.loom.spare,
        "rates": {name: getattr(Rates(), name) for name in Rates.__dataclass_fields__},
        "odds": ODDS,
        "pressed": {"test": [], "own": []},
        "sentences": dict(SENTENCES),
    }


def secret_marks(work: job.Job, random: np.random.Generator, number: int) -> np.ndarray:
    """What somebody tapped who saw a secret slip or two, and kept, mended or left some."""
    layout, own = work.layout, work.use_own
    done = np.zeros(layout.bits, dtype=bool)
    inner = work.planned.threading[4:-20]
    there, told = webs.with_slips(inner, 1 + number % 2, random)
    loom = np.concatenate([work.planned.threading[:4], there, work.planned.threading[-20:]])
    lifts = job.lifts_of(work, own)
    up = np.pad(lifts, ((0, 0), (0, 1)))
    for _kind, end, _planned, _found in told:
        first = max(1, end - 4 + 4)
        stop = min(first + 15, layout.ends, len(loom))
        seen = up[:, loom[first - 1 : stop]]
        for block, a, b, value in slips_marks.looked_at(work, own, first, seen):
            start = layout.blocks[block][0]
            done[start + a : start + b + 1] = value
    if number % 3:
        for slip in test_mending.any_slips(random, 1, layout.ends - 4):
            if slip.kind == "wrong shaft":
                planned = int(work.planned.threading[(slip.end or 1) - 1]) + 1
                slip = Slip(slip.kind, slip.end, None, planned, planned % layout.shafts + 1, 19.0)
            done[layout.blocks["kept"][0] + layout.code(slip)] = True
            for block, first, _last, value in layout.odds(slip.end or 1, float(random.uniform(0, 60))):
                done[layout.blocks[block][0] + first] = value
    for place, slip in enumerate(job.standing(work, Marks(layout, done)).found.slips):
        if place % 2 and slip.pick is None:
            name = ("mended", "left")[number % 2]
            done[layout.blocks[name][0] + layout.code(slip)] = True
    done[layout.blocks["way"][0] + number % 3] = True
    return done


def test_what_the_marks_say_is_read_in_the_browser_as_in_the_engine(script: Page) -> None:
    random = np.random.default_rng(21)
    cases, expected = [], []
    for number in range(14):
        shafts = 4 + 2 * (number % 3)
        web = webs.threading(random, int(random.integers(80, 200)), shafts)
        work = work_of(web, number % 2 == 0, shafts, number % 4 == 3)
        done = secret_marks(work, random, number)
        marks = Marks(work.layout, done)
        at = job.standing(work, marks)
        cases.append({"job": as_job(work), "set": np.flatnonzero(done).tolist(), "bits": work.layout.bits})
        expected.append(
            {
                "slips": [as_slip(slip) for slip in at.found.slips],
                "codes": [
                    work.layout.code(job.in_layout(work, slip, work.on_own(marks))) for slip in at.found.slips
                ],
                "alternatives": [
                    {"instead": each.instead_of, "slip": as_slip(each.slip)} for each in at.found.alternatives
                ],
                "looked": at.found.looked,
                "unexplained": at.found.unexplained,
                "left": [place in at.left for place in range(len(at.found.slips))],
                "mended": [place in at.mended for place in range(len(at.found.slips))],
                "there": np.where(at.found.there < 0, shafts, at.found.there).tolist(),
                "minutes": [pytest.approx(each.minutes) for each in at.found.mending],
                "mends": [[list(action.slips) for action in each.actions] for each in at.found.mending],
                "way": marks.way,
            }
        )
    body = """
      const { Marks } = await import(at("test_weave_marks"));
      return cases.map(({ job, set, bits }) => {
        const done = new Uint8Array(bits);
        for (const bit of set) done[bit] = 1;
        const marks = new Marks(job, done);
        const { slips, alternatives, looked, unexplained, left, mended, there, mending } = marks.standing();
        return {
          slips: slips.map(({ kept, ...each }) => each),
          codes: slips.map((each) => marks.code(each)),
          alternatives, looked, unexplained, left, mended, there,
          minutes: mending.map((each) => each.minutes),
          mends: mending.map((each) => each.actions.map((action) => action.slips)),
          way: marks.way,
        };
      });
    """
    assert run(script, body, {"cases": cases}) == expected
    assert sum(len(found["slips"]) for found in expected) > 14


def test_floats_are_measured_in_the_browser_as_in_the_engine(script: Page) -> None:
    random = np.random.default_rng(6)
    cases, expected = [], []
    for number in range(30):
        shafts = int(random.integers(2, 9))
        lifts = random.random((int(random.integers(1, 12)), shafts)) < 0.5
        threading = random.integers(-1 if number % 5 == 0 else 0, shafts, int(random.integers(1, 40)))
        cases.append(
            {
                "weave": ["".join(map(str, row)) for row in lifts.astype(int).tolist()],
                "threading": np.where(threading < 0, shafts, threading).tolist(),
            }
        )
        longest = floats_of(lifts, threading)
        expected.append({"warp": longest.warp, "weft": longest.weft})
    body = """
      const { floatsOf } = await import(at("test_weave_draw"));
      return cases.map(({ weave, threading }) => floatsOf(weave, threading));
    """
    assert run(script, body, {"cases": cases}) == expected
