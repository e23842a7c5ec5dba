"""The page's own arithmetic against the engine: the same drawdown, the same operations, the same refusals.

The modules run in Chromium, as they do for a weaver; every vector is made here by the engine.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Browser, Page, Route

from loomready.app.workshop import editor_script_words
from loomready.app.workshop.editor_limits import LIMITS
from loomready.cloth.color import to_code, to_light
from loomready.cloth.picture import cloth_array
from loomready.draft.draft import Draft, drawdown
from loomready.draft.edit import operations
from loomready.draft.edit.as_json import as_json, fingerprint, operation
from loomready.draft.edit.blank import blank
from loomready.problems import BadInput
from tests.draft.edit.drafts import chance, chance_words

MODULES = Path(__file__).parents[3] / "src" / "loomready" / "app" / "static" / "workshop"


@pytest.fixture(scope="module")
def bench(chromium: Browser) -> Iterator[Page]:
    """A page of nothing with the editor's modules at hand."""
    page = chromium.new_page()

    def answer(route: Route) -> None:
        name = route.request.url.rsplit("/", 1)[-1]
        if name:
            route.fulfill(body=(MODULES / name).read_text(), content_type="text/javascript")
        else:
            data = {"words": editor_script_words.words(), "limits": LIMITS}
            blocks = "".join(
                f'<script type="application/json" id="{name}">{json.dumps(told)}</script>'
                for name, told in data.items()
            )
            route.fulfill(body=f"<!doctype html><title>bench</title>{blocks}", content_type="text/html")

    page.route("http://bench.test/**", answer)
    page.goto("http://bench.test/")
    page.evaluate(
        "async () => { globalThis.m = {...await import('/drawdown.js'), ...await import('/operations.js')}; }"
    )
    yield page
    page.close()


def test_the_drawdown_is_the_engines(bench: Page) -> None:
    """Rising and sinking sheds, lift plans, ends not threaded, picks without a treadle."""
    drafts = [chance(number) for number in range(90)]
    assert {(draft.treadles is None, draft.rising) for draft in drafts} == {
        (True, True),
        (False, True),
        (False, False),
    }
    found = bench.evaluate(
        """drafts => drafts.map(words => {
            const draft = m.fromWords(words);
            return [Array.from(m.drawdown(draft)), Array.from(draft.lifts), m.fingerprint(draft)];
        })""",
        [as_json(draft) for draft in drafts],
    )
    for draft, (block, lifts, mark) in zip(drafts, found, strict=True):
        assert block == np.ascontiguousarray(drawdown(draft)).astype(int).ravel().tolist()
        assert lifts == draft.lifts.astype(int).ravel().tolist()
        assert mark == fingerprint(draft)


def test_every_operation_does_what_the_engine_does(bench: Page) -> None:
    walks: list[dict[str, Any]] = []
    expected: list[list[int]] = []
    for number in range(120):
        rng = np.random.default_rng(number)
        draft = chance(number)
        steps, marks = [], []
        walks.append({"draft": as_json(draft), "steps": steps})
        for _ in range(8):
            words = chance_words(rng, draft)
            draft = operation(words).apply(draft)
            steps.append(words)
            marks.append(fingerprint(draft))
        expected.append(marks)
    assert {step["do"] for walk in walks for step in walk["steps"]} >= {
        *("thread", "tie", "tread", "treadling", "color", "palette", "insert", "delete", "move"),
        *("copy", "mirror", "reverse", "repeat", "slide", "count", "lifting", "shed"),
    }
    found = bench.evaluate(
        """walks => walks.map(({draft, steps}) => {
            let now = m.fromWords(draft);
            return steps.map(step => m.fingerprint(now = m.apply(now, step)));
        })""",
        walks,
    )
    for walk, mine, theirs in zip(walks, expected, found, strict=True):
        for step, one, other in zip(walk["steps"], mine, theirs, strict=True):
            assert one == other, (walk, step)


@pytest.mark.parametrize(
    "words",
    [
        {"do": "thread", "first": 1, "shafts": [5]},
        {"do": "thread", "first": 4, "shafts": [1, 1]},
        {"do": "tie", "cells": [[7, 1]], "on": True},
        {"do": "tie", "cells": [[1, 5]], "on": True},
        {"do": "tread", "cells": [[1, 7]], "on": True},
        {"do": "treadling", "first": 1, "rows": [[7]]},
        {"do": "color", "side": "weft", "first": 1, "colors": [3]},
        {"do": "palette", "number": 4, "value": "#000000"},
        {"do": "insert", "side": "warp", "before": 1, "count": 19_999},
        {"do": "delete", "side": "weft", "first": 1, "last": 4},
        {"do": "repeat", "side": "warp", "first": 1, "last": 4, "times": 20_000},
        {"do": "count", "what": "shafts", "to": 3},
        {"do": "count", "what": "shafts", "to": 65},
        {"do": "count", "what": "treadles", "to": 3},
        {"do": "shed", "rising": False, "keep": "cloth"},
    ],
)
def test_a_refusal_says_what_the_engine_says(bench: Page, words: dict[str, Any]) -> None:
    draft = operations.Tread(((2, 3), (2, 4)), on=True).apply(blank(4, 4, 4, 6))
    with pytest.raises(BadInput) as caught:
        operation(words).apply(draft)
    said = bench.evaluate(
        """([words, step]) => {
            try {
                m.apply(m.fromWords(words), step);
            } catch (error) {
                return [error instanceof m.Refused, error.message];
            }
            return null;
        }""",
        [as_json(draft), words],
    )
    assert said == [True, f"{caught.value.what[0].upper()}{caught.value.what[1:]}."]


