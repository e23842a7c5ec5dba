"""Pieces on the planning page: headers and hems of their own are kept, edited, and shown step by step."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.app.drafts import save_draft
from loomready.app.drafts.save_draft import text_of
from loomready.app.forms import warp_form
from loomready.app.state import store
from loomready.app.state.snapshot import Snapshot, current_snapshot, plain
from loomready.draft.draft import lift_plan
from tests.app.asking import form_of

pytestmark = pytest.mark.django_db
DIAMONDS, WAVES = "drafts/advancing-diamonds.wif", "drafts/advancing-waves.wif"
HEM = "drafts/two.wif"


def items_of(warp: str) -> list[dict[str, Any]]:
    entry = current_snapshot().entry("warps", warp)
    assert entry is not None
    items: list[dict[str, Any]] = entry.fields["items"]
    return items


def through_the_form(snapshot: Snapshot, table: dict[str, Any]) -> dict[str, Any]:
    """The table as the form gives it back untouched."""
    shown = warp_form.form_of(snapshot, table)
    posted = {each.name: each.text for each in shown if each.kind != "flag" or each.text}
    form = warp_form.form_of(snapshot, table)
    warp_form.take(form, posted)
    return plain(warp_form.table_of(snapshot, form, table, posted))


def test_every_key_of_an_item_comes_through_the_form(weaver: Client) -> None:
    snapshot = current_snapshot()
    entry = snapshot.entry("warps", "towels")
    assert entry is not None
    items = st.fixed_dictionaries(
        {"finished_length": st.sampled_from(["26 in", "66 cm"])},
        optional={
            "hem": st.just("1.25 in"),
            "fringe": st.just("3 in"),
            "count": st.integers(1, 9),
            "draft": st.sampled_from([DIAMONDS, WAVES]),
            "weft_yarns": st.sampled_from([["linen-blue"], ["cottolin-cream"]]),
            "ppi": st.just("21 /in"),
            "header": st.sampled_from(["1 in", "2.5 cm"]),
            "hem_draft": st.sampled_from([DIAMONDS, WAVES]),
            "hem_weft_yarns": st.sampled_from([["linen-blue"], ["cottolin-cream"]]),
            "hem_ppi": st.just("28 /in"),
            "weft_strands": st.integers(1, 3),
            "twist": st.just("12 %"),
            "sewn": st.just(1),
            "hem_weft_strands": st.integers(1, 3),
        },
    )

    @settings(max_examples=40, deadline=None)
    @given(st.lists(items, min_size=1, max_size=3))
    def comes_through(made: list[dict[str, Any]]) -> None:
        table = plain(entry.fields) | {"items": made}
        assert through_the_form(snapshot, table)["items"] == made

    comes_through()


def test_hems_get_a_weave_of_their_own_on_the_page(weaver: Client) -> None:
    address = "/warps/towels"
    form = form_of(weaver, address)
    assert form["items-1-hem_draft"] == ""
    changed = {
        "items-1-header": "1 in",
        "items-1-hem_draft": WAVES,
        "items-1-hem_weft_yarns-1": "linen-blue",
        "items-1-hem_ppi": "28",
    }
    assert weaver.post(address, form | changed).status_code == 302
    first = items_of("towels")[0]
    assert first["header"] == "1 in"
    assert (first["hem_draft"], first["hem_weft_yarns"], first["hem_ppi"]) == (
        WAVES,
        ["linen-blue"],
        "28 /in",
    )
    page = " ".join(weaver.get(address).content.decode().split())
    assert "Piece 1, 2 times" in page
    assert "in waste yarn, cut away later" in page
    assert "Cut line" in page
    assert "piece 1: header in waste yarn — → 1 in, piece 1: hem: draft — →" in page
    weaver.post(address, form_of(weaver, address) | dict.fromkeys(changed, ""))
    assert not {"header", "hem_draft", "hem_weft_yarns", "hem_ppi"} & items_of("towels")[0].keys()


def test_a_hem_draft_with_more_colors_gets_as_many_yarns(weaver: Client) -> None:
    snapshot = current_snapshot()
    threading = (snapshot.drafts[DIAMONDS].threading + 1).tolist()
    hem = lift_plan(
        threading, [[1, 3], [2, 4]], weft_colors=[0, 1], palette=((0, 0, 0), (9, 9, 9)), title="Two"
    )
    store.write("drafts", HEM, {"wif": text_of(hem)}, version=None, who="test")
    form = form_of(weaver, "/warps/towels")
    assert weaver.post("/warps/towels", form | {"items-1-hem_draft": HEM}).status_code == 302
    assert len(items_of("towels")[0]["hem_weft_yarns"]) == 2
    planned = current_snapshot().plan_of("towels")
    assert planned is not None
    assert planned.error is None
    assert store.needs(current_snapshot(), "drafts", HEM) == ["towels"]


def test_hems_keep_as_many_yarns_as_their_draft_has_colors_when_the_warp_gets_another_draft(
    weaver: Client,
) -> None:
    snapshot = current_snapshot()
    entry = snapshot.entry("warps", "towels")
    assert entry is not None
    threading = (snapshot.drafts[DIAMONDS].threading + 1).tolist()
    two = lift_plan(threading, [[1], [2]], weft_colors=[0, 1], palette=((0, 0, 0), (9, 9, 9)))
    items = [{"finished_length": "26 in", "hem": "1 in", "hem_draft": WAVES}]
    made = save_draft.fitted(snapshot, plain(entry.fields) | {"draft": HEM, "items": items}, HEM, two)
    assert len(made["weft_yarns"]) == 2
    assert made["items"][0]["hem_weft_yarns"] == made["weft_yarns"][:1]


def test_a_hem_of_another_threading_is_refused_beside_its_field(weaver: Client) -> None:
    form = form_of(weaver, "/warps/towels")
    answer = weaver.post("/warps/towels", form | {"items-1-hem_draft": "drafts/broken-twill.wif"})
    page = " ".join(answer.content.decode().split())
    assert answer.status_code == 422
    assert 'id="items-1-hem_draft-error"' in page
    assert "Another threading than the warp" in page
    assert "hem_draft" not in items_of("towels")[0]
