"""What is written comes back, here and in Python's configparser."""

from __future__ import annotations

import configparser
import os
import stat
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Draft, lift_plan, lifts_of
from loomready.draft.unread_sections import Section
from loomready.draft.wif import reader, writer
from loomready.problems import BadInput
from tests.draft.edit.drafts import drafts as by_chance
from tests.strategies import differences, drafts

PLAIN = lift_plan([1, 2, 1, 2], [[1], [2]], title="Plain")


def numbers(table: configparser.RawConfigParser, section: str, key: int) -> set[int]:
    return {int(part) for part in table.get(section, str(key), fallback="0").split(",")} - {0}


def sinking() -> Draft:
    tieup = np.array([[1, 0], [1, 0], [0, 1], [0, 0]], dtype=np.bool_)
    treadling = np.array([[1, 0], [0, 1], [0, 0]], dtype=np.bool_)
    plan = lift_plan([1, 2, 3, 4], [[], [], []], shafts=4)
    lifts = lifts_of(tieup, treadling, rising=False)
    return replace(plan, tieup=tieup, treadling=treadling, rising=False, lifts=lifts)


@given(drafts())
@settings(max_examples=150, deadline=None)
def test_a_draft_comes_back_field_by_field(draft: Draft) -> None:
    back = reader.parse(writer.dumps(draft))
    assert differences(back.draft, draft) == []
    assert back.warnings == ()


@given(st.one_of(drafts(), by_chance))
@settings(max_examples=60, deadline=None)
def test_a_second_rewrite_changes_no_byte(draft: Draft) -> None:
    data = writer.dumps(draft)
    assert writer.dumps(reader.parse(data).draft) == data


@given(drafts().map(lambda draft: replace(draft, extra=())))
@settings(max_examples=60, deadline=None)
def test_configparser_reads_the_same_draft(draft: Draft) -> None:
    table = configparser.RawConfigParser(strict=True)
    table.read_string(writer.dumps(draft).decode())
    assert table["WIF"]["version"] == "1.1"
    assert table.get("TEXT", "title", fallback=None) == draft.title
    assert set(table["CONTENTS"]) == {name.lower() for name in table.sections()[2:]}
    assert all(table.getboolean("CONTENTS", name) for name in table["CONTENTS"])
    threading = [table.getint("THREADING", str(end)) - 1 for end in range(1, draft.ends + 1)]
    assert threading == draft.threading.tolist()
    if draft.tieup is None or draft.treadling is None:
        assert table.getboolean("WEAVING", "rising shed")
        for pick in range(draft.picks):
            assert numbers(table, "LIFTPLAN", pick + 1) == {*(np.flatnonzero(draft.lifts[pick]) + 1).tolist()}
        return
    assert table.getboolean("WEAVING", "rising shed") == draft.rising
    for treadle in range(draft.tieup.shape[1]):
        tied = {*(np.flatnonzero(draft.tieup[:, treadle]) + 1).tolist()}
        assert numbers(table, "TIEUP", treadle + 1) == tied
    for pick in range(draft.picks):
        trodden = {*(np.flatnonzero(draft.treadling[pick]) + 1).tolist()}
        assert numbers(table, "TREADLING", pick + 1) == trodden


def test_a_sinking_shed_is_written_as_it_is_tied() -> None:
    data = writer.dumps(sinking())
    assert b"Rising Shed=false" in data
    assert b"[TIEUP]\r\n1=1,2\r\n2=3\r\n" in data
    back = reader.parse(data).draft
    assert back.lifts.astype(int).tolist() == [[0, 0, 1, 1], [1, 1, 0, 1], [0, 0, 0, 0]]
    assert differences(back, sinking()) == []


def test_a_sinking_shed_as_lift_plan_names_what_is_up() -> None:
    data = writer.dumps(sinking().as_lift_plan())
    assert b"Rising Shed=true" in data
    assert b"[LIFTPLAN]\r\n1=3,4\r\n2=1,2,4\r\n3=0\r\n" in data


def test_lifts_that_the_treadles_do_not_give_are_written_as_lift_plan() -> None:
    draft = replace(sinking(), lifts=~sinking().lifts)
    back = reader.parse(writer.dumps(draft)).draft
    assert back.tieup is None
    assert np.array_equal(back.lifts, draft.lifts)


