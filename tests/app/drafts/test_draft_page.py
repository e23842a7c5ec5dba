"""A draft's page: its cloth large, close by or from a distance; what it was before is one fold."""

from __future__ import annotations

import io

import numpy as np
import pytest
from django.test import Client
from PIL import Image

from loomready.app.drafts import draft_cloth
from loomready.app.state.snapshot import current_snapshot

pytestmark = pytest.mark.django_db
PAGE = "/drafts/drafts/broken-twill.wif"


def picture(client: Client, seen: str) -> Image.Image:
    response = client.get(f"{PAGE}/cloth-1-{seen}")
    assert response.status_code == 200
    return Image.open(io.BytesIO(response.content)).convert("RGB")


def test_both_pictures_show_the_same_cloth_and_the_far_one_has_less_of_its_threads(weaver: Client) -> None:
    near, far = picture(weaver, "near"), picture(weaver, "far")
    assert near.size == far.size
    rough = [np.abs(np.diff(np.asarray(each).astype(float), axis=0)).mean() for each in (near, far)]
    assert rough[1] < rough[0] / 2
    assert weaver.get(f"{PAGE}/cloth-1-sideways").status_code == 404
    assert weaver.get(f"{PAGE}/cloth-9-near").status_code == 404


def test_the_distance_is_told_with_the_sett_of_a_warp_or_the_usual_one(weaver: Client) -> None:
    snapshot = current_snapshot()
    assert draft_cloth.sett_of(snapshot, "drafts/broken-twill.wif").warp == "scarves"
    usual = draft_cloth.sett_of(snapshot, "drafts/advancing-waves.wif")  # only a piece is woven from it
    assert (usual.warp, round(25.4 / usual.mm_per_end, 6)) == ("", 20)
    assert (
        "At 20 ends and picks per inch."
        in weaver.get("/drafts/drafts/advancing-waves.wif/look").content.decode()
    )
    assert "From 10 feet (3 m)" in weaver.get(f"{PAGE}/look").content.decode()


def test_history_is_one_fold_that_is_open_where_an_earlier_version_is_shown(weaver: Client) -> None:
    assert 'class="panel draft-history">' in weaver.get(f"{PAGE}/look").content.decode()
    assert 'class="panel draft-history" open>' in weaver.get(f"{PAGE}/look?versions=all").content.decode()
