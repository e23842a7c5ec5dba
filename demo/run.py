"""What `make run` does: plan the demo guild, print it in short, write packets, say what to try, open the app.

python demo/run.py [FOLDER [HOME]]

Packets go into FOLDER, else demo-packets; the guild of the browser lives in HOME, else demo-home.
The app stays open until Ctrl-C. A browser window comes up only where a person sits at the terminal.
"""

from __future__ import annotations

import os
import socket
import sys
from collections.abc import Iterator
from pathlib import Path
from textwrap import fill

from loomready import guildfile
from loomready.cli import main as loomready_main
from loomready.packet.packet import write_packets
from loomready.problems import BadInput
from loomready.report.plan_text import SIGNS
from loomready.warp.figures import figures
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan

DEMO = Path(__file__).parent
HOME = "demo-home"  # throw it away to begin anew
PORT = 8642
TOLD = ("ends", "width_in_reed", "sett", "warp_length", "bouts")


def near(path: Path) -> str:
    """The path as it is typed from here: short where it lies below this folder."""
    short = os.path.relpath(path)
    return str(path) if short.startswith(os.pardir) else short


def warp_in_short(plan: WarpPlan) -> Iterator[str]:
    told = {figure.key: figure for figure in figures(plan)}
    yield f"  {plan.order.key} on {plan.loom.name}: {plan.draft.title}"
    yield "      " + ", ".join(f"{told[key].label.lower()} {told[key].value}" for key in TOLD)
    if all(need.enough for need in plan.yarns):
        yield "      every yarn surely lasts"
    for problem in plan.problems:
        said = f"{SIGNS[problem.level]}: {problem.message}"
        yield fill(said, width=96, initial_indent=" " * 6, subsequent_indent=" " * 12)


def free_port() -> int:
    """The usual one, or any free one (0) where another program has it."""
    with socket.socket() as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(("127.0.0.1", PORT))
        except OSError:
            return 0
    return PORT


def main(out: str = "demo-packets", home: str = HOME) -> int:
    guild_file = DEMO / "guild.toml"
    loomready = near(Path(sys.executable).parent / "loomready")
    try:
        loaded = guildfile.load(guild_file)
        plan = plan_guild(loaded.guild, loaded.drafts)
        packets = write_packets(plan, Path(out))
    except BadInput as error:
        print(f"loomready: {error.line()}", file=sys.stderr)
        return 2

    print(f"{plan.guild.name}: four looms, two dozen cones, three warps for a fall open studio\n")
    for warp in plan.warps:
        print("\n".join(warp_in_short(warp)), end="\n\n")
    print("Printed sheets for each warp, to take to the warping board and the loom:")
    for packet in packets:
        print(f"  {near(packet)}")
    print(
        f"""
The whole plan, with every bout and cone:
  {loomready} plan {near(guild_file)}

What it looks like when yarn or heddles fall short, and what would help:
  {loomready} plan {near(DEMO / "short.toml")}

To plan your own, copy {near(guild_file)}, put in your cones, looms and reeds, and lay your drafts
(WIF files) beside it. docs/first-warp.md goes through a first warp; docs/guild-file.md explains every key.

The same guild in your browser:
  {loomready} open --demo --home {home}

Opening it now; Ctrl-C closes it.""",
        flush=True,
    )
    window = [] if sys.stdin.isatty() and sys.stdout.isatty() else ["--no-browser"]
    return loomready_main(["open", "--demo", "--home", home, "--port", str(free_port()), *window])


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
