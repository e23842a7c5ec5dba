"""The commands as a script meets them: what they print, where, and with which exit code."""

import json
import subprocess
import sys
import tracemalloc
from pathlib import Path

import numpy as np
import pytest

from loomready.cli import main
from loomready.draft.draft import Draft, drawdown, lift_plan, lifts_of
from loomready.draft.wif import reader, writer

GUILD = """\
[guild]
name = "Test room"
units = "metric"

[[yarns]]
key = "fern"
tex = "120 tex"
color = "#5a8250"

[[cones]]
yarn = "fern"
gross = "{gross}"
tare = "40 g"

[[looms]]
key = "alder"
kind = "jack"
shafts = 4
treadles = 6
weaving_width = "95 cm"
heddles = [150, 150, 150, 150]
waste = "70 cm"

[[reeds]]
key = "forty"
dents = "40 /10cm"
width = "1 m"

[[warps]]
key = "scarf"
loom = "alder"
draft = "twill.wif"
warp_yarns = ["fern"]
weft_yarns = ["fern"]
finished_width = "40 cm"
items = [{{ finished_length = "2 m" }}]
sett = "8 /cm"
ppi = "8 /cm"
"""
TWILL = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]], title="Twill")


@pytest.fixture
def room(tmp_path):
    """A folder with a guild file and its draft."""
    writer.save(tmp_path / "twill.wif", TWILL)
    (tmp_path / "guild.toml").write_text(GUILD.format(gross="600 g"))
    return tmp_path


def run(capsys, *arguments):
    code = main([str(argument) for argument in arguments])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_a_plan_that_works_ends_with_0_and_says_what_to_wind(room, capsys):
    code, out, err = run(capsys, "plan", room / "guild.toml")
    assert (code, err) == (0, "")
    assert "scarf on alder" in out
    assert "372" in out


def test_a_plan_that_stops_ends_with_1_and_is_still_a_plan(room, capsys):
    (room / "guild.toml").write_text(GUILD.format(gross="120 g"))
    code, out, _ = run(capsys, "plan", room / "guild.toml", "--json")
    assert code == 1
    (warp,) = json.loads(out)["warps"]
    assert warp["ends"] == 372
    assert [problem["code"] for problem in warp["problems"]] == ["yarn-short"]


def test_json_is_the_only_thing_on_standard_output(room, capsys):
    code, out, err = run(capsys, "plan", room / "guild.toml", "--json", "--packet", room / "sheets")
    assert code == 0
    assert set(json.loads(out)) == {"warps", "problems"}
    assert "scarf.pdf" in err
    assert (room / "sheets" / "scarf.pdf").read_bytes().startswith(b"%PDF")


def test_a_remedy_written_into_the_guild_file_clears_its_problem(room, capsys):
    from loomready import guildfile

    (room / "guild.toml").write_text(GUILD.format(gross="200 g"))
    _, out, _ = run(capsys, "plan", room / "guild.toml", "--json")
    (problem,) = json.loads(out)["warps"][0]["problems"]
    assert problem["remedies"]
    tree = guildfile.parse((room / "guild.toml").read_bytes())
    for remedy in problem["remedies"]:
        changed = guildfile.decode(guildfile.apply(tree, "scarf", remedy["change"]))
        (room / "after.toml").write_text(guildfile.dumps(changed))
        code, out, _ = run(capsys, "plan", room / "after.toml", "--json")
        assert code == 0
        assert problem["code"] not in [one["code"] for one in json.loads(out)["warps"][0]["problems"]]


def test_what_is_odd_in_a_draft_file_is_told_with_the_plan(room, capsys):
    text = (room / "twill.wif").read_text().replace("Version=1.1", "Version=2.0")
    (room / "twill.wif").write_text(text)
    code, out, _ = run(capsys, "plan", room / "guild.toml", "--json")
    (problem,) = json.loads(out)["problems"]
    assert (code, problem["code"], problem["level"]) == (0, "wif-version", "warn")
    assert problem["message"].startswith("twill.wif: ")


