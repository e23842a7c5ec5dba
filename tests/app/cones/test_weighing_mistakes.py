"""A weighing marked as a mistake."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client

from loomready.app.cones import weighing_mistakes
from loomready.app.models import Change, Record
from loomready.app.state import store
from tests.app.asking import brought, form_of, made_by

CONE = "/shelf/cone/fern-big"
WEIGH, MISTAKE = f"{CONE}/weigh", f"{CONE}/mistake"


def today() -> str:
    """The day of this moment: a run of tests may go past midnight."""
    return date.today().isoformat()


def weigh(client: Client, gross: str) -> None:
    client.post(WEIGH, form_of(client, WEIGH) | {"gross": gross, "sure": "heavier"})


def mark(client: Client, was: str, right: str = "", day: str | None = None) -> int:
    if day is None:
        day = next(
            row.weighing.day for row in weighing_mistakes.listed("fern-big") if row.weighing.gross == was
        )
    made = client.post(MISTAKE, {"day": day, "was": was, "tare": "37 g", "right": right})
    return made.status_code


def gross() -> str:
    return str(Record.objects.get(kind="cones", key="fern-big").fields["gross"])


def rows() -> list[tuple[str, bool]]:
    return [(each.weighing.gross, each.mistake) for each in weighing_mistakes.listed("fern-big")]


def test_the_last_good_weighing_rules_once_a_later_one_is_a_mistake(weaver: Client) -> None:
    weigh(weaver, "422")
    assert mark(weaver, "422 g") == 302
    record = Record.objects.get(kind="cones", key="fern-big").fields
    assert (record["gross"], record["weighed"]) == ("224 g", "2026-09-03")
    assert ("422 g", True) in rows()
    assert [each.gross for each in weighing_mistakes.counted("fern-big")] == ["224 g"]
    page = weaver.get(WEIGH).content.decode()
    assert "<s>422 g</s>" in page
    assert "marked as a mistake" in page


def test_the_right_figure_takes_the_place_of_the_wrong_one(weaver: Client) -> None:
    weigh(weaver, "422")
    assert mark(weaver, "422 g", "222") == 302
    record = Record.objects.get(kind="cones", key="fern-big").fields
    assert (record["gross"], record["weighed"][:10]) == ("222 g", today())
    assert rows() == [("222 g", False), ("422 g", True), ("224 g", False)]


def test_an_earlier_mistake_leaves_the_last_weighing_alone(weaver: Client) -> None:
    weigh(weaver, "422")
    weigh(weaver, "220")
    assert mark(weaver, "422 g", "222 g") == 302
    assert gross() == "220 g"
    assert rows() == [("220 g", False), ("422 g", True), ("222 g", False), ("224 g", False)]


def test_a_mark_is_undone_with_what_it_changed(weaver: Client) -> None:
    weigh(weaver, "422")
    mark(weaver, "422 g")
    store.undo(Change.objects.filter(kind="mistakes").latest("pk").pk, who="Wren")
    assert gross() == "422 g"
    assert rows() == [("422 g", False), ("224 g", False)]


def test_a_weighing_that_says_the_same_later_counts_again(weaver: Client) -> None:
    weigh(weaver, "422")
    mark(weaver, "422 g")
    weigh(weaver, "422")
    assert rows()[0] == ("422 g", False)


def test_the_only_weighing_needs_the_right_figure(weaver: Client) -> None:
    answer = weaver.post(MISTAKE, {"day": "2026-09-03", "was": "224 g", "tare": "37 g", "right": ""})
    assert answer.status_code == 422
    assert "type the right figure instead" in answer.content.decode()
    assert rows() == [("224 g", False)]
    assert mark(weaver, "224 g", "242 g", "2026-09-03") == 302
    assert rows() == [("242 g", False), ("224 g", True)]


def test_what_is_no_weight_changes_nothing(weaver: Client) -> None:
    weigh(weaver, "422")
    assert mark(weaver, "422 g", "much") == 422
    assert mark(weaver, "422 g", "20 g") == 422  # less than the empty cone
    assert mark(weaver, "999 g", day=today()) == 422  # there is no such weighing
    assert rows() == [("422 g", False), ("224 g", False)]


@pytest.mark.usefixtures("without_packets")
def test_a_backup_carries_the_marks(weaver: Client) -> None:
    weigh(weaver, "422")
    mark(weaver, "422 g", "222 g")
    told, whole = rows(), made_by(weaver, "/guild/backup")
    Change.objects.all().delete()
    Record.objects.all().delete()
    weaver.post("/start", {"begin": "empty"})
    brought(weaver, whole)
    assert rows() == told


@pytest.mark.parametrize(
    ("weighed", "status"), [("2026-11-02T10:30", 302), ("2226-11-02T10:30", 422), ("2026-11-0222", 422)]
)
def test_a_day_of_weighing_may_have_its_time_and_a_wrong_one_is_told(
    weaver: Client, weighed: str, status: int
) -> None:
    made = weaver.post(WEIGH, form_of(weaver, WEIGH) | {"gross": "210", "weighed": weighed})
    assert made.status_code == status
