"""A guild file with the drafts beside it: found, kept inside the folder, refused by name."""

from __future__ import annotations

import os

import pytest

from loomready import guildfile
from tests.guildfile.room import TEXT, put, refusal


def test_the_drafts_come_with_the_guild_by_their_paths(tmp_path):
    loaded = guildfile.load(put(tmp_path))
    assert list(loaded.drafts) == ["drafts/napkin.wif", "drafts/other.wif"]
    assert loaded.drafts[loaded.guild.warps[0].draft].ends == 4
    assert loaded.drafts["drafts/other.wif"].picks == 2


def test_an_error_names_the_guild_file_as_it_was_given(tmp_path, monkeypatch):
    put(tmp_path, TEXT.replace('"32 g"', '"999 g"'))
    monkeypatch.chdir(tmp_path)
    assert refusal(guildfile.load, "loft.toml").startswith("loft.toml: [cones 1] tare: is more than gross")


def test_a_broken_draft_is_named_by_its_own_path(tmp_path):
    path = put(tmp_path)
    (tmp_path / "drafts" / "other.wif").write_bytes(b"\x00\x01junk")
    assert refusal(guildfile.load, path).startswith(f"{tmp_path}/drafts/other.wif: ")


@pytest.mark.parametrize(
    ("text", "where"),
    [("drafts/napkin.wif", "[warps 1] draft"), ("drafts/other.wif", "[warps 1] items 2 draft")],
)
def test_a_draft_that_is_not_there_is_refused_where_it_is_named(tmp_path, text, where):
    path = put(tmp_path)
    (tmp_path / text).unlink()
    assert refusal(guildfile.load, path) == f'{path}: {where}: there is no file "{text}"; expected a WIF file'


def test_a_link_out_of_the_folder_is_refused(tmp_path):
    outside = tmp_path / "outside.wif"
    outside.write_text("[WIF]\n")
    folder = tmp_path / "guild"
    folder.mkdir()
    path = put(folder)
    (folder / "drafts" / "napkin.wif").unlink()
    (folder / "drafts" / "napkin.wif").symlink_to(outside)
    assert '[warps 1] draft: "drafts/napkin.wif" leaves the guild\'s folder' in refusal(guildfile.load, path)


def test_a_linked_folder_is_followed_and_refused_too(tmp_path):
    (tmp_path / "elsewhere").mkdir()
    folder = tmp_path / "guild"
    folder.mkdir()
    path = put(folder, TEXT.replace("drafts/napkin", "linked/napkin"))
    (folder / "linked").symlink_to(tmp_path / "elsewhere")
    assert "leaves the guild's folder" in refusal(guildfile.load, path)


def test_a_link_inside_the_folder_is_taken(tmp_path):
    path = put(tmp_path)
    (tmp_path / "drafts" / "other.wif").unlink()
    (tmp_path / "drafts" / "other.wif").symlink_to(tmp_path / "drafts" / "napkin.wif")
    assert guildfile.load(path).drafts["drafts/other.wif"].picks == 4


def test_links_in_a_circle_are_refused(tmp_path):
    path = put(tmp_path)
    draft = tmp_path / "drafts" / "napkin.wif"
    draft.unlink()
    draft.symlink_to(draft)
    assert "[warps 1] draft: there is no file" in refusal(guildfile.load, path)


@pytest.mark.parametrize("draft", ["a" * 900, "drafts", "drafts/napkin.wif/x"])
def test_a_path_that_leads_to_no_file_is_refused(tmp_path, draft):
    path = put(tmp_path, TEXT.replace("drafts/napkin.wif", draft))
    assert "[warps 1] draft: there is no file" in refusal(guildfile.load, path)


def test_a_file_that_is_none_is_refused(tmp_path):
    assert (
        refusal(guildfile.load, tmp_path / "no.toml")
        == f"{tmp_path}/no.toml: no such file; expected a guild file"
    )
    assert refusal(guildfile.load, tmp_path) == f"{tmp_path}: is a folder; expected a guild file"
    assert "cannot be read" in refusal(guildfile.load, tmp_path / ("x" * 5000))
    assert "cannot be read" in refusal(guildfile.load, "a\0b")
    put(tmp_path)
    assert "loft.toml/x" in refusal(guildfile.load, tmp_path / "loft.toml" / "x")


def test_a_pipe_is_refused_without_waiting_for_it(tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")
    assert "is not a regular file" in refusal(guildfile.load, tmp_path / "pipe.toml")


def test_a_huge_file_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        file.truncate(200_000_000)
    assert "has 200,000,000 bytes; expected a guild file of at most 1,000,000" in refusal(
        guildfile.load, path
    )


def test_a_file_name_with_a_line_break_stays_on_one_line(tmp_path):
    path = tmp_path / "two\nlines.toml"
    path.write_text("x = ")
    assert "\\n" in refusal(guildfile.load, path)
