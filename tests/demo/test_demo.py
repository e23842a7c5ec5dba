"""The demo guild: its drafts are what the script makes, its plans are what a newcomer should see."""

from __future__ import annotations

import importlib.util
import json
import re
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path
from types import ModuleType

import pytest

from loomready import guildfile
from loomready.draft.draft import drawdown
from loomready.draft.structure.analysis import analyze
from loomready.draft.wif import writer
from loomready.loomside.steps.weaving import weaving
from loomready.model.guild import Guild
from loomready.packet.finishing import finishing
from loomready.packet.weaving import weaving as weaving_sheet
from loomready.packet.words import Letters
from loomready.report.as_json import plan_as_json
from loomready.warp.figures import figures
from loomready.warp.plan import plan_guild
from loomready.warp.result import GuildPlan, WarpPlan

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo"


def script(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, DEMO / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


DRAFTS = script("make_drafts").drafts()


def planned(name: str) -> GuildPlan:
    loaded = guildfile.load(DEMO / name)
    return plan_guild(loaded.guild, loaded.drafts)


@pytest.fixture(scope="module")
def demo() -> GuildPlan:
    return planned("guild.toml")


@pytest.fixture(scope="module")
def short() -> GuildPlan:
    return planned("short.toml")


def warp(plan: GuildPlan, key: str) -> WarpPlan:
    return next(each for each in plan.warps if each.order.key == key)


def test_the_kept_drafts_are_what_the_script_makes() -> None:
    kept = {path.stem: path.read_bytes() for path in (DEMO / "drafts").glob("*.wif")}
    assert kept == {name: writer.dumps(draft) for name, draft in DRAFTS.items()}


@pytest.mark.parametrize("name", DRAFTS)
def test_every_demo_draft_hangs_together_without_a_problem(name: str) -> None:
    found = analyze(DRAFTS[name])
    assert found.holds_together
    assert found.problems == ()


def test_treadled_drafts_and_lift_plans_both_occur() -> None:
    kinds = {draft.treadles is None for draft in DRAFTS.values()}
    assert kinds == {True, False}


def test_the_double_weave_is_two_layers_of_plain_weave() -> None:
    """In each block threads of one color weave with picks of that color only; the other layer lies clear."""
    draft = DRAFTS["double-weave"]
    up = drawdown(draft)
    for start in range(0, draft.ends, 4):
        for pick in range(0, draft.picks, 4):
            block = up[pick : pick + 4, start : start + 4]
            for color in (0, 1):
                own = block[color::2, color::2]
                assert own[0, 0] != own[0, 1]
                assert own[0, 0] != own[1, 0]
                assert own[0, 0] == own[1, 1]
            # Dark picks on light ends, and light picks on dark ends: one layer lies wholly on the other.
            dark_on_light, light_on_dark = block[0::2, 1::2], block[1::2, 0::2]
            assert dark_on_light.all() or not dark_on_light.any()
            assert (light_on_dark == ~dark_on_light[0, 0]).all()


def test_where_the_broken_twill_turns_neighbors_are_opposites() -> None:
    draft = DRAFTS["broken-twill"]
    up = drawdown(draft)
    turns = [28, 40, 44]
    for last in turns:
        assert (up[:, last - 1] != up[:, last]).all()


def test_the_heading_of_the_broken_twill_is_what_its_note_says() -> None:
    draft = DRAFTS["broken-twill"]
    assert draft.tieup is not None
    up = draft.tieup[draft.threading][:, 4:6]
    together = (up[:-1] == up[1:]).all(axis=1)
    assert (together.nonzero()[0] + 1).tolist() == [28, 40, 44]
    assert (up[:, 0] != up[:, 1]).all()


@pytest.mark.parametrize("name", sorted(DRAFTS))
def test_no_note_promises_tabby_that_the_threading_cannot_weave(name: str) -> None:
    assert analyze(DRAFTS[name]).plain_weave or "tabby" not in (DRAFTS[name].notes or "")


def test_one_count_of_picks_stands_in_plan_json_sheets_and_at_the_loom(demo: GuildPlan) -> None:
    told = {each["key"]: each["picks"] for each in plan_as_json(demo)["warps"]}
    for plan in demo.warps:
        sheet = weaving_sheet(plan, Letters.of(plan))["order"]
        figure = next(each for each in figures(plan) if each.key == "picks")
        lines = finishing(plan, Letters.of(plan))["record"]["lines"]
        record = {line["what"]: line["planned"] for line in lines}
        assert told[plan.order.key] == plan.picks
        assert weaving(plan).picks == plan.picks
        assert plan.picks == sum(
            _number(step["picks"]) * (_number(piece["times"]) or 1)
            for piece in sheet
            for step in piece["steps"]
        )
        assert _number(figure.value) == plan.picks
        assert _number(record["Picks woven"]) == plan.picks


def _number(text: str) -> int:
    return int(re.sub(r"\D", "", text) or 0)


def test_the_demo_guild_has_the_looms_cones_and_reeds_it_promises(demo: GuildPlan) -> None:
    guild: Guild = demo.guild
    looms = sorted((loom.kind, loom.shafts) for loom in guild.looms)
    assert looms == [("countermarche", 8), ("jack", 4), ("table", 16), ("table", 16)]
    assert (len(guild.cones), len(guild.reeds), len(guild.warps)) == (24, 5, 3)
    assert all(cone.weighed for cone in guild.cones)


def test_the_demo_plan_has_no_stop_and_one_thing_to_look_at(demo: GuildPlan) -> None:
    assert not demo.stopped
    assert [p.code for each in demo.warps for p in each.problems] == ["heddles-move"]
    assert all(need.enough for each in demo.warps for need in each.yarns)


def test_the_borders_of_the_scarves_stand_once_at_each_side(demo: GuildPlan) -> None:
    web = warp(demo, "scarves").web
    assert web.border_ends == 32
    assert web.repeat_ends == 32
    assert web.ends == web.repeats * 32 + 32 + 2


def test_the_towels_end_on_the_end_that_balances_their_point(demo: GuildPlan) -> None:
    web = warp(demo, "towels").web
    inner = web.shaft[1:-1]
    assert (inner == inner[::-1]).all()


def test_the_lean_week_stops_on_yarn_and_on_heddles_and_offers_what_helps(short: GuildPlan) -> None:
    stops = {
        (each.order.key, problem.code): problem
        for each in short.warps
        for problem in each.problems
        if problem.level == "stop"
    }
    assert set(stops) == {("wrap", "yarn-short"), ("throw", "heddles-short")}
    assert len(stops["wrap", "yarn-short"].remedies) >= 3
    assert len(stops["throw", "heddles-short"].remedies) >= 2


@pytest.mark.parametrize("key", ["wrap", "throw"])
def test_each_change_offered_in_the_lean_week_works(short: GuildPlan, key: str) -> None:
    """The change as the command line prints it, put into the guild file, and planned again."""
    tree = guildfile.parse((DEMO / "short.toml").read_bytes())
    drafts = guildfile.load(DEMO / "short.toml").drafts
    document = next(each for each in plan_as_json(short)["warps"] if each["key"] == key)
    stop = next(problem for problem in document["problems"] if problem["level"] == "stop")
    for remedy in stop["remedies"]:
        changed = guildfile.decode(guildfile.apply(tree, key, remedy["change"]))
        assert not warp(plan_guild(changed, drafts), key).stopped, remedy["says"]


def test_make_run_writes_a_packet_for_each_warp_says_what_to_try_and_opens_the_guild(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "demo/run.py", str(tmp_path / "sheets"), str(tmp_path / "home")],
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as running:
        assert running.stdout is not None
        lines = []
        for line in running.stdout:
            lines.append(line)
            if address := re.search(r"http://127\.0\.0\.1:\d+/", line):
                break
        assert address is not None
        with urllib.request.urlopen(address[0], timeout=30) as page:
            assert "scarves" in page.read().decode()
        running.send_signal(signal.SIGINT)
        _rest, wrong = running.communicate(timeout=30)
    assert wrong == "loomready is closed.\n"
    packets = sorted((tmp_path / "sheets").glob("*.pdf"))
    assert len(packets) == 3
    assert all(packet.read_bytes().startswith(b"%PDF") for packet in packets)
    for said in (
        "scarves",
        "cushions",
        "towels",
        "short.toml",
        "docs/guild-file.md",
        *(p.name for p in packets),
    ):
        assert said in "".join(lines)


def test_the_command_line_says_the_same_as_the_engine(short: GuildPlan) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "loomready", "plan", "demo/short.toml", "--json"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 1
    assert json.loads(done.stdout) == plan_as_json(short)
