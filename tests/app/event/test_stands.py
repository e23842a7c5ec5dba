"""Stands and classes are added, changed and removed on their pages; the rota and the kits follow."""

from __future__ import annotations

import pytest
from django.test import Client

from loomready.app.models import Change
from loomready.app.sharing.roles import Role
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import form_of
from tests.app.devices import joined
from tests.app.event.test_plan_page import text_of
from tests.app.event.test_records import fields_of

pytestmark = pytest.mark.usefixtures("quick_plans")


def test_forms_sent_as_they_are_change_nothing(keeper: Client) -> None:
    before = Change.objects.count()
    for address in ("/event/stands/runner-stand", "/event/stands/yarn-table", "/event/classes/cords"):
        assert keeper.post(address, form_of(keeper, address)).status_code == 302, address
    assert Change.objects.count() == before


def test_a_new_stand_is_in_the_rota(keeper: Client) -> None:
    form = form_of(keeper, "/event/stands-new") | {
        "name": "Spin a yard",
        "people": "1",
        "touch": "no",
        "sign": "A wheel.\nSit down.",
        "day-1": "2027-05-08",
        "opens-1": "10:00",
        "closes-1": "11:00",
    }
    assert keeper.post("/event/stands-new", form).headers["Location"] == "/event/stands"
    made = next(each for each in current_snapshot().guild.stands if each.name == "Spin a yard")
    assert (made.sign, made.touch, len(made.hours)) == ("A wheel.\nSit down.", False, 1)
    assert "Spin a yard" in text_of(keeper)
    assert "Spin a yard" in text_of(keeper, "/event/stands")


def test_a_new_class_has_its_kit(keeper: Client) -> None:
    form = form_of(keeper, "/event/classes-new") | {
        "name": "Knots",
        "teacher": "bracken",
        "places": "4",
        "spare": "",
        "day-1": "2027-05-09",
        "opens-1": "11:00",
        "closes-1": "12:00",
        "materials-1-yarn": "oat",
        "materials-1-each": "10 g",
        "materials-2-thing": "board",
        "materials-2-each": "1",
        "materials-2-have": "3",
    }
    assert keeper.post("/event/classes-new", form).headers["Location"] == "/event/stands"
    assert fields_of("classes", "knots")["materials"] == [
        {"yarn": "oat", "each": "10 g"},
        {"thing": "board", "each": 1, "have": 3},
    ]
    page = text_of(keeper)
    assert "Knots" in page
    assert "board 4 3 1" in page


@pytest.mark.parametrize(
    ("address", "typed", "says"),
    [
        ("/event/stands-new", {"name": ""}, "Is missing; expected the name of the stand"),
        ("/event/stands-new", {"name": "Yarn to touch"}, "There is already one with this name"),
        ("/event/stands-new", {"name": "A", "day-1": "2027-05-08"}, "Is not complete"),
        ("/event/stands-new", {"name": "A", "people": "-1"}, "people"),
        ("/event/classes-new", {"name": "A"}, "Is missing; expected the day of the class"),
        (
            "/event/classes-new",
            {"name": "A", "day-1": "2027-05-08", "opens-1": "12:00", "closes-1": "11:00"},
            "12:00",
        ),
        (
            "/event/classes-new",
            {
                "name": "A",
                "day-1": "2027-05-08",
                "opens-1": "11:00",
                "closes-1": "12:00",
                "materials-1-yarn": "oat",
                "materials-1-each": "3",
            },
            "weight",
        ),
    ],
)
def test_what_is_wrong_is_said_and_nothing_typed_is_lost(
    keeper: Client, address: str, typed: dict[str, str], says: str
) -> None:
    before = Change.objects.count()
    answer = keeper.post(address, form_of(keeper, address) | typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert says in page
    assert all(f'"{text}"' in page for text in typed.values() if text)
    assert Change.objects.count() == before


def test_a_stand_is_removed_and_a_helper_only_looks(keeper: Client) -> None:
    helper = joined(Role.HELPER)
    assert helper.get("/event/stands/yarn-table").status_code == 200
    assert helper.post("/event/stands/yarn-table", {"name": "x"}).status_code == 403
    form = form_of(keeper, "/event/stands/yarn-table")
    assert keeper.post("/event/stands/yarn-table/remove", form).status_code == 302
    assert "Yarn to touch" not in text_of(keeper, "/event/stands")
