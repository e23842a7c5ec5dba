"""Pages and forms: what is typed is kept, what is wrong is said, what is right is planned at once."""

from __future__ import annotations

import io
import random
import re
import time
import zipfile
from datetime import date, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from loomready.app import carry, store
from loomready.app.models import Change, Record
from loomready.app.room import open_room
from loomready.problems import BadInput
from tests.app.conftest import DRAFTS

pytestmark = pytest.mark.django_db

PAGES = (
    "/",
    "/shelf",
    "/shelf/new-yarn",
    "/shelf/yarn/wool-rust",
    "/shelf/new-cone",
    "/shelf/cone/fern-big",
    "/shelf/cone/fern-big/weigh",
    "/looms",
    "/looms/new",
    "/looms/loom/porch",
    "/looms/new-reed",
    "/looms/reed/8-dent",
    "/drafts",
    "/drafts/drafts/broken-twill.wif/look",
    "/warps",
    "/warps-new",
    "/warps/scarves",
    "/guild",
)


def form_of(client: Client, address: str) -> dict[str, str]:
    """What a form holds as the page shows it."""
    text = client.get(address).content.decode()
    text = text[text.index('class="choices"') :] if "choices" in text else text
    made = dict(re.findall(r'name="([\w-]+)" value="([^"]*)" type="(?:text|date|color)"', text))
    for name, options in re.findall(r'<select id="[\w-]+" name="([\w-]+)".*?>(.*?)</select>', text, re.S):
        chosen = re.search(r'value="([^"]*)" selected', options)
        made[name] = chosen.group(1) if chosen else ""
    for name in re.findall(r'type="checkbox" id="[\w-]+" name="([\w-]+)" value="yes" checked', text):
        made[name] = "yes"
    version = re.search(r'name="version" value="(\d+)"', text)
    return made | ({"version": version.group(1)} if version else {})


@pytest.mark.parametrize("address", PAGES)
def test_every_page_answers(weaver: Client, address: str) -> None:
    response = weaver.get(address)
    assert response.status_code == 200
    policy = response["Content-Security-Policy"]
    assert "unsafe-inline" not in policy
    assert not re.search(r"<style|\sstyle=|<script>|\son\w+=", response.content.decode())


@pytest.mark.parametrize("address", PAGES)
def test_a_page_comes_in_under_300_kb(weaver: Client, address: str) -> None:
    response = weaver.get(address, headers={"accept-encoding": "gzip"})
    assert len(response.content) < 120_000  # with styles and scripts it stays below 300 kB


def test_an_empty_home_asks_how_to_begin(db: None, client: Client) -> None:
    assert client.get("/shelf").headers["Location"] == "/start"
    client.post("/start", {"begin": "empty"})
    assert "A first warp, from nothing" in client.get("/").content.decode()


def test_a_weighing_changes_every_plan_that_counts_on_the_cone(weaver: Client) -> None:
    assert "Stop." not in weaver.get("/warps/towels").content.decode()
    weaver.post("/shelf/cone/fern-big/weigh", form_of(weaver, "/shelf/cone/fern-big/weigh") | {"gross": "90"})
    assert Record.objects.get(kind="cones", key="fern-big").fields["gross"] == "90 g"
    assert "Cottolin, fern green lacks" in weaver.get("/warps/towels").content.decode()


def test_every_weighing_is_kept_with_its_date(weaver: Client) -> None:
    address = "/shelf/cone/fern-big/weigh"
    for gross in ("220", "210"):
        weaver.post(address, form_of(weaver, address) | {"gross": gross})
    page = weaver.get(address).content.decode()
    assert [gross in page for gross in ("210 g", "220 g", "224 g")] == [True] * 3
    assert "2026-09-03" in page


def test_a_bad_form_keeps_what_was_typed_and_says_what_is_expected(weaver: Client) -> None:
    form = form_of(weaver, "/shelf/cone/fern-big/weigh") | {"gross": "heavy", "tare": "41 g"}
    response = weaver.post("/shelf/cone/fern-big/weigh", form)
    page = response.content.decode()
    assert response.status_code == 422
    assert 'value="heavy"' in page
    assert 'value="41 g"' in page
    assert re.search(r'id="gross-error">.*is no quantity; expected', page)
    assert Record.objects.get(kind="cones", key="fern-big").version == 1


def test_a_tare_over_the_gross_is_said_beside_the_tare(weaver: Client) -> None:
    form = form_of(weaver, "/shelf/cone/fern-big/weigh") | {"gross": "30"}
    page = weaver.post("/shelf/cone/fern-big/weigh", form).content.decode()
    assert re.search(r'id="tare-error">.*more than gross', page)


