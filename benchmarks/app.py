"""The web app as a weaver meets it: the first page after the command, and the answer to a turned width."""

from __future__ import annotations

import gzip
import io
import re
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.parse
import urllib.request
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.cookiejar import CookieJar

from benchmarks.timing import Row, calibrate, promise
from loomready.draft.draft import lift_plan
from loomready.draft.wif import writer

_FIELD = re.compile(r'name="([\w-]+)" value="([^"]*)" type="(?:text|date|color)"')
_SELECT = re.compile(r'<select id="[\w-]+" name="([\w-]+)".*?value="([^"]*)" selected', re.DOTALL)


WARPS = ("scarves", "cushions", "towels")
WIDE = """[guild]
name = "A wide loom"
[[yarns]]
key = "fine"
count = "20/2 Ne"
[[cones]]
yarn = "fine"
gross = "2000 g"
tare = "40 g"
[[looms]]
key = "wide"
kind = "countermarche"
shafts = 24
treadles = 24
weaving_width = "60 in"
heddles = [%s]
waste = "30 in"
[[reeds]]
key = "twenty"
dents = "20 /in"
width = "60 in"
[[warps]]
key = "wide"
loom = "wide"
draft = "drafts/wide.wif"
warp_yarns = ["fine"]
weft_yarns = ["fine"]
finished_width = "43.24 in"
items = [{ finished_length = "60 in" }]
sett = "40 /in"
ppi = "40 /in"
"""


def run() -> list[Row]:
    with tempfile.TemporaryDirectory() as home:
        begin = time.perf_counter()
        with opened(home, "--demo") as (address, _process):
            urllib.request.urlopen(f"{address}/shelf").read()
            first = time.perf_counter() - begin
            answers = [_answer(address, warp, lambda step: 8 + step * 0.75) for warp in WARPS]
            visits = [
                (page, _first_visit(address, page)) for page in ("/", "/shelf", "/drafts", "/warps/towels")
            ]
    with tempfile.TemporaryDirectory() as home, opened(home, "--empty") as (address, _process):
        _bring(address, _wide_guild())
        wide = _answer(address, "wide", lambda step: 43.24 + step * 0.05)
    return [
        promise("open the demo guild, first page", first, 1.5),
        *(
            promise(f"planning page answers, {warp}", seconds, 0.1)
            for warp, seconds in zip(WARPS, answers, strict=True)
        ),
        promise("planning page answers, 2,000 ends on 24 shafts", wide, 0.3),
        *(
            Row(f"all that comes with a first visit to {page}", size / 1000, "300 kB", 300, 1.0, unit="kB")
            for page, size in visits
        ),
    ]


@contextmanager
def opened(home: str, begin: str) -> Iterator[tuple[str, int]]:
    """A server of its own: its address, and the number of its process."""
    command = [
        sys.executable,
        "-m",
        "loomready",
        "open",
        "--home",
        home,
        "--port",
        "0",
        "--no-browser",
        begin,
    ]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        if process.stdout is None:
            raise RuntimeError("no output of loomready open")
        yield process.stdout.readline().split()[4].rstrip("/"), process.pid
    finally:
        process.terminate()
        process.wait(timeout=20)


def _first_visit(address: str, page: str) -> int:
    """Bytes on the wire, packed as sent: the page, its styles, scripts (and what they import), pictures."""
    wanted, size, seen = [page], 0, set()
    while wanted:
        path = wanted.pop()
        if path in seen:
            continue
        seen.add(path)
        request = urllib.request.Request(address + path, headers={"Accept-Encoding": "gzip"})
        with urllib.request.urlopen(request) as answer:
            data = answer.read()
            size += len(data)
            packed = answer.headers.get("Content-Encoding") == "gzip"
            kind = answer.headers.get_content_type()
        if kind not in ("text/html", "text/javascript", "text/css"):
            continue
        text = (gzip.decompress(data) if packed else data).decode()
        if kind == "text/html":
            found = re.findall(r'<(?:link|script|img)[^>]*?(?:href|src)="([^"]+)"', text)
        else:
            found = re.findall(r"""(?:from |import |import\(|url\()["']?([./][^"')]+)""", text)
        wanted += [urllib.parse.urljoin(path, each) for each in found if not each.startswith("data:")]
    return size


def _wide_guild() -> bytes:
    threading = [*range(1, 25), *range(23, 1, -1)]
    lifts = [[(shaft + pick) % 24 + 1 for shaft in range(0, 24, 2)] for pick in range(24)]
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as zipped:
        zipped.writestr("guild.toml", WIDE % ", ".join(["120"] * 24))
        zipped.writestr("drafts/wide.wif", writer.dumps(lift_plan(threading, lifts)))
    return made.getvalue()


def _bring(address: str, data: bytes) -> None:
    """Bring a guild in as the page does."""
    client = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))

    def token(page: str, name: str = "csrfmiddlewaretoken") -> str:
        found = re.search(rf'name="{name}" value="([^"]+)', page)
        if found is None:
            raise RuntimeError(f"no {name} on the page")
        return found.group(1)

    edge = "----edge"
    parts = [
        f'--{edge}\r\nContent-Disposition: form-data; name="csrfmiddlewaretoken"\r\n\r\n'.encode(),
        token(client.open(f"{address}/guild").read().decode()).encode(),
        f'\r\n--{edge}\r\nContent-Disposition: form-data; name="file"; filename="g.zip"\r\n\r\n'.encode(),
        data,
        f"\r\n--{edge}--\r\n".encode(),
    ]
    heads = {"Content-Type": f"multipart/form-data; boundary={edge}", "Referer": f"{address}/"}
    sent = urllib.request.Request(f"{address}/guild/bring", b"".join(parts), heads)
    page = client.open(sent).read().decode()
    form = {"csrfmiddlewaretoken": token(page), "token": token(page, "token"), "clashes": "theirs"}
    coded = urllib.parse.urlencode(form).encode()
    client.open(urllib.request.Request(f"{address}/guild/bring/confirmed", coded, {"Referer": f"{address}/"}))


def _answer(address: str, warp: str, inches: Callable[[int], float]) -> float:
    """Median seconds from a turned width to the page with its new plan; every width is a new one."""
    client = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
    took = []
    for step in range(9):
        page = client.open(f"{address}/warps/{warp}").read().decode()
        token = re.search(r'csrfmiddlewaretoken" value="([^"]+)', page)
        version = re.search(r'name="version" value="(\d+)"', page)
        if token is None or version is None:
            raise RuntimeError("no form on the planning page")
        form = page[page.index('class="choices"') :]
        fields = dict(_FIELD.findall(form)) | dict(_SELECT.findall(form))
        fields |= {"csrfmiddlewaretoken": token.group(1), "version": version.group(1)}
        fields |= dict.fromkeys(re.findall(r'name="([\w-]+)" value="yes" checked', form), "yes")
        fields["finished_width"] = f"{inches(step):.4g} in"
        request = urllib.request.Request(
            f"{address}/warps/{warp}",
            urllib.parse.urlencode(fields).encode(),
            {"HX-Request": "true", "Referer": f"{address}/"},
        )
        begin = time.perf_counter()
        answer = client.open(request).read().decode()
        took.append(time.perf_counter() - begin)
        calibrate(3)
        if fields["finished_width"] not in answer or "Nothing is saved" in answer:
            raise RuntimeError("the planning page did not take the width")
    return statistics.median(took)
