"""A warp that names several looms, on the planning page."""

from __future__ import annotations

from django.test import Client

from loomready.app.archive import guild_files
from loomready.app.models import Record
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import brought, form_of


def with_looms(weaver: Client) -> None:
    text = guild_files.guild_file(current_snapshot())
    before, towels = text.split('key = "towels"', 1)
    towels = towels.replace('loom = "cart"', 'looms = ["cart", "pantry"]', 1)
    brought(weaver, f'{before}key = "towels"{towels}'.encode())


def table() -> dict:
    fields: dict = Record.objects.get(kind="warps", key="towels").fields
    return fields


def test_a_change_on_the_page_keeps_the_choice_of_looms(weaver: Client) -> None:
    with_looms(weaver)
    assert current_snapshot().guild.warps[2].looms == ("cart", "pantry")
    form = form_of(weaver, "/warps/towels")
    assert form["loom"] == "cart"
    weaver.post("/warps/towels", form | {"ppi": "20 /in"})
    assert table()["ppi"] == "20 /in"
    assert table()["looms"] == ["cart", "pantry"]
    assert "loom" not in table()


def test_another_loom_on_the_page_takes_the_place_of_the_choice(weaver: Client) -> None:
    with_looms(weaver)
    weaver.post("/warps/towels", form_of(weaver, "/warps/towels") | {"loom": "pantry"})
    assert table()["loom"] == "pantry"
    assert "looms" not in table()
