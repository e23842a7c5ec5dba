"""Photographs: scaled down, without the camera's notes, on the pages of their things, undone, limited."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from PIL import Image

from loomready.app.models import Change, Record
from loomready.app.photos import views
from loomready.app.server.home_folder import PHOTOS
from loomready.app.sharing.roles import Role
from loomready.app.state import facts_quota, photo_files, photos, store
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput
from tests.app.asking import form_of
from tests.app.devices import joined
from tests.app.photos.pictures import SIDEWAYS, jpeg, upload

THINGS = {
    "warps": ("scarves", "/warps/scarves"),
    "drafts": ("drafts/broken-twill.wif", "/drafts/drafts/broken-twill.wif/look"),
    "yarns": ("wool-rust", "/shelf/yarn/wool-rust"),
    "looms": ("porch", "/looms/loom/porch"),
}


@pytest.fixture(autouse=True)
def no_files() -> Iterator[None]:
    """Each test begins and ends without pictures in the home that all tests share."""
    yield
    for file in (Path(settings.HOME) / PHOTOS).glob("*"):
        file.unlink()


def send(weaver: Client, *files: bytes, of: str = "warps", caption: str = "", name: str = "cloth.jpg") -> int:
    address = f"/photos/of/{of}/{THINGS[of][0]}"
    posted = {"photo": [upload(each, name) for each in files], "caption": caption}
    return weaver.post(address, posted).status_code


def only() -> photos.Photo:
    (record,) = Record.objects.filter(kind="photos")
    found = photos.one(current_snapshot(), record.key)
    assert found is not None
    return found


@pytest.mark.parametrize("of", THINGS)
def test_a_photograph_is_on_the_page_of_its_thing_with_its_caption(weaver: Client, of: str) -> None:
    assert send(weaver, jpeg(), of=of, caption="Washed,  in the sun") == 302
    page = weaver.get(THINGS[of][1]).content.decode()
    assert f'src="/photos/{only().key}/small.jpg"' in page
    assert 'alt="Washed, in the sun"' in page
    assert weaver.get(f"/photos/{only().key}").status_code == 200


def test_it_is_scaled_down_upright_and_holds_nothing_but_pixels(weaver: Client) -> None:
    send(weaver, jpeg(2400, 1800, turned=SIDEWAYS))
    for size, longest in (("large", 1600), ("small", 480)):
        answer = weaver.get(f"/photos/{only().key}/{size}.jpg")
        image = Image.open(io.BytesIO(answer.content))
        assert answer["Content-Type"] == "image/jpeg"
        assert image.format == "JPEG"
        assert image.size == (longest * 3 // 4, longest)
        assert not image.getexif()
        assert "exif" not in image.info
        red, green, _blue = image.getpixel((image.width - 9, 9))  # the first pixel went to the right
        assert red > 180
        assert green < 80
    assert (only().width, only().height) == (1200, 1600)


def test_a_file_is_never_larger_than_one_may_be() -> None:
    noise = Image.effect_noise((4000, 3000), 120).convert("RGB")
    stream = io.BytesIO()
    noise.save(stream, "JPEG", quality=95)
    assert len(photo_files.reduced(stream.getvalue())) <= photo_files.MOST_EACH


def test_the_record_of_finished_work_shows_the_photographs_of_its_warp(weaver: Client) -> None:
    send(weaver, jpeg())
    assert f"/photos/{only().key}/small.jpg" in weaver.get("/records/scarves").content.decode()


def test_what_is_no_picture_is_refused_in_a_sentence_that_names_it(weaver: Client) -> None:
    answer = weaver.post("/photos/of/warps/scarves", {"photo": [upload(b"%PDF-1.7 no picture", "notes.pdf")]})
    assert answer.status_code == 422
    assert "notes.pdf is not a picture; expected a photograph" in answer.content.decode()
    assert send(weaver, jpeg(), jpeg()[:4000]) == 422  # all or none
    assert not Record.objects.filter(kind="photos").exists()


def test_a_photograph_is_removed_and_the_removal_undone(weaver: Client) -> None:
    send(weaver, jpeg(), caption="Hem")
    key, page = only().key, weaver.get(f"/photos/{only().key}").content.decode()
    assert weaver.post(f"/photos/{key}/remove", {"version": only().version}).status_code == 302
    assert "/small.jpg" not in weaver.get("/warps/scarves").content.decode()
    assert weaver.get(f"/photos/{key}").status_code == 404
    change = Change.objects.first()
    assert change is not None
    weaver.post(f"/guild/undo/{change.pk}")
    assert weaver.get(f"/photos/{key}").content.decode().count("Hem") == page.count("Hem")


def test_several_at_once_are_undone_together(weaver: Client) -> None:
    send(weaver, jpeg(shade=90), jpeg(shade=120))
    assert "2 photographs of scarves: new" in weaver.get("/guild").content.decode()
    store.undo(Change.objects.filter(kind="photos").order_by("pk")[0].pk, who="here")
    assert not Record.objects.filter(kind="photos").exists()


def test_the_caption_is_changed_and_a_later_one_is_not_written_over(weaver: Client) -> None:
    send(weaver, jpeg())
    address = f"/photos/{only().key}"
    filled = form_of(weaver, address)
    assert weaver.post(address, filled | {"caption": "On the loom"}).status_code == 302
    assert only().caption == "On the loom"
    assert weaver.post(address, filled | {"caption": "Other"}).status_code == 409
    assert weaver.post(address, form_of(weaver, address) | {"caption": "x" * 201}).status_code == 422


def test_a_removed_thing_takes_its_photographs_along_and_brings_them_back(weaver: Client) -> None:
    send(weaver, jpeg(shade=90), jpeg(shade=120))
    store.remove("warps", "scarves", version=Record.objects.get(kind="warps", key="scarves").version, who="x")
    assert not Record.objects.filter(kind="photos").exists()
    said = weaver.get("/guild").content.decode()
    assert "warp scarves: removed" in said
    store.undo(Change.objects.order_by("-pk")[0].pk, who="x")
    assert len(photos.of_thing(current_snapshot(), "warps", "scarves")) == 2


def test_helpers_look_at_photographs_and_keepers_add_them(weaver: Client) -> None:
    send(weaver, jpeg())
    helper, keeper = joined(Role.HELPER), joined(Role.KEEPER)
    assert helper.get(f"/photos/{only().key}/small.jpg").status_code == 200
    assert "Add photographs" not in helper.get("/warps/scarves").content.decode()
    assert send(helper, jpeg(shade=90)) == 403
    assert send(keeper, jpeg(shade=90)) == 302


def test_a_device_can_not_fill_the_disk(weaver: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "quota", facts_quota.Quota(most=1))
    keeper = joined(Role.KEEPER)
    assert send(keeper, jpeg()) == 302
    assert send(keeper, jpeg(shade=90)) == 429
    assert send(weaver, jpeg(shade=91)) == 302  # the owner's own computer


def test_room_is_made_by_pictures_that_nobody_uses_and_an_undo_is_then_not_offered(
    weaver: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    send(weaver, jpeg(shade=90))
    first = only()
    store.remove("photos", first.key, version=first.version, who="x")
    assert "Undo: photograph of scarves: removed" in weaver.get("/guild").content.decode()
    size = len(photo_files.read(first.picture) or b"")
    monkeypatch.setattr(photo_files, "MOST_ALTOGETHER", int(size * 1.5))
    assert send(weaver, jpeg(shade=100)) == 302
    assert not photo_files.there(first.picture)
    assert photo_files.there(only().picture)
    assert "Undo: photograph of scarves: removed" not in weaver.get("/guild").content.decode()
    assert send(weaver, jpeg(shade=110)) == 422  # all are in use
    with pytest.raises(BadInput, match="no room for another photograph"):
        photo_files.keep(photo_files.reduced(jpeg(shade=110)), photos.used())


def test_there_are_at_most_so_many_of_one_thing_and_none_twice(weaver: Client) -> None:
    pictures = [jpeg(60, 40, shade=each) for each in range(100, 113)]
    assert send(weaver, *pictures) == 422
    assert send(weaver, *pictures[:12]) == 302
    assert "Add photographs" not in weaver.get("/warps/scarves").content.decode()
    assert send(weaver, pictures[12]) == 422
    assert send(weaver, pictures[0], of="yarns") == 302  # the same picture of another thing
    assert send(weaver, pictures[0], of="yarns") == 422


def test_a_lost_file_is_said_and_can_be_removed(weaver: Client) -> None:
    send(weaver, jpeg())
    (Path(settings.HOME) / PHOTOS / f"{only().picture}.jpg").unlink()
    photo_files.small.cache_clear()
    assert "file missing" in weaver.get("/warps/scarves").content.decode()
    assert weaver.get(f"/photos/{only().key}/large.jpg").status_code == 404
    assert weaver.post(f"/photos/{only().key}/remove", {"version": only().version}).status_code == 302