def test_either_system_may_be_typed(weaver: Client) -> None:
    form = form_of(weaver, "/warps/scarves")
    weaver.post("/warps/scarves", form | {"finished_width": "30cm"})
    assert Record.objects.get(kind="warps", key="scarves").fields["finished_width"] == "30 cm"
    width = open_room().guild.warps[0].finished_width_mm
    assert width == pytest.approx(300)


def test_saving_what_is_there_changes_nothing(weaver: Client) -> None:
    for order in open_room().guild.warps:
        before = Record.objects.get(kind="warps", key=order.key).fields
        weaver.post(f"/warps/{order.key}", form_of(weaver, f"/warps/{order.key}"))
        assert Record.objects.get(kind="warps", key=order.key).fields == before


def test_a_step_button_makes_it_an_inch_wider(weaver: Client) -> None:
    weaver.post("/warps/towels", form_of(weaver, "/warps/towels") | {"step": "finished_width:up"})
    assert Record.objects.get(kind="warps", key="towels").fields["finished_width"] == "18 in"


def test_the_second_editor_is_shown_both_versions(weaver: Client) -> None:
    form = form_of(weaver, "/warps/towels")
    weaver.post("/warps/towels", form | {"finished_width": "18 in"})
    response = weaver.post("/warps/towels", form | {"finished_width": "12 in"})
    page = response.content.decode()
    assert response.status_code == 409
    assert "<td>18 in</td><td>12 in</td>" in page
    assert Record.objects.get(kind="warps", key="towels").fields["finished_width"] == "18 in"


@pytest.mark.parametrize(
    ("address", "name", "good"),
    [("/warps/towels", "finished_width", "12 in"), ("/shelf/cone/fern-big", "gross", "201 g")],
)
def test_a_slip_corrected_does_not_hide_what_another_saved(
    weaver: Client, address: str, name: str, good: str
) -> None:
    form = form_of(weaver, address)
    weaver.post(address, form | {name: "199 g" if name == "gross" else "18 in"})
    again = weaver.post(address, form | {name: "oops"}).content.decode()
    version = re.search(r'name="version" value="(\d+)"', again)
    assert version is not None
    assert version.group(1) == form["version"]
    assert weaver.post(address, form | {name: good, "version": version.group(1)}).status_code == 409


def test_a_remedy_does_what_it_says(weaver: Client) -> None:
    weaver.post(
        "/shelf/cone/fern-big/weigh", form_of(weaver, "/shelf/cone/fern-big/weigh") | {"gross": "150"}
    )
    planned = open_room().plan_of("towels")
    assert planned is not None
    assert planned.plan is not None
    short = next(problem for problem in planned.plan.problems if problem.code == "yarn-short")
    says = short.remedies[0].says
    assert says in weaver.get("/warps/towels").content.decode()
    version = Record.objects.get(kind="warps", key="towels").version
    weaver.post("/warps/towels/remedy", {"code": "yarn-short", "says": says, "version": version})
    after = open_room().plan_of("towels")
    assert after is not None
    assert after.plan is not None
    assert "yarn-short" not in {problem.code for problem in after.plan.problems}


def test_a_wound_warp_does_not_take_its_yarn_off_a_later_weighing(weaver: Client) -> None:
    weaver.post("/warps/towels/step", {"step": "wound"})
    form = form_of(weaver, "/shelf/cone/fern-big/weigh")
    weaver.post("/shelf/cone/fern-big/weigh", form | {"gross": "60"})
    assert "lacks" not in weaver.get("/warps/towels").content.decode()


def test_a_warp_moved_forward_takes_from_the_shelf_first(weaver: Client) -> None:
    before = [order.key for order in open_room().guild.warps]
    weaver.post(f"/warps/{before[1]}/earlier")
    assert [each.order.key for each in open_room().planned] == [before[1], before[0], *before[2:]]
    weaver.post(f"/guild/undo/{Change.objects.latest('pk').pk}")
    assert [each.order.key for each in open_room().planned] == before


def test_many_drafts_come_in_and_each_that_fails_is_told(weaver: Client) -> None:
    good = (DRAFTS / "broken-twill.wif").read_bytes().replace(b"Broken twill with borders", b"Another name")
    files = [
        SimpleUploadedFile("new one.wif", good),
        SimpleUploadedFile("same.wif", (DRAFTS / "broken-twill.wif").read_bytes()),
        SimpleUploadedFile("letter.wif", b"Dear all, the key is under the mat"),
    ]
    page = weaver.post("/drafts", {"files": files}).content.decode()
    assert "is in the gallery" in page
    assert "is here already" in page
    assert re.search(r"letter\.wif</b>: [^<]+", page)
    assert Record.objects.filter(kind="drafts").count() == 5


