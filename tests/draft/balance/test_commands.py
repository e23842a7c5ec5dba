"""``loomready balance`` as a script meets it."""

import json

import numpy as np
import pytest

from loomready.cli import main
from loomready.draft.draft import lift_plan
from loomready.draft.wif import reader, writer

LIFTS = [[1, 2], [2, 3], [3, 4], [1, 4]]


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "draft.wif"
    writer.save(path, lift_plan([1, 2, 3, 4, 3, 3, 1, 2, 4], LIFTS))
    return path


def test_offers_are_told_as_the_contract_has_them(file, capsys) -> None:
    assert main(["balance", str(file), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["already"] is False
    assert {offer["kind"] for offer in told["offers"]} <= {"add", "drop", "change", "slide"}
    for offer in told["offers"]:
        threading = offer["threading"]
        assert all(
            threading[e - 1] == threading[(offer["axis"] - e - 1) % len(threading)]
            for e in range(1, len(threading) + 1)
        )
        assert set(offer["longest_float"]) == {"warp", "weft"}
        assert isinstance(offer["holds_together"], bool)
        assert isinstance(offer["plain_weave"], bool)
        assert (offer["runs"] is None) == (offer["kind"] != "slide")


def test_the_first_offer_is_written_and_balances(file, tmp_path, capsys) -> None:
    out = tmp_path / "out.wif"
    assert main(["balance", str(file), "--json", "-o", str(out)]) == 0
    said = capsys.readouterr()
    first = json.loads(said.out)["offers"][0]
    assert f"wrote {out}: {first['kind']}" in said.err
    assert (reader.read(out).draft.threading + 1).tolist() == first["threading"]
    assert main(["balance", str(out), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"already": True, "offers": []}
    again = tmp_path / "again.wif"
    assert main(["balance", str(out), "-o", str(again)]) == 0
    assert np.array_equal(reader.read(again).draft.threading, reader.read(out).draft.threading)
    assert "already symmetrical" in capsys.readouterr().err


def test_the_telling_says_where_it_leans_and_how_edges_match(file, capsys) -> None:
    assert main(["balance", str(file)]) == 0
    told = capsys.readouterr().out
    for part in ("not symmetrical", "As it is", "Change", "Slide", "Both edges match", "heddles"):
        assert part in told


def test_a_draft_without_ends_is_one_line_and_two(tmp_path, capsys) -> None:
    path = tmp_path / "empty.wif"
    path.write_text("[WIF]\nVersion=1.1\n[WEAVING]\nShafts=2\n[LIFTPLAN]\n", encoding="utf-8")
    assert main(["balance", str(path)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
