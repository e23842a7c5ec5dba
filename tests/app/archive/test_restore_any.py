"""Any home that can be made can be backed up and restored."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from loomready.app.archive.new_guild import begin_with
from loomready.app.loomside import remove_steps
from loomready.app.models import Change, Record
from loomready.app.state import facts, photo_files, photos, store
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput
from tests.app.archive.test_restore import KEY, all_rows, emptied, packed, pictures, restored
from tests.app.photos.pictures import jpeg

PICTURES = [photo_files.reduced(jpeg(60, 40, shade=each)) for each in (90, 120, 150)]
TEXT = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=20)
STEP = st.tuples(
    st.sampled_from(["winding", "threading", "weaving"]),
    st.just("0" * 16),
    st.integers(1, 40),
    st.integers(41, 2_000_000),
    st.sampled_from([0, 1]),
    st.integers(1, 2**40),
    st.sampled_from(["a" * 16, "b" * 8]),
)
DEED = st.one_of(
    st.tuples(st.just("name"), st.sampled_from(["guild", "wool-rust", "porch"]), TEXT),
    st.tuples(st.just("draft"), TEXT),
    st.tuples(st.just("weigh"), st.integers(40, 400)),
    st.tuples(st.just("new cone"), TEXT),
    st.tuples(st.just("remove"), st.sampled_from(["fern-big", "scarves", "towels"])),
    st.tuples(st.just("undo"), st.integers(0, 5)),
    st.tuples(st.just("tick"), st.sampled_from(["wound", "sleyed", "cut off"])),
    st.tuples(st.just("day"), TEXT),
    st.tuples(st.just("photo"), st.sampled_from(photos.OF), st.integers(0, 2), TEXT),
    st.tuples(st.just("remove photo"), st.none()),
    st.tuples(st.just("steps"), st.lists(STEP, max_size=8)),
    st.tuples(st.just("remove steps"), st.none()),
    st.tuples(st.just("put steps back"), st.none()),
)


def do(deed: tuple[Any, ...], number: int) -> None:
    """What somebody does; what the guild refuses is not done."""
    what, *with_what = deed
    if what == "name":
        changed(with_what[0], name=with_what[1])
    elif what == "draft":
        record = Record.objects.get(key=KEY)
        write(record, {"wif": f"{record.fields['wif']}; {with_what[0]}"})
    elif what == "weigh":
        changed("fern-big", gross=f"{with_what[0]} g", weighed="2026-10-03T10:00")
    elif what == "new cone":
        fields = {"key": f"cone-{number}", "yarn": "wool-rust", "gross": "100 g", "tare": "20 g"}
        store.write("cones", f"cone-{number}", fields | {"lot": with_what[0]}, version=None, who="here")
    elif what == "remove":
        for record in Record.objects.filter(key=with_what[0], kind__in=("cones", "warps")):
            store.remove(record.kind, record.key, version=record.version, who="here")
    elif what == "undo":
        store.undo(Change.objects.all()[with_what[0]].pk, who="here")
    elif what == "tick":
        there = Record.objects.filter(kind="progress", key="scarves").first()
        step = {"step": with_what[0]}
        store.write("progress", "scarves", step, version=there.version if there else None, who="here")
    elif what == "day":
        there = Record.objects.filter(kind="day").first()
        fields = {"name": with_what[0], "date": "2027-01-02"}
        store.write("day", "next", fields, version=there.version if there else None, who="here")
    elif what == "photo":
        of, shade, caption = with_what
        thing = Record.objects.filter(kind=of).earliest("position").key
        photos.add(current_snapshot(), of, thing, [PICTURES[shade]], caption, date(2026, 10, 3), "here")
    elif what == "remove photo":
        for record in Record.objects.filter(kind="photos")[:1]:
            store.remove("photos", record.key, version=record.version, who="here")
    elif what == "steps":
        facts.take("towels", [list(step) for step in with_what[0]], "here", trusted=True)
    elif what == "remove steps":
        remove_steps.remove(remove_steps.latest(), warp="towels")
    else:
        remove_steps.put_back(remove_steps.batches()[0].number if remove_steps.batches() else 0)


def changed(key: str, **fields: str) -> None:
    for record in Record.objects.filter(key=key, kind__in=("guild", "yarns", "looms", "cones")):
        write(record, record.fields | fields)


def write(record: Record, fields: dict[str, Any]) -> None:
    store.write(record.kind, record.key, fields, version=record.version, who="Ada")


@pytest.mark.django_db(transaction=True)
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(DEED, max_size=12))
def test_any_home_comes_back_from_its_backup_as_it_was(
    without_packets: None, deeds: list[tuple[Any, ...]]
) -> None:
    emptied()
    begin_with("demo")
    for number, deed in enumerate(deeds):
        try:
            do(deed, number)
        except BadInput:
            continue
    before, guild, notes, kept = all_rows(), current_snapshot().guild, list[str](), pictures()
    whole = packed(notes)
    assert not notes
    emptied()
    restored(whole)
    assert all_rows() == before
    assert pictures() == kept
    assert current_snapshot().guild == guild