def test_a_draft_of_the_same_name_never_takes_the_place_of_another(weaver: Client) -> None:
    other = (DRAFTS / "double-weave.wif").read_bytes().replace(b"Double weave, two blocks", b"Other")
    weaver.post("/drafts", {"files": [SimpleUploadedFile("broken-twill.wif", other)]})
    assert Record.objects.filter(key="drafts/broken-twill-2.wif").exists()
    assert Record.objects.get(key="drafts/broken-twill.wif").version == 1


@pytest.mark.parametrize("what", ["draft.wif", "draft.svg", "draft.png", "cloth.svg", "cloth.png"])
def test_a_draft_goes_out_as_a_download_only(weaver: Client, what: str) -> None:
    response = weaver.get(f"/drafts/drafts/broken-twill.wif/export/{what}")
    assert response["Content-Disposition"].startswith("attachment")
    assert "sandbox" in response["Content-Security-Policy"]
    assert not response["Content-Type"].startswith("text/html")


def made_by(client: Client, address: str) -> bytes:
    """The file that a piece of work makes, once it is done."""
    work = client.post(address).headers["Location"]
    for _ in range(400):
        if 'id="ready"' in client.get(work).content.decode():
            return client.get(f"{work}/file").content
        time.sleep(0.05)
    raise AssertionError(client.get(work).content.decode())


def test_a_packet_is_a_pdf(weaver: Client) -> None:
    assert made_by(weaver, "/warps/scarves/packet").startswith(b"%PDF")


def test_work_that_is_canceled_leaves_no_file(weaver: Client) -> None:
    work = weaver.post("/guild/backup").headers["Location"]
    assert weaver.post(f"{work}/cancel").headers["Location"] == "/guild"
    assert weaver.get(work).headers["Location"] == "/guild"


def test_a_backup_restores_the_guild_elsewhere(weaver: Client) -> None:
    whole, before = made_by(weaver, "/guild/backup"), open_room()
    names = zipfile.ZipFile(io.BytesIO(whole)).namelist()
    assert {"guild.toml", "guild.sqlite3", "packets/scarves.pdf", "drafts/double-weave.wif"} <= set(names)
    Change.objects.all().delete()
    Record.objects.all().delete()
    weaver.post("/start", {"begin": "empty"})
    page = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", whole)}).content.decode()
    assert "another content" in page  # the guild's own name
    assert not open_room().guild.yarns  # shown first, not done yet
    token = re.search(r'name="token" value="(\w+)"', page)
    assert token is not None
    weaver.post("/guild/bring/confirmed", {"token": token.group(1), "clashes": "theirs"})
    after = open_room()
    assert after.guild == before.guild
    assert after.drafts.keys() == before.drafts.keys()


def weighings_on(page: str) -> list[str]:
    """The rows of the table of past weighings."""
    return re.findall(r"<tr><td>[^<]*</td><td>[^<]*</td><td>[^<]*</td></tr>", page)


def brought(client: Client, data: bytes, clashes: str = "theirs") -> str:
    """Bring a file in and confirm it: the page that compared."""
    page = client.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", data)}).content.decode()
    token = re.search(r'name="token" value="(\w+)"', page)
    assert token is not None, page
    client.post("/guild/bring/confirmed", {"token": token.group(1), "clashes": clashes})
    return page


def test_a_backup_restores_progress_date_order_and_weighings(weaver: Client) -> None:
    address = "/shelf/cone/fern-big/weigh"
    for gross in ("220", "210"):
        weaver.post(address, form_of(weaver, address) | {"gross": gross})
    weaver.post("/warps/towels/step", {"step": "threaded"})
    later = (date.today() + timedelta(days=40)).isoformat()
    weaver.post("/guild/day", {"day-name": "open studio", "day-date": later})
    weaver.post("/warps/towels/earlier")
    pages = ("/", "/warps", address)
    before = [re.findall("<main.*</main>", weaver.get(each).content.decode(), re.S) for each in pages]
    told = weighings_on(weaver.get(address).content.decode())
    assert len(told) == 3
    whole = made_by(weaver, "/guild/backup")
    Change.objects.all().delete()
    Record.objects.all().delete()
    weaver.post("/start", {"begin": "empty"})
    brought(weaver, whole)
    assert "open studio in 40 days" in weaver.get("/").content.decode()
    assert Record.objects.get(kind="progress", key="towels").fields == {"step": "threaded"}
    assert weighings_on(weaver.get(address).content.decode()) == told
    after = [re.findall("<main.*</main>", weaver.get(each).content.decode(), re.S) for each in pages]
    hide = re.compile(r'name="(?:csrfmiddlewaretoken|version)" value="\w+"')
    assert [[hide.sub("", text) for text in page] for page in after] == [
        [hide.sub("", text) for text in page] for page in before
    ]
    assert weighings_on(weaver.get(address).content.decode()) == told
    assert "past weighings" not in brought(weaver, whole)  # all of it is here already


