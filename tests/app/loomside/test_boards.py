"""Boards are drawn or typed, and the path for a warp over one becomes its length."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from django.test import Client
from playwright.sync_api import Browser, Page, expect

from loomready import guildfile
from loomready.app.loomside import boards_views
from loomready.app.models import Record
from loomready.app.state.snapshot import current_snapshot
from loomready.loomside.board import choice
from loomready.loomside.board.winding_path import find_path
from loomready.warp.plan import plan_guild
from tests.app.conftest import fresh
from tests.demo.examples import WARPS

PEGS = [
    ("a", "10 cm", "80 cm"),
    ("b", "30 cm", "80 cm"),
    ("c", "50 cm", "80 cm"),
    ("d", "", ""),
    ("e", "75", "0"),
]


def typed(**changed: str) -> dict[str, str]:
    """What a form with five pegs sends."""
    form = {"name": "Hall board", "start": "a", "cross-1": "b", "cross-2": "c"}
    for number, (name, x, y) in enumerate(PEGS, 1):
        form |= {f"peg-{number}-name": name, f"peg-{number}-x": x, f"peg-{number}-y": y}
    return form | changed


@pytest.mark.django_db
def test_a_typed_board_is_kept_as_it_was_typed(weaver: Client) -> None:
    assert weaver.post("/boards-new", typed()).status_code == 302
    fields = Record.objects.get(kind="boards", key="hall-board").fields
    assert fields["pegs"][3] == {"name": "d"}
    assert fields["pegs"][4] == {"name": "e", "x": "75 in", "y": "0 in"}
    board = current_snapshot().guild.boards[-1]
    assert (board.start, board.cross) == ("a", ("b", "c"))
    assert board.peg("e").x_mm == pytest.approx(75 * 25.4)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"name": ""}, "Is missing; expected a name for this board"),
        ({"cross-2": ""}, "Is missing; expected a peg"),
        ({"cross-1": "a"}, "is start already"),
        ({"peg-5-name": "d"}, "is already the name of peg 4"),
        ({"peg-5-x": "0", "peg-5-y": "0"}, "is at the same place as peg 4"),
        ({"peg-2-x": "far"}, "is not a quantity"),
        ({"start": "q"}, "there is no peg"),
    ],
)
def test_a_slip_is_told_beside_its_field_and_what_was_typed_stays(
    weaver: Client, wrong: dict[str, str], said: str
) -> None:
    answer = weaver.post("/boards-new", typed(**wrong))
    text = answer.content.decode()
    assert answer.status_code == 422
    assert said.lower() in text.lower()
    assert 'value="30 cm"' in text or "peg-2-x" in wrong
    assert not Record.objects.filter(kind="boards", key="hall-board").exists()


@pytest.mark.django_db
def test_two_who_edit_one_board_see_both_versions(weaver: Client) -> None:
    weaver.post("/boards-new", typed())
    assert weaver.post("/boards/hall-board", typed(version="1", **{"peg-5-x": "70"})).status_code == 302
    answer = weaver.post("/boards/hall-board", typed(version="1", **{"peg-5-x": "60"}))
    assert answer.status_code == 409
    assert "Two versions" in answer.content.decode()
    assert Record.objects.get(kind="boards", key="hall-board").fields["pegs"][4]["x"] == "70 in"


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["frame", "long", "mill"])
def test_a_common_layout_is_a_board_to_begin_with(weaver: Client, kind: str) -> None:
    asked = dict(
        re.findall(r'name="(\w+)" value="([^"]*)"', weaver.get(f"/boards-new?layout={kind}").content.decode())
    )
    text = weaver.get("/boards-new", {**asked, "layout": kind, "go": "yes"}).content.decode()
    text = re.sub(r"\s+", " ", text)
    form = dict(re.findall(r'<input name="([\w-]+)" value="([^"]*)"', text))
    form |= {"name": "Begun", "start": "start", "cross-1": "cross-1", "cross-2": "cross-2"}
    if 'id="mill" name="mill" value="yes" checked' in text:
        form["mill"] = "yes"
    assert weaver.post("/boards-new", form).status_code == 302
    board = current_snapshot().guild.boards[-1]
    assert board.mill == (kind == "mill")
    assert find_path(board, 4000).enough
    again = weaver.get(f"/boards/{board.key}").content.decode()
    assert ('name="mill" value="yes" checked' in again) == board.mill


@pytest.mark.django_db
def test_a_layout_that_cannot_be_says_why(weaver: Client) -> None:
    answer = weaver.get("/boards-new?layout=frame&width=36+in&height=10+in&rows=20&go=yes")
    assert answer.status_code == 422
    assert "too close together for a hand" in answer.content.decode()


@pytest.mark.django_db
def test_the_path_that_is_used_becomes_the_length_as_wound_and_can_be_taken_back(weaver: Client) -> None:
    page = weaver.get("/boards-for/scarves?board=wall").content.decode()
    sent = dict(
        re.findall(
            r'<input type="hidden" name="(version|board|wanted_mm)" value="([^"]*)"',
            page[page.index("boards-for/scarves/use") :],
        )
    )
    assert weaver.post("/boards-for/scarves/use", sent).status_code == 302
    snapshot = current_snapshot()
    planned = snapshot.plan_of("scarves")
    assert planned is not None
    assert planned.plan is not None
    needed = planned.plan.lengths.needed_m
    wall = next(board for board in snapshot.guild.boards if board.key == "wall")
    assert planned.order.wound_length_m == pytest.approx(
        find_path(wall, needed * 1000).length_mm / 1000, abs=1e-4
    )
    assert needed <= planned.plan.warp_length_m < needed + 0.05
    assert "wound-short" not in {problem.code for problem in planned.plan.problems}
    undo = re.search(r"/guild/undo/\d+", weaver.get("/guild").content.decode())
    assert undo
    weaver.post(undo.group())
    assert "wound_length" not in Record.objects.get(kind="warps", key="scarves").fields


@pytest.mark.django_db
def test_a_length_beyond_the_board_is_told_with_the_longest(weaver: Client) -> None:
    text = weaver.get("/boards/wall/path?length=40").content.decode()
    assert "No path over this board is 40 yd long; the longest is" in text
    assert weaver.get("/boards/wall/path?length=long").status_code == 422


@pytest.mark.django_db
def test_the_path_of_a_second_warp_is_told_as_on_its_sheet(weaver: Client) -> None:
    loaded = guildfile.load(WARPS / "seersucker-towels" / "guild.toml")
    boards = guildfile.load(Path("demo/guild.toml")).guild.boards
    plan = plan_guild(replace(loaded.guild, boards=boards), loaded.drafts).warps[0]
    found = choice.way(plan)
    assert found is not None
    assert plan.second is not None
    shown = boards_views.second_shown(
        current_snapshot(), plan, next(b for b in boards if b.name == found.board)
    )
    assert shown["second"] in found.length
    assert "<svg" in shown["second_drawing"]


@pytest.mark.django_db
def test_a_board_can_go_and_come_back(weaver: Client) -> None:
    before = len(current_snapshot().guild.boards)
    assert weaver.post("/boards/table/remove", {"version": "1"}).status_code == 302
    assert len(current_snapshot().guild.boards) == before - 1
    undo = re.search(r"/guild/undo/\d+", weaver.get("/guild").content.decode())
    assert undo
    weaver.post(undo.group())
    assert len(current_snapshot().guild.boards) == before


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("width", [360, 1440])
def test_a_board_is_drawn_with_the_finger_and_moved_with_the_keys(
    demo: None, chromium: Browser, live_server: object, width: int
) -> None:
    pages = fresh(chromium, str(live_server), width)
    page = next(pages)
    page.goto("/")
    page.get_by_role("link", name="Looms", exact=True).click()
    page.get_by_role("link", name="Warping boards").click()
    page.get_by_role("link", name="New board").click()
    page.get_by_label("Name").fill("Shed door")
    for across, down in ((0.2, 0.2), (0.45, 0.2), (0.7, 0.2), (0.15, 0.7), (0.85, 0.7)):
        tap(page, across, down)
    expect(page.get_by_label("Peg 5", exact=True)).to_have_value("e")
    expect(page.get_by_label("Start")).to_have_value("a")
    expect(page.get_by_label("Second peg of the cross")).to_have_value("c")
    peg = page.get_by_role("button", name=re.compile("^peg e"))
    x = page.get_by_label("x of peg 5")
    before = float(x.input_value().split()[0])
    peg.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert float(x.input_value().split()[0]) == pytest.approx(before + 0.5)
    x.fill("30 in")
    expect(page.get_by_role("button", name=re.compile("^peg e, 30 in"))).to_be_visible()
    page.get_by_role("button", name="Save board").click()
    page.get_by_role("link", name="Shed door", exact=True).click()
    expect(page.get_by_label("x of peg 5")).to_have_value("30 in")
    page.goto("/warps/towels")
    page.get_by_role("link", name="Warping path").click()
    page.get_by_role("link", name="Board on the back wall").click()
    page.get_by_role("button", name="Use this path").click()
    expect(page.get_by_role("heading", name="towels")).to_be_visible()
    next(pages, None)


def tap(page: Page, across: float, down: float) -> None:
    """A tap on the drawing, at these shares of its width and height."""
    drawing = page.get_by_label("The board, to scale")
    drawing.scroll_into_view_if_needed()
    box = drawing.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + across * box["width"], box["y"] + down * box["height"])


@pytest.mark.django_db
def test_the_guild_file_carries_the_boards_out_and_in(weaver: Client) -> None:
    weaver.post("/boards-new", typed())
    text = weaver.get("/guild/guild.toml").content
    guild = guildfile.decode(guildfile.parse(text))
    assert guild.boards == current_snapshot().guild.boards
    assert [board.key for board in guild.boards] == ["wall", "table", "hall-board"]
