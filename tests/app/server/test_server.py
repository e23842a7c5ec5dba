"""What the server itself answers: files kept for good, strangers, and more than it takes."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

from loomready.app.server import static_url
from tests.app.server.test_home_folder import closed, opened


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[int, subprocess.Popen[str]]]:
    process = opened(tmp_path_factory.mktemp("server") / "home", "--demo")
    assert process.stdout is not None
    yield int(process.stdout.readline().split()[4].rsplit(":", 1)[1].rstrip("/")), process
    if process.returncode is None:
        closed(process)


def asked(port: int, line: str, host: str = "127.0.0.1", more: str = "") -> tuple[str, str]:
    """Head and body of the answer to a request."""
    with socket.create_connection(("127.0.0.1", port), timeout=20) as wire:
        wire.sendall(f"{line} HTTP/1.0\r\nHost: {host}\r\n{more}\r\n".encode())
        answer = b""
        while part := wire.recv(65536):
            answer += part
    first, _empty, rest = answer.decode(errors="replace").partition("\r\n\r\n")
    return first, rest


Server = tuple[int, subprocess.Popen[str]]


def test_styles_and_scripts_are_kept_for_good_under_an_address_of_their_content(server: Server) -> None:
    _head, page = asked(server[0], "GET /")
    files = re.findall(r'(?:href|src)="(/static/[^"]+)"', page)
    assert len(files) >= 4
    assert len({file.split("/")[2] for file in files}) == 1
    for file in files:
        head, _body = asked(server[0], f"GET {file}")
        assert " 200 " in head
        assert re.search(r"Cache-Control: max-age=3\d{8}, public, immutable", head), head
    script = next(file for file in files if file.endswith("app.js"))
    packed, _body = asked(server[0], f"GET {script}", more="Accept-Encoding: gzip\r\n")
    assert "Content-Encoding: gzip" in packed
    assert " 404 " in asked(server[0], "GET /static/0123456789ab/app/app.css")[0]


def test_another_content_has_another_address(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(static_url, "_folders", lambda: iter([tmp_path]))
    (tmp_path / "a.css").write_text("a { color: red }")
    first = static_url.prefix()
    (tmp_path / "a.css").write_text("a { color: tan }")
    second = static_url.prefix()
    (tmp_path / "a.css").rename(tmp_path / "b.css")
    assert len({first, second, static_url.prefix()}) == 3
    assert re.fullmatch(r"static/[0-9a-f]{12}/", second)


def test_a_body_that_is_too_large_gets_a_page_of_ours(server: Server) -> None:
    size = settings.MAX_BODY + 1
    head, page = asked(server[0], "POST /drafts", more=f"Content-Length: {size}\r\n")
    assert " 413 " in head
    assert "Content-Security-Policy: default-src 'none'" in head
    assert "That is too much at a time" in page
    assert "app.css" in page
    assert "waitress" not in page


def test_a_stranger_gets_one_line_and_the_terminal_none(tmp_path: Path) -> None:
    process = opened(tmp_path / "home", "--demo")
    assert process.stdout is not None
    port = int(process.stdout.readline().split()[4].rsplit(":", 1)[1].rstrip("/"))
    for host in ("evil.example", "a" * 300, "[::", "-"):
        head, body = asked(port, "GET /", host)
        assert " 400 " in head
        assert body.strip() == "This server answers only under its own address."
    _code, said = closed(process)
    assert said == "loomready is closed.\n"


def test_a_home_that_holds_a_guild_says_that_it_stays_as_it_is(tmp_path: Path) -> None:
    first = opened(tmp_path / "home", "--demo")
    assert first.stdout is not None
    first.stdout.readline()
    assert "stays as it is" not in closed(first)[1]
    for which in ("demo", "empty"):
        again = opened(tmp_path / "home", f"--{which}")
        assert again.stdout is not None
        again.stdout.readline()
        assert f"holds a guild already: it stays as it is, and --{which} does nothing." in closed(again)[1]


def test_the_first_page_of_the_demo_waits_for_no_slow_library(tmp_path: Path) -> None:
    """scipy and OR-Tools take a third of a second each to load, typst's compiler is for packets."""
    says = """
import sys
import django
from loomready.app.server.home_folder import DATABASE, prepare
from pathlib import Path
home = Path(sys.argv[1])
prepare(home)
django.setup()
from loomready.app.server import upgrade
upgrade.bring_up_to_date(home / DATABASE)
from loomready.app.archive.new_guild import begin_with
begin_with("demo")
from django.test import Client
page = Client(headers={"host": "127.0.0.1"}).get("/")
assert b"towels" in page.content, page.content
slow = {"scipy.special", "scipy.optimize", "scipy.sparse", "ortools", "typst", "networkx"}
print(sorted(slow & set(sys.modules)))
"""
    home = tmp_path / "home"
    named = os.environ | {"LOOMREADY_HOME": str(home), "DJANGO_SETTINGS_MODULE": "loomready.app.settings"}
    made = subprocess.run(
        [sys.executable, "-c", says, str(home)], env=named, capture_output=True, text=True, check=False
    )
    assert made.stdout == "[]\n", made.stderr


@pytest.mark.django_db
def test_a_cloth_of_another_content_is_not_there(weaver: Client) -> None:
    page = weaver.get("/warps/scarves").content.decode()
    found = re.search(r'src="(/warps/scarves/cloth-\w+\.png)"', page)
    assert found is not None
    assert weaver.get(found.group(1)).status_code == 200
    assert weaver.get("/warps/scarves/cloth-ANY.png").status_code == 404


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("back", "goes"),
    [
        ("/warps/scarves", "/warps/scarves"),
        ("//evil.example/", "/guild"),
        ("/\\evil.example/", "/guild"),
        ("https://evil.example/", "/guild"),
        ("\t//evil.example", "/guild"),
        ("guild", "/guild"),
    ],
)
def test_an_undo_goes_back_to_pages_of_ours_only(weaver: Client, back: str, goes: str) -> None:
    weaver.post("/warps/towels/step", {"step": "wound"})
    number = re.search(r"/guild/undo/(\d+)", weaver.get("/guild").content.decode())
    assert number is not None
    response = weaver.post(f"/guild/undo/{number.group(1)}", {"back": back})
    assert response.headers["Location"] == goes


def fetched(site: str, mode: str) -> str:
    return f"Sec-Fetch-Site: {site}\r\nSec-Fetch-Mode: {mode}\r\n"


def test_a_page_of_another_site_may_link_here_and_ask_for_nothing_else(server: Server) -> None:
    assert " 200 " in asked(server[0], "GET /shelf", more=fetched("cross-site", "navigate"))[0]
    for mode in ("no-cors", "cors", "websocket"):
        head, body = asked(server[0], "GET /drafts", more=fetched("cross-site", mode))
        assert " 403 " in head
        assert "another site" in body
    assert " 403 " in asked(server[0], "POST /guild/undo/1", more=fetched("cross-site", "navigate"))[0]
    assert " 200 " in asked(server[0], "GET /shelf", more=fetched("same-origin", "cors"))[0]
    assert " 200 " in asked(server[0], "GET /shelf")[0]
