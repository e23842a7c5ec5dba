"""Doubled ends on the planning page: chosen among the allowances, told by figures and pages at the loom."""

from __future__ import annotations

import pytest
from django.test import Client

from tests.app.asking import form_of
from tests.app.warps.test_stripes import ADDRESS, planned, table

pytestmark = pytest.mark.django_db


def test_ends_are_doubled_and_single_again(weaver: Client) -> None:
    typed = {
        "ends_per_heddle": "2",
        "weft_strands": "2",
        "selvedge_ends": "3",
        "selvedge_ends_per_heddle": "4",
    }
    assert weaver.post(ADDRESS, form_of(weaver, ADDRESS) | typed).status_code == 302
    assert {name: table()[name] for name in typed} == {name: int(text) for name, text in typed.items()}
    plan = planned()
    page = weaver.get(ADDRESS).content.decode()
    assert f"{plan.web.every_end:,} ends of yarn" in page
    assert "working ends" in page
    assert "2 strands of weft together in each pick" in page
    threading = weaver.get("/beside/towels/threading").content.decode()
    assert "2 ends of yarn in each heddle" in threading
    assert "wind 4 ends as one" in weaver.get("/beside/towels/winding").content.decode()
    count = weaver.get("/beside/towels/count").content.decode()
    assert f"{plan.web.ends:,} working ends, {plan.web.every_end:,} ends of yarn planned" in count
    bare = dict.fromkeys(typed, "")
    assert weaver.post(ADDRESS, form_of(weaver, ADDRESS) | bare).status_code == 302
    assert not {"ends_per_heddle", "weft_strands", "selvedge_ends_per_heddle"} & table().keys()
    assert not planned().web.is_doubled
    assert f"{planned().web.ends:,} ends planned" in weaver.get("/beside/towels/count").content.decode()


def test_selvedges_are_doubled_only_where_there_are_selvedge_ends(weaver: Client) -> None:
    answer = weaver.post(ADDRESS, form_of(weaver, ADDRESS) | {"selvedge_ends_per_heddle": "2"})
    assert answer.status_code == 422
    assert 'id="selvedge_ends_per_heddle-error"' in answer.content.decode()