def test_foreign_sections_survive_word_for_word() -> None:
    data = writer.dumps(PLAIN).replace(b"\r\n", b"\n") + (
        b"[PRIVATE Shed Notes]\n; a remark\n  Odd = Spelling ;kept\n\n[Warp Symbols]\n1='x'\n\n"
    )
    once = reader.parse(data).draft
    assert once.extra == (
        Section("PRIVATE Shed Notes", ("; a remark", "  Odd = Spelling ;kept", "")),
        Section("Warp Symbols", ("1='x'", "")),
    )
    written = writer.dumps(once)
    assert b"[PRIVATE Shed Notes]\r\n; a remark\r\n  Odd = Spelling ;kept\r\n\r\n[Warp Symbols]" in written
    assert b"PRIVATE Shed Notes=true\r\nWarp Symbols=true\r\n" in written
    assert reader.parse(written).draft.extra == once.extra


def test_author_and_symbols_of_our_own_sections_survive() -> None:
    data = writer.dumps(PLAIN).replace(b"Title=Plain", b"Author=A weaver\r\nTITLE=Plain")
    data = data.replace(b"Threads=4", b"Threads=4\r\nSymbol=#")
    once = reader.parse(data).draft
    assert once.extra == (Section("TEXT", ("Author=A weaver",)), Section("WARP", ("Symbol=#",)))
    again = writer.dumps(once)
    assert b"[TEXT]\r\nTitle=Plain\r\nAuthor=A weaver\r\n" in again
    assert differences(reader.parse(again).draft, once) == []


def test_a_foreign_section_with_an_odd_name_does_not_break_the_contents() -> None:
    extra = tuple(Section(name, ("a=1",)) for name in ("[Odd", ";odd", "#odd", "o=d", "o:d", "Ödd"))
    back = reader.parse(writer.dumps(replace(PLAIN, extra=extra)))
    assert back.draft.extra == extra
    assert back.warnings == ()


@pytest.mark.parametrize(
    "section",
    [
        Section("THREADING", ("1=2",)),
        Section("A]B", ()),
        Section("", ()),
        Section("A\n[B]", ()),
        Section("X", ("  [WEAVING]",)),
        Section("X", ("a=1\nb=2",)),
    ],
)
def test_a_section_that_would_change_the_draft_is_refused(section: Section) -> None:
    with pytest.raises(BadInput):
        writer.dumps(replace(PLAIN, extra=(section,)))


def test_a_title_cannot_open_a_section() -> None:
    draft = replace(PLAIN, title="One\r\n[THREADING]\r\n1=4", notes="a\r[LIFTPLAN]\n[TIEUP]")
    back = reader.parse(writer.dumps(draft)).draft
    assert back.title == "One  [THREADING]  1=4"
    assert back.notes == "a [LIFTPLAN]\n[TIEUP]"
    assert np.array_equal(back.threading, PLAIN.threading)


def test_the_same_draft_gives_the_same_bytes_and_no_clock_is_asked() -> None:
    assert writer.dumps(PLAIN) == writer.dumps(PLAIN)
    assert b"Date=April 20, 1997" in writer.dumps(PLAIN)


@pytest.mark.parametrize("length", [np.nan, np.inf, -1.0, 1001.0])
def test_a_length_that_is_none_is_refused(length: float) -> None:
    with pytest.raises(BadInput):
        writer.dumps(replace(PLAIN, warp_spacing_mm=np.full(4, length)))


def test_saving_replaces_the_file_whole_and_leaves_nothing_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "plain.wif"
    path.write_bytes(b"old")
    path.chmod(0o640)
    writer.save(path, PLAIN)
    assert differences(reader.read(path).draft, PLAIN) == []
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert [*tmp_path.iterdir()] == [path]


def test_a_failed_save_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "plain.wif"
    path.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(BadInput, match="No space left") as caught:
        writer.save(path, PLAIN)
    assert caught.value.file == str(path)
    assert path.read_bytes() == b"old"
    assert [*tmp_path.iterdir()] == [path]


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    path = tmp_path / "none" / "plain.wif"
    with pytest.raises(BadInput, match="folder does not exist") as caught:
        writer.save(path, PLAIN)
    assert caught.value.line().startswith(f"{path}: ")


def test_folders_and_devices_are_never_replaced(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="is a folder"):
        writer.save(tmp_path, PLAIN)
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(BadInput, match="not a regular file"):
        writer.save(pipe, PLAIN)


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real.wif", tmp_path / "link.wif"
    real.write_bytes(b"old")
    link.symlink_to(real)
    writer.save(link, PLAIN)
    assert link.is_symlink()
    assert real.read_bytes() == writer.dumps(PLAIN)


def test_a_name_that_no_system_takes_is_one_clear_line(tmp_path: Path) -> None:
    for name in ("a\0b.wif", "x" * 300 + ".wif"):
        with pytest.raises(BadInput) as caught:
            writer.save(tmp_path / name, PLAIN)
        assert caught.value.line().isprintable()
