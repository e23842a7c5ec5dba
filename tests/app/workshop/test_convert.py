"""Turning in the browser: what is shown is computed from the cloth, and what is kept is the same cloth."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from django.test import Client

from loomready.app.drafts import save_draft
from loomready.app.models import Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.app.workshop import convert_search
from loomready.draft.draft import Draft, drawdown, lift_plan
from loomready.draft.edit.blank import blank
from loomready.draft.families.registry import make
from loomready.draft.shedding import fewest_treadles
from loomready.draft.shedding.turned import other_face, same_cloth, turned_cloth

pytestmark = pytest.mark.django_db
LIFTS = [[1], [2], [3], [4], [1, 2], [2, 3], [3, 4], [1, 4], [1, 3], [2, 4]]


def bring(draft: Draft, name: str = "mine") -> str:
    key = f"drafts/{name}.wif"
    store.write("drafts", key, {"wif": save_draft.text_of(draft)}, version=None, who="here")
    return key


def ten_lifts() -> Draft:
    """Ten lifts on four shafts: four treadles make them, two at a time."""
    return lift_plan([1, 2, 3, 4] * 3, LIFTS, title="Ten lifts")


def on_a_shaft_too_many() -> Draft:
    """Its shaft 5 lifts as shaft 1 does, and it has treadles."""
    draft = lift_plan([1, 2, 3, 4, 5, 3], [[1, 2, 5], [2, 3], [3, 4], [1, 4, 5]], title="Five shafts")
    made = fewest_treadles.fewest_treadles(draft)
    return fewest_treadles.on_treadles(draft, made)


def asked(client: Client, address: str, **options: str) -> str:
    answer = client.get(address, options)
    assert answer.status_code == 200
    return answer.content.decode()


def test_every_way_has_its_answer(weaver: Client) -> None:
    page = asked(weaver, f"/drafts/{bring(make('straight-twill', {'tieup': '3/1'}))}/turn")
    assert "Lighter: 16 shafts to lift over all picks, not 48." in page
    assert "It needs 4 shafts, one for each different pick." in page
    assert "It needs all its 4 shafts" in page
    assert "Unbalanced sheds in picks 1, 2, 3, 4" in page


@pytest.mark.parametrize(
    ("way", "kin", "says"),
    [
        ("lift-plan", same_cloth, "The same cloth, thread for thread."),
        ("face-down", other_face, "The other face of the same cloth"),
        ("turned", turned_cloth, "The same cloth turned by 90 degrees"),
        ("fewer-shafts", same_cloth, "The same cloth, thread for thread."),
    ],
)
def test_a_turned_draft_is_kept_as_another_or_as_a_version(weaver: Client, way: str, kin, says: str) -> None:
    key = bring(on_a_shaft_too_many())
    address = f"/drafts/{key}/turn/{way}"
    assert says in asked(weaver, address)
    weaver.post(address, {"version": "1", "as": "other", "name": f"Turned {way}"})
    before = current_snapshot().drafts[key]
    other = current_snapshot().drafts[f"drafts/turned-{way}.wif"]
    assert kin(before, other)
    assert other.title == f"Turned {way}"
    weaver.post(address, {"version": "1", "as": "version", "name": ""})
    after = current_snapshot().drafts[key]
    assert kin(before, after)
    assert after.title == before.title
    assert Record.objects.get(kind="drafts", key=key).version == 2


def test_the_fewest_treadles_are_found_proved_and_kept(weaver: Client) -> None:
    key = bring(ten_lifts())
    address = f"/drafts/{key}/turn/treadles"
    shedding_done = convert_search.find(
        current_snapshot().entry("drafts", key).fields["wif"], 2, "rising", "/"
    )
    while isinstance(shedding_done, convert_search.Search):
        assert shedding_done.over.wait(120)
        shedding_done = convert_search.find(
            current_snapshot().entry("drafts", key).fields["wif"], 2, "rising", "/"
        )
    page = asked(weaver, address, treadles="4", feet="2", shed="rising")
    assert "It can be woven with 4 treadles." in page
    assert "Proved: no tie-up with fewer treadles" in page
    assert "o: rises" in page
    before = current_snapshot().drafts[key]
    options = {"version": "1", "treadles": "4", "feet": "2", "shed": "rising"}
    weaver.post(address, options | {"as": "version"})
    after = current_snapshot().drafts[key]
    assert after.treadles == 4
    assert (drawdown(after) == drawdown(before)).all()


def test_too_few_treadles_are_told_with_how_many_it_needs(weaver: Client) -> None:
    page = asked(
        weaver, f"/drafts/{bring(ten_lifts())}/turn/treadles", treadles="8", feet="1", shed="countermarche"
    )
    assert "Not possible with 8 treadles: it needs 10 treadles." in page
    assert "Keep as" not in page
    assert "o: rises, x: sinks" in page
    assert re.search(r"<td>x</td>", page)


def test_a_sinking_tie_up_is_written_with_its_own_sign(weaver: Client) -> None:
    key = bring(make("straight-twill"))
    page = asked(weaver, f"/drafts/{key}/turn/treadles", treadles="6", feet="1", shed="sinking")
    assert "x: sinks" in page
    assert "<td>o</td>" not in page


@pytest.mark.parametrize(
    ("warp", "treadles", "shed"),
    [("scarves", "6", "rising"), ("cushions", "10", "countermarche")],
)
def test_a_warp_brings_the_treadles_of_its_loom(weaver: Client, warp: str, treadles: str, shed: str) -> None:
    order = next(each for each in current_snapshot().guild.warps if each.key == warp)
    loom = current_snapshot().guild.loom(order.loom)
    if not loom.treadles:
        pytest.fail("the demo guild's warp stands on a loom with levers")
    page = asked(weaver, f"/drafts/{order.draft}/turn", warp=warp)
    assert f'name="treadles" min="1" max="64" value="{loom.treadles}"' in page


def test_a_search_that_takes_long_is_told_and_can_be_canceled(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A search that goes on until it is ended, as one on many shafts would."""

    def search_on(
        draft: Draft, *, feet: int, shed: str, watch: fewest_treadles.Watch
    ) -> fewest_treadles.Tieup:
        watch.between(5, 9)
        while True:
            watch.go_on()
            watch.job.stop.wait(0.05)  # type: ignore[attr-defined]

    monkeypatch.setattr(convert_search, "fewest_treadles", search_on)
    key = bring(replace(ten_lifts(), title="Another of ten"), "long")
    address = f"/drafts/{key}/turn/treadles"
    page = asked(weaver, address, treadles="8", feet="2", shed="rising")
    assert "9 treadles are enough; fewer than 5 are not." in page
    again = asked(weaver, address, treadles="8", feet="2", shed="rising")
    assert "Searching for the fewest treadles" in again
    text = current_snapshot().entry("drafts", key).fields["wif"]
    search = convert_search.find(text, 2, "rising", "/")
    assert isinstance(search, convert_search.Search)
    weaver.post(f"{address}/cancel", {"feet": "2", "shed": "rising"})
    assert search.over.wait(5)


