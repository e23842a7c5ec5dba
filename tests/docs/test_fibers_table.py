"""The table of fibers in docs/formulas.md is the one that the code goes by."""

from __future__ import annotations

from loomready.yarn.counts import WRITTEN
from loomready.yarn.diameter import ashenhurst_k
from loomready.yarn.fibers import FIBERS
from tests.docs.consoles import ROOT


def test_the_page_of_formulas_lists_every_fiber_with_its_counts_its_k_and_its_group() -> None:
    text = (ROOT / "docs" / "formulas.md").read_text(encoding="utf-8")
    table = text.split("### Fibers\n")[1].split("\n## ")[0]
    rows = [line for line in table.splitlines() if line.startswith("| ")][2:]
    assert rows == [
        f"| {fiber.name} | {', '.join(word.replace('-', ' ') for word in fiber.also)} | "
        f"{' or '.join(WRITTEN[system] for system in fiber.systems)} | {ashenhurst_k(fiber.lofty):.2f} | "
        f"{fiber.shrinks} |"
        for fiber in FIBERS
    ]
