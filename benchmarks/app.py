"""The web app as a weaver meets it: the first page after the command, and the answer to a turned width."""

from __future__ import annotations

import re
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.parse
import urllib.request
from http.cookiejar import CookieJar

from benchmarks.timing import Row

_FIELD = re.compile(r'name="([\w-]+)" value="([^"]*)" type="(?:text|date|color)"')
_SELECT = re.compile(r'<select id="[\w-]+" name="([\w-]+)".*?value="([^"]*)" selected', re.DOTALL)


def run() -> list[Row]:
    with tempfile.TemporaryDirectory() as home:
        command = [sys.executable, "-m", "loomready", "open", "--home", home, "--port", "0"]
        begin = time.perf_counter()
        process = subprocess.Popen(
            [*command, "--no-browser", "--demo"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        try:
            if process.stdout is None:
                raise RuntimeError("no output of loomready open")
            address = process.stdout.readline().split()[4].rstrip("/")
            urllib.request.urlopen(f"{address}/shelf").read()
            first = time.perf_counter() - begin
            answers = [_answer(address, warp) for warp in ("scarves", "cushions", "towels")]
        finally:
            process.terminate()
            process.wait(timeout=20)
    return [
        Row("open the demo guild, first page", first, "1.5 s", 1.5, limit=1.0),
        *(
            Row(f"planning page answers, {warp}", seconds, "0.1 s", 0.1, limit=1.0)
            for warp, seconds in zip(("scarves", "cushions", "towels"), answers, strict=True)
        ),
    ]


def _answer(address: str, warp: str) -> float:
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
        fields["finished_width"] = f"{8 + step * 0.75} in"
        request = urllib.request.Request(
            f"{address}/warps/{warp}",
            urllib.parse.urlencode(fields).encode(),
            {"HX-Request": "true", "Referer": f"{address}/"},
        )
        begin = time.perf_counter()
        answer = client.open(request).read().decode()
        took.append(time.perf_counter() - begin)
        if fields["finished_width"] not in answer or "Nothing is saved" in answer:
            raise RuntimeError("the planning page did not take the width")
    return statistics.median(took)