def test_the_second_of_two_sees_both_versions_and_loses_neither(weaver: Client) -> None:
    key = bring(make("straight-twill", {"tieup": "3/1"}))
    mine = {"version": "1", "name": "Mine too"}
    weaver.post(f"/drafts/{key}/turn/face-down", {"version": "1", "as": "version"})
    answer = weaver.post(f"/drafts/{key}/turn/turned", mine | {"as": "version"})
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Theirs (saved)" in page
    weaver.post(f"/drafts/{key}/turn/turned", mine | {"as": "other"})
    first = make("straight-twill", {"tieup": "3/1"})
    assert turned_cloth(first, current_snapshot().drafts["drafts/mine-too.wif"])
    weaver.post(f"/drafts/{key}/turn/turned", mine | {"as": "version", "over": "2"})
    assert turned_cloth(first, current_snapshot().drafts[key])


def test_a_version_that_never_was_is_no_page(weaver: Client) -> None:
    key = bring(make("straight-twill"))
    before = Record.objects.get(kind="drafts", key=key).version
    answer = weaver.post(f"/drafts/{key}/turn/turned", {"version": "7", "as": "version"})
    assert answer.status_code == 404
    assert Record.objects.get(kind="drafts", key=key).version == before


def test_more_different_picks_than_shafts_can_be_are_said_in_a_line(weaver: Client) -> None:
    numbers = range(1, 71)
    draft = lift_plan(
        [1, 2, 3, 4, 5, 6, 7], [[b + 1 for b in range(7) if number >> b & 1] for number in numbers]
    )
    page = asked(weaver, f"/drafts/{bring(draft)}/turn/turned")
    assert "Turned, the draft needs 70 shafts" in page
    assert "Keep as" not in page


def test_a_ground_weft_is_kept_and_taken_out_again(weaver: Client) -> None:
    key = bring(make("overshot", {"tabby": "no"}))
    address = f"/drafts/{key}/tabby"
    assert "With a ground weft" in asked(weaver, address)
    weaver.post(address, {"version": "1", "do": "use", "ground": "#aabbcc", "as": "version"})
    with_it = current_snapshot().drafts[key]
    assert with_it.picks == 48
    assert (170, 187, 204) in with_it.palette
    assert "Remove tabby picks" in asked(weaver, address)
    weaver.post(address, {"version": "2", "do": "without", "as": "version"})
    assert same_cloth(current_snapshot().drafts[key], make("overshot", {"tabby": "no"}))


