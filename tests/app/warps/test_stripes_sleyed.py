"""Crammed and spaced stripes on the planning page: ends per dent of their own, and empty dents."""

from __future__ import annotations

import pytest
from django.test import Client

from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import form_of
from tests.app.warps.test_pieces import through_the_form
from tests.app.warps.test_stripes import ADDRESS, CREAM, GREEN, lay, planned, press, table

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def sleyed(weaver: Client) -> None:
    sley = planned().sley
    assert sley is not None
    lay([{"yarn": GREEN, "ends": 12}, {"yarn": CREAM, "ends": 4}], reed=sley.reed.key)


def post(weaver: Client, **typed: str) -> int:
    return weaver.post(ADDRESS, form_of(weaver, ADDRESS) | typed).status_code


def test_a_stripe_gets_ends_per_dent_of_its_own(weaver: Client) -> None:
    assert post(weaver, **{"stripes-2-sley": "3 0"}) == 302
    assert table()["stripes"][1] == {"yarn": CREAM, "ends": 4, "sley": [3, 0]}
    plan = planned()
    assert plan.sley is not None
    assert plan.sley.denting
    page = weaver.get(ADDRESS).content.decode()
    assert "by stripes, starting in dent" in page
    assert "epi on average" in page
    assert "4 Cottolin, cream (3-0)" in page


def test_empty_dents_are_chosen_in_place_of_a_yarn(weaver: Client) -> None:
    assert press(weaver, "stripes:add") == 302
    assert post(weaver, **{"stripes-3-yarn": "", "stripes-3-ends": "2"}) == 302
    assert table()["stripes"][2] == {"dents": 2}
    made = planned().sley
    assert made is not None
    assert (0, 2) in made.denting
    assert "stripes-3-sley" not in form_of(weaver, ADDRESS)
    assert post(weaver, **{"stripes-3-yarn": GREEN, "stripes-3-ends": "5"}) == 302
    assert table()["stripes"][2] == {"yarn": GREEN, "ends": 5}


@pytest.mark.parametrize(("typed", "field"), [("many", "stripes-2-sley"), ("0 0", "stripes-2-sley")])
def test_a_sley_that_means_nothing_is_said_beside_it(weaver: Client, typed: str, field: str) -> None:
    before = table()
    answer = weaver.post(ADDRESS, form_of(weaver, ADDRESS) | {"stripes-2-sley": typed})
    assert answer.status_code == 422
    assert f'id="{field}-error"' in answer.content.decode()
    assert table() == before


def test_without_a_reed_the_form_asks_for_one_beside_the_stripe(weaver: Client) -> None:
    answer = weaver.post(ADDRESS, form_of(weaver, ADDRESS) | {"stripes-2-sley": "3", "reed": ""})
    assert answer.status_code == 422
    assert 'id="stripes-2-sley-error"' in answer.content.decode()
    assert "expected the reed that it is sleyed in" in answer.content.decode()


def test_crammed_and_spaced_stripes_come_through_the_form_unchanged(weaver: Client) -> None:
    stripes = [{"yarn": GREEN, "ends": 12, "sley": [2, 1]}, {"dents": 3}, {"yarn": CREAM, "ends": 4}]
    lay(stripes)
    snapshot = current_snapshot()
    entry = snapshot.entry("warps", "towels")
    assert entry is not None
    assert through_the_form(snapshot, dict(entry.fields))["stripes"] == stripes


def test_the_pages_at_the_loom_show_the_dents_and_where_the_ends_lie(weaver: Client) -> None:
    lay([{"yarn": GREEN, "ends": 12, "sley": [3]}, {"dents": 3}, {"yarn": CREAM, "ends": 4}])
    page = weaver.get("/beside/towels/sleying").content.decode()
    assert '"counts":[3,3,3,3,0,0,0]' in page
    assert '"lie":[[' in page
