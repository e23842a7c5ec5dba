"""Double width on the planning page: chosen among the layers, with what is done at the fold."""

from __future__ import annotations

import pytest
from django.test import Client

from tests.app.asking import form_of
from tests.app.warps.test_stripes import ADDRESS, planned, table

pytestmark = pytest.mark.django_db


def test_a_warp_opens_to_double_width_and_is_of_one_width_again(weaver: Client) -> None:
    half = planned().wanted_width_mm / 2
    typed = {"layers": "2", "double_cloth": "double width", "fold_left_out": "1", "floating_selvedges": ""}
    typed["selvedge_ends"] = ""
    assert weaver.post(ADDRESS, form_of(weaver, ADDRESS) | typed).status_code == 302
    assert (table()["double_cloth"], table()["fold_left_out"]) == ("double width", 1)
    assert planned().wanted_width_mm == pytest.approx(half)
    page = weaver.get(ADDRESS).content.decode()
    assert "Opened width" in page
    assert "1 end of the threading left out at the fold" in page
    bare = {"double_cloth": "", "fold_left_out": "", "layers": ""}
    assert weaver.post(ADDRESS, form_of(weaver, ADDRESS) | bare).status_code == 302
    assert not {"double_cloth", "fold_left_out"} & table().keys()


def test_a_fold_without_two_layers_is_said_beside_it(weaver: Client) -> None:
    answer = weaver.post(ADDRESS, form_of(weaver, ADDRESS) | {"double_cloth": "tube"})
    assert answer.status_code == 422
    assert 'id="double_cloth-error"' in answer.content.decode()
