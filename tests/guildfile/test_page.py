"""The page about the guild file and its JSON Schema say what the code does."""

from __future__ import annotations

import json
import re
from pathlib import Path

from loomready import guildfile
from loomready.guildfile.describe import TABLES, main, schema_text, with_tables
from tests.guildfile.room import put, refusal

DOCS = Path(__file__).parents[2] / "docs"
PAGE = (DOCS / "guild-file.md").read_text("utf-8")
EXAMPLE = re.search(r"```toml\n(.*?)```", PAGE, re.DOTALL)[1]


def test_the_pages_tables_are_current():
    assert with_tables(PAGE) == PAGE
    for name, section in TABLES.items():
        table = PAGE.split(f"<!-- keys of {name}, from the schema -->")[1].split("<!-- end -->")[0]
        assert [key.name for key in section.keys] == re.findall(r"^\| `([\w ]+)` \|", table, re.MULTILINE)


def test_the_json_schema_is_current():
    assert (DOCS / "guild-file.schema.json").read_text("utf-8") == schema_text()


def test_the_pages_example_is_a_guild_file():
    guild = guildfile.decode(guildfile.parse(EXAMPLE))
    assert [cone.key for cone in guild.cones] == ["rosewood-1", "gray with the dent"]
    assert guild.warps[0].items[1].weft_yarns == ("rosewood",)
    assert guildfile.decode(guildfile.encode(guild)) == guild


def test_the_pages_example_loads_with_its_draft_as_the_page_shows(tmp_path, monkeypatch):
    put(tmp_path)
    (tmp_path / "drafts" / "napkin.wif").rename(tmp_path / "drafts" / "scarf.wif")
    (tmp_path / "guild.toml").write_text(EXAMPLE, "utf-8")
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    exec(re.search(r"```python\n(.*?)```", PAGE, re.DOTALL)[1], names)
    assert guildfile.decode(guildfile.parse(names["text"])) == names["loaded"].guild


def test_the_refusal_shown_is_the_one_given():
    shown = re.search(r"```text\nloomready: guild.toml: (.*)\n```", PAGE)[1]
    assert refusal(guildfile.decode, {"cones": [{}, {}, {"gros": "3 g"}]}) == shown


def test_page_and_schema_are_written_from_the_code(tmp_path):
    (tmp_path / "guild-file.md").write_text(re.sub(r"\| `[\w ]+` \|.*\n", "", PAGE), "utf-8")
    main(tmp_path)
    assert (tmp_path / "guild-file.md").read_text("utf-8") == PAGE
    assert (
        json.loads((tmp_path / "guild-file.schema.json").read_text("utf-8"))["title"]
        == "loomready guild file"
    )
