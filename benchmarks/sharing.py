"""Fifty phones that joined ask whether something changed, all through one real process on this network."""

from __future__ import annotations

import http.client
import re
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse
import urllib.request
from http.cookiejar import CookieJar

from benchmarks.timing import Row, calibrate, promise

PHONES = 50
ASKS = 12  # each
CROWD = 1000  # connections that one stranger keeps opening, a byte every 4 s on each
LOOKS = 40  # of the owner beside them
PAUSE = 0.5  # s between two of them; a page pauses for three


def run() -> list[Row]:
    with tempfile.TemporaryDirectory() as home:
        command = [sys.executable, "-m", "loomready", "open", "--home", home, "--port", "0", "--share"]
        process = subprocess.Popen(
            [*command, "--no-browser", "--demo"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        try:
            if process.stdout is None:
                raise RuntimeError("no output of loomready open")
            network, here = re.findall(r"http://[\d.:]+", process.stdout.readline())
            cookies = [_join(here, network) for _phone in range(PHONES)]
            took = _all_ask(network, cookies)
            owner = _owner_beside_a_crowd(here, network)
        finally:
            process.terminate()
            process.wait(timeout=20)
    worst = statistics.quantiles(took, n=20)[-1]
    crowded = statistics.quantiles(owner, n=20)[-1]
    return [
        promise(f"{PHONES} phones ask for news, 95 % of answers", worst, 0.25),
        promise(
            f"{PHONES} phones ask for news, half of the answers",
            statistics.median(took),
            0.05,
        ),
        promise(
            f"home page, {CROWD:,} connections of one device trickle, 95 % of answers",
            crowded,
            0.5,
        ),
    ]


def _owner_beside_a_crowd(here: str, network: str) -> list[float]:
    """Seconds of each of the owner's looks at home while one address holds all the connections it can."""
    host, port = network.removeprefix("http://").split(":")
    enough = threading.Event()
    each = CROWD // 4
    crowd = [threading.Thread(target=_trickle, args=(host, int(port), each, enough)) for _ in range(4)]
    for one in crowd:
        one.start()
    time.sleep(2)
    took = []
    for _look in range(LOOKS):
        begin = time.perf_counter()
        with urllib.request.urlopen(f"{here}/", timeout=20) as answer:
            answer.read()
        took.append(time.perf_counter() - begin)
        calibrate()
        time.sleep(0.15)
    enough.set()
    for one in crowd:
        one.join()
    return took


def _trickle(host: str, port: int, count: int, enough: threading.Event) -> None:
    """So many connections, each opened again when the server closes it."""
    held: list[socket.socket | None] = [None] * count
    while not enough.is_set():
        begin = time.monotonic()
        for place, wire in enumerate(held):
            try:
                if wire is None:
                    held[place] = wire = socket.create_connection((host, port), timeout=1)
                wire.sendall(b"G")
            except OSError:
                held[place] = None
        enough.wait(max(0.0, 4 - (time.monotonic() - begin)))
    for wire in held:
        if wire is not None:
            wire.close()


def _join(here: str, network: str) -> str:
    """Let one device in, as two browsers would: its cookies."""
    page = _send(_browser(CookieJar()), here, "/share", "/share/code", role="helper")
    code = re.search(r'id="the-code">([\w-]+)<', page)
    if code is None:
        raise RuntimeError("the owner got no code")
    jar = CookieJar()
    _send(_browser(jar), network, "/join", "/join", code=code.group(1))
    held = [f"{each.name}={each.value}" for each in jar if each.name.startswith("device-")]
    if not held:
        raise RuntimeError("a phone was not let in")
    return held[0]


def _browser(jar: CookieJar) -> urllib.request.OpenerDirector:
    return urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar))


def _send(
    browser: urllib.request.OpenerDirector, address: str, look_at: str, send_to: str, **form: str
) -> str:
    page = browser.open(f"{address}{look_at}").read().decode()
    token = re.search(r'csrfmiddlewaretoken" value="([^"]+)', page)
    if token is None:
        raise RuntimeError(f"no form at {look_at}")
    data = urllib.parse.urlencode(form | {"csrfmiddlewaretoken": token.group(1)}).encode()
    return str(browser.open(f"{address}{send_to}", data).read().decode())


def _all_ask(network: str, cookies: list[str]) -> list[float]:
    """Seconds from every question to its answer, which must be 304."""
    took: list[float] = []
    wrong: list[int] = []

    def phone(cookie: str, number: int) -> None:
        server = http.client.HTTPConnection(network.removeprefix("http://"))
        server.request("GET", "/pulse", headers={"Cookie": cookie})
        first = server.getresponse()
        mark = first.headers["ETag"] or ""
        first.read()
        time.sleep(PAUSE * number / PHONES)
        for _ask in range(ASKS):
            begin = time.perf_counter()
            server.request("GET", "/pulse", headers={"Cookie": cookie, "If-None-Match": mark})
            answer = server.getresponse()
            answer.read()
            took.append(time.perf_counter() - begin)
            if answer.status != 304:
                wrong.append(answer.status)
            time.sleep(PAUSE)
        server.close()

    threads = [threading.Thread(target=phone, args=(cookie, number)) for number, cookie in enumerate(cookies)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    if wrong or len(took) != PHONES * ASKS:
        raise RuntimeError(f"{len(wrong)} answers were not 304, {PHONES * ASKS - len(took)} did not come")
    return took
