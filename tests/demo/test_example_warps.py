"""The example warps in demo/warps: each is planned without a stop and printed."""

from __future__ import annotations

from pathlib import Path

import pytest

from loomready import guildfile
from loomready.packet.packet import packet_pdf
from loomready.report.as_json import plan_as_json
from loomready.report.plan_text import tell_plan
from loomready.warp.plan import plan_guild

WARPS = Path(__file__).parents[2] / "demo" / "warps"
EXAMPLES = sorted(path.name for path in WARPS.iterdir())


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_warp_is_planned_without_a_stop_told_and_printed(name: str) -> None:
    loaded = guildfile.load(WARPS / name / "guild.toml")
    made = plan_guild(loaded.guild, loaded.drafts)
    assert made.warps
    assert not made.stopped
    for plan, told in zip(made.warps, plan_as_json(made)["warps"], strict=True):
        assert told["key"] == plan.order.key
        assert plan.order.key in tell_plan(made)
        assert packet_pdf(plan).startswith(b"%PDF")
    assert guildfile.decode(guildfile.parse(guildfile.dumps(loaded.guild))) == loaded.guild