@pytest.mark.parametrize(
    "text",
    [
        "[]",
        "{",
        '{"looms": {"a": {}}}',
        '{"progress": {"towels": {"step": "burnt"}}}',
        '{"day": {"next": {"name": "x", "date": "soon"}}}',
        '{"weighings": {"fern-big": {"made": [{"day": 3}]}}}',
        "[" * 100_000,
    ],
)
def test_a_backup_whose_progress_means_nothing_is_refused(weaver: Client, text: str) -> None:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as zipped:
        zipped.writestr("guild.toml", weaver.get("/guild/guild.toml").content)
        for path in sorted(DRAFTS.glob("*.wif")):
            zipped.write(path, f"drafts/{path.name}")
        zipped.writestr("app.json", text)
    response = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", made.getvalue())})
    assert response.status_code == 422
    assert "app.json" in response.content.decode()


def test_what_clashes_is_shown_and_ours_can_stay(weaver: Client) -> None:
    text = weaver.get("/guild/guild.toml").content.replace(b'gross = "224 g"', b'gross = "100 g"')
    page = weaver.post("/guild/bring", {"file": SimpleUploadedFile("g.toml", text)}).content.decode()
    assert "<li>cone fern-big</li>" in page
    token = re.search(r'name="token" value="(\w+)"', page)
    assert token is not None
    weaver.post("/guild/bring/confirmed", {"token": token.group(1), "clashes": "ours"})
    assert Record.objects.get(kind="cones", key="fern-big").fields["gross"] == "224 g"


@pytest.mark.parametrize("name", ["../guild.toml", "/guild.toml", "a/../../x.wif"])
def test_a_zip_that_leaves_its_folder_is_refused(weaver: Client, name: str) -> None:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as zipped:
        zipped.writestr(name, "x")
    response = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", made.getvalue())})
    assert response.status_code == 422
    assert "leave its folder" in response.content.decode()


def zip_with(path: str) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as zipped:
        zipped.writestr("guild.toml", '[guild]\nname = "Elsewhere"\n')
        zipped.writestr(path, (DRAFTS / "broken-twill.wif").read_bytes())
    return made.getvalue()


@pytest.mark.parametrize(
    "name",
    [
        "a\nb.wif",
        "drafts//z.wif",
        "./k.wif",
        "drafts/./k.wif",
        ".wif",
        "drafts/.wif",
        "C:/x.wif",
        f"drafts/{'x' * 300}.wif",
        "a\u202eb.wif",
    ],
)
def test_a_draft_with_a_name_no_page_can_have_is_refused_with_one_line(weaver: Client, name: str) -> None:
    response = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", zip_with(name))})
    assert response.status_code == 422
    assert "is no name for a draft" in response.content.decode()
    assert weaver.get("/drafts").status_code == 200


@pytest.mark.parametrize("name", ["drafts/tücher weiß.wif", "drafts/a/b.WIF"])
def test_a_draft_with_an_unusual_name_comes_in(weaver: Client, name: str) -> None:
    brought(weaver, zip_with(name), "ours")
    assert name in open_room().drafts
    assert weaver.get("/drafts").status_code == 200
    assert weaver.get(f"/drafts/{name}/look").status_code == 200


