"""Weighings and takings of one cone in order of time, and what they leave."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import hypothesis.strategies as st
import pytest
from hypothesis import given

from loomready.model.guild import Cone, Yarn
from loomready.yarn.cones import heavier, weighed
from loomready.yarn.ledger import Taken, Weighed, ledger

YARN = Yarn("y", "y", tex=100.0, tolerance=0.05)  # 10 m to the gram
CONE = Cone("y-1", "y", gross_g=540.0, tare_g=40.0)  # 500 g net, 5000 m expected
DAY = date(2026, 9, 12)


def on(days: int) -> date:
    return DAY + timedelta(days)


def test_a_cone_weighed_wound_from_and_weighed_again() -> None:
    # On paper: 5000 m, less 2000 m of warp and 1000 m of weft, leaves 2000 m;
    # 240 g gross are 200 g net, 2000 m.
    # u(w)^2 = 1/12 + 4; u(L)^2 = (10 x 2.0207)^2 + (5000 x 0.05 / 1.96)^2; sure 5000 - 1.6449 x 129.147.
    entries = ledger(
        [
            Weighed(on(20), replace(CONE, gross_g=240.0)),
            Taken(on(9), "scarf", "weft", 1000.0),
            Taken(on(3), "scarf", "warp", 2000.0),
            Weighed(DAY, CONE),
        ],
        YARN,
    )
    assert [entry.expected_m for entry in entries] == pytest.approx([5000, 3000, 2000, 2000])
    assert entries[0].sure_m == pytest.approx(4787.57, abs=0.01)
    assert entries[0].upper_m == pytest.approx(5212.43, abs=0.01)
    assert entries[2].sure_m == pytest.approx(1787.57, abs=0.01)
    assert entries[3].sure_m == weighed(replace(CONE, gross_g=240.0), YARN).sure_m
    assert not any(entry.disagrees for entry in entries)


def test_a_forgotten_warp_disagrees_by_what_it_took() -> None:
    # Nothing was written, 100 g are gone: D = -1000 m. Its band:
    # 1.96 x 10 x sqrt(2 (1/12 + 4)) = 56.01 m from the weighings,
    # 1000 x 5 % = 50 m from the count, together 75.08 m.
    entries = ledger([Weighed(DAY, CONE), Weighed(on(5), replace(CONE, gross_g=440.0))], YARN)
    found = entries[-1].disagrees
    assert found is not None
    assert found.meters == pytest.approx(-1000.0)
    assert found.band_m == pytest.approx(75.08, abs=0.01)


def test_a_warp_whose_yarn_is_still_there_disagrees_upward() -> None:
    entries = ledger([Weighed(DAY, CONE), Taken(on(1), "scarf", "warp", 900.0), Weighed(on(2), CONE)], YARN)
    assert entries[-1].disagrees is not None
    assert entries[-1].disagrees.meters == pytest.approx(900.0)


@pytest.mark.parametrize("grams", [-30, -6, -5, 0, 5, 6, 30])
def test_without_takings_it_says_what_the_weighing_page_says(grams: int) -> None:
    yarn = replace(YARN, tolerance=0.0)
    now = replace(CONE, gross_g=CONE.gross_g + grams)
    entry = ledger([Weighed(DAY, CONE), Weighed(on(1), now)], yarn)[-1]
    assert (entry.disagrees is not None and entry.disagrees.meters > 0) == heavier(now, CONE)


def test_a_weighing_of_the_same_day_counts_as_before_the_taking() -> None:
    entries = ledger([Taken(DAY, "scarf", "warp", 1000.0), Weighed(DAY, CONE)], YARN)
    assert entries[-1].expected_m == pytest.approx(4000.0)


def test_with_times_on_both_the_time_decides() -> None:
    wound, after = datetime(2026, 9, 12, 10, 0), datetime(2026, 9, 12, 10, 5)
    entries = ledger([Weighed(after, CONE), Taken(wound, "scarf", "warp", 1000.0)], YARN)
    assert entries[-1].expected_m == pytest.approx(5000.0)


def test_a_weighing_without_a_date_stands_before_everything() -> None:
    entries = ledger([Taken(DAY, "scarf", "warp", 1000.0), Weighed(None, CONE)], YARN)
    assert entries[-1].expected_m == pytest.approx(4000.0)


MOMENTS = st.one_of(st.dates(DAY, on(3)), st.datetimes(datetime(2026, 9, 12), datetime(2026, 9, 15)))
EVENTS = st.one_of(
    st.builds(
        Weighed,
        st.one_of(st.none(), MOMENTS),
        st.builds(lambda net: replace(CONE, gross_g=40.0 + net), st.floats(0, 500)),
    ),
    st.builds(Taken, MOMENTS, st.just("w"), st.sampled_from(["warp", "weft"]), st.floats(0, 3000)),
)


@given(st.lists(EVENTS, max_size=8))
def test_every_event_is_told_once_and_no_length_is_made_up(events: list[Weighed | Taken]) -> None:
    entries = ledger(events, YARN)
    assert sorted(map(repr, (entry.event for entry in entries))) == sorted(map(repr, events))
    for before, entry in zip((None, *entries), entries, strict=False):
        assert 0 <= entry.sure_m <= entry.expected_m <= entry.upper_m
        if isinstance(entry.event, Taken) and before is not None:
            assert entry.expected_m == max(0.0, before.expected_m - entry.event.meters)
        if isinstance(entry.event, Weighed):  # a weighing says all that is known, whatever stood before
            assert entry.expected_m == weighed(entry.event.cone, YARN).expected_m


@given(
    st.permutations([Weighed(DAY, CONE), Taken(on(1), "a", "warp", 700.0), Taken(on(2), "b", "warp", 300.0)])
)
def test_the_order_in_which_events_come_does_not_matter(events: list[Weighed | Taken]) -> None:
    assert ledger(events, YARN)[-1].expected_m == pytest.approx(4000.0)