def painted(bench: Page, draft: Draft, **view: Any) -> np.ndarray[Any, Any]:
    """The pixels of a view, uint8[height, width, 3]."""
    given = {"width": 40, "height": 30, "left": 0, "top": 0, "cell": 1, "end1Right": True}
    given |= {"cloth": True, "back": False} | view
    found = bench.evaluate(
        """([words, view]) => {
            const target = new Uint32Array(view.width * view.height);
            const sides = ['#26221e', '#fffdf8'].map(m.pixel);
            const colors = { sides, line: m.pixel('#010203'), ground: m.pixel('#0a0b0c') };
            m.paintCloth(target, m.fromWords(words), { ...colors, ...view });
            return Array.from(target);
        }""",
        [as_json(draft), given],
    )
    values = np.array(found, dtype=np.uint32).reshape(given["height"], given["width"])
    return np.stack([values & 255, values >> 8 & 255, values >> 16 & 255], axis=-1).astype(np.uint8)


def expected_cloth(draft: Draft, end_1: str = "right") -> np.ndarray[Any, Any]:
    return cloth_array(draft, 1, end_1=end_1)  # type: ignore[arg-type]


@pytest.mark.parametrize("end_1", ["left", "right"])
def test_cloth_in_color_is_painted_as_the_engine_paints_it(bench: Page, end_1: str) -> None:
    for number in range(12):
        draft = chance(number)
        right = end_1 == "right"
        found = painted(bench, draft, width=draft.ends, height=draft.picks, end1Right=right)
        assert np.array_equal(found, expected_cloth(draft, end_1))
        wide = painted(bench, draft, width=3 * draft.ends, height=3 * draft.picks, cell=3, end1Right=right)
        assert np.array_equal(wide, np.kron(expected_cloth(draft, end_1), np.ones((3, 3, 1), np.uint8)))


def test_a_part_of_the_cloth_is_the_same_part_of_the_whole(bench: Page) -> None:
    draft = chance(31)
    for cloth, cell in ((True, 1), (True, 5), (False, 3), (False, 8)):
        whole = painted(
            bench, draft, width=cell * draft.ends, height=cell * draft.picks, cell=cell, cloth=cloth
        )
        part = painted(bench, draft, width=9, height=7, left=2, top=3, cell=cell, cloth=cloth)
        seen = whole[3:10, 2:11]
        assert np.array_equal(part[: seen.shape[0], : seen.shape[1]], seen)
        assert (part[seen.shape[0] :] == (10, 11, 12)).all()


def test_by_structure_dark_is_warp_and_the_back_is_the_other_way_round(bench: Page) -> None:
    for number in range(6):
        draft = chance(number)
        size = {"width": draft.ends, "height": draft.picks, "cloth": False, "end1Right": False}
        up = drawdown(draft)
        front, back = painted(bench, draft, **size), painted(bench, draft, back=True, **size)
        assert np.array_equal(front[..., 0] == 0x26, up)
        assert np.array_equal(back[..., 0] == 0x26, ~up)


def test_from_afar_a_pixel_is_the_mean_of_the_light_in_it(bench: Page) -> None:
    for number in (3, 4, 5, 16, 20):
        draft = chance(number)
        many = 4
        wide, high = -(-draft.ends // many), -(-draft.picks // many)
        found = painted(bench, draft, width=wide, height=high, cell=1 / many, end1Right=False)
        light = to_light(expected_cloth(draft, "left"))
        for y in range(high):
            for x in range(wide):
                block = light[y * many : (y + 1) * many, x * many : (x + 1) * many].reshape(-1, 3)
                mean = to_code(block.mean(axis=0)).astype(int)
                assert np.abs(found[y, x].astype(int) - mean).max() <= 1


def test_shaded_threads_keep_their_color_where_they_lie_highest(bench: Page) -> None:
    draft = chance(9)
    found = painted(bench, draft, width=12 * draft.ends, height=12 * draft.picks, cell=12, end1Right=False)
    plain = expected_cloth(draft, "left").astype(int)
    middle = found[5::12, 5::12].astype(int)[: draft.picks, : draft.ends]
    assert np.abs(middle - plain).max() < 48
    assert found.min() < plain.min()
