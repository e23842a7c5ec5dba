"""Packets are laid out in processes of their own: a few at a time, canceled when nobody wants them."""

from __future__ import annotations

import io
import re
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from django.test import Client
from PIL import Image

from loomready import guildfile
from loomready.app import printing
from loomready.app.background import Canceled
from loomready.packet import apart
from loomready.packet.options import SHEETS, Options
from loomready.packet.packet import packet_pdf
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests.app.asking import made_by, through

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module")
def plan() -> WarpPlan:
    loaded = guildfile.load(DEMO / "guild.toml")
    return plan_guild(loaded.guild, loaded.drafts, until="scarves").warps[-1]


def still() -> None:
    """It is wanted."""


def test_a_packet_made_apart_is_the_same_to_the_byte(plan: WarpPlan) -> None:
    assert printing.packet(plan, 3, still) == packet_pdf(plan, version=3)


def test_what_the_packet_refuses_is_its_own_line(plan: WarpPlan, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(apart, "COMMAND", ("-c", "import sys; print('no', file=sys.stderr); sys.exit(2)"))
    with pytest.raises(BadInput, match=r"^no$"):
        printing.packet(plan, None, still)


def test_a_packet_that_nobody_wants_any_more_stops_its_process(
    plan: WarpPlan, monkeypatch: pytest.MonkeyPatch
) -> None:
    started: list[subprocess.Popen[bytes]] = []
    real = subprocess.Popen

    def kept(*args: object, **more: object) -> subprocess.Popen[bytes]:
        started.append(real(*args, **more))  # type: ignore[call-overload]
        return started[-1]

    def unwanted() -> None:
        raise Canceled

    monkeypatch.setattr(subprocess, "Popen", kept)
    monkeypatch.setattr(apart, "COMMAND", ("-c", "import time; time.sleep(60)"))
    began = time.monotonic()
    with pytest.raises(Canceled):
        printing.packet(plan, None, unwanted)
    assert started[0].poll() is not None
    assert time.monotonic() - began < 20


def test_a_packets_process_ends_by_itself_if_its_server_ended_before_it_began() -> None:
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    command = [sys.executable, *apart.COMMAND, str(ended.pid)]
    with subprocess.Popen(command, stdin=subprocess.PIPE) as process:  # the plan never comes
        assert process.wait(30) == 3


def test_no_more_than_two_are_laid_out_at_once(plan: WarpPlan, monkeypatch: pytest.MonkeyPatch) -> None:
    now, most, guard = 0, 0, threading.Lock()

    def laid_out(*_asked: object, **_more: object) -> bytes:
        nonlocal now, most
        with guard:
            now += 1
            most = max(most, now)
        time.sleep(0.05)
        with guard:
            now -= 1
        return b""

    monkeypatch.setattr(printing, "apart", laid_out)
    waiting = [threading.Thread(target=printing.packet, args=(plan, None, still)) for _ in range(9)]
    for each in waiting:
        each.start()
    for each in waiting:
        each.join()
    assert most == printing.AT_ONCE


@pytest.mark.django_db(transaction=True)
def test_one_device_has_only_so_many_under_way(weaver: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    go = threading.Event()

    def slow(*_asked: object, **_more: object) -> bytes:
        go.wait(20)
        return b"%PDF"

    monkeypatch.setattr(printing, "apart", slow)
    for _ in range(printing.FOR_ONE):
        assert weaver.post("/warps/scarves/packet").status_code == 302
    refused = weaver.post("/warps/scarves/packet")
    assert refused.status_code == 429
    assert "packets under way already" in refused.content.decode()
    go.set()
    for thread in threading.enumerate():
        if "_run" in thread.name:
            thread.join(20)
    assert made_by(weaver, "/warps/scarves/packet") == b"%PDF"


@pytest.mark.django_db(transaction=True)
def test_the_page_prints_what_was_chosen_there(weaver: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    def laid_out(wanted: apart.PacketWanted, *_more: object) -> bytes:
        asked.append(wanted.options)
        return b"%PDF"

    monkeypatch.setattr(printing, "apart", laid_out)
    page = weaver.get("/warps/scarves").content.decode()
    assert all(f'name="{name}"' in page for name in ("every_pick", "large", "hours", "paper", "what"))
    every = {"every_pick": "yes", "large": "yes", "hours": "yes", "paper": "a4", "what": "card"}
    for chosen in ({}, every, {"paper": "a0", "what": "sheets"}):
        assert made_by(weaver, "/warps/scarves/packet", chosen) == b"%PDF"
    assert asked == [Options(), Options("a4", True, True, True, True), Options()]


def test_chosen_sheets_alone_are_in_the_packet(plan: WarpPlan) -> None:
    whole, alone = (packet_pdf(plan, Options(sheets=each)) for each in ((), ("threading",)))
    assert len(alone) < len(whole)
    assert printing.options_of({"only": "threading"}, ["project", "winding"]).sheets == ("threading",)
    assert printing.options_of({}, ["weaving", "winding", "moon"]).sheets == ("winding", "weaving")
    assert printing.options_of({}, list(printing.SHEET_LABELS)).sheets == ()
    assert tuple(printing.SHEET_LABELS) == SHEETS


@pytest.mark.django_db
def test_sheets_are_seen_before_they_are_printed_and_printed_as_they_were_seen(weaver: Client) -> None:
    asked = {"sheet": ["threading", "weaving"], "paper": "a4", "large": "yes"}
    response = through(weaver, weaver.post("/warps/scarves/packet", asked | {"look": "yes"}))
    page = response.content.decode()
    assert "Sheets to print" in page
    pages = re.findall(r'<img src="(/work/\w+/sheet-\d+\.png)"', page)
    assert pages
    picture = Image.open(io.BytesIO(weaver.get(pages[0]).content))
    assert picture.height / picture.width == pytest.approx(297 / 210, abs=0.01)
    assert weaver.get(pages[-1].replace(f"-{len(pages)}.", f"-{len(pages) + 1}.")).status_code == 404
    form = page[page.index('action="/warps/scarves/packet"') :]
    again = re.findall(r'type="hidden" name="(\w+)" value="([^"]+)"', form[: form.index("</form>")])
    assert sorted(again)[1:] == [
        ("large", "yes"),
        ("paper", "a4"),
        ("sheet", "threading"),
        ("sheet", "weaving"),
    ]
