"""A warp that hangs there is not changed by a slip; a plan names the version of its draft."""

from __future__ import annotations

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from loomready.app.changes import versions
from loomready.app.models import Change, Record
from loomready.app.state.snapshot import current_snapshot
from loomready.packet.packet import packet_pdf
from tests.app.asking import brought, form_of, made_by
from tests.packet import reading

pytestmark = pytest.mark.django_db
TOWELS = "/warps/towels"


def fields_of(key: str) -> dict[str, object]:
    return dict(Record.objects.get(kind="warps", key=key).fields)


@pytest.fixture
def wound(weaver: Client) -> Client:
    weaver.post(f"{TOWELS}/step", {"step": "wound"})
    return weaver


def test_a_change_to_a_wound_warp_is_asked_about_before_it_is_saved(wound: Client) -> None:
    before = fields_of("towels")
    form = form_of(wound, TOWELS) | {"finished_width": "12 in"}
    response = wound.post(TOWELS, form)
    page = response.content.decode()
    assert response.status_code == 422
    assert "This warp is wound already." in page
    assert re.search(r'<th scope="row">Ends</th>\s*<td>\d+</td>\s*<td>\d+</td>', page)
    assert 'value="12 in"' in page
    assert "Ready to wind" not in page
    assert fields_of("towels") == before
    wound.post(TOWELS, form | {"sure": "wound"})
    assert fields_of("towels") == before | {"finished_width": "12 in"}


@pytest.mark.parametrize("htmx", [False, True])
def test_it_can_become_a_warp_of_its_own(wound: Client, htmx: bool) -> None:
    before = fields_of("towels")
    form = form_of(wound, TOWELS) | {"finished_width": "12 in", "sure": "new"}
    response = wound.post(TOWELS, form, headers={"HX-Request": "true"} if htmx else {})
    assert response.headers["HX-Redirect" if htmx else "Location"] == "/warps/towels%202"
    made = fields_of("towels 2")
    assert made["finished_width"] == "12 in"
    assert "wound" not in made
    assert fields_of("towels") == before


@pytest.mark.parametrize("change", [{"ppi": "15 /in"}, {"weft_take_up": "8 %"}, {"reserve": "1 %"}])
def test_the_weft_of_a_wound_warp_is_free(wound: Client, change: dict[str, str]) -> None:
    assert wound.post(TOWELS, form_of(wound, TOWELS) | change).status_code == 302


def test_a_warp_that_is_only_planned_is_changed_at_once(weaver: Client) -> None:
    assert weaver.post(TOWELS, form_of(weaver, TOWELS) | {"finished_width": "12 in"}).status_code == 302


def test_one_more_piece_on_a_wound_warp_is_asked_about_and_then_there(wound: Client) -> None:
    before = len(fields_of("towels")["items"])  # type: ignore[arg-type]
    page = wound.post(TOWELS, form_of(wound, TOWELS) | {"more": "item"}).content.decode()
    assert '<th scope="row">Warp length</th>' in page
    assert '<input type="hidden" form="choices" name="more" value="item">' in page
    wound.post(TOWELS, form_of(wound, TOWELS) | {"more": "item", "sure": "wound"})
    assert len(fields_of("towels")["items"]) == before + 1  # type: ignore[arg-type]


def test_a_remedy_for_a_wound_warp_is_asked_about_too(wound: Client) -> None:
    loom = form_of(wound, "/looms/loom/cart") | {"weaving_width": "15 in"}
    wound.post("/looms/loom/cart", loom)
    planned = current_snapshot().plan_of("towels")
    assert planned is not None
    assert planned.plan is not None
    wide = next(problem for problem in planned.plan.problems if problem.code == "too-wide")
    version = Record.objects.get(kind="warps", key="towels").version
    posted = {"code": "too-wide", "says": wide.remedies[0].says, "version": version}
    before = fields_of("towels")
    page = wound.post(f"{TOWELS}/remedy", posted).content.decode()
    assert "This warp is wound already." in page
    assert 'name="code" value="too-wide"' in page
    assert fields_of("towels") == before
    wound.post(f"{TOWELS}/remedy", posted | {"sure": "wound"})
    assert fields_of("towels") != before


def test_a_loom_whose_waste_is_wound_is_changed_on_purpose_only(wound: Client) -> None:
    (loom,) = (each for each in current_snapshot().guild.looms if each.name == "Loom on the cart")
    address = f"/looms/loom/{loom.key}"
    before = dict(Record.objects.get(kind="looms", key=loom.key).fields)
    form = form_of(wound, address) | {"waste": "50 in"}
    response = wound.post(address, form)
    page = response.content.decode()
    assert response.status_code == 422
    assert "towels is wound already." in page
    assert '<th scope="row">Warp length</th><td>3.4 yd</td>' in re.sub(r">\s+<", "><", page)
    assert 'value="50 in"' in page
    assert page.index('<button class="first"') < page.index('name="sure"')  # Enter is no yes
    assert Record.objects.get(kind="looms", key=loom.key).fields == before
    assert wound.post(address, form | {"sure": "yes"}).status_code == 302
    assert Record.objects.get(kind="looms", key=loom.key).fields["waste"] == "50 in"


