"""The command line in another language: all that it prints for people is looked up; JSON never is."""

from __future__ import annotations

import gettext
import io
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from loomready import catalogs
from loomready.cli import language, main
from loomready.draft.draft import lift_plan
from loomready.draft.wif import writer
from loomready.phrases import ENGLISH

from .marked import CLOSE, OPEN, Marked
from .test_cli import GUILD, TWILL

MARKED = Marked()
NAMES = {
    "Test",
    "room",
    "fern",
    "alder",
    "forty",
    "scarf",
    "twill",
    "Twill",
    "wif",
    "toml",
    "loomready",
    "guild",
}
UNITS = {"cm", "m", "mm", "g", "ends", "picks", "in"}

Run = Callable[..., str]


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a guild file and its draft, where the command is called."""
    writer.save(tmp_path / "twill.wif", TWILL)
    (tmp_path / "guild.toml").write_text(GUILD.format(gross="600 g"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def other_language(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Every catalog that is asked for is the marked one."""
    monkeypatch.setenv("LANGUAGE", "xx")
    monkeypatch.setenv("COLUMNS", "300")
    monkeypatch.setattr(gettext, "translation", lambda *_, **__: MARKED)
    language.catalog.cache_clear()
    domain = gettext.textdomain()
    yield
    gettext.textdomain(domain)
    language.catalog.cache_clear()


@pytest.fixture
def run(room: Path, other_language: None, capsys: pytest.CaptureFixture[str]) -> Run:
    def call(*arguments: str) -> str:
        main(list(arguments))
        captured = capsys.readouterr()
        return captured.out + captured.err

    return call


def left_out(text: str) -> set[str]:
    return MARKED.left_out(text) - NAMES - UNITS


@pytest.mark.parametrize("gross", ["600 g", "120 g"], ids=["enough", "short"])
def test_a_plan_has_no_english_left(run: Run, room: Path, gross: str) -> None:
    (room / "guild.toml").write_text(GUILD.format(gross=gross))
    told = run("plan", "guild.toml")
    assert left_out(told) == set()
    assert f"{OPEN}Ends{CLOSE}" in told


def test_a_check_of_a_draft_has_no_english_left(run: Run) -> None:
    assert left_out(run("check", "twill.wif")) == set()


def test_a_tieup_and_a_balance_have_no_english_left(run: Run, room: Path) -> None:
    assert left_out(run("tieup", "twill.wif", "--treadles", "3")) == set()
    assert left_out(run("tieup", "twill.wif", "--treadles", "6", "--shed", "countermarche")) == set()
    uneven = lift_plan([1, 2, 3, 4, 3, 2, 2, 1, 4], [[1, 2], [2, 3], [3, 4], [1, 4]])
    writer.save(room / "uneven.wif", uneven)
    assert left_out(run("balance", "uneven.wif", "-o", "even.wif")) <= {"uneven", "even"}


def test_a_path_over_a_board_has_no_english_left(run: Run, room: Path) -> None:
    demo = Path(__file__).parents[1] / "demo" / "guild.toml"
    board = re.search(r"\[\[boards\]\]\nkey = \"([^\"]+)\"\nname = \"([^\"]+)\"", demo.read_text())
    assert board is not None
    pegs = r"\b(?:left|right|rail|top|bottom|middle)(?:-\d+)?\b"
    for length in ("5 yd", "90 yd"):
        told = run("board", str(demo), "--board", board[1], "--length", length)
        told = re.sub(pegs, "", told.replace(board[2], ""))
        assert left_out(told) <= {"yd"}


@pytest.mark.parametrize("start", ["2027-04-05 08:00", "2027-04-24 08:00"], ids=["ready", "short"])
def test_an_event_has_no_english_left(run: Run, start: str) -> None:
    demo = Path(__file__).parents[1] / "demo" / "event" / "guild.toml"
    names = set(re.findall(r"\w+", " ".join(re.findall(r'(?:name|key|thing) = "([^"]*)"', demo.read_text()))))
    names |= set(re.findall(r'looms = \["(\w+)', demo.read_text())) | {"h", "oz", "USD", "ten-short"}
    assert left_out(run("event", str(demo), "--from", start)) <= names


def test_found_drafts_have_no_english_left(run: Run) -> None:
    told = run("find", "--shafts", "4", "--picks", "4", "--count", "3")
    assert f"{OPEN}mirror{CLOSE}" in told
    assert left_out(told) <= {"x"}
    nothing = run("find", "--shafts", "2", "--picks", "1", "--max-float", "1")
    assert f"{OPEN}What excludes every draft" in nothing
    assert left_out(nothing) == set()


def test_sizes_and_colors_have_no_english_left(run: Run) -> None:
    assert left_out(run("fit", "guild.toml", "--warp", "scarf")) == set()
    told = run("colors", "guild.toml", "--warp", "scarf", "--count", "2")
    columns = {"contrast", "lightness", "hue_angle", "color_vision", "odd_cones", "hue"}
    assert {word for word in left_out(told) if word not in " ".join(columns)} == set()


