"""Twisted fringes, sewn pieces and cutting lines on the planning page."""

from __future__ import annotations

import pytest
from django.test import Client

from tests.app.asking import form_of
from tests.app.warps.test_stripes import ADDRESS, planned, table

pytestmark = pytest.mark.django_db


def test_a_twisted_fringe_and_sewn_pieces_are_told_with_the_cutting_lines(weaver: Client) -> None:
    typed = {"items-1-count": "4", "items-1-sewn": "2", "items-1-fringe": "", "items-1-twisted_fringe": "3"}
    typed["fringe_in_waste"] = "yes"
    assert weaver.post(ADDRESS, form_of(weaver, ADDRESS) | typed).status_code == 302
    item = table()["items"][0]
    assert (item["twisted_fringe"], item["sewn"], item["count"]) == ("3 in", 2, 4)
    assert table()["fringe_in_waste"] is True
    page = weaver.get(ADDRESS).content.decode()
    assert "Cutting and pieces" in page
    assert "of fringe at each end; twisted, it is 3 in long" in page
    assert "sew 2 side by side into one" in page
    assert planned().lengths.fringe_in_waste_m > 0
    assert "sew 2 side by side" in weaver.get("/beside/towels/weaving").content.decode()


def test_pieces_that_do_not_make_whole_sets_are_said_beside_the_field(weaver: Client) -> None:
    typed = {"items-1-count": "3", "items-1-sewn": "2"}
    answer = weaver.post(ADDRESS, form_of(weaver, ADDRESS) | typed)
    assert answer.status_code == 422
    assert 'id="items-1-sewn-error"' in answer.content.decode()
