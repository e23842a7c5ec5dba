"""A server of its own on 127.0.0.1, and a browser without a screen for it."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from contextlib import closing
from html.parser import HTMLParser
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any

Form = dict[str, str]
LONGEST_S = 60  # of an answer


class Server:
    """``loomready open`` on a home."""

    def __init__(self, home: Path, *more: str, source: Path | None = None, script: str = "") -> None:
        """
        :param source: folder of another version's packages, run in the place of this one
        :param script: Python to run in the place of ``-m loomready``
        """
        environment = os.environ | ({"PYTHONPATH": str(source)} if source else {})
        program = ["-c", script] if script else ["-m", "loomready"]
        command = [sys.executable, *program, "open", "--home", str(home), "--no-browser"]
        pipe = subprocess.PIPE
        self.process = subprocess.Popen(
            [*command, "--port", "0", *more], stdout=pipe, stderr=pipe, text=True, env=environment
        )
        self.address = ""

    def ready(self) -> bool:
        """Wait until it answers; False where it ended instead."""
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        self.address = next((word for word in line.split() if word.startswith("http://")), "").rstrip("/")
        return bool(self.address)

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.communicate()

    def end(self) -> None:
        """Kill it if it still runs."""
        if self.process.poll() is None:
            self.kill()

    def close(self) -> str:
        """End it as Ctrl-C does: what it wrote to standard error."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        try:
            return self.process.communicate(timeout=30)[1]
        except subprocess.TimeoutExpired:
            self.process.kill()
            return "it did not end"

    def children(self) -> list[int]:
        found = []
        for task in Path(f"/proc/{self.process.pid}/task").glob("*/children"):
            try:
                found += [int(each) for each in task.read_text().split()]
            except OSError:
                continue
        return found

    def megabytes(self) -> float:
        for line in Path(f"/proc/{self.process.pid}/status").read_text().splitlines():
            if line.startswith("VmRSS:"):
                return int(line.split()[1]) / 1024
        return 0.0


class Browser:
    """Asks one server, with cookies, and fills its forms."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.jar = CookieJar()
        self._held: Form = {}
        self._opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(self.jar))

    def get(self, path: str) -> tuple[int, str]:
        return self._asked(urllib.request.Request(f"{self.address}{path}"))

    def post(self, path: str, form: Form, look_at: str = "/guild") -> tuple[int, str]:
        return self._sent(path, urllib.parse.urlencode(form | self._token(look_at)).encode(), {})

    def post_json(self, path: str, body: Any) -> tuple[int, str]:
        token = self._token("/guild")["csrfmiddlewaretoken"]
        heads = {"Content-Type": "application/json", "X-CSRFToken": token}
        return self._sent(path, json.dumps(body).encode(), heads)

    def post_file(self, path: str, data: bytes, form: Form, look_at: str) -> tuple[int, str]:
        edge, parts = "----edge", []
        for name, value in (form | self._token(look_at)).items():
            parts.append(
                f'--{edge}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode()
            )
        head = f'--{edge}\r\nContent-Disposition: form-data; name="file"; filename="b.zip"\r\n\r\n'
        body = b"".join([*parts, head.encode(), data, f"\r\n--{edge}--\r\n".encode()])
        return self._sent(path, body, {"Content-Type": f"multipart/form-data; boundary={edge}"})

    def forms(self, path: str) -> list[tuple[str, Form]]:
        """The forms on a page: where each goes, and what it holds."""
        return forms_in(self.get(path)[1])

    def _token(self, look_at: str) -> Form:
        for _action, form in [] if self._held else self.forms(look_at):
            if "csrfmiddlewaretoken" in form:
                self._held = {"csrfmiddlewaretoken": form["csrfmiddlewaretoken"]}
        if not self._held:
            raise RuntimeError(f"no form at {look_at}")
        return self._held

    def _sent(self, path: str, data: bytes, heads: dict[str, str]) -> tuple[int, str]:
        heads = {"Referer": f"{self.address}/"} | heads
        return self._asked(urllib.request.Request(f"{self.address}{path}", data, heads))

    def _asked(self, request: urllib.request.Request) -> tuple[int, str]:
        try:
            with self._opener.open(request, timeout=LONGEST_S) as answer:
                return answer.status, answer.read().decode(errors="replace")
        except urllib.error.HTTPError as error:
            return error.code, error.read().decode(errors="replace")
        except urllib.error.URLError as error:
            if isinstance(error.reason, TimeoutError):
                raise error.reason from None
            raise


class _Forms(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, Form]] = []
        self._select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        held = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.found.append((held.get("action", ""), {}))
        if not self.found:
            return
        form, name = self.found[-1][1], held.get("name", "")
        kind = held.get("type", "text")
        ticked = kind not in ("checkbox", "radio") or "checked" in held
        if (tag == "input" and name and kind not in ("submit", "file") and ticked) or tag == "textarea":
            form[name] = held.get("value", "")
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select and ("selected" in held or self._select not in form):
            form[self._select] = held.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""


def forms_in(page: str) -> list[tuple[str, Form]]:
    reader = _Forms()
    reader.feed(page)
    return reader.found


def rows(home: Path, query: str, *values: Any) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(home / "guild.sqlite3", timeout=20)) as database:
        return database.execute(query, values).fetchall()


def wait_for(path: str, browser: Browser, seconds: float = 60.0) -> tuple[int, str]:
    """The page behind work that takes a while."""
    until = time.monotonic() + seconds
    while True:
        status, page = browser.get(path)
        if "<progress" not in page or time.monotonic() > until:
            return status, page
        time.sleep(0.2)
