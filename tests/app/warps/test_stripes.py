"""Stripes on the planning page: rows that are added, moved, doubled, mirrored and taken away again."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.app.choosing import use_found_draft
from loomready.app.choosing.find_form import main_yarns
from loomready.app.drafts import save_draft
from loomready.app.forms import stripes_form
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot, plain
from loomready.choose.stripes.whole_stripes import ends_whole
from loomready.warp.result import WarpPlan
from tests.app.asking import form_of
from tests.app.warps.test_pieces import through_the_form

pytestmark = pytest.mark.django_db
GREEN, CREAM, BLUE = "cottolin-green", "cottolin-cream", "linen-blue"
ADDRESS = "/warps/towels"


def table() -> dict[str, Any]:
    entry = current_snapshot().entry("warps", "towels")
    assert entry is not None
    return dict(entry.fields)


def planned() -> WarpPlan:
    made = current_snapshot().plan_of("towels")
    assert made is not None
    assert made.plan is not None
    return made.plan


def lay(stripes: list[dict[str, Any]], **more: Any) -> None:
    entry = current_snapshot().entry("warps", "towels")
    assert entry is not None
    made = dict(entry.fields) | {"stripes": stripes} | more
    made.pop("warp_yarns", None)
    store.write("warps", "towels", made, version=entry.version, who="test")


def press(weaver: Client, button: str, **typed: str) -> int:
    return weaver.post(ADDRESS, form_of(weaver, ADDRESS) | typed | {"stripe": button}).status_code


def rows(*counts: tuple[str, int]) -> list[dict[str, Any]]:
    return [{"yarn": yarn, "ends": ends} for yarn, ends in counts]


def test_a_warp_is_laid_in_stripes_of_its_own_yarns_and_back(weaver: Client) -> None:
    assert press(weaver, "stripes:begin") == 302
    assert table()["stripes"] == rows((GREEN, 12))
    assert "warp_yarns" not in table()
    assert press(weaver, "stripes:add") == 302
    typed = {"stripes-2-yarn": CREAM, "stripes-2-ends": "4"}
    assert weaver.post(ADDRESS, form_of(weaver, ADDRESS) | typed).status_code == 302
    assert table()["stripes"] == rows((GREEN, 12), (CREAM, 4))
    assert [(need.yarn.key, need.warp_ends > 0) for need in planned().yarns][:2] == [
        (GREEN, True),
        (CREAM, True),
    ]
    page = weaver.get(ADDRESS).content.decode()
    green, cream = "Cottolin, fern green", "Cottolin, cream"
    assert f"warp stripes 12 {green} + 12 {green} → 12 {green} + 4 {cream}" in page
    assert press(weaver, "stripes:end") == 302
    assert table()["warp_yarns"] == [GREEN]
    assert "stripes" not in table()


@pytest.mark.parametrize(
    ("button", "made"),
    [
        ("up:2:2", [(CREAM, 4), (GREEN, 12), (BLUE, 2)]),
        ("up:1:1", [(GREEN, 12), (CREAM, 4), (BLUE, 2)]),
        ("down:2:2", [(GREEN, 12), (BLUE, 2), (CREAM, 4)]),
        ("down:3:3", [(GREEN, 12), (CREAM, 4), (BLUE, 2)]),
        ("copy:1", [(GREEN, 12), (GREEN, 12), (CREAM, 4), (BLUE, 2)]),
        ("remove:2", [(GREEN, 12), (BLUE, 2)]),
        ("add", [(GREEN, 12), (CREAM, 4), (BLUE, 2), (BLUE, 2)]),
        ("double", [(GREEN, 12), (CREAM, 4), (BLUE, 2)] * 2),
        ("mirror", [(GREEN, 12), (CREAM, 4), (BLUE, 2), (CREAM, 4), (GREEN, 12)]),
        ("remove:9", [(GREEN, 12), (CREAM, 4), (BLUE, 2)]),
        ("explode", [(GREEN, 12), (CREAM, 4), (BLUE, 2)]),
    ],
)
def test_a_button_does_what_it_says(weaver: Client, button: str, made: list[tuple[str, int]]) -> None:
    lay(rows((GREEN, 12), (CREAM, 4), (BLUE, 2)))
    assert press(weaver, f"stripes:{button}") == 302
    assert table()["stripes"] == rows(*made)


def test_the_only_stripe_stays(weaver: Client) -> None:
    lay(rows((GREEN, 12)))
    assert press(weaver, "stripes:remove:1") == 302
    assert table()["stripes"] == rows((GREEN, 12))


def test_what_was_typed_counts_before_a_button_is_done(weaver: Client) -> None:
    lay(rows((GREEN, 12), (CREAM, 4)))
    assert press(weaver, "stripes:up:2:2", **{"stripes-2-ends": "6"}) == 302
    assert table()["stripes"] == rows((CREAM, 6), (GREEN, 12))


@pytest.mark.parametrize("typed", ["", "many", "0", "-3", "99999", "4.5"])
def test_a_count_that_means_nothing_is_said_beside_it_and_nothing_is_saved(
    weaver: Client, typed: str
) -> None:
    lay(rows((GREEN, 12), (CREAM, 4)))
    before = table()
    answer = weaver.post(ADDRESS, form_of(weaver, ADDRESS) | {"stripes-2-ends": typed})
    assert answer.status_code == 422
    assert 'id="stripes-2-ends-error"' in answer.content.decode()
    assert table() == before


def test_stripes_are_mirrored_by_a_choice(weaver: Client) -> None:
    lay(rows((GREEN, 13), (CREAM, 4)))
    assert weaver.post(ADDRESS, form_of(weaver, ADDRESS) | {"stripes_mirrored": "yes"}).status_code == 302
    assert table()["stripes_mirrored"] is True
    role = planned().web.role.tolist()
    assert role == role[::-1]
    assert press(weaver, "stripes:end") == 302
    assert "stripes_mirrored" not in table()


def test_the_width_is_fitted_to_whole_stripes(weaver: Client) -> None:
    lay(rows((GREEN, 43), (CREAM, 17)))
    form = form_of(weaver, ADDRESS) | {"floating_selvedges": "", "repeat_ends": "1 4", "finished_width": "17"}
    before = planned()
    assert weaver.post(ADDRESS, form | {"stripe": "stripes:width"}).status_code == 302
    made = planned()
    assert ends_whole(made.order, made.web.heddle_ends) is not None
    assert made.order.finished_width_mm == pytest.approx(made.finished_width_mm, abs=0.2)
    assert made.order.stripes == before.order.stripes


def test_the_stripes_are_fitted_to_the_width(weaver: Client) -> None:
    lay(rows((GREEN, 40), (CREAM, 19)))
    before = planned()
    assert ends_whole(before.order, before.web.heddle_ends) is None
    assert press(weaver, "stripes:stripes") == 302
    made = planned()
    assert made.web.heddle_ends == before.web.heddle_ends
    assert ends_whole(made.order, made.web.heddle_ends) is True


def test_more_stripes_than_ends_cannot_be_fitted(weaver: Client) -> None:
    lay(rows(*[(GREEN, 1), (CREAM, 1)] * 300))
    answer = weaver.post(ADDRESS, form_of(weaver, ADDRESS) | {"stripe": "stripes:stripes"})
    assert answer.status_code == 422
    assert "fewer ends than stripes" in answer.content.decode()


def test_where_no_width_near_ends_whole_the_page_says_so(weaver: Client) -> None:
    lay(rows((GREEN, 3000), (CREAM, 3000)))
    answer = weaver.post(ADDRESS, form_of(weaver, ADDRESS) | {"stripe": "stripes:width"})
    assert answer.status_code == 422
    assert "No width near this one ends with a whole stripe" in answer.content.decode()


def test_the_weft_is_woven_in_stripes_of_the_warp_or_of_a_piece(weaver: Client) -> None:
    assert press(weaver, "weft_stripes:begin") == 302
    assert table()["weft_stripes"] == [{"yarn": CREAM, "picks": 12}]
    assert "weft_yarns" not in table()
    assert press(weaver, "items-2-weft_stripes:begin") == 302
    assert table()["items"][1]["weft_stripes"] == [{"yarn": BLUE, "picks": 12}]
    assert press(weaver, "items-2-weft_stripes:add", **{"items-2-weft_stripes-1-picks": "30"}) == 302
    piece = table()["items"][1]
    assert piece["weft_stripes"] == [{"yarn": BLUE, "picks": 30}] * 2
    assert "weft_yarns" not in piece
    page = " ".join(weaver.get(ADDRESS).content.decode().split())
    assert "piece 2: weft stripes 30 Linen without a label, pale blue" not in page
    blue = "Linen without a label, pale blue"
    assert f"weft stripes 12 {blue} → 30 {blue} + 30 {blue}" in page
    assert press(weaver, "items-2-weft_stripes:end") == 302
    assert "weft_stripes" not in table()["items"][1]
    assert press(weaver, "weft_stripes:end") == 302
    assert table()["weft_yarns"] == [CREAM]


def test_every_stripe_comes_through_the_form(weaver: Client) -> None:
    snapshot = current_snapshot()
    entry = snapshot.entry("warps", "towels")
    assert entry is not None
    yarn = st.sampled_from([GREEN, CREAM, BLUE])
    ends = st.lists(st.fixed_dictionaries({"yarn": yarn, "ends": st.integers(1, 90)}), min_size=1, max_size=5)
    picks = st.lists(
        st.fixed_dictionaries({"yarn": yarn, "picks": st.integers(1, 90)}), min_size=1, max_size=4
    )

    @settings(max_examples=30, deadline=None)
    @given(ends, picks, picks, st.booleans())
    def comes_through(warp: list[Any], weft: list[Any], own: list[Any], mirrored: bool) -> None:
        made = plain(entry.fields) | {"stripes": warp, "weft_stripes": weft}
        made |= {"stripes_mirrored": True} if mirrored else {}
        for name in ("warp_yarns", "weft_yarns"):
            made.pop(name)
        made["items"] = [{"finished_length": "26 in", "weft_stripes": own}, {"finished_length": "20 in"}]
        assert through_the_form(snapshot, made) == made

    comes_through()


def test_another_draft_leaves_the_stripes(weaver: Client) -> None:
    lay(rows((GREEN, 12), (CREAM, 4)))
    snapshot = current_snapshot()
    draft = snapshot.drafts["drafts/broken-twill.wif"]
    made = save_draft.fitted(snapshot, table() | {"draft": "x"}, "x", draft)
    assert made["stripes"] == rows((GREEN, 12), (CREAM, 4))
    assert "warp_yarns" not in made


def test_a_found_draft_is_taken_with_the_stripes(weaver: Client) -> None:
    lay(rows((GREEN, 12), (CREAM, 40)))
    snapshot = current_snapshot()
    other, before = snapshot.drafts["drafts/broken-twill.wif"], snapshot.drafts[table()["draft"]]
    assert main_yarns(table(), before) == (CREAM, GREEN)
    made = use_found_draft._onto(snapshot, table(), "drafts/broken-twill.wif", other, before)
    assert made["stripes"] == rows((GREEN, 12), (CREAM, 40))
    assert "warp_yarns" not in made


def test_a_yarn_of_a_stripe_cannot_be_removed(weaver: Client) -> None:
    lay(rows((GREEN, 12), ("wool-rust", 4)))
    assert "towels" in store.needs(current_snapshot(), "yarns", "wool-rust")


def test_the_pages_of_a_warp_in_stripes_answer(weaver: Client) -> None:
    lay(rows((GREEN, 12), (CREAM, 4), (BLUE, 2)), stripes_mirrored=True)
    for page in ("", "/colors", "/size", "/cloth"):
        assert weaver.get(ADDRESS + page).status_code == 200, page
    for page in ("/find-draft?warp=towels", "/beside/towels/winding", "/drafts/drafts/broken-twill.wif/warp"):
        assert weaver.get(page).status_code == 200, page


def test_a_row_that_moves_keeps_its_buttons() -> None:
    assert stripes_form.moved({"stripe": "stripes:up:3:3"}, "stripes", 4) == (2, 3)
    assert stripes_form.tags(4, (2, 3)) == [1, 3, 2, 4]
    assert stripes_form.tags(4, (1, 3)) == [3, 1, 2, 4]
    assert stripes_form.tags(4, None) == [1, 2, 3, 4]
