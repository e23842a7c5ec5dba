"""Records and changes: nothing is lost, nothing half-written, everything can be undone."""

from __future__ import annotations

import pytest
from django.db import transaction

from loomready import guildfile
from loomready.app.archive import guild_files
from loomready.app.archive.new_guild import begin_with
from loomready.app.changes import history
from loomready.app.models import Change, Record
from loomready.app.state import store
from loomready.app.state.snapshot import current_snapshot
from loomready.app.warps import planning
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild
from tests.app.conftest import DRAFTS

pytestmark = pytest.mark.django_db


def fields(kind: str, key: str) -> dict[str, object]:
    return dict(Record.objects.get(kind=kind, key=key).fields)


def test_the_records_are_the_guild_file(demo: None) -> None:
    loaded = guildfile.load(DRAFTS.parent / "guild.toml")
    assert current_snapshot().guild == loaded.guild


def test_the_app_plans_what_the_command_line_plans(demo: None) -> None:
    loaded = guildfile.load(DRAFTS.parent / "guild.toml")
    expected = plan_guild(loaded.guild, loaded.drafts)
    planned = current_snapshot().planned
    assert [each.order.key for each in planned] == [warp.order.key for warp in expected.warps]
    for mine, theirs in zip(planned, expected.warps, strict=True):
        assert mine.plan is not None
        assert (mine.plan.yarns, mine.plan.bouts, mine.plan.problems) == (
            theirs.yarns,
            theirs.bouts,
            theirs.problems,
        )


def test_a_change_to_an_old_version_is_refused_with_the_new_one(demo: None) -> None:
    first = fields("cones", "fern-big")
    store.write("cones", "fern-big", first | {"gross": "200 g"}, version=1, who="one")
    with pytest.raises(store.Conflict) as refused:
        store.write("cones", "fern-big", first | {"gross": "190 g"}, version=1, who="two")
    assert refused.value.current is not None
    assert refused.value.current.fields["gross"] == "200 g"
    assert fields("cones", "fern-big")["gross"] == "200 g"


def test_a_change_taken_back_leaves_what_was_there(demo: None) -> None:
    before = fields("cones", "fern-big")
    change = store.write("cones", "fern-big", before | {"gross": "200 g"}, version=1, who="one")
    assert change is not None
    store.undo(change.pk, who="one")
    assert fields("cones", "fern-big") == before
    assert Change.objects.first().undoes_id == change.pk  # type: ignore[union-attr]


def test_taking_back_twice_brings_the_change_back(demo: None) -> None:
    before = fields("cones", "fern-big")
    change = store.write("cones", "fern-big", before | {"gross": "200 g"}, version=1, who="one")
    assert change is not None
    store.undo(change.pk, who="one")
    back = Change.objects.first()
    assert back is not None
    store.undo(back.pk, who="one")
    assert fields("cones", "fern-big")["gross"] == "200 g"


def test_after_any_number_of_undos_each_one_offered_can_be_taken(demo: None) -> None:
    before = fields("cones", "fern-big")
    change = store.write("cones", "fern-big", before | {"gross": "200 g"}, version=1, who="one")
    assert change is not None
    for step in range(6):
        gross = before["gross"] if step % 2 == 0 else "200 g"
        lines = history.of_record("cones", "fern-big")
        offered = [number for line in lines if (number := line.number if line.can_undo else line.again)]
        for number in offered:
            with transaction.atomic():
                store.undo(number, who="one")
                assert fields("cones", "fern-big")["gross"] == gross
                transaction.set_rollback(True)
        store.undo(offered[step % len(offered)], who="one")
        assert fields("cones", "fern-big")["gross"] == gross


def test_an_older_change_waits_for_the_later_one(demo: None) -> None:
    before = fields("cones", "fern-big")
    change = store.write("cones", "fern-big", before | {"gross": "200 g"}, version=1, who="one")
    assert change is not None
    store.write("cones", "fern-big", before | {"gross": "199 g"}, version=2, who="one")
    with pytest.raises(BadInput, match="changed again"):
        store.undo(change.pk, who="one")


def test_what_is_removed_comes_back_in_its_place(demo: None) -> None:
    order = [each.key for each in current_snapshot().guild.warps]
    change = store.remove("warps", order[0], version=1, who="one")
    assert [each.key for each in current_snapshot().guild.warps] == order[1:]
    store.undo(change.pk, who="one")
    assert [each.key for each in current_snapshot().guild.warps] == order


def test_a_yarn_that_a_warp_needs_cannot_go(demo: None) -> None:
    with pytest.raises(BadInput, match="there is no yarn"):
        store.remove("yarns", "wool-rust", version=1, who="one")
    assert Record.objects.filter(kind="yarns", key="wool-rust").exists()


def test_a_draft_that_a_warp_stands_on_cannot_go(demo: None) -> None:
    with pytest.raises(BadInput, match="there is no draft"):
        store.remove("drafts", "drafts/broken-twill.wif", version=1, who="one")
    assert Record.objects.filter(kind="drafts").count() == 4


def test_what_was_typed_is_kept_as_it_was_typed(demo: None) -> None:
    store.write(
        "reeds", "fine", {"key": "fine", "dents": "60 /10cm", "width": "71 cm"}, version=None, who="a"
    )
    assert '"71 cm"' in guild_files.guild_file(current_snapshot())


def test_the_beginning_of_a_guild_offers_no_undo(db: None) -> None:
    begin_with("empty")
    assert [line.can_undo for line in history.latest()] == [False]


def test_the_beginning_with_the_demo_offers_no_undo(demo: None) -> None:
    assert [line.can_undo for line in history.latest()] == [False]


def test_every_offered_undo_works(demo: None) -> None:
    store.write("cones", "fern-big", fields("cones", "fern-big") | {"gross": "9 oz"}, version=1, who="a")
    for line in history.latest():
        if line.can_undo:
            store.undo(line.number, who="a")
    assert fields("cones", "fern-big")["gross"] == "224 g"


def test_a_step_and_its_date_are_one_change_and_go_back_as_one(demo: None) -> None:
    before = fields("warps", "towels")
    assert "wound" not in before
    planning.tick(current_snapshot(), "towels", "wound", "one")
    lines = history.latest()
    assert len(lines) == 2  # the beginning, and the step
    assert "wound" in lines[0].says
    assert "progress" in lines[0].says
    assert "wound" in fields("warps", "towels")
    store.undo(history.of_record("warps", "towels")[0].number, who="one")
    assert fields("warps", "towels") == before
    assert not Record.objects.filter(kind="progress", key="towels").exists()
    store.undo(history.latest()[0].again, who="one")
    assert fields("progress", "towels") == {"step": "wound"}
    assert "wound" in fields("warps", "towels")


def test_of_changes_made_together_none_stays_if_one_clashes(demo: None) -> None:
    before = fields("warps", "towels")
    writes: list[store.Write] = [
        ("warps", "towels", before | {"wound": "2026-11-20"}, 1),
        ("progress", "towels", {"step": "wound"}, 3),
    ]
    with pytest.raises(store.Conflict):
        store.write_together(writes, who="one")
    assert fields("warps", "towels") == before


def test_things_brought_in_together_go_back_together(demo: None) -> None:
    reeds = [("reeds", key, {"key": key, "dents": "6 /in", "width": "30 in"}) for key in ("six", "seis")]
    store.load(reeds, who="one")
    last = Change.objects.first()
    assert last is not None
    store.undo(last.pk, who="one")
    assert {each.key for each in current_snapshot().guild.reeds}.isdisjoint({"six", "seis"})
