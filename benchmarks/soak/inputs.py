"""Odd inputs over every reader, each in a process of its own: no crash, none slow, none that takes much room.

Inputs are good ones changed at random; where atheris is installed, those of files and texts also follow the
code that they reach (see guided).
"""

from __future__ import annotations

import io
import json
import os
import random
import resource
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from benchmarks.soak import guided
from benchmarks.soak.result import Result

ROOT = Path(__file__).parents[2]
# How many inputs each reader gets, and its share of the time: a form takes far longer than a count.
SIZES = {
    "guild file": (20_000, 14),
    "WIF": (150_000, 18),
    "app.json": (400_000, 8),
    "backup": (80_000, 13),
    "quantities": (150_000, 9),
    "counts": (185_000, 8),
    "forms": (7_000, 20),
    "posts of scripts": (8_000, 10),
}
MOST_S, MOST_MB = 1.0, 300.0  # processor time of one input; memory of the process above that at its start
Reader = Callable[[bytes], object]
ODD = [
    *(
        b"",
        b"\x00",
        b"\xff\xfe",
        b"\xed\xa0\x80",
        "²½١⁴".encode(),
        b"\xc2\xa0",
        b"\r",
        b"\n\n",
        b"'''",
        b'"""',
    ),
    *(b"nan", b"inf", b"-0", b"1e999", b"9" * 400, b"-1", b"0", b"1/0", b"1.5.2", b"0x1f", b"1_000"),
    *(b"[" * 500, b"{" * 500, b"a." * 300, b"key = ", b"[[warps]]\n", b"[[", b"]]", b"= {", b"\\ud800"),
    *(b"null", b"true", b"{}", b"[]", b" in", b" yd", b"/2 Ne", b"tex", b"..", b"/", b"%s", b"%(x)d", b"{x}"),
    *(b"2026-13-40", b"0001-01-01", b"9999-12-31T23:59:60Z", b"1,234", b"\\u0000"),
    *(b"[THREADING]\r\n", b"Threads=99999999\r\n", b"1=1\r\n"),
]
QUANTITIES = (
    "20 in",
    "8 1/2 in",
    "51cm",
    "5 lb 3 oz",
    "0,5 m",
    "12 epi",
    "20/2 Ne",
    "1,234 g",
    "½ yd",
    "40 /in",
)
COUNTS = ("20/2 Ne", "2/8", "Tex 37x2", "R 74 tex 2", "1100 m/kg", "2/16 worsted", "20/22 den", "10/2 cotton")
SKIPPED = ("/backup", "/packet", "/treadles", "/find", "/undo", "/remove")  # forms that begin long work


def changed(data: bytes, chance: random.Random, others: list[bytes]) -> bytes:
    """The input with one to six things changed."""
    made = bytearray(data)
    for _change in range(chance.choice((1, 1, 2, 3, 6))):
        at = chance.randrange(len(made) + 1)
        end = min(len(made), at + chance.choice((1, 2, 8, 40, 400)))
        what = chance.randrange(8)
        if what == 0 and made:
            made[at % len(made)] ^= 1 << chance.randrange(8)
        elif what == 1:
            del made[at:end]
        elif what == 2:
            made[at:at] = chance.choice(ODD)
        elif what == 3:
            made[at:at] = made[at:end] * chance.choice((1, 2, 50))
        elif what == 4:
            lines = bytes(made).split(b"\n")
            chance.shuffle(lines)
            made = bytearray(b"\n".join(lines))
        elif what == 5:
            other = chance.choice(others)
            begin = chance.randrange(len(other) + 1)
            made[at:end] = other[begin : begin + chance.choice((4, 40, 400))]
        elif what == 6:
            made[at:end] = chance.choice(ODD)
        else:
            digits = [place for place, byte in enumerate(made) if 48 <= byte <= 57]
            if digits:
                place = chance.choice(digits)
                made[place : place + 1] = chance.choice((b"0", b"9", b"-1", b"1e9", b"99999", b"0.5", b"x"))
    return bytes(made)


def text_of(data: bytes) -> str:
    return data.decode("utf-8", "surrogateescape" if len(data) % 7 == 0 else "replace")


