"""A sample in parts on the planning page: rows of weft, length and picks, added, moved and removed."""

from __future__ import annotations

import pytest
from django.test import Client

from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import form_of
from tests.app.warps.test_pieces import through_the_form
from tests.app.warps.test_stripes import ADDRESS, CREAM, lay, planned, table

pytestmark = pytest.mark.django_db
BLUE = "linen-blue"


def press(weaver: Client, button: str, **typed: str) -> int:
    return weaver.post(
        ADDRESS, form_of(weaver, ADDRESS) | typed | {"stripe": f"samples:{button}"}
    ).status_code


def test_a_sample_is_woven_in_several_wefts_and_in_one_again(weaver: Client) -> None:
    assert press(weaver, "begin", sample="6 in") == 302
    assert table()["samples"] == [{"length": "6 in"}]
    assert "sample" not in table()
    assert press(weaver, "add") == 302
    typed = {"samples-2-weft_yarns-1": BLUE, "samples-2-length": "3", "samples-2-ppi": "16"}
    assert weaver.post(ADDRESS, form_of(weaver, ADDRESS) | typed).status_code == 302
    assert table()["samples"][1] == {"length": "3 in", "weft_yarns": [BLUE], "ppi": "16 /in"}
    assert [each.part for each in planned().pieces[0].sections] == ["sample", "sample"]
    page = weaver.get(ADDRESS).content.decode()
    assert "6 in + 6 in → 6 in + 3 in Linen without a label, pale blue" in page
    assert press(weaver, "up:2:2") == 302
    assert table()["samples"][0]["weft_yarns"] == [BLUE]
    assert press(weaver, "remove:1") == 302
    assert table()["samples"] == [{"length": "6 in"}]
    assert press(weaver, "end") == 302
    assert (table()["sample"], "samples" in table()) == ("6 in", False)


def test_a_length_that_means_nothing_is_said_beside_it(weaver: Client) -> None:
    assert press(weaver, "begin") == 302
    before = table()
    for typed in ("", "long", "-2"):
        answer = weaver.post(ADDRESS, form_of(weaver, ADDRESS) | {"samples-1-length": typed})
        assert answer.status_code == 422
        assert 'id="samples-1-length-error"' in answer.content.decode()
    assert table() == before


def test_parts_of_a_sample_come_through_the_form_unchanged(weaver: Client) -> None:
    entry = current_snapshot().entry("warps", "towels")
    assert entry is not None
    draft = entry.fields["draft"]
    samples = [
        {"length": "5 in", "weft_yarns": [CREAM], "draft": draft, "ppi": "18 /in", "weft_strands": 2},
        {"length": "3 in"},
    ]
    made = dict(entry.fields) | {"samples": samples}
    made.pop("sample", None)
    assert through_the_form(current_snapshot(), made)["samples"] == samples


def test_the_page_at_the_loom_weaves_each_part(weaver: Client) -> None:
    lay([{"yarn": CREAM, "ends": 8}], samples=[{"length": "5 in"}, {"length": "3 in", "weft_yarns": [BLUE]}])
    page = weaver.get("/beside/towels/weaving").content.decode()
    assert page.count('"part":"sample"') == 2
