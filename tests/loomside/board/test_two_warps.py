"""Two warps of two lengths over a board: each has its own path."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from loomready import guildfile
from loomready.loomside.board import choice
from loomready.model.guild import Board, Peg
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests.demo.examples import WARPS


def towels(boards: tuple[Board, ...] = (), **more: float) -> WarpPlan:
    """The seersucker towels in a guild that has these boards, or those of the demo."""
    loaded = guildfile.load(WARPS / "seersucker-towels" / "guild.toml")
    boards = boards or guildfile.load(Path("demo/guild.toml")).guild.boards
    orders = tuple(replace(order, **more) for order in loaded.guild.warps)
    return plan_guild(replace(loaded.guild, boards=boards, warps=orders), loaded.drafts).warps[0]


def test_the_second_warp_has_a_path_for_its_own_length() -> None:
    plan = towels()
    assert plan.second is not None
    found, chosen = choice.way(plan), choice.choose(plan)
    assert found is not None
    assert chosen is not None
    second = choice.path_over(chosen[0], plan.second.lengths.needed_m * 1000)
    assert second is not None
    assert second.enough
    assert second.length_mm > chosen[1].length_mm
    assert "Second warp, 5.2 yd: Start at" in found.length
    assert second.pegs[-1] in found.length


def test_a_second_warp_too_long_for_the_board_is_told() -> None:
    found = choice.way(towels(second_wound_length_m=90.0))
    assert found is not None
    assert "is longer than any path here; wind it on another board." in found.length


def test_a_board_on_which_both_warps_fit_goes_before_one_for_the_first_alone() -> None:
    plan = towels()
    assert plan.second is not None
    chosen = choice.choose(plan)
    assert chosen is not None
    long = chosen[0]
    first_mm, second_mm = plan.lengths.needed_m * 1000, plan.second.lengths.needed_m * 1000
    names = ("start", "one", "two", "end")
    span = (first_mm + second_mm) / 2 / 3  # three equal stretches: enough for the first, short for the second
    pegs = tuple(Peg(name, number * span, 0.0) for number, name in enumerate(names))
    short = Board("short", "Short board", pegs, "start", ("one", "two"))
    found = [choice.choose(towels(boards)) for boards in ((short, long), (short,))]
    assert [each[0].key for each in found if each] == [long.key, "short"]