def _guild_files() -> list[bytes]:
    return [path.read_bytes() for path in sorted(ROOT.glob("demo/*.toml"))]


def _drafts() -> list[bytes]:
    return [path.read_bytes() for path in sorted(ROOT.glob("demo/drafts/*.wif"))]


def toml() -> tuple[list[bytes], Reader]:
    from loomready import guildfile

    return _guild_files(), lambda data: guildfile.decode(guildfile.parse(data))


def wif() -> tuple[list[bytes], Reader]:
    from loomready.draft.wif import reader, writer

    return _drafts(), lambda data: writer.dumps(reader.parse(data).draft)


def quantities() -> tuple[list[bytes], Reader]:
    from loomready import units
    from loomready.app.forms.quantity_input import plain
    from loomready.problems import BadInput

    kinds = [each for each in vars(units).values() if isinstance(each, units.Kind)]

    def read(data: bytes) -> None:
        text, refused = text_of(data), None
        for kind in kinds:
            for work in (units.read, lambda text, kind: plain(text, kind, "in")):
                try:
                    work(text, kind)
                except BadInput as error:
                    line_of(error)
                    refused = error
        if refused is not None:
            raise refused

    return [text.encode() for text in QUANTITIES], read


def counts() -> tuple[list[bytes], Reader]:
    from loomready.problems import BadInput
    from loomready.yarn.counts import parse_count, readings

    def read(data: bytes) -> None:
        text, refused = text_of(data), None
        for fiber in ("", "cotton", "linen", text[:20]):
            for work in (parse_count, readings):
                try:
                    work(text, fiber)
                except BadInput as error:
                    line_of(error)
                    refused = error
        if refused is not None:
            raise refused

    return [text.encode() for text in COUNTS], read


def app_json() -> tuple[list[bytes], Reader]:
    from loomready.app.archive import backup_extras
    from tests.app.archive.test_backup_reader import GOOD

    short = {"facts": {"towels": {"steps": [["winding", "0" * 16, "a" * 16, [1, 2, 1, 1]]]}}}
    return [json.dumps(GOOD).encode(), json.dumps(short).encode()], backup_extras.things_in


def backups() -> tuple[list[bytes], Reader]:
    from loomready.app.archive import guild_files

    made = []
    for method in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", method) as zipped:
            zipped.writestr("guild.toml", _guild_files()[0])
            for path in sorted(ROOT.glob("demo/drafts/*.wif")):
                zipped.write(path, f"drafts/{path.name}")
        made.append(out.getvalue())
    return made, lambda data: guild_files.unpack(data, "b.zip")


def _client() -> Any:
    from django.conf import settings
    from django.test import Client

    from loomready.app.archive.new_guild import begin_with
    from loomready.app.server import upgrade

    upgrade.bring_up_to_date(settings.HOME / "guild.sqlite3")
    begin_with("demo")
    return Client(headers={"host": "127.0.0.1"})


def forms() -> tuple[list[bytes], Reader]:
    """Every form of every page, its values changed. A crash is raised through the client."""
    from benchmarks.soak.server import forms_in
    from tests.app.asking import PAGES

    client = _client()
    found = []
    for page in PAGES:
        for action, form in forms_in(client.get(page, follow=True).content.decode()):
            path = action or page.split("?")[0]
            if not any(word in path for word in SKIPPED):
                found.append(json.dumps([path, form]).encode())

    def post(data: bytes) -> None:
        path, form = json.loads(data)
        answer = client.post(path, form)
        if answer.status_code >= 500:
            raise AssertionError(f"{path} answers {answer.status_code}")

    return found, post


