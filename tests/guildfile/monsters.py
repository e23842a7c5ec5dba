"""Guild files made to be slow or large: what they cost is measured in memory here, in time by the bench."""

from __future__ import annotations

from loomready.guildfile.toml import MAX_BYTES, MAX_TABLES, MAX_VALUES


def many(unit: str, size: int = MAX_BYTES) -> str:
    return unit * (size // len(unit))


MONSTERS = {
    "dotted key": "a" + many(".a", MAX_BYTES - 5) + "=1",
    "dotted header": "[a" + many(".a", MAX_BYTES - 5) + "]",
    "spaced dots": "a" + many(" . a", MAX_BYTES - 5) + "=1",
    "dots inside": "x={" + many("a.", MAX_BYTES - 9) + "a=1}",
    "hidden dots": 'x={a="""\n\' """,' + many("a.", MAX_BYTES - 40) + "a='x'}",
    "tables": "".join(f"[a{number:x}.b.c.d]\n" for number in range(MAX_TABLES - 1)),
    "too many tables": many("[[a]]\n"),
    "dotted values": "[a.b.c.d]\n" + "".join(f"{n:x}.b.c.d=1\n" for n in range(MAX_VALUES - 1)),
    "records": many("[[cones]]\n", 10 * MAX_TABLES // 2 - 10),
    "cones": "[[yarns]]\nkey='a'\ntex='9 tex'\n"
    + many("[[cones]]\nyarn='a'\ntare='1 g'\ngross='9 g'\n", 280_000),
    "lists": "a=" + many("[", MAX_BYTES - 2),
    "deep list": "a=" + "[" * (MAX_TABLES - 2),
    "deep table": "a=" + "{a=" * (MAX_TABLES // 2),
    "integers": "a=[" + many("1,", 2 * MAX_VALUES - 20) + "]",
    "digits": "a=" + many("9", MAX_BYTES - 2),
    "hex digits": "a=0x" + many("f", MAX_BYTES - 4),
    "decimals": "a=1." + many("3", MAX_BYTES - 4),
    "underscores": "a=" + many("1_", MAX_BYTES - 4) + "1",
    "word": many("a"),
    "unknown key": "[guild]\n" + '"' + many("nam ", MAX_BYTES - 20) + '"=1',
    "long text": '[guild]\nname="' + many("n", MAX_BYTES - 20) + '"',
    "escapes": 'a="' + many("\\n", MAX_BYTES - 4) + '"',
    "backslashes": 'a="""' + many("\\", MAX_BYTES - 9) + '"""',
    "open texts": 'a="""' + many('\\"""', MAX_BYTES - 9),
    "quotes": many('"""\n'),
    "mixed quotes": many("'''\"\"\""),
    "lines": many("\n"),
    "notes": many("#\n"),
    "spaces": many(" "),
    "returns": many("\r"),
    "zero bytes": many("\0"),
    "too large": many("a") + "a",
}