def test_a_loom_is_changed_at_once_where_nothing_hanging_minds(wound: Client) -> None:
    (loom,) = (each for each in current_snapshot().guild.looms if each.name == "Loom on the cart")
    address = f"/looms/loom/{loom.key}"
    assert wound.post(address, form_of(wound, address) | {"name": "Cart"}).status_code == 302
    porch = "/looms/loom/" + next(
        each.key for each in current_snapshot().guild.looms if each.name == "Porch loom"
    )
    assert wound.post(porch, form_of(wound, porch) | {"waste": "60 in"}).status_code == 302


def test_a_reed_in_which_a_warp_hangs_is_changed_on_purpose_only(weaver: Client) -> None:
    form = form_of(weaver, "/looms/reed/metric-70") | {"dents": "60 /10cm"}
    weaver.post(f"{TOWELS}/step", {"step": "sleyed"})
    refused = weaver.post("/looms/reed/metric-70", form)
    assert refused.status_code == 422
    assert "Reed and ends per dent" in refused.content.decode()
    assert Record.objects.get(kind="reeds", key="metric-70").fields["dents"] == "70 /10cm"


def test_a_warp_that_is_cut_off_binds_nobody(weaver: Client) -> None:
    weaver.post(f"{TOWELS}/step", {"step": "cut off"})
    form = form_of(weaver, "/looms/reed/8-dent") | {"dents": "5 /in"}
    assert weaver.post("/looms/reed/8-dent", form).status_code == 302


def other_version() -> SimpleUploadedFile:
    """The draft in a green of its own, and called otherwise."""
    text = draft_of("towels").replace("Title=", "Title=Changed ", 1)
    text = text.replace("1=77,106,82", "1=70,106,82")
    assert "1=70,106,82" in text
    return SimpleUploadedFile("x.wif", text.encode())


def draft_of(warp: str) -> str:
    return str(Record.objects.get(kind="drafts", key=str(fields_of(warp)["draft"])).fields["wif"])


def put(client: Client, file: SimpleUploadedFile) -> str:
    key = str(fields_of("towels")["draft"])
    version = Record.objects.get(kind="drafts", key=key).version
    client.post(f"/drafts/{key}/version", {"file": file, "version": version})
    return key


def test_a_plan_names_the_version_of_its_draft(weaver: Client) -> None:
    assert re.search(r">draft [^<]+, version 1</a>", weaver.get(TOWELS).content.decode())
    put(weaver, other_version())
    page = weaver.get(TOWELS).content.decode()
    assert re.search(r">draft Changed [^<]+, version 2</a>", page)
    assert "has changed since" not in page


def test_a_draft_that_changed_since_the_warp_was_wound_is_said_and_shown(wound: Client) -> None:
    was = draft_of("towels")
    key = put(wound, other_version())
    page = wound.get(TOWELS).content.decode()
    assert "It was wound from version 1; this plan uses version 2" in page
    assert f"/drafts/{key}/look?version=1" in page
    look = wound.get(f"/drafts/{key}/look?version=1").content.decode()
    assert "You are viewing version 1. The current version is 2." in look
    assert wound.get(f"/drafts/{key}/export/draft.wif?version=1").content.decode() == was
    assert wound.get(f"/drafts/{key}/diagram-1.png").content.startswith(b"\x89PNG")
    assert wound.get(f"/drafts/{key}/diagram-3.png").status_code == 404
    assert wound.get(f"/drafts/{key}/look?version=3").status_code == 404
    put(wound, SimpleUploadedFile("x.wif", was.encode()))
    assert "has changed since" not in wound.get(TOWELS).content.decode()


def test_a_draft_page_warns_whoever_changes_what_is_wound(wound: Client) -> None:
    page = wound.get(f"/drafts/{fields_of('towels')['draft']}/look").content.decode()
    assert "Already wound from this draft: towels." in page


@pytest.mark.usefixtures("without_packets")
def test_a_restored_guild_stands_on_the_versions_that_came_with_it(wound: Client) -> None:
    whole = made_by(wound, "/guild/backup")
    Change.objects.all().delete()
    Record.objects.all().delete()
    wound.post("/start", {"begin": "empty"})
    brought(wound, whole)
    assert versions.wound_from(current_snapshot(), "towels") is None
    put(wound, other_version())
    found = versions.wound_from(current_snapshot(), "towels")
    assert found is not None
    assert found.number == 1


def test_the_project_sheet_names_the_version(weaver: Client) -> None:
    planned = current_snapshot().plan_of("scarves")
    assert planned is not None
    assert planned.plan is not None
    text = reading.sheets(packet_pdf(planned.plan, version=3))["Project"]
    assert f"Draft {planned.plan.draft.title}, version 3" in text
    assert "version" not in reading.sheets(packet_pdf(planned.plan))["Project"]
