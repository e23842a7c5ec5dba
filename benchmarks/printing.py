"""Packets printed one after the other by one server: the memory that stays with it."""

from __future__ import annotations

import re
import statistics
import tempfile
import time
import urllib.parse
import urllib.request
from http.cookiejar import CookieJar
from pathlib import Path

from benchmarks.app import opened
from benchmarks.timing import Row, calibrate, promise

PACKETS = 40
KEEPS_MB = 60  # files of the last packets, and what any page leaves


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
        Row(f"memory kept after {PACKETS} packets", grown, f"{KEEPS_MB} MB", KEEPS_MB, 1.0, unit="MB"),
        promise("a packet of the demo, from the button to the file", statistics.median(took), 3.0),
    ]


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
