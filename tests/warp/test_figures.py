"""What a figure says, wherever it is shown."""

from __future__ import annotations

from loomready.packet.project import project
from loomready.packet.words import Letters
from loomready.report.plan_text import tell_plan
from loomready.warp.figures import figures
from loomready.warp.plan import plan_guild
from tests.cast import TWILL, drafts, guild, order


def told(width_mm: float) -> tuple[str, str, str]:
    """The finished width in the list of figures, on the command line and on the project sheet."""
    plan = plan_guild(guild(order(finished_width_mm=width_mm)), drafts(TWILL))
    (warp,) = plan.warps
    (figure,) = (each for each in figures(warp) if each.key == "finished_width")
    (line,) = (each for each in tell_plan(plan).splitlines() if "Finished width" in each)
    of_sheet = {each["label"]: each["value"] for each in project(warp, Letters.of(warp))["figures"]}
    return figure.shown, line.removeprefix("  Finished width").strip(), of_sheet["Finished width"]


def test_the_width_asked_for_stands_beside_the_width_that_the_plan_gives() -> None:
    assert told(407.0) == ("40.6 cm (asked for 40.7 cm)",) * 3


def test_a_width_that_comes_out_as_asked_is_said_once() -> None:
    assert set(told(406.0)) == {"40.6 cm"}
