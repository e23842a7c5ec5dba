"""What if: changes are planned beside the saved plan, nothing is written, and one can be kept and undone."""

from __future__ import annotations

import html
import re

import pytest
from django.test import Client

from loomready.app.models import Change, Record
from loomready.app.state.snapshot import current_snapshot

pytestmark = pytest.mark.django_db
PAGE = "/warps/scarves/what-if"


def page_of(client: Client, **given: str) -> str:
    response = client.get(PAGE, given)
    assert response.status_code == 200
    return response.content.decode()


def rows(page: str, plan: int) -> dict[str, tuple[str, bool]]:
    """The figures of a plan, and whether each is marked as another one."""
    part = page.split('<div class="tried-figures">')[plan + 1]
    found = re.findall(r"<div( class=\"differs\")?>\s*<dt>(.*?)</dt>\s*<dd>(.*?)</dd>", part, re.S)
    clean = [(mark, label, re.sub(r"<.*?>|differs:", "", value).strip()) for mark, label, value in found]
    return {label: (value, bool(mark)) for mark, label, value in clean}


def kept_form(page: str, number: int) -> dict[str, str]:
    form = re.search(rf'<form id="keep-{number}".*?</form>', page, re.S)
    assert form is not None
    return {
        name: html.unescape(value)
        for name, value in re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form.group(0))
    }


def test_tried_changes_are_planned_side_by_side_and_nothing_is_written(weaver: Client) -> None:
    before = Change.objects.count()
    page = page_of(weaver, **{"plans": "3", "try1-finished_width": "12 in", "try2-ppi": "24 /in"})
    assert "finished width 9.5 in → 12 in" in html.unescape(page)
    assert "picks 20 /in → 24 /in" in html.unescape(page)
    saved, wider, closer = (rows(page, number) for number in range(3))
    assert not any(marked for _value, marked in saved.values())
    plan = current_snapshot().plan_of("scarves")
    assert plan is not None
    assert plan.plan is not None
    assert saved["Ends"] == (str(plan.plan.web.ends), False)
    assert wider["Ends"] == ("322", True)
    assert wider["Warp length"][1] is False
    assert closer["Ends"] == saved["Ends"]
    assert closer["Picks"][1] is True
    assert Change.objects.count() == before


def test_a_kept_plan_is_the_one_that_was_shown_and_one_undo_brings_the_old_one_back(weaver: Client) -> None:
    before = Record.objects.get(kind="warps", key="scarves").fields
    page = page_of(weaver, **{"try1-finished_width": "12 in"})
    shown = rows(page, 1)["Ends"][0]
    response = weaver.post("/warps/scarves", kept_form(page, 1))
    assert response.status_code == 302
    plan = current_snapshot().plan_of("scarves")
    assert plan is not None
    assert plan.plan is not None
    assert str(plan.plan.web.ends) == shown
    there = weaver.get(response.headers["Location"]).content.decode()
    assert "Saved: warp scarves: finished width 9.5 in → 12 in" in html.unescape(there)
    weaver.post(f"/guild/undo/{Change.objects.latest('pk').pk}")
    assert Record.objects.get(kind="warps", key="scarves").fields == before


@pytest.mark.parametrize("warp", ["scarves", "cushions", "towels"])
def test_a_plan_without_a_change_is_not_offered_to_be_kept_and_differs_in_nothing(
    weaver: Client, warp: str
) -> None:
    page = weaver.get(f"/warps/{warp}/what-if").content.decode()
    assert "Nothing changed yet" in page
    fields = dict(re.findall(r'<input id="(try1-[\w-]+)"[^>]*? value="([^"]*)"', re.sub(r"\s+", " ", page)))
    for name, options in re.findall(r'<select id="(try1-[\w-]+)".*?>(.*?)</select>', page, re.S):
        chosen = re.search(r'value="([^"]*)" selected', options)
        fields[name] = html.unescape(chosen.group(1)) if chosen else ""
    assert len(fields) > 5
    again = weaver.get(f"/warps/{warp}/what-if", fields).content.decode()
    assert 'id="keep-1"' not in again
    assert 'class="differs"' not in again


def test_what_cannot_be_planned_says_so_beside_its_field_and_is_not_kept(weaver: Client) -> None:
    page = page_of(weaver, **{"try1-finished_width": "wide", "try1-ppi": "21 /in"})
    assert 'id="try1-finished_width-error"' in page
    assert 'value="wide"' in page
    assert 'id="keep-1"' not in page


def test_another_draft_shows_a_yarn_for_each_of_its_colors(weaver: Client) -> None:
    page = page_of(weaver, **{"try1-draft": "drafts/double-weave.wif"})
    assert "draft Broken twill with borders → Double weave, two blocks" in html.unescape(page)
    assert re.search(r'<select id="try1-weft_yarns-2"', page)


def test_keeping_contradicts_no_wound_warp_unasked(weaver: Client) -> None:
    weaver.post("/warps/scarves/step", {"step": "wound", "version": ""})
    page = page_of(weaver, **{"try1-finished_width": "12 in"})
    response = weaver.post("/warps/scarves", kept_form(page, 1))
    assert response.status_code == 422
    assert "Nothing is saved yet" in response.content.decode() or "already" in response.content.decode()
    assert Record.objects.get(kind="warps", key="scarves").fields["finished_width"] == "9.5 in"


def test_looking_at_it_warns_before_leaving_only_once_something_is_tried(weaver: Client) -> None:
    assert 'data-tried="no"' in page_of(weaver)
    assert 'data-tried="yes"' in page_of(weaver, **{"try1-ppi": "24 /in"})
