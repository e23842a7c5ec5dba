"""What the job pages' script works out itself, held against the engine on the same cases, in Chromium."""

from __future__ import annotations

import random
from collections.abc import Iterator
from contextlib import nullcontext
from dataclasses import asdict
from typing import Any

import numpy as np
import pytest
from django.templatetags.static import static
from playwright.sync_api import Browser, Page

from loomready.loomside.log import facts, warp_left
from loomready.loomside.steps import weaving
from loomready.model.guild import Item, WeftStripe
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from tests import cast
from tests.app.conftest import fresh
from tests.loomside.log import test_facts, test_warp_left
from tests.loomside.log.whereami import nearest, places_of

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def script(demo: None, chromium: Browser, live_server: object) -> Iterator[Page]:
    pages = fresh(chromium, str(live_server), 360)
    page = next(pages)
    page.goto("/beside")
    yield page
    next(pages, None)


def run(script: Page, body: str, given: dict[str, Any]) -> Any:
    """Run a function's body in the page, its modules at hand through ``at``."""
    head = f"async ({{ folder, {', '.join(given)} }}) => {{ const at = (name) => `${{folder}}${{name}}.js`;"
    text = f"{head} {body} }}"
    return script.evaluate(text, {"folder": "/" + static("loomside/").lstrip("/"), **given})


def test_facts_merge_in_the_browser_as_in_the_engine(script: Page) -> None:
    cases = test_facts.vectors()
    answers = run(
        script,
        """
          const { stateOf, checkSum, isFact } = await import(at("facts"));
          return cases.map(({ rows }) => ({
            done: [...stateOf(rows, "threading", units, plan, moves)],
            again: [...stateOf([...rows].reverse().concat(rows), "threading", units, plan, moves)],
            sum: checkSum(rows),
            facts: rows.every(isFact),
          }));
        """,
        {"cases": cases, "units": test_facts.UNITS, "plan": test_facts.PLAN, "moves": test_facts.MOVES},
    )
    for case, answer in zip(cases, answers, strict=True):
        assert answer == {"done": case["done"], "again": case["done"], "sum": case["sum"], "facts": True}


def test_what_is_no_fact_is_none_in_the_browser_either(script: Page) -> None:
    unnamed = ["threading", "x", 1, 2, 1, 1, "aaaaaaaa"]
    backward = ["threading", test_facts.PLAN, 3, 2, 1, 1, "aaaaaaaa"]
    endless = ["threading", test_facts.PLAN, 1, 2, 1, 2**50, "aaaaaaaa"]
    body = 'const { isFact } = await import(at("facts")); return rows.map(isFact);'
    found = run(script, body, {"rows": [None, [], unnamed, backward, endless]})
    assert found == [False] * 5


def test_the_limits_of_a_fact_are_the_engines(script: Page) -> None:
    numbers = [
        (1, facts.MOST, 1),
        (1, facts.MOST + 1, 1),
        (1, 2, facts.MOST_COUNTER),
        (1, 2, facts.MOST_COUNTER + 1),
    ]
    rows = [
        ["threading", test_facts.PLAN, first, last, 1, counter, "aaaaaaaa"]
        for first, last, counter in numbers
    ]
    body = 'const { isFact } = await import(at("facts")); return rows.map(isFact);'
    assert run(script, body, {"rows": rows}) == [True, False, True, False]
    for row, fits in zip(rows, [True, False, True, False], strict=True):
        with nullcontext() if fits else pytest.raises(BadInput):
            facts.read(row)


def test_it_reaches_in_the_browser_as_in_the_engine(script: Page) -> None:
    cases = test_warp_left.vectors()
    answers = run(
        script,
        """
          const { reach } = await import(at("warp_left"));
          return cases.map(({ picks, measured }) => reach(of, picks, measured));
        """,
        {"cases": cases, "of": asdict(test_warp_left.HAND)},
    )
    for case, answer in zip(cases, answers, strict=True):
        told = {name: value for name, value in case["told"].items() if name != "weft"}
        assert answer == pytest.approx(told)


def test_weft_stripes_are_read_in_the_browser_as_in_the_engine(script: Page) -> None:
    order = cast.order(
        weft_stripes=(WeftStripe("chalk", 7), WeftStripe("fern", 2), WeftStripe("chalk", 3)),
        items=(Item(finished_length_m=0.1, count=2), Item(finished_length_m=0.05, weft_yarns=("fern",))),
    )
    plan = plan_guild(cast.guild(order), cast.drafts()).warps[0]
    job, of = weaving.weaving(plan), warp_left.figures(plan)
    woven = [0, 5, 40, job.picks]
    answer = run(
        script,
        """
          const { pickOf } = await import(at("screens"));
          const { weftOf } = await import(at("warp_left"));
          return {
            yarns: Array.from({ length: job.units }, (_, place) => pickOf(job, place + 1).shed.yarn),
            grams: woven.map((picks) => [weftOf(job, picks, "fern"), weftOf(job, picks, "chalk")]),
          };
        """,
        {"job": asdict(job) | {"units": job.picks, "reach": asdict(of)}, "woven": woven},
    )
    assert answer["yarns"] == [sign.rpartition(" ")[2] for sign in weaving.signs(plan)]
    for picks, grams in zip(woven, answer["grams"], strict=True):
        told = warp_left.reach(of, picks, weft_left_g={"fern": 0.0, "chalk": 0.0}).weft
        assert grams == pytest.approx([needed for _, needed, _, _ in told])


def test_the_pick_is_found_in_the_browser_as_in_the_engine(script: Page) -> None:
    chance = random.Random(3)
    cases = []
    for _ in range(40):
        up = np.array(
            [[chance.random() < 0.5 for _shaft in range(4)] for _pick in range(chance.randint(1, 9))]
        )
        seen = [
            {shaft: chance.random() < 0.5 for shaft in chance.sample(range(1, 5), chance.randint(0, 3))}
            for _pick in range(chance.randint(1, 3))
        ]
        places = places_of(up, seen).tolist()
        last = chance.randint(1, 40)
        expected = chance.randint(1, 40)
        cases.append(
            {
                "repeat": [(np.flatnonzero(row) + 1).tolist() for row in up],
                "seen": seen,
                "last": last,
                "expected": expected,
                "places": places,
                "pick": nearest(places, len(up), 1, last, expected),
            }
        )
    answers = run(
        script,
        """
          const { placesOf, nearest } = await import(at("whereami"));
          return cases.map(({ repeat, seen, last, expected }) => {
            const places = placesOf(repeat, seen);
            return { places, pick: nearest(places, repeat.length, 1, last, expected) };
          });
        """,
        {"cases": cases},
    )
    assert answers == [{"places": case["places"], "pick": case["pick"]} for case in cases]
