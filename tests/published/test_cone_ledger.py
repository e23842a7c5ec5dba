"""A cone's ledger against a stock ledger kept by hand: the last count stands, what was taken since comes off.

Common practice, no source: a perpetual inventory is corrected by each count of the stock, and what the count
and the book differ by is shown. Figures worked out by hand for a yarn of 1 m to the gram on an exact scale.
"""

from __future__ import annotations

from datetime import date

import pytest

from loomready.model.guild import Cone, Yarn
from loomready.yarn.ledger import Taken, Weighed, ledger

YARN = Yarn("plain", "Plain", tex=1000.0, tolerance=0.0)


def weighed(day: int, net_g: float) -> Weighed:
    cone = Cone("plain-1", "plain", gross_g=net_g + 40, tare_g=40.0, tare_sd_g=0.0, scale_step_g=0.0)
    return Weighed(date(2026, 3, day), cone)


def test_the_book_follows_takings_and_is_corrected_by_the_last_count() -> None:
    events = [
        weighed(1, 1000.0),
        Taken(date(2026, 3, 2), "first", "warp", 300.0),
        Taken(date(2026, 3, 5), "first", "weft", 150.0),
        weighed(9, 500.0),
        Taken(date(2026, 3, 12), "second", "warp", 120.0),
    ]
    entries = ledger(events, YARN)
    assert [entry.expected_m for entry in entries] == pytest.approx([1000, 700, 550, 500, 380])
    found = [entry.disagrees for entry in entries]
    assert [each is None for each in found] == [True, True, True, False, True]
    assert found[3] is not None
    assert found[3].meters == pytest.approx(-50.0)  # the scale shows 50 m less than the book
