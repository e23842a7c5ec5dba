"""A draft put on a warp: a warp to come, or one that is planned, with its yarns fitted."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from loomready.app.models import Record
from loomready.app.state.snapshot import current_snapshot
from loomready.draft.draft import lift_plan
from loomready.draft.families.registry import make
from tests.app.workshop.test_convert import asked, bring

pytestmark = pytest.mark.django_db


def test_a_new_warp_begins_with_the_draft_on_a_loom_that_can_weave_it(weaver: Client) -> None:
    key = bring(make("point-twill", {"shafts": "12"}))
    page = asked(weaver, "/warps-new", draft=key)
    assert re.search(rf'<option value="{key}" selected>', page)
    assert re.search(r'<option value="cart" selected>', page)


def test_a_draft_goes_on_a_planned_warp_and_comes_off_with_an_undo(weaver: Client) -> None:
    key = bring(make("overshot"))
    record = Record.objects.get(kind="warps", key="towels")
    before = record.fields
    answer = weaver.post(f"/drafts/{key}/warp", {"warp": "towels", "version": str(record.version)})
    assert answer.headers["Location"] == "/warps/towels"
    planned = current_snapshot().plan_of("towels")
    assert planned is not None
    assert planned.plan is not None
    assert planned.order.draft == key
    assert len(planned.order.weft_yarns) == 2
    undo = re.search(r'action="(/guild/undo/\d+)"', asked(weaver, "/warps/towels"))
    assert undo
    weaver.post(undo.group(1), {"back": "/warps/towels"})
    assert Record.objects.get(kind="warps", key="towels").fields == before


def test_a_repeat_that_the_draft_does_not_have_is_left_behind(weaver: Client) -> None:
    record = Record.objects.get(kind="warps", key="towels")
    Record.objects.filter(pk=record.pk).update(
        fields={**record.fields, "repeat_ends": [3, 12]}, version=record.version + 1
    )
    key = bring(lift_plan([1, 2, 3, 4], [[1, 2], [3, 4]]))
    weaver.post(f"/drafts/{key}/warp", {"warp": "towels", "version": str(record.version + 1)})
    assert "repeat_ends" not in Record.objects.get(kind="warps", key="towels").fields


def test_each_warp_says_what_stands_in_the_way(weaver: Client) -> None:
    page = asked(weaver, f"/drafts/{bring(make('point-twill', {'shafts': '12'}))}/warp")
    assert "It needs 12 shafts; the loom has" in page
    own = current_snapshot().guild.warps[0]
    assert "Already used for this warp." in asked(weaver, f"/drafts/{own.draft}/warp")


def test_the_second_of_two_sees_both_versions_of_the_warp(weaver: Client) -> None:
    key = bring(make("overshot"))
    answer = weaver.post(f"/drafts/{key}/warp", {"warp": "towels", "version": "9999"})
    assert answer.status_code == 409
    assert "Theirs (saved)" in answer.content.decode()


def test_a_warp_that_is_wound_keeps_its_draft_and_another_is_planned(weaver: Client) -> None:
    record = Record.objects.get(kind="warps", key="towels")
    Record.objects.filter(pk=record.pk).update(
        fields={**record.fields, "wound": "2026-09-20"}, version=record.version + 1
    )
    key = bring(make("overshot"))
    page = asked(weaver, f"/drafts/{key}/warp")
    assert "This warp is already wound for another draft." in page
    version = str(record.version + 1)
    refused = weaver.post(f"/drafts/{key}/warp", {"warp": "towels", "version": version})
    assert refused.status_code == 409
    answer = weaver.post(f"/drafts/{key}/warp", {"warp": "towels", "version": version, "as": "another"})
    assert answer.headers["Location"].startswith("/warps/towels")
    order = current_snapshot().guild.warps[-1]
    assert (order.draft, order.wound) == (key, None)


def test_parts_of_a_sample_follow_the_warps_draft(weaver: Client) -> None:
    record = Record.objects.get(kind="warps", key="towels")
    own = record.fields["draft"]
    samples = [{"length": "4 in", "draft": own}, {"length": "4 in", "weft_yarns": ["linen-blue"]}]
    fields = {name: value for name, value in record.fields.items() if name != "sample"}
    Record.objects.filter(pk=record.pk).update(
        fields={**fields, "samples": samples}, version=record.version + 1
    )
    key = bring(make("overshot"))  # another threading, with two colors of weft
    weaver.post(f"/drafts/{key}/warp", {"warp": "towels", "version": str(record.version + 1)})
    planned = current_snapshot().plan_of("towels")
    assert planned is not None
    assert planned.plan is not None, planned.error
    plain, blue = planned.order.samples
    assert plain.draft is None
    assert blue.weft_yarns is not None
    assert (blue.weft_yarns[0], len(blue.weft_yarns)) == ("linen-blue", 2)
