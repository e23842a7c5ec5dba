"""The draft as weavers draw it."""

from __future__ import annotations

import io
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from loomready.cloth.diagram import draft_png, draft_svg
from loomready.cloth.look import INK
from loomready.cloth.render import render, suitable_cell
from loomready.cloth.vector import cloth_svg
from loomready.draft.draft import Draft, drawdown, lift_plan
from loomready.problems import BadInput, Impossible
from tests.strategies import drafts

from .samples import with_treadles

SVG = "{http://www.w3.org/2000/svg}"
SIDES = st.sampled_from(["left", "right"])
HANGS = st.sampled_from(["front", "back"])


def texts(svg: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(svg).iter(f"{SVG}text"))


def threading_places(svg: str, ends: int) -> dict[int, tuple[int, str]]:
    """x of each number in a threading cell, with its row and number, for cells of 20 pixels."""
    bold = [g for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if g.get("font-weight") == "600"]
    numbers = [t for g in bold for t in g.iter(f"{SVG}text") if (t.text or "").isdigit()]
    return {int(t.get("x", "")): (int(t.get("y", "")), t.text or "") for t in numbers[:ends]}


@settings(max_examples=60, deadline=None)
@given(drafts(), st.integers(1, 26), SIDES, HANGS, st.booleans())
def test_any_draft_gives_well_formed_pictures(
    draft: Draft, cell: int, end_1: str, shaft_1: str, colored: bool
) -> None:
    options = {"end_1": end_1, "shaft_1": shaft_1, "colored": colored}
    svg = draft_svg(draft, cell, **options)  # type: ignore[arg-type]
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    assert root[0].tag == f"{SVG}title"
    assert root[1].tag == f"{SVG}desc"
    size = (int(root.get("width", "")), int(root.get("height", "")))
    assert Image.open(io.BytesIO(draft_png(draft, cell, **options))).size == size  # type: ignore[arg-type]
    svg.encode("utf-8")
    cloth = ElementTree.fromstring(cloth_svg(draft, cell, end_1=end_1))  # type: ignore[arg-type]
    assert cloth.get("width") == str(draft.ends * cell)
    for picture in (root, cloth):
        names = [element.get("id") for element in picture.iter() if element.get("id")]
        assert len(names) == len(set(names))
        for use in picture.iter(f"{SVG}use"):
            assert use.get("href", "")[1:] in names


def test_a_foreign_title_stays_text(twill: Draft) -> None:
    nasty = 'a </title><script>alert("x")</script> & \x00\x1b\ud800 b'
    for svg in (draft_svg(replace(twill, title=nasty)), cloth_svg(replace(twill, title=nasty))):
        root = ElementTree.fromstring(svg)
        assert root[0].text == 'a </title><script>alert("x")</script> & b'
        assert "<script" not in svg


def test_numbers_in_the_threading_follow_end_1_and_shaft_1(twill: Draft) -> None:
    places = {
        (side, hang): threading_places(draft_svg(twill, 20, end_1=side, shaft_1=hang), twill.ends)
        for side in ("left", "right")
        for hang in ("front", "back")
    }
    for (side, hang), found in places.items():
        across = [found[x][1] for x in sorted(found)]
        expected = ["1", "2", "3", "4"] * 3
        assert across == (expected if side == "left" else expected[::-1])
        low, high = max(y for y, _ in found.values()), min(y for y, _ in found.values())
        assert {number for y, number in found.values() if y == (low if hang == "front" else high)} == {"1"}


def test_the_tie_up_says_what_rises_and_what_sinks(twill: Draft) -> None:
    rising, sinking = draft_svg(with_treadles(twill)), draft_svg(with_treadles(twill, rising=False))
    assert rising.count("<circle") == 8
    assert "o rises" in rising
    assert "<circle" not in sinking
    assert "x sinks, the other shafts rise" in sinking
    assert "lift plan" in draft_svg(twill)


def test_settings_stand_on_the_sheet(twill: Draft) -> None:
    words = " ".join(text.text or "" for text in texts(draft_svg(twill, end_1="left", shaft_1="back")))
    assert "end 1 at the left" in words
    assert "shaft 1 at the back" in words
    assert "pick 1 at the top" in words


def test_a_draft_without_shafts_or_treadles_is_drawn_all_the_same() -> None:
    bare = lift_plan([0, 0, 0], [[], []])
    assert bare.shafts == 0
    none = np.zeros((2, 0), dtype=np.bool_)
    for draft in (bare, replace(bare, tieup=none.T[:, :0], treadling=none)):
        assert "3 ends not threaded" in draft_svg(draft)
        assert draft_png(draft, 1).startswith(b"\x89PNG")
        assert render(draft, kind="png", cloth=True).startswith(b"\x89PNG")
        assert cloth_svg(draft).startswith("<svg")


def test_ends_in_no_heddle_are_named() -> None:
    assert "2 ends not threaded" in draft_svg(lift_plan([0, 1, 2, 0], [[1], [2]]))


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_drawdown_is_dark_where_the_warp_is_on_top(twill: Draft, side: str) -> None:
    cell = 10
    pixels = np.asarray(Image.open(io.BytesIO(draft_png(twill, cell, end_1=side))))  # type: ignore[arg-type]
    dark = (pixels == INK).all(axis=2)
    up = drawdown(twill)
    shown = up if side == "left" else up[:, ::-1]
    expected = shown.repeat(cell, axis=0).repeat(cell, axis=1)
    # Somewhere on the sheet every middle of a cell agrees with the drawdown.
    found = [
        (y, x)
        for y in range(dark.shape[0] - expected.shape[0])
        for x in range(dark.shape[1] - expected.shape[1])
        if (dark[y + 5 : y + expected.shape[0] : cell, x + 5 : x + expected.shape[1] : cell] == shown).all()
    ]
    assert found


def test_treadled_and_lift_plan_versions_share_one_drawdown(twill: Draft) -> None:
    def cloth(svg: str) -> list[str]:
        uses = ElementTree.fromstring(svg).iter(f"{SVG}use")
        paths = {e.get("id"): e.get("d") for e in ElementTree.fromstring(svg).iter(f"{SVG}path")}
        return [f"{paths[use.get('href', '')[1:]]} at {use.get('x')}" for use in uses]

    assert cloth(draft_svg(twill, 9)) == cloth(draft_svg(with_treadles(twill), 9))


def test_an_svg_of_too_many_threads_is_refused() -> None:
    draft = lift_plan([1, 2] * 1500, [[1], [2]] * 1000)
    for draw in (draft_svg, cloth_svg):
        with pytest.raises(Impossible, match=r"6\.0 million crossings, over 4 million; make a PNG"):
            draw(draft, 2)


def test_a_png_that_is_too_large_names_a_cell_that_would_do() -> None:
    draft = lift_plan([1, 2] * 2500, [[1], [2]] * 1000)
    with pytest.raises(Impossible, match="a cell of 3 would do"):
        draft_png(draft, 8)


def test_a_large_draft_gets_a_small_cell_unasked(twill: Draft) -> None:
    assert suitable_cell(twill, cloth=False) == 16
    large = lift_plan([1, 2] * 1000, [[1], [2]])
    assert suitable_cell(large, cloth=True) == 1
    for kind, start in (("png", b"\x89PNG"), ("svg", b"<svg")):
        for cloth in (False, True):
            assert render(twill, kind=kind, cloth=cloth).startswith(start)
    with pytest.raises(BadInput, match="expected png or svg"):
        render(twill, kind="gif")