def test_an_unknown_warp_is_one_line_that_names_the_known_ones(room, capsys):
    code, out, err = run(capsys, "plan", room / "guild.toml", "--warp", "shawl")
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert "expected one of: scarf" in err


@pytest.mark.parametrize(
    "arguments",
    [
        ["plan"],
        ["plan", "nowhere.toml"],
        ["weave"],
        ["check", "--loud", "x.wif"],
        ["picture", "x.wif"],
        ["picture", "x.wif", "-o", "x.bmp"],
        ["picture", "x.wif", "-o", "x.png", "--cell", "0"],
        ["lifts", "x.wif", "-o", "y.wif"],
    ],
    ids=" ".join,
)
def test_bad_usage_and_missing_files_are_one_line_and_exit_2(arguments, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (2, "")
    assert err.startswith("loomready: ")
    assert err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_check_says_what_a_draft_is(room, capsys):
    code, out, _ = run(capsys, "check", room / "twill.wif", "--json")
    found = json.loads(out)
    assert code == 0
    assert (found["shafts"], found["repeat"], found["longest_float"]) == (
        4,
        {"ends": 4, "picks": 4},
        {"warp": 2, "weft": 2},
    )
    assert run(capsys, "check", room / "twill.wif")[1].startswith("Twill")


def test_lifts_writes_the_same_cloth_for_a_sinking_shed(room, capsys):
    tieup = np.array([[1, 0], [1, 0], [0, 1], [0, 1]], dtype=bool)
    treadling = np.array([[1, 0], [0, 1], [1, 1], [0, 0]], dtype=bool)
    sinking = Draft(
        threading=TWILL.threading,
        lifts=lifts_of(tieup, treadling, rising=False),
        tieup=tieup,
        treadling=treadling,
        rising=False,
        palette=TWILL.palette,
        warp_colors=TWILL.warp_colors,
        weft_colors=TWILL.weft_colors,
    )
    writer.save(room / "sinking.wif", sinking)
    assert run(capsys, "lifts", room / "sinking.wif", "-o", room / "plan.wif")[0] == 0
    made = reader.read(room / "plan.wif").draft
    assert made.treadles is None
    assert np.array_equal(drawdown(made), drawdown(sinking))


@pytest.mark.parametrize("name", ["d.png", "d.svg"])
@pytest.mark.parametrize("cloth", [[], ["--cloth"]])
def test_pictures_are_written_whole(room, capsys, name, cloth):
    code, out, _ = run(capsys, "picture", room / "twill.wif", "-o", room / name, "--cell", "9", *cloth)
    assert (code, out) == (0, "")
    data = (room / name).read_bytes()
    assert data.startswith(b"\x89PNG") if name.endswith("png") else b"<svg" in data


def test_a_bad_draft_leaves_an_older_picture_as_it_was(room, capsys):
    (room / "d.png").write_bytes(b"old")
    (room / "twill.wif").write_bytes(b"\x00\x01junk")
    code, _, err = run(capsys, "picture", room / "twill.wif", "-o", room / "d.png")
    assert code == 2
    assert "twill.wif" in err
    assert (room / "d.png").read_bytes() == b"old"


def test_help_loads_no_heavy_module():
    heavy = ("numpy", "scipy", "ortools", "django", "pint", "typst")
    code = (
        "import sys; from loomready.cli import main; main(['--help']);"
        f"sys.exit(1 if any(name in sys.modules for name in {heavy!r}) else 0)"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, check=False).returncode == 0


def test_a_closed_pipe_is_no_fault(room):
    # 'true' reads nothing and closes its end at once.
    command = f"{sys.executable} -m loomready plan {room / 'guild.toml'} --json | true"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr


def test_a_file_of_200_megabytes_is_refused_without_reading_it(tmp_path, capsys):
    for name, command in (("big.toml", "plan"), ("big.wif", "check")):
        path = Path(tmp_path, name)
        with path.open("wb") as file:
            file.truncate(200_000_000)
        tracemalloc.start()
        code, out, err = run(capsys, command, path)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert (code, out, err.count("\n")) == (2, "", 1)
        assert peak < 50_000_000
