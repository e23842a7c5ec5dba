"""The draft on paper: whole on one page where it fits, else in parts that leave nothing out."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.cloth.diagram import draft_scene, drawn_size
from loomready.draft.draft import Draft, lift_plan
from loomready.packet.data import packet_pictures
from loomready.packet.options import Options
from loomready.packet.packet import packet_pdf
from loomready.packet.whole_draft import LEAST_MM, MOST_PARTS, PARTS_MM, WholeDraft, whole_draft
from loomready.warp.result import WarpPlan
from tests.packet import plans, reading

ROOMS = [Options(paper=paper).room_mm(plans.BAND) for paper in ("a4", "us-letter")]


def with_draft(ends: int, picks: int, shafts: int = 4) -> WarpPlan:
    """The band with another draft to draw; its warp does not matter here."""
    made = lift_plan([n % shafts + 1 for n in range(ends)], [[n % shafts + 1] for n in range(picks)])
    return replace(plans.band(), draft=made)


def drawn(ends: int, picks: int, room: tuple[float, float], shafts: int = 4) -> WholeDraft:
    return whole_draft(with_draft(ends, picks, shafts), room)


@pytest.mark.parametrize("room", ROOMS)
@pytest.mark.parametrize("size", [(4, 4), (64, 64), (80, 80), (118, 118), (40, 150), (150, 40)])
def test_a_draft_that_fits_on_a_page_is_drawn_whole(size: tuple[int, int], room: tuple[float, float]) -> None:
    made = drawn(*size, room)
    (part,) = made.parts
    assert (part.ends, part.picks) == ((1, size[0]), (1, size[1]))
    assert made.map is None
    assert made.left_out == 0


def test_a_draft_wider_than_the_page_is_turned() -> None:
    (part,) = drawn(150, 20, ROOMS[0]).parts
    assert part.turned
    assert part.width_mm > ROOMS[0][0]


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 420), st.integers(1, 420), st.sampled_from([4, 24]), st.sampled_from(ROOMS))
def test_parts_fit_the_page_and_hold_every_crossing_once(
    ends: int, picks: int, shafts: int, room: tuple[float, float]
) -> None:
    made = drawn(ends, picks, room, shafts)
    seen = np.zeros((picks, ends), dtype=np.int64)
    for part in made.parts:
        wide, high = (part.height_mm, part.width_mm) if part.turned else (part.width_mm, part.height_mm)
        assert wide <= room[0] + 0.1
        assert high <= room[1] + 0.1
        seen[part.picks[0] - 1 : part.picks[1], part.ends[0] - 1 : part.ends[1]] += 1
    if made.parts:
        assert (seen == 1).all()
        assert (made.map is not None) == (len(made.parts) > 1)
    else:
        assert made.left_out > MOST_PARTS
        assert made.map is not None


def test_threads_stay_large_enough_to_follow() -> None:
    assert min(LEAST_MM.values()) >= 1.1
    assert min(LEAST_MM.values()) <= min(PARTS_MM)


@given(st.integers(1, 60), st.integers(1, 60), st.sampled_from([4, 8]), st.sampled_from(ROOMS))
@settings(max_examples=30, deadline=None)
def test_a_draft_made_smaller_or_larger_for_its_page_stays_readable_and_leaves_room_beside_it(
    ends: int, picks: int, shafts: int, room: tuple[float, float]
) -> None:
    plan = with_draft(ends, picks, shafts)
    for part in whole_draft(plan, room).parts:
        numbered, plain = (part.width_mm / drawn_size(plan.draft, px)[0] * px for px in (12, 6))
        assert part.least * max(numbered, plain) >= min(LEAST_MM.values()) - 1e-9
        assert part.least <= 1 <= part.most
        assert part.most == 1 or part.most * part.width_mm <= 0.55 * room[0] + 1e-9


def test_the_map_shows_where_each_part_lies_from_end_1() -> None:
    made = drawn(300, 40, ROOMS[0])
    assert made.map is not None
    assert len(made.parts) == len(made.map.parts) > 1
    first = made.map.parts[0]
    assert first[0] + first[2] == pytest.approx(1)  # end 1 at the right
    assert sum(width for _, _, width, _ in made.map.parts) == pytest.approx(1)


def test_a_part_numbers_its_ends_as_the_whole_draft_does() -> None:
    draft: Draft = with_draft(20, 20).draft
    svg = draft_scene(draft, 6, first=(121, 41), legend=False).svg()
    numbers = set(re.findall(r">(\d+)</text>", svg))
    assert {"121", "140", "41", "60"} <= numbers
    assert "20 ends" not in re.sub(r"<(title|desc)>.*?</\1>", "", svg)


def test_a_draft_too_large_to_print_says_so() -> None:
    plan = with_draft(1500, 1500)
    placed, _ = packet_pictures(plan)
    assert placed["draft"]["parts"] == []
    assert "too many to print here" in placed["draft"]["map"]["says"]
    text = reading.sheets(packet_pdf(plan))["Project"]
    assert "too many to print here" in " ".join(text.split())