OPERATIONS = (
    {"do": "thread", "first": 1, "shafts": [1, 2, 3]},
    {"do": "tie", "cells": [[1, 1], [2, 3]], "on": True},
    {"do": "tread", "cells": [[1, 1]], "on": False},
    {"do": "treadling", "first": 1, "rows": [[1], [2]]},
    {"do": "color", "side": "warp", "first": 1, "colors": [1, 2]},
    {"do": "palette", "number": 1, "value": "#aa3300"},
    {"do": "insert", "side": "weft", "before": 1, "count": 3},
    {"do": "delete", "side": "warp", "first": 1, "last": 2},
    {"do": "move", "side": "warp", "first": 1, "last": 2, "before": 5},
    {"do": "mirror", "side": "warp", "first": 1, "last": 4, "turn": "once"},
    {"do": "repeat", "side": "weft", "first": 1, "last": 4, "times": 3},
    {"do": "slide", "side": "warp", "first": 1, "last": 8, "by": 1},
    {"do": "count", "what": "shafts", "to": 8},
    {"do": "lifting", "by": "lift plan"},
    {"do": "shed", "rising": False, "keep": "cloth"},
)


def posts() -> tuple[list[bytes], Reader]:
    """What scripts send: steps, and the editor's operations on the version of the draft there is."""
    from loomready.app.models import Record
    from loomready.app.state import store

    client, key = _client(), "drafts/broken-twill.wif"
    first = Record.objects.get(key=key).fields
    sent = 0
    good: list[tuple[str, Any]] = [
        ("/beside/towels/facts", {"facts": [["winding", "0" * 16, 1, 2, 1, 1, "a" * 16]]}),
        *((f"/drafts/{key}/edit/do", {"version": 1, "operations": [each]}) for each in OPERATIONS),
    ]

    def post(data: bytes) -> None:
        nonlocal sent
        sent += 1
        version = Record.objects.get(key=key).version
        if sent % 50 == 0:
            store.write("drafts", key, first, version=version, who="soak")
        path, _empty, body = data.partition(b"\n")
        body = body.replace(b'"version": 1,', b'"version": %d,' % version)
        answer = client.post(path.decode(), body, content_type="application/json")
        if answer.status_code >= 500:
            raise AssertionError(f"{path!r} answers {answer.status_code}")

    return [path.encode() + b"\n" + json.dumps(body).encode() for path, body in good], post


READERS: dict[str, Callable[[], tuple[list[bytes], Reader]]] = {
    "guild file": toml,
    "WIF": wif,
    "app.json": app_json,
    "backup": backups,
    "quantities": quantities,
    "counts": counts,
    "forms": forms,
    "posts of scripts": posts,
}


def line_of(error: Any) -> None:
    """A refusal is one line that a browser can be sent."""
    said = error.line()
    said.encode("utf-8", "surrogateescape")
    if "\n" in said:
        raise AssertionError(f"a refusal of several lines: {said!r}")


def _odd_form(data: bytes, chance: random.Random, others: list[bytes]) -> bytes:
    path, form = json.loads(data)
    for name in chance.sample(sorted(form), min(len(form), chance.choice((1, 1, 2, 5)))):
        if name != "csrfmiddlewaretoken":
            form[name] = changed(form[name].encode(), chance, others).decode("utf-8", "replace")
    return json.dumps([path, form]).encode()


def _odd_post(data: bytes, chance: random.Random, others: list[bytes]) -> bytes:
    path, _empty, body = data.partition(b"\n")
    return path + b"\n" + changed(body, chance, others)


class Tally:
    """Reads one input after the other and notes what is wrong."""

    def __init__(self, name: str, read: Reader) -> None:
        self.name, self.read = name, read
        self.count = self.refused = 0
        self.slowest = 0.0
        self.begin_mb = self.room_mb = _megabytes()
        self.faults: dict[str, str] = {}

    def one(self, data: bytes) -> None:
        from loomready.problems import BadInput

        self.count += 1
        begin = time.process_time()
        try:
            try:
                self.read(data)
            except BadInput as error:
                self.refused += 1
                line_of(error)
        except Exception as error:
            where = error.__traceback__
            while where is not None and where.tb_next is not None:
                where = where.tb_next
            place = f"{Path(where.tb_frame.f_code.co_filename).name}:{where.tb_lineno}" if where else ""
            self._fault(f"{type(error).__name__} at {place}: {str(error)[:120]}", data)
        took = time.process_time() - begin
        self.slowest = max(self.slowest, took)
        if took > MOST_S:
            self._fault(f"an input takes {took:.1f} s", data)
        if _megabytes() - self.room_mb > MOST_MB:
            self._fault(f"memory grew by {_megabytes() - self.room_mb:.0f} MB", data)
            self.room_mb = _megabytes()

    def _fault(self, says: str, data: bytes) -> None:
        says = f"{self.name}: {says}"
        if says not in self.faults:
            self.faults[says] = _kept(data)

    def write(self, place: Path) -> None:
        told = {
            "inputs": self.count,
            "refused": self.refused,
            "slowest_s": round(self.slowest, 2),
            "grew_mb": round(_megabytes() - self.begin_mb),
            "faults": [f"{says} (input kept in {kept})" for says, kept in self.faults.items()],
        }
        place.write_text(json.dumps(told))