def test_the_families_have_no_english_left(run: Run) -> None:
    told = run("make", "--list")
    told = re.sub(r"^  [\w-]+: |^ +--[\w-]+ ", "", told, flags=re.MULTILINE)
    assert "; default: " in told
    assert left_out(told) == set()


@pytest.mark.parametrize(
    "arguments",
    [
        ("plan", "nowhere.toml"),
        ("plan", "guild.toml", "--warp", "shawl"),
        ("picture", "twill.wif", "-o", "x.bmp"),
        ("make", "--json"),
        ("make", "no-family"),
        ("find", "--shafts", "4", "--picks", "8", "--order", "beauty"),
        ("board", "guild.toml", "--board", "wall", "--length", "5 yd"),
        ("board", "guild.toml", "--board", "wall", "--length", "5 parsec"),
        ("lifts", "twill.wif", "-o", "new.wif"),
    ],
    ids=" ".join,
)
def test_a_line_on_standard_error_has_no_english_left(run: Run, arguments: tuple[str, ...]) -> None:
    told = run(*arguments)
    assert OPEN in told
    given = {*arguments, "nowhere", "new", "x", "bmp", "length", "order"}
    assert left_out(told) - {word for text in given for word in re.findall(r"[\w-]+", text)} == set()


COMMANDS = ["plan", "check", "fit", "colors", "board", "find", "make", "tieup", "balance", "lifts"]
COMMANDS += ["picture", "slips", "event", "open"]
# Options with the values that they take.
OPTIONS = re.compile(rf"^  -[^{OPEN}{CLOSE}\n]*?(?=  |$)|\[[^\]]*\]$|<[^>]*>", re.MULTILINE)


@pytest.mark.parametrize("command", [None, *COMMANDS])
def test_help_has_no_english_left(run: Run, command: str | None) -> None:
    if command is None:
        cut_at_the_edge = rf"{OPEN}[^{CLOSE}\n]*\.\.\.$"
        told = re.sub(cut_at_the_edge, "", run("--help"), flags=re.MULTILINE)
    else:
        told = run(command, "--help")
    usage, _, rest = told.partition("\n")
    assert usage.startswith(f"{OPEN}Usage:{CLOSE} loomready")
    given = left_out(rest).difference(*map(MARKED.left_out, OPTIONS.findall(rest)))
    assert {word for word in given if not word.isupper()} <= {*COMMANDS, "x", "path", "int", "range"}


def test_json_stays_as_it_is(run: Run) -> None:
    told = run("plan", "guild.toml", "--json")
    assert OPEN not in told
    assert json.loads(told)["warps"][0]["key"] == "scarf"


def test_without_a_catalog_all_is_english(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(catalogs, "LOCALE", tmp_path)
    for wanted in ("de", "en_US.UTF-8", "C", ""):
        monkeypatch.setenv("LANGUAGE", wanted)
        language.catalog.cache_clear()
        assert language.catalog().gettext("warp") == "warp"
        assert language.language() == "en-US"
    language.catalog.cache_clear()


def test_a_catalog_in_the_folder_is_found_by_the_environment(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from babel.messages.catalog import Catalog
    from babel.messages.mofile import write_mo

    made = Catalog(locale="de")
    made.add("Ends", "Kettfäden")
    made.add("wrote {file}", "{file} geschrieben")
    place = tmp_path / "de" / "LC_MESSAGES" / "django.mo"
    place.parent.mkdir(parents=True)
    with io.BytesIO() as stream:
        write_mo(stream, made)
        place.write_bytes(stream.getvalue())
    monkeypatch.setattr(catalogs, "LOCALE", tmp_path)
    for name in ("LANGUAGE", "LC_ALL", "LC_MESSAGES"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("LANG", "de_AT.UTF-8")
    language.catalog.cache_clear()
    domain = gettext.textdomain()
    try:
        assert language.language() == "de"
        assert main(["plan", "guild.toml"]) == 0
        assert main(["lifts", "twill.wif", "-o", "new.wif"]) == 0
    finally:
        gettext.textdomain(domain)
        language.catalog.cache_clear()
    captured = capsys.readouterr()
    assert "  Kettfäden " in captured.out
    assert captured.err == "new.wif geschrieben\n"


def test_english_that_is_wanted_first_is_not_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    for wanted, found in (
        ("de:en", ["de"]),
        ("en:de", []),
        ("en_GB.UTF-8:de", []),
        ("C.UTF-8", []),
        ("", []),
    ):
        for name in ("LC_ALL", "LC_MESSAGES", "LANG"):
            monkeypatch.delenv(name, raising=False)
        monkeypatch.setenv("LANGUAGE", wanted)
        assert language.languages() == found
    monkeypatch.setenv("LANGUAGE", "en")
    language.catalog.cache_clear()
    assert language.catalog() is ENGLISH
    language.catalog.cache_clear()
