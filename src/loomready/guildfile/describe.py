"""The guild file described in English: as JSON Schema, and as the tables of its documentation.

``python -m loomready.guildfile.describe docs`` brings both up to date.
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

from loomready.guildfile.event_schema import JOB_HOURS, MATERIALS
from loomready.guildfile.records import Key, Section
from loomready.guildfile.schema import MEASURED, PEGS, SECTIONS
from loomready.guildfile.values import Count, Flag, Quantity
from loomready.guildfile.warp_schema import ITEMS, SAMPLES, STRIPES, WEFT_STRIPES

TABLES = {
    section.name: section
    for section in (
        *SECTIONS.values(),
        PEGS,
        ITEMS,
        SAMPLES,
        STRIPES,
        WEFT_STRIPES,
        MEASURED,
        JOB_HOURS,
        MATERIALS,
    )
}
_TABLE = re.compile(r"(<!-- keys of (\w+), from the schema -->\n).*?(<!-- end -->)", re.DOTALL)


def json_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the tree of a guild file. Dates are texts there, as JSON has none."""
    properties: dict[str, Any] = {}
    for name, section in SECTIONS.items():
        table = {"$ref": f"#/$defs/{name}"}
        properties[name] = {"type": "array", "items": table} if section.many else table
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "loomready guild file",
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
        "$defs": {name: _table_schema(section) for name, section in TABLES.items()},
    }


def _table_schema(section: Section) -> dict[str, Any]:
    schema: dict[str, Any] = {
        "type": "object",
        "description": section.meaning,
        "properties": {key.name: _key_schema(section, key) for key in section.keys},
        "required": [key.name for key in section.keys if _bound(key) and key.name not in section.instead],
        "additionalProperties": False,
    }
    if section.one_of:
        schema["oneOf"] = [{"required": [name]} for name in section.one_of]
    if section.instead:
        schema["allOf"] = [_either(section, *pair) for pair in section.instead.items()]
    return schema


def _either(section: Section, name: str, other: str) -> dict[str, Any]:
    """One of two keys, never both; at least one of them where the first is required."""
    if _bound(section.by_name[name]):
        return {"oneOf": [{"required": [name]}, {"required": [other]}]}
    return {"not": {"required": [name, other]}}


def _key_schema(section: Section, key: Key) -> dict[str, Any]:
    schema = key.value.json_schema()
    schema["description"] = (
        f"{key.meaning} ({key.value.says})" if isinstance(key.value, Quantity) else key.meaning
    )
    default = section.defaults.get(key.field)
    if default is not None and not key.silence:
        schema["default"] = key.value.write(default, "us")
    return schema


def _bound(key: Key) -> bool:
    """Whether a file has to say it."""
    return key.required and not key.silence


def key_table(section: Section) -> str:
    """The section's keys as a Markdown table: key, what it holds, what silence means, what it is."""
    rows = ["| key | holds | left out | meaning |", "| --- | --- | --- | --- |"]
    for key in section.keys:
        holds = key.value.says.replace("|", "\\|")
        rows.append(f"| `{key.name}` | {holds} | {_silence(section, key)} | {key.meaning} |")
    return "\n".join(rows) + "\n"


def _silence(section: Section, key: Key) -> str:
    if key.name in section.one_of:
        return f"just one of {', '.join(section.one_of)}"
    if _bound(key):
        other = section.instead.get(key.name)
        return f"**required**, or {other}" if other else "**required**"
    if key.silence:
        return key.silence
    default = section.defaults.get(key.field)
    if default is None or default == "":
        return "nothing"
    written = key.value.write(default, "us")
    return json.dumps(written) if isinstance(key.value, Flag | Count) else f"`{json.dumps(written)}`"


def with_tables(page: str) -> str:
    """The page with the key tables between its marks renewed."""
    return _TABLE.sub(lambda match: f"{match[1]}{key_table(TABLES[match[2]])}{match[3]}", page)


def schema_text() -> str:
    return json.dumps(json_schema(), indent=2, ensure_ascii=False) + "\n"


def main(docs: Path) -> None:
    page = docs / "guild-file.md"
    page.write_text(with_tables(page.read_text("utf-8")), "utf-8")
    (docs / "guild-file.schema.json").write_text(schema_text(), "utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
