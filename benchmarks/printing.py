"""Packets printed one after the other by one server, and many by the command line: the memory they take."""

from __future__ import annotations

import json
import re
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.parse
import urllib.request
from http.cookiejar import CookieJar
from pathlib import Path

from benchmarks.app import opened
from benchmarks.timing import Row, calibrate, promise
from loomready.packet.apart import AT_ONCE

PACKETS = 40
KEEPS_MB = 60  # files of the last packets, and what any page leaves
WARPS, THEY_TAKE_MB = 12, 750
# Prints the guild's warps again and again under other keys: what one packet takes differs by warp.
_MANY = """
import json, resource, sys
from dataclasses import replace
from pathlib import Path
from loomready import guildfile
from loomready.packet.packet import write_packets
from loomready.warp.plan import plan_guild
loaded, count = guildfile.load(Path(sys.argv[1])), int(sys.argv[2])
orders = loaded.guild.warps
warps = tuple(replace(orders[n % len(orders)], key=f"warp-{n}", own_name=None) for n in range(count))
plan = plan_guild(replace(loaded.guild, warps=warps), loaded.drafts)
assert len(write_packets(plan, Path(sys.argv[3]))) == count
who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
print(json.dumps([resource.getrusage(each).ru_maxrss / 1024 for each in who]))
"""


def run() -> list[Row]:
    with tempfile.TemporaryDirectory() as home, opened(home, "--demo") as (address, process):
        _print(address)
        before = _resident_mb(process)
        took = []
        for _packet in range(PACKETS):
            begin = time.perf_counter()
            _print(address)
            took.append(time.perf_counter() - begin)
            calibrate()
        grown = max(0.0, _resident_mb(process) - before)
    return [
        Row(
            f"memory of {WARPS} packets from a command, at most",
            _many(),
            f"{THEY_TAKE_MB} MB",
            THEY_TAKE_MB,
            1.0,
            "MB",
        ),
        Row(f"memory kept after {PACKETS} packets", grown, f"{KEEPS_MB} MB", KEEPS_MB, 1.0, unit="MB"),
        promise("a packet of the demo, from the button to the file", statistics.median(took), 3.0),
    ]


def _many() -> float:
    """The most that the command and its processes can have held at once."""
    demo = Path(__file__).parents[1] / "demo" / "guild.toml"
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-c", _MANY, str(demo), str(WARPS), folder]
        said = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=True).stdout
    own, largest_child = json.loads(said)
    return float(own + AT_ONCE * largest_child)


def _print(address: str) -> None:
    client = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
    page = client.open(f"{address}/warps/scarves").read().decode()
    token = re.search(r'csrfmiddlewaretoken" value="([^"]+)', page)
    if token is None:
        raise RuntimeError("no form on the plan page")
    form = urllib.parse.urlencode({"csrfmiddlewaretoken": token.group(1)}).encode()
    sent = urllib.request.Request(f"{address}/warps/scarves/packet", form, {"Referer": f"{address}/"})
    work = client.open(sent).geturl()
    for _look in range(600):
        if 'id="ready"' in client.open(work).read().decode():
            break
        time.sleep(0.05)
    if not client.open(f"{work}/file").read().startswith(b"%PDF"):
        raise RuntimeError("no packet came")


def _resident_mb(process: int) -> float:
    text = Path(f"/proc/{process}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+) kB", text)
    if found is None:
        raise RuntimeError("this system does not tell the memory of a process")
    return int(found.group(1)) / 1024
