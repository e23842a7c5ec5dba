"""A second warp on the planning page: ticked, its take-up said, and one warp again; at the loom."""

from __future__ import annotations

import pytest
from django.test import Client

from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import form_of
from tests.demo.in_the_app import fill_home

pytestmark = pytest.mark.django_db
ADDRESS = "/warps/seersucker towels"


def table() -> dict:
    return current_snapshot().entry("warps", "seersucker towels").fields


def test_a_second_warp_is_ticked_and_said_and_is_one_warp_again(client: Client) -> None:
    fill_home("seersucker-towels")
    form = form_of(client, ADDRESS)
    assert form["second_yarns-2"]
    assert "second_yarns-1" not in form
    typed = {"second_cut": "", "second_woven": "", "second_take_up": "60 %", "second_tension": "light"}
    assert client.post(ADDRESS, form | typed).status_code == 302
    assert (table()["second_take_up"], table()["second_yarns"]) == ("60 %", ["reed"])
    assert "second_cut" not in table()
    form = form_of(client, ADDRESS)
    del form["second_yarns-2"]
    assert client.post(ADDRESS, form).status_code == 302
    assert not [name for name in table() if name.startswith("second_")]
    form = form_of(client, ADDRESS)
    assert "second_take_up" not in form
    assert client.post(ADDRESS, form | {"second_yarns-2": "yes"}).status_code == 302
    assert table()["second_yarns"] == ["reed"]


def test_a_loom_without_a_second_beam_stops_the_warp_on_its_page(client: Client) -> None:
    fill_home("seersucker-towels")
    loom = current_snapshot().entry("looms", "marsh")
    fields = {name: value for name, value in loom.fields.items() if name != "beams"}
    store.write("looms", "marsh", fields, version=loom.version, who="test")
    page = client.get(ADDRESS).content.decode()
    assert "needs a beam of its own" in page
    assert "in weighted chains" in page


def test_pages_at_the_loom_name_the_warp_of_each_step(client: Client) -> None:
    fill_home("seersucker-towels")
    page = client.get("/beside/seersucker towels/winding").content.decode()
    assert "second warp, {length}" in page
    assert '"warp": 2' in page or '"warp":2' in page
