"""Slips from a photograph, as a script meets them: what is found, and what is refused in one line."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from loomready.cli import main
from loomready.draft.draft import lift_plan
from loomready.draft.wif import writer
from loomready.slips import test_picks as picking
from tests.slips.photo.simulated import GRADES, Photograph, photograph

ENDS = 60
POINT = ([1, 2, 3, 4, 3, 2] * 10)[:ENDS]
LIFTS = picking.well_apart(np.array(POINT) - 1, 4, 12, 6).lifts
PICKS = picking.shafts_up(LIFTS)


def photographed(web: list[int], seed: int = 1) -> Photograph:
    shafts = np.array(web) - 1
    return photograph(LIFTS[:, shafts], GRADES["easy"], np.random.default_rng(seed))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A draft woven as its test picks."""
    writer.save(tmp_path / "point.wif", lift_plan(POINT, [list(pick) for pick in PICKS], title="Point"))
    return tmp_path


def said(corners: Any) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)


def run(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    code = main([str(argument) for argument in arguments])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_a_wrong_shaft_and_crossed_ends_are_found_in_a_photograph(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    web = POINT.copy()
    web[20] = 1
    web[40], web[41] = web[41], web[40]
    photo = photographed(web)
    (folder / "weave.jpg").write_bytes(photo.data)
    asked = ("slips", folder / "point.wif", "--photo", folder / "weave.jpg", "--corners", said(photo.corners))
    code, out, err = run(capsys, *asked, "--json")
    assert (code, err) == (0, "")
    found = json.loads(out)
    told = [(slip["kind"], slip["end"], slip["planned"], slip["found"]) for slip in found["slips"]]
    assert told == [("wrong shaft", 21, POINT[20], 1), ("crossed", 41, POINT[40], POINT[41])]
    assert all(slip["certain"] for slip in found["slips"])
    assert {"explains", "alternatives", "cannot_tell", "mending"} <= found.keys()
    assert found["mending"][0]["actions"]
    assert found["read"]["ends"] == [1, ENDS]
    code, out, _ = run(capsys, *asked)
    assert code == 0
    assert "Found" in out
    assert "End 21" in out
    assert "Check every slip at the loom" in out


def test_a_missing_end_is_about_there(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    web = POINT.copy()
    del web[30]
    photo = photographed(web, seed=2)
    (folder / "weave.jpg").write_bytes(photo.data)
    _, out, _ = run(
        capsys,
        "slips",
        folder / "point.wif",
        "--photo",
        folder / "weave.jpg",
        "--corners",
        said(photo.corners),
    )
    assert "About end 31" in out


def test_a_clean_weave_shows_none_seen_never_no_slips(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    photo = photographed(POINT)
    (folder / "weave.jpg").write_bytes(photo.data)
    code, out, _ = run(
        capsys,
        "slips",
        folder / "point.wif",
        "--photo",
        folder / "weave.jpg",
        "--corners",
        said(photo.corners),
    )
    assert code == 0
    assert "none seen" in out
    assert "no slips" not in out.lower()
    assert "0 slips" not in out


def test_a_stretch_has_the_ends_of_the_web_and_the_picks_of_a_file(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    web = POINT.copy()
    web[20] = 1
    photo = photographed(web)
    (folder / "weave.jpg").write_bytes(photo.data)
    rows = "\n".join(" ".join(map(str, pick)) for pick in PICKS)
    (folder / "picks.csv").write_text(f"# woven\n{rows}\n")
    whole = lift_plan(POINT * 3, [[1, 2], [3, 4]], title="Wide")
    writer.save(folder / "wide.wif", whole)
    code, out, err = run(
        capsys,
        *("slips", folder / "wide.wif", "--photo", folder / "weave.jpg", "--corners", said(photo.corners)),
        *("--ends", "61-120", "--woven", folder / "picks.csv", "--json"),
    )
    assert (code, err) == (0, "")
    assert [(slip["kind"], slip["end"]) for slip in json.loads(out)["slips"]] == [("wrong shaft", 81)]


GOOD = "0,90 99,90 0,9 99,9"


def picture(size: tuple[int, int] = (100, 100), gray: int = 128) -> bytes:
    stream = io.BytesIO()
    Image.new("L", size, gray).save(stream, "PNG")
    return stream.getvalue()


@pytest.mark.parametrize(
    ("data", "corners", "message"),
    [
        (b"text", GOOD, "is not a picture"),
        (b"", GOOD, "is not a picture"),
        (picture()[:60], GOOD, "broken picture"),
        (b"\xff\xd8\xff\xe0" + b"\0" * 200, GOOD, "picture"),
        (picture((9000, 9000)), GOOD, "megapixels"),
        (picture(), GOOD, "too small"),
        (picture((900, 300), 4), "0,290 890,290 0,9 890,9", "too dark"),
        (picture((900, 300), 255), "0,290 890,290 0,9 890,9", "too bright"),
        (picture((900, 300)), "0,290 890,290 0,9 890,9", "no contrast"),
        (picture((900, 300)), "0,290 890,290 0,9 950,9", "outside the photograph"),
        (picture((900, 300)), "0,290 890,290 890,9 0,9", "span no stretch"),
        (picture((900, 300)), "0,290 890,290 0,9", "four points"),
        (picture((900, 300)), None, "--corners is missing; expected four points"),
    ],
)
def test_what_cannot_be_read_is_one_line(
    folder: Path, capsys: pytest.CaptureFixture[str], data: bytes, corners: str | None, message: str
) -> None:
    (folder / "weave.jpg").write_bytes(data)
    asked = () if corners is None else ("--corners", corners)
    code, out, err = run(capsys, "slips", folder / "point.wif", "--photo", folder / "weave.jpg", *asked)
    assert (code, out) == (2, "")
    assert message in err
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        (("--ends", "1-90"), "none of this web"),
        (("--ends", "1-5"), "a stretch of 5 ends"),
        (("--ends", "all"), "no stretch"),
        (("--picks",), "expected either"),
    ],
)
def test_what_was_asked_wrongly_is_one_line(
    folder: Path, capsys: pytest.CaptureFixture[str], asked: tuple[str, ...], message: str
) -> None:
    (folder / "weave.jpg").write_bytes(picture((900, 300)))
    corners = "0,290 890,290 0,9 890,9"
    code, out, err = run(
        capsys, "slips", folder / "point.wif", "--photo", folder / "weave.jpg", "--corners", corners, *asked
    )
    assert (code, out) == (2, "")
    assert message in err


def test_too_few_picks_are_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "weave.jpg").write_bytes(picture((900, 300)))
    writer.save(folder / "few.wif", lift_plan(POINT, [[1, 2], [3, 4]]))
    corners = "0,290 890,290 0,9 890,9"
    _, _, err = run(
        capsys, "slips", folder / "few.wif", "--photo", folder / "weave.jpg", "--corners", corners
    )
    assert "2 picks are too few" in err


def test_a_photograph_lying_on_its_side_is_turned_as_its_exif_says(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    web = POINT.copy()
    web[20] = 1
    photo = photographed(web)
    upright = Image.open(io.BytesIO(photo.data))
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter clockwise
    upright.transpose(Image.Transpose.ROTATE_90).save(folder / "side.jpg", quality=92, exif=exif)
    code, out, err = run(
        capsys,
        *("slips", folder / "point.wif", "--photo", folder / "side.jpg"),
        *("--corners", said(photo.corners), "--json"),
    )
    assert (code, err) == (0, "")
    assert [slip["end"] for slip in json.loads(out)["slips"]] == [21]
