"""``loomready colors`` as a script meets it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from loomready.choose.colors.columns import NAMES
from loomready.cli import warps
from tests.choose.size.test_command import DEMO, changed, run

WIDE = ("--like", "one-another", "--any-fiber", "--grist-band", "50 %")


def test_an_offer_says_its_yarns_its_columns_and_its_hues(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "colors", str(DEMO), "--warp", "towels", *WIDE, "--count", "4", "--json")
    document = json.loads(out)
    assert (code, err) == (0, "")
    assert len(document["offers"]) == 4 < document["possible"]
    assert document["all_looked_at"] is True
    assert [role["planned"] for role in document["roles"]] == [
        "cottolin-green",
        "cottolin-cream",
        "linen-blue",
    ]
    assert document["roles"][2]["items"] == [[2, 1]]
    for offer in document["offers"]:
        assert set(offer) == {
            *("yarns", "warp_yarns", "weft_yarns", "items", "hems", "samples", "hue"),
            *NAMES,
        }
        assert offer["items"] == [None, [offer["yarns"][2]]]
        assert all(key in role["able"] for key, role in zip(offer["yarns"], document["roles"], strict=True))
    contrasts = [offer["contrast"] for offer in document["offers"]]
    assert contrasts == sorted(contrasts, reverse=True)


def test_every_column_can_be_asked_for() -> None:
    assert tuple(warps.OrderBy) == NAMES


def test_the_table_says_what_its_columns_mean(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "colors", str(DEMO), "--warp", "scarves", "--order-by", "lightness")
    assert code == 0
    assert "warp 3, weft of piece 2" in out
    for name in NAMES:
        assert f"  {name}: " in out


def test_no_yarn_that_will_do_ends_with_1_and_why(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = changed(tmp_path, 'gross = "0.5 lb"', 'gross = "1.4 oz"')
    text = path.read_text(encoding="utf-8")
    for full in ("224 g", "231 g", "329 g"):  # fern, brick and ink
        text = text.replace(f'gross = "{full}"', 'gross = "38 g"')
    path.write_text(text, encoding="utf-8")
    code, out, _ = run(capsys, "colors", str(path), "--warp", "towels")
    assert code == 1
    assert "No yarn fits in place of Cottolin, fern green" in out
    code, out, _ = run(capsys, "colors", str(path), "--warp", "towels", "--json")
    assert (code, json.loads(out)["offers"]) == (1, [])


@pytest.mark.parametrize(
    ("option", "text", "said"),
    [
        ("--distance", "3", '--distance: "3" has no unit'),
        ("--distance", "0 m", "a viewing distance must be above 0"),
        ("--grist-band", "many", '--grist-band: "many" is not a quantity'),
        ("--count", "0", "greater than or equal to 1"),
        ("--warp", "tea", 'no warp "tea"'),
    ],
)
def test_a_bad_option_is_one_line(
    capsys: pytest.CaptureFixture[str], option: str, text: str, said: str
) -> None:
    code, out, err = run(capsys, "colors", str(DEMO), "--warp", "towels", option, text)
    assert (code, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1
