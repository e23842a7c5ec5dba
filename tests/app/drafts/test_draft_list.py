"""The list of drafts: found, filtered and sorted."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from loomready.app.state.snapshot import current_snapshot
from loomready.warp.plan import analysis_of
from tests.app import big_guild

pytestmark = pytest.mark.django_db


def asked(client: Client, **given: str) -> list[str]:
    page = client.get("/drafts", given).content.decode()
    return re.findall(r'<h2><a href="/drafts/drafts/([\w-]+)\.wif/look">', page)


@pytest.fixture
def many(weaver: Client) -> Client:
    big_guild.fill()
    return weaver


def test_drafts_are_filtered_by_what_they_take_and_how_they_are_built(many: Client) -> None:
    drafts = current_snapshot().drafts.items()
    found = {key.removeprefix("drafts/")[:-4]: analysis_of(draft) for key, draft in drafts}
    assert len(asked(many)) == big_guild.DRAFTS
    assert asked(many, shafts="4") == [key for key, each in found.items() if each.shafts_used <= 4]
    by_lifts = asked(many, treadles="lift plan")
    assert by_lifts == [key for key, each in found.items() if each.treadles is None]
    assert set(asked(many, treadles="4")).isdisjoint(by_lifts)
    plain = asked(many, structure="plain")
    assert "big-0" in plain
    assert all(found[key].longest_warp_float == found[key].longest_weft_float == 1 for key in plain)
    assert asked(many, structure="layers") == [k for k, each in found.items() if not each.holds_together]
    assert set(plain).isdisjoint(asked(many, structure="short") + asked(many, structure="long"))


def test_drafts_of_warps_are_told_from_the_others_and_found_by_the_warp(many: Client) -> None:
    used = asked(many, use="used")
    assert sorted(used) == ["advancing-diamonds", "advancing-waves", "broken-twill", "double-weave"]
    assert len(asked(many, use="free")) == big_guild.DRAFTS - len(used)
    assert asked(many, find="scarves 5") == ["broken-twill"]
    assert "No draft matches." in many.get("/drafts?find=zebra").content.decode()


def test_drafts_are_sorted_by_shafts_with_lift_plans_after_treadles(many: Client) -> None:
    drafts = current_snapshot().drafts
    found = [analysis_of(drafts[f"drafts/{key}.wif"]) for key in asked(many, sort="shafts")]
    assert [each.shafts_used for each in found] == sorted(each.shafts_used for each in found)
    found = [analysis_of(drafts[f"drafts/{key}.wif"]) for key in asked(many, sort="treadles")]
    assert found[-1].treadles is None
    assert found[0].treadles == 2


def test_the_page_offers_each_way_to_get_a_draft_in_words(weaver: Client) -> None:
    page = weaver.get("/drafts").content.decode()
    row = page[page.index('class="get-draft') :]
    row = row[: row.index("</section>")]
    for way in ("Search drafts", "Make a draft", "New draft", "WIF files"):
        assert way in row
