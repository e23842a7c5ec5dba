"""Files of pinned versions name packages, never the place that they come from."""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parents[1]


@pytest.mark.parametrize("name", ["constraints.txt", "package-lock.json", "package.json", "pyproject.toml"])
def test_pins_hold_no_addresses(name: str) -> None:
    text = (HERE / name).read_text()
    assert text
    assert "://" not in text
