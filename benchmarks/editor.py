"""The draft editor: how long one frame takes in Chromium, all of it painted, and what the engine answers."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from playwright.sync_api import Page, Route, sync_playwright

from benchmarks.timing import Row, calibrate, median_of, promise
from loomready.app.workshop.editor_limits import LIMITS
from loomready.draft.draft import Draft
from loomready.draft.edit import operations
from loomready.draft.edit.as_json import as_json, marks_as_json
from loomready.draft.edit.blank import blank
from loomready.draft.edit.marks import marks
from loomready.draft.structure.analysis import analyze
from loomready.draft.wif import reader, writer
from tests.chromium import launch

_MODULES = Path(__file__).parents[1] / "src" / "loomready" / "app" / "static" / "workshop"

# The whole sheet of the editor, marks and all, as large as a desk's window; read back, so that it is painted.
_FRAME = """async ([words, found, look, width, height]) => {
    const { fromWords } = await import('/operations.js');
    const { layOut } = await import('/editor_sheet.js');
    const { inks, paint } = await import('/editor_paint.js');
    const draft = fromWords(words);
    const canvas = document.createElement('canvas');
    Object.assign(canvas, { width, height });
    const pen = canvas.getContext('2d', { alpha: false, willReadFrequently: true });
    const all = { floats: true, loose: true, parts: true, edges: true, mirror: true };
    const full = { end1Right: true, shaft1Below: true, numbers: true, back: false,
                   scroll: { end: 0, pick: 0 }, sides: ['#26221e', '#fffdf8'], marks: all, ...look };
    const caret = { part: 'threading', end: 1, pick: 1, shaft: 1, column: 1 };
    const took = [];
    for (let turn = 0; turn < 25; turn++) {
        const start = performance.now();
        const at = layOut(draft, full, { width, height, unit: 1 });
        paint(pen, { draft, at, look: full, caret, found, run: null, focused: true, inks: inks() });
        pen.getImageData(0, 0, 1, 1);
        took.push(performance.now() - start);
    }
    return took.sort((a, b) => a - b)[took.length >> 1] / 1000;
}"""


def run() -> list[Row]:
    rng = np.random.default_rng(4)
    square, large = _by_chance(rng, 600, 600), _by_chance(rng, 20_000, 2_000)
    with sync_playwright() as playwright:
        browser = launch(playwright)
        page = browser.new_page()
        page.route("http://bench.test/**", _answer)
        page.goto("http://bench.test/")
        frames = [
            _row(page, "editor paint 600x600", square, 0.016, cell=1, cloth=False),
            _row(page, "editor paint 600x600, in color", square, 0.016, cell=1, cloth=True),
            _row(page, "editor paint 600x600, 8 px a thread, shaded", square, 0.016, cell=8, cloth=True),
            _row(page, "editor paint 20000x2000, 4 px a thread", large, 0.016, cell=4, cloth=False),
            _row(page, "editor paint 20000x2000, whole cloth", large, 0.25, cell=1 / 20, cloth=True),
        ]
        browser.close()
    return [*frames, _step(square, "600x600", 0.15), _step(large, "20000x2000", 1.0)]


def _by_chance(rng: np.random.Generator, ends: int, picks: int) -> Draft:
    draft = blank(ends, picks, 24, None, palette=((38, 58, 84), (243, 238, 226)))
    return replace(
        draft,
        threading=rng.integers(0, 24, ends).astype(np.int16),
        lifts=rng.random((picks, 24)) < 0.5,
        warp_colors=rng.integers(0, 2, ends).astype(np.int16),
        weft_colors=rng.integers(0, 2, picks).astype(np.int16),
    )


def _row(page: Page, name: str, draft: Draft, limit_s: float, **look: Any) -> Row:
    # The bands stand beside the cloth: the window is as much larger as they need.
    calibrate(5)
    measured = page.evaluate(_FRAME, [as_json(draft), _marked(draft), look, 1000, 1000])
    return promise(name, float(measured), limit_s)


def _marked(draft: Draft) -> dict[str, Any]:
    """What the server would have the page mark."""
    return marks_as_json(marks(draft, (8, 8)))


def _step(draft: Draft, size: str, limit_s: float) -> Row:
    """What the server works out for one step: changed, made a plain file, read again, looked at."""

    def step() -> object:
        made = operations.Slide("warp", 1, draft.ends, 1).apply(draft)
        plain = writer.dumps(reader.parse(writer.dumps(made)).draft)
        kept = reader.parse(plain).draft
        return marks(kept, (5, 5)), analyze(kept)

    begin = time.perf_counter()
    step()
    measured = median_of(step, 3 if time.perf_counter() - begin > 0.2 else 9)
    return promise(f"editor step with its analysis, {size}", measured, limit_s)


def _answer(route: Route) -> None:
    name = route.request.url.rsplit("/", 1)[-1]
    if name:
        route.fulfill(body=(_MODULES / name).read_text(), content_type="text/javascript")
    else:
        limits = f'<script type="application/json" id="limits">{json.dumps(LIMITS)}</script>'
        route.fulfill(body=f"<!doctype html><title>bench</title>{limits}", content_type="text/html")
