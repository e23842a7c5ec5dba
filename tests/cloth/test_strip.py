"""The web strip."""

from __future__ import annotations

from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.cloth.strip import Mark, strip_svg
from loomready.problems import BadInput

from .samples import BLUE, OAT, RED

SVG = "{http://www.w3.org/2000/svg}"


def bars(svg: str) -> list[tuple[float, float, str]]:
    """x, width and fill of the runs."""
    rects = ElementTree.fromstring(svg).iter(f"{SVG}rect")
    return [
        (float(r.get("x", "")), float(r.get("width", "")), r.get("fill", ""))
        for r in rects
        if r.get("fill", "").startswith("#")
    ]


def labels(svg: str) -> list[str]:
    return [text.text or "" for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def test_runs_of_one_color_stand_in_web_order() -> None:
    colors = [RED] * 2 + [BLUE] * 6 + [OAT] * 2
    left = bars(strip_svg(colors, 100, 40, end_1="left"))
    assert [fill for *_, fill in left] == ["#a03a2b", "#2c4f72", "#e8dec8"]
    assert [x for x, *_ in left] == [0, 20, 80]
    right = bars(strip_svg(colors, 100, 40))
    assert [fill for *_, fill in right] == ["#e8dec8", "#2c4f72", "#a03a2b"]


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 2500), st.integers(20, 1200), st.integers(0, 9))
def test_any_web_is_well_formed_and_fills_the_strip(ends: int, width: int, seed: int) -> None:
    numbers = np.random.default_rng(seed)
    palette = [RED, BLUE, OAT]
    colors = [palette[i] for i in numbers.integers(0, 3, ends).tolist()]
    svg = strip_svg(colors, width, 60, [Mark(1, ends, "the whole web")])
    assert svg == strip_svg(colors, width, 60, [Mark(1, ends, "the whole web")])
    drawn = bars(svg)
    assert drawn[0][0] == 0
    assert drawn[-1][0] + drawn[-1][1] == pytest.approx(width, abs=0.02)
    for (x, wide, _), (after, *_) in pairwise(drawn):
        assert x < after <= x + wide


def test_ends_too_fine_to_be_told_apart_mix_as_light() -> None:
    checked = [(0, 0, 0), (255, 255, 255)] * 2000
    # 40 pixels hold 114 stretches of about 35 ends: each near half the light, about #bcbcbc.
    for *_, fill in bars(strip_svg(checked, 40, 30)):
        assert abs(int(fill[1:3], 16) - 0xBC) <= 3


def test_marks_lie_under_their_ends() -> None:
    marks = [Mark(1, 50, "bout 1"), Mark(51, 100, "bout 2")]
    assert labels(strip_svg([RED] * 100, 400, 60, marks, end_1="left")) == ["bout 1", "bout 2"]
    svg = strip_svg([RED] * 100, 400, 60, marks)
    places = [float(t.get("x", "")) for t in ElementTree.fromstring(svg).iter(f"{SVG}text")]
    assert places == [300, 100], "end 1 lies at the right"


def test_a_label_without_room_is_left_out_and_its_bracket_stays() -> None:
    svg = strip_svg([RED] * 100, 400, 60, [Mark(1, 2, "a long label"), Mark(3, 100, "bout")])
    assert labels(svg) == ["bout"]
    assert "a long label" in svg, "still read aloud"
    path = next(p for p in ElementTree.fromstring(svg).iter(f"{SVG}path") if "H" in p.get("d", ""))
    assert path.get("d", "").count("M") == 2


def test_marks_that_overlap_lie_one_under_another() -> None:
    svg = strip_svg([RED] * 100, 400, 80, [Mark(1, 60, "bout"), Mark(40, 100, "group")])
    heights = {t.get("y") for t in ElementTree.fromstring(svg).iter(f"{SVG}text")}
    assert len(heights) == 2


def test_foreign_labels_stay_text() -> None:
    svg = strip_svg([RED] * 9, 400, 60, [Mark(1, 9, "<b>&\x00")], title='"><script>')
    assert labels(svg) == ["<b>&"]
    assert "<script" not in svg


@pytest.mark.parametrize("mark", [Mark(0, 3, "x"), Mark(4, 3, "x"), Mark(1, 11, "x")])
def test_a_mark_outside_the_web_is_refused(mark: Mark) -> None:
    with pytest.raises(BadInput, match="expected ends from 1 to 10"):
        strip_svg([RED] * 10, 400, 60, [mark])


def test_no_ends_or_no_room_is_refused() -> None:
    with pytest.raises(BadInput, match="without ends"):
        strip_svg([], 400, 60)
    with pytest.raises(BadInput, match="too small"):
        strip_svg([RED], 400, 20, [Mark(1, 1, "x")])