def one(name: str, seconds: float, size: int, seed: int, place: Path) -> None:
    """Try a reader until ``size`` inputs or ``seconds`` are over, and write what was found."""
    follows = name in guided.READERS and guided.is_here()
    if follows:
        guided.watch()
    import django

    django.setup()
    chance = random.Random(f"{seed} {name}")
    seeds, read = READERS[name]()
    tally = Tally(name, read)
    until = time.monotonic() + seconds
    half = size // 2 if follows else size
    other = {"forms": _odd_form, "posts of scripts": _odd_post}.get(name, changed)
    while tally.count < half and time.monotonic() < (until - seconds / 2 if follows else until):
        tally.one(other(chance.choice(seeds), chance, seeds))
    tally.write(place)
    if not follows:
        return
    rest = size - tally.count
    last_written = time.monotonic()

    def guided_one(data: bytes) -> None:
        nonlocal last_written
        tally.one(data)
        if time.monotonic() > last_written + 1 or tally.count == size:
            last_written = time.monotonic()
            tally.write(place)

    left = max(1.0, until - time.monotonic())
    kept = place.parent / "reached"
    guided.try_all(seeds, guided_one, changed, kept=kept, seconds=left, runs=rest, seed=seed)


def _kept(data: bytes) -> str:
    handle, place = tempfile.mkstemp(prefix="soak-input-")
    with os.fdopen(handle, "wb") as stream:
        stream.write(data)
    return place


def _megabytes() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def run(seconds: float, seed: int) -> Result:
    result, total = Result("odd inputs"), 0
    begin, share_left = time.monotonic(), sum(share for _size, share in SIZES.values())
    for name, (size, share) in SIZES.items():
        left = seconds - (time.monotonic() - begin)
        told = _of_reader(name, left * share / share_left, size, seed, result)
        share_left -= share
        total += told.get("inputs", 0)
        print(f"inputs: {name} {told.get('inputs', 0):,}", file=sys.stderr, flush=True)
    result.figures["all"] = f"{total:,} inputs"
    result.figures["following the code"] = (
        "half of files and texts" if guided.is_here() else "none: no atheris"
    )
    return result


def _of_reader(name: str, seconds: float, size: int, seed: int, result: Result) -> dict[str, Any]:
    with tempfile.TemporaryDirectory(prefix="soak-") as folder:
        place = Path(folder) / "told.json"
        named = {"LOOMREADY_HOME": folder, "DJANGO_SETTINGS_MODULE": "loomready.app.settings"}
        words = (name, str(seconds), str(size), str(seed), str(place))
        command = [sys.executable, "-m", "benchmarks.soak.inputs", *words]
        done = subprocess.run(command, env=os.environ | named, capture_output=True, text=True, cwd=ROOT)
        told: dict[str, Any] = json.loads(place.read_text()) if place.is_file() else {}
    if done.returncode or not told:
        result.faults.append(f"{name}: the process ended with {done.returncode}: {_why(done.stderr)}")
    if told:
        result.faults += told["faults"]
        result.figures[name] = (
            f"{told['inputs']:,} inputs, {told['refused']:,} refused in a line, "
            f"slowest {told['slowest_s']} s, {told['grew_mb']} MB more"
        )
    return told


def _why(said: str) -> str:
    """Of what a process wrote before it ended, the lines that say why."""
    lines = [line for line in said.splitlines() if "Error" in line or "xception" in line or "ERROR" in line]
    return " / ".join(lines[-6:]) or said[-300:]


if __name__ == "__main__":
    one(sys.argv[1], float(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]), Path(sys.argv[5]))
