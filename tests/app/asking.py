"""What tests of pages share: which pages there are, and how a browser without a screen asks for them."""

from __future__ import annotations

import io
import re
import time
import zipfile

from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client

from tests.app.conftest import DRAFTS, PATIENCE_MS

PATIENCE_S = PATIENCE_MS / 1000

PAGES = (
    "/",
    "/shelf",
    "/shelf/new-yarn",
    "/shelf/yarn/wool-rust",
    "/shelf/new-cone",
    "/shelf/cone/fern-big",
    "/shelf/cone/fern-big/weigh",
    "/shelf/cone/fern-big/ledger",
    "/looms",
    "/looms/new",
    "/looms/loom/porch",
    "/looms/new-reed",
    "/looms/reed/8-dent",
    "/drafts",
    "/drafts/drafts/broken-twill.wif/look",
    "/find-draft",
    "/find-draft?warp=scarves",
    "/drafts/drafts/broken-twill.wif/edit",
    "/drafts-new",
    "/make",
    "/make?loom=4",
    "/make/huck-lace",
    "/make/point-twill?shafts=24&tieup=2/2",
    "/drafts/drafts/advancing-waves.wif/turn",
    "/drafts/drafts/advancing-waves.wif/turn/face-down",
    "/drafts/drafts/broken-twill.wif/turn/treadles",
    "/drafts/drafts/broken-twill.wif/balance",
    "/drafts/drafts/advancing-waves.wif/balance",
    "/drafts/drafts/broken-twill.wif/tabby",
    "/drafts/drafts/broken-twill.wif/warp",
    "/warps",
    "/warps-new",
    "/warps/scarves",
    "/warps/scarves/cloth",
    "/warps/scarves/colors",
    "/warps/scarves/size",
    "/warps/scarves/stripes",
    "/steps",
    "/boards",
    "/boards-new",
    "/boards-new?layout=mill",
    "/boards/wall",
    "/boards/wall/path?length=5",
    "/boards-for/scarves",
    "/records",
    "/records/scarves",
    "/guild",
    "/share",
    "/join",
)


def form_of(client: Client, address: str) -> dict[str, str]:
    """What a form holds as the page shows it."""
    text = re.sub(r"\s+", " ", client.get(address).content.decode())
    text = text[text.index('class="choices"') :] if "choices" in text else text
    made = dict(re.findall(r'name="([\w-]+)" value="([^"]*)" type="(?:text|date|time|color)"', text))
    for name, options in re.findall(r'<select id="[\w-]+" name="([\w-]+)".*?>(.*?)</select>', text, re.S):
        chosen = re.search(r'value="([^"]*)" selected', options)
        made[name] = chosen.group(1) if chosen else ""
    for name in re.findall(r'type="checkbox" id="[\w-]+" name="([\w-]+)" value="yes" checked', text):
        made[name] = "yes"
    version = re.search(r'name="version" value="(\d+)"', text)
    return made | ({"version": version.group(1)} if version else {})


def made_by(client: Client, address: str, posted: dict[str, str] | None = None) -> bytes:
    """The file that a piece of work makes, once it is done."""
    work = client.post(address, posted or {}).headers["Location"]
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        if 'id="ready"' in client.get(work).content.decode():
            return client.get(f"{work}/file").content
        time.sleep(0.05)
    raise AssertionError(client.get(work).content.decode())


def through(client: Client, response: HttpResponse) -> HttpResponse:
    """The page behind an answer, work waited for."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        if "Location" in response.headers:
            response = client.get(response.headers["Location"])
        elif "<progress" in response.content.decode():
            time.sleep(0.05)
            response = client.get(response.wsgi_request.path)  # type: ignore[attr-defined]
        else:
            return response
    raise AssertionError(response.content.decode())


def brought(client: Client, data: bytes, clashes: str = "theirs") -> str:
    """Bring a file in and confirm it: the page that compared."""
    response = client.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", data)})
    page = through(client, response).content.decode()
    token = re.search(r'name="token" value="(\w+)"', page)
    assert token is not None, page
    through(client, client.post("/guild/bring/confirmed", {"token": token.group(1), "clashes": clashes}))
    return page


def zip_with(path: str) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as zipped:
        zipped.writestr("guild.toml", '[guild]\nname = "Elsewhere"\n')
        zipped.writestr(path, (DRAFTS / "broken-twill.wif").read_bytes())
    return made.getvalue()