def test_a_threading_without_tabby_is_told_where(weaver: Client) -> None:
    page = asked(weaver, f"/drafts/{bring(lift_plan([1, 2, 2, 3], [[1], [2, 3]]))}/tabby")
    assert "No tabby on this threading: ends 2 and 3 are both on shaft 2" in page
    assert "Keep as" not in page


def test_a_warp_on_the_draft_gets_a_weft_yarn_more_and_loses_it_with_an_undo(weaver: Client) -> None:
    draft = make("overshot", {"tabby": "no"})
    order = current_snapshot().guild.warps[0]
    record = Record.objects.get(kind="warps", key=order.key)
    key = bring(draft)
    table = save_draft.fitted(current_snapshot(), {**record.fields, "draft": key}, key, draft)
    store.write("warps", order.key, table, version=record.version, who="here")
    before = current_snapshot().plan_of(order.key)
    assert before is not None
    assert before.plan is not None
    wefts = len(before.order.weft_yarns)
    weaver.post(f"/drafts/{key}/tabby", {"version": "1", "do": "use", "ground": "#aabbcc", "as": "version"})
    after = current_snapshot().plan_of(order.key)
    assert after is not None
    assert after.plan is not None
    assert len(after.order.weft_yarns) == wefts + 1
    change = weaver.get(f"/drafts/{key}/look").content.decode()
    undo = re.search(r'action="(/guild/undo/\d+)"', change)
    assert undo
    weaver.post(undo.group(1), {"back": "/drafts"})
    assert len(current_snapshot().guild.warps[0].weft_yarns) == wefts
    assert current_snapshot().drafts[key].picks == draft.picks


def test_the_ground_is_woven_with_the_yarn_that_was_chosen_and_pattern_yarns_stay(weaver: Client) -> None:
    bare = make("overshot", {"tabby": "no"})
    two = replace(bare, weft_colors=np.resize([1, 0], bare.picks).astype(np.int16))
    record = Record.objects.get(kind="warps", key="towels")
    key = bring(two)
    table = save_draft.fitted(
        current_snapshot(), {**record.fields, "draft": key, "items": [{"finished_length": "20 in"}]}, key, two
    )
    table |= {"warp_yarns": ["linen-blue"], "weft_yarns": ["wool-rust", "wool-indigo"]}
    store.write("warps", "towels", table, version=record.version, who="here")
    options = {"version": "1", "do": "use", "ground": "#000000", "yarn": "cottolin-cream", "as": "version"}
    weaver.post(f"/drafts/{key}/tabby", options)
    order = next(each for each in current_snapshot().guild.warps if each.key == "towels")
    made = current_snapshot().drafts[key]
    by_pick = dict(zip(dict.fromkeys(made.weft_colors.tolist()), order.weft_yarns, strict=True))
    assert [by_pick[color] for color in made.weft_colors[:4].tolist()] == [
        "wool-rust",
        "cottolin-cream",
        "wool-indigo",
        "cottolin-cream",
    ]
    weaver.post(f"/drafts/{key}/tabby", {"version": "2", "do": "without", "as": "version"})
    order = next(each for each in current_snapshot().guild.warps if each.key == "towels")
    assert order.weft_yarns == ("wool-rust", "wool-indigo")


def test_a_turned_draft_turns_the_yarns_of_its_warps(weaver: Client) -> None:
    draft = lift_plan([1, 2, 3, 4], [[1, 2], [2, 3], [3, 4], [1, 4]])
    record = Record.objects.get(kind="warps", key="towels")
    key = bring(draft)
    table = {**record.fields, "draft": key, "warp_yarns": ["wool-rust"], "weft_yarns": ["wool-indigo"]}
    table["items"] = [{"finished_length": "20 in"}]
    store.write("warps", "towels", table, version=record.version, who="here")
    weaver.post(f"/drafts/{key}/turn/turned", {"version": "1", "as": "version"})
    order = next(each for each in current_snapshot().guild.warps if each.key == "towels")
    assert (order.warp_yarns, order.weft_yarns) == (("wool-indigo",), ("wool-rust",))


def test_a_tie_up_that_ties_nothing_is_said(weaver: Client) -> None:
    key = bring(blank(4, 4, 4, 4, straight=False))
    answer = weaver.get(f"/drafts/{key}/turn/treadles", {"treadles": "4", "feet": "2", "shed": "rising"})
    assert answer.status_code == 422
    assert "the tie-up ties nothing" in answer.content.decode()
