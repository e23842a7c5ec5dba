"""Beside the loom: a step on a throttled phone, and how large a saved file of a 1,000-end warp is.

Bytes stand in the table as if each were a microsecond: 500 kB are half a second.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import urllib.request
from pathlib import Path

from benchmarks.timing import Row, promise
from loomready.draft.draft import lift_plan
from loomready.draft.wif import writer
from tests.chromium import launch

SHAFTS, ENDS = 24, 1000
THROTTLE = 4  # times slower than this machine
_STEP = """async () => {
  const took = [];
  for (let at = 0; at < 40; at++) {
    const begin = performance.now();
    document.dispatchEvent(new KeyboardEvent("keydown", { key: "PageDown", bubbles: true }));
    document.body.getBoundingClientRect();
    await new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve, 0)));
    took.push(performance.now() - begin);
    await new Promise((resolve) => setTimeout(resolve, 30));
  }
  return took.sort((a, b) => a - b)[took.length >> 1] / 1000;
}"""


def guild_toml() -> str:
    """A warp of 1,000 ends on 24 shafts in two colors that change at every end."""
    return f"""
[guild]
name = "Bench"
[[yarns]]
key = "dark"
name = "Dark"
fiber = "cotton"
count = "20/2 Ne"
color = "#23324a"
[[yarns]]
key = "pale"
name = "Pale"
fiber = "cotton"
count = "20/2 Ne"
color = "#e9e2cf"
[[cones]]
yarn = "dark"
gross = "2000 g"
tare = "50 g"
[[cones]]
yarn = "pale"
gross = "2000 g"
tare = "50 g"
[[looms]]
key = "wide"
name = "Wide loom"
kind = "table"
shafts = {SHAFTS}
treadles = 0
weaving_width = "60 in"
heddles = {[100] * SHAFTS}
waste = "20 in"
[[reeds]]
key = "fifteen"
dents = "15 /in"
width = "60 in"
[[warps]]
key = "large"
loom = "wide"
draft = "drafts/large.wif"
warp_yarns = ["dark", "pale"]
weft_yarns = ["pale"]
finished_width = "{ENDS / 30 * 0.92 * 0.94:.3f} in"
items = [{{ finished_length = "40 in", count = 4 }}]
sett = "30 /in"
ppi = "28 /in"
"""


def prepare(folder: Path) -> Path:
    """The guild file and its draft in a folder."""
    ends = [1 + (each * 7 + each // 5) % SHAFTS for each in range(ENDS)]
    picks = [sorted({1 + (pick + step * 5) % SHAFTS for step in range(SHAFTS // 2)}) for pick in range(240)]
    draft = lift_plan(ends, picks, shafts=SHAFTS, warp_colors=[each % 2 for each in range(ENDS)])
    (folder / "drafts").mkdir()
    (folder / "drafts" / "large.wif").write_bytes(writer.dumps(draft))
    file = folder / "guild.toml"
    file.write_text(guild_toml())
    return file


def run() -> list[Row]:
    with tempfile.TemporaryDirectory() as folder:
        file = prepare(Path(folder))
        home = Path(folder) / "home"
        _fill(file, home)
        command = [
            sys.executable,
            "-m",
            "loomready",
            "open",
            "--home",
            str(home),
            "--port",
            "0",
            "--no-browser",
        ]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        try:
            if process.stdout is None:
                raise RuntimeError("no output of loomready open")
            address = process.stdout.readline().split()[4].rstrip("/")
            size = len(urllib.request.urlopen(f"{address}/beside/large/threading.html").read())
            steps = _steps(address)
        finally:
            process.terminate()
            process.wait(timeout=20)
    return [
        Row("saved file of a 1,000-end warp, 24 shafts", size / 1000, "500 kB", 500, 1.0, unit="kB"),
        *(
            promise(f"a step of {job} paints, {THROTTLE} times slower", took, 0.05)
            for job, took in steps.items()
        ),
    ]


def _fill(file: Path, home: Path) -> None:
    """The guild in a home of its own, in a process of its own: this one has no home."""
    text = (
        "import sys; from pathlib import Path\n"
        "from loomready.app.server.home_folder import prepare, DATABASE\n"
        "import os; home = Path(sys.argv[2]); prepare(home)\n"
        "os.environ |= {'LOOMREADY_HOME': str(home), 'DJANGO_SETTINGS_MODULE': 'loomready.app.settings'}\n"
        "import django; django.setup()\n"
        "from loomready.app.archive import guild_files; from loomready.app.server import upgrade\n"
        "from loomready.app.state import store; from loomready import guildfile\n"
        "upgrade.bring_up_to_date(home / DATABASE)\n"
        "file = Path(sys.argv[1])\n"
        "drafts = {f'drafts/{each.name}': each.read_bytes() for each in file.parent.glob('drafts/*.wif')}\n"
        "store.load(guild_files.things_of(guildfile.parse(file.read_bytes()), drafts), who='bench')\n"
    )
    subprocess.run([sys.executable, "-c", text, str(file), str(home)], check=True)


def _steps(address: str) -> dict[str, float]:
    """Median seconds from a key to the painted step, on a browser made slower."""
    from playwright.sync_api import sync_playwright

    found: dict[str, float] = {}
    with sync_playwright() as playwright:
        browser = launch(playwright)
        for job in ("winding", "sleying", "threading", "weaving"):
            page = browser.new_page(viewport={"width": 360, "height": 740})
            page.goto(f"{address}/beside/large/{job}")
            page.wait_for_selector(".beside.live")
            page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": THROTTLE})
            found[job] = float(page.evaluate(_STEP))
            page.close()
        browser.close()
    return found