@pytest.mark.parametrize("method", [zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_zip_with_wrong_bytes_never_breaks_the_page(weaver: Client, method: int) -> None:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", method) as zipped:
        zipped.writestr("guild.toml", '[guild]\nname = "Elsewhere"\n' + "# a long remark\n" * 200)
        zipped.write(DRAFTS / "broken-twill.wif", "drafts/broken-twill.wif")
    whole, chance = made.getvalue(), random.Random(7)
    said = []
    for _ in range(60):
        data = bytearray(whole)
        for _ in range(chance.randint(1, 3)):
            data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
        try:
            carry.unpack(bytes(data), "b.zip")
        except BadInput as error:
            said.append(error.line())
    assert len(said) > 20
    assert not any("\n" in line for line in said)
    begin = whole.index(b"guild.toml") + 12
    broken = whole[:begin] + b"\xff" * 30 + whole[begin + 30 :]
    response = weaver.post("/guild/bring", {"file": SimpleUploadedFile("b.zip", broken)})
    assert response.status_code == 422


def day_version(page: str) -> str:
    found = re.search(r'action="/guild/day".*?name="version" value="(\d*)"', page, re.S)
    assert found is not None
    return found.group(1)


def test_the_second_to_save_the_next_date_is_shown_both(weaver: Client) -> None:
    assert day_version(weaver.get("/guild").content.decode()) == ""
    posted = {"version": "", "day-name": "open studio", "day-date": "2030-05-04"}
    assert weaver.post("/guild/day", posted).status_code == 302
    response = weaver.post("/guild/day", posted | {"day-date": "2030-05-05"})
    assert response.status_code == 409
    assert "<td>2030-05-04</td><td>2030-05-05</td>" in response.content.decode()
    assert Record.objects.get(kind="day").fields["date"] == "2030-05-04"
    version = day_version(weaver.get("/guild").content.decode())
    assert (
        weaver.post("/guild/day", posted | {"version": version, "day-date": "2030-05-06"}).status_code == 302
    )
    assert Record.objects.get(kind="day").fields["date"] == "2030-05-06"
    assert weaver.get("/guild/day").headers["Location"] == "/guild"  # where "keep theirs" leads


@pytest.mark.parametrize("text", ["soon", "0026-10-03", "9999-12-31", ""])
def test_a_wrong_date_is_said_beside_it_and_the_name_stays(weaver: Client, text: str) -> None:
    weaver.post("/guild/day", {"version": "", "day-name": "open studio", "day-date": "2030-05-04"})
    response = weaver.post("/guild/day", {"version": "1", "day-name": "market & fair", "day-date": text})
    page = response.content.decode()
    assert response.status_code == 422
    assert 'id="day-date-error"' in page
    assert 'value="market &amp; fair"' in page
    assert day_version(page) == "1"
    assert Record.objects.get(kind="day").fields["name"] == "open studio"


@pytest.mark.parametrize("day", ["0202-11-25", "9999-01-01"])
def test_a_weighing_of_an_impossible_year_is_said_beside_its_date(weaver: Client, day: str) -> None:
    address = "/shelf/cone/fern-big/weigh"
    response = weaver.post(address, form_of(weaver, address) | {"gross": "210", "weighed": day})
    assert response.status_code == 422
    assert re.search(r'id="weighed-error">.*is too far off', response.content.decode())


@pytest.mark.parametrize(
    ("kind", "fields", "address"),
    [
        ("yarns", {"key": "new", "name": "New wool", "count": "8/2 cotton"}, "/shelf/yarn/new"),
        ("reeds", {"key": "new", "dents": "14 /in", "width": "30 in"}, "/looms/reed/new"),
        ("cones", {"key": "new", "yarn": "wool-rust", "gross": "90 g", "tare": "30 g"}, "/shelf/cone/new"),
    ],
)
def test_what_is_called_new_can_be_opened(
    weaver: Client, kind: str, fields: dict[str, str], address: str
) -> None:
    store.write(kind, "new", fields, version=None, who="one")
    page = weaver.get(address).content.decode()
    assert 'name="version" value="1"' in page
    assert fields.get("name", fields.get("dents", fields.get("gross", ""))) in page


def test_a_failure_of_our_own_is_a_page_of_ours(demo: None, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("loomready.app.shelf.rows", fails)
    response = Client(raise_request_exception=False).get("/shelf")
    page = response.content.decode()
    assert response.status_code == 500
    assert "its own mistake" in page
    assert "app.css" in page
    assert "Content-Security-Policy" in response.headers
    assert "ZeroDivisionError" not in page


@pytest.mark.parametrize("kind", ["application/x-www-form-urlencoded", "multipart"])
def test_a_form_that_is_too_much_gets_a_page_of_ours(weaver: Client, kind: str) -> None:
    if kind == "multipart":
        response = weaver.post("/guild/day", {f"x{n}": "1" for n in range(2100)})
    else:
        response = weaver.post("/guild/day", "x=1&" * 2100, content_type=kind)
    assert response.status_code == 400
    assert "Nothing was changed" in response.content.decode()
    assert "app.css" in response.content.decode()


def test_a_page_elsewhere_cannot_talk_to_this_server(demo: None) -> None:
    strict = Client(enforce_csrf_checks=True)
    assert strict.post("/warps/towels/remove", {"version": "1"}).status_code == 403
    assert strict.get("/", headers={"host": "evil.example"}).status_code == 400
